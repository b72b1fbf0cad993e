"""A hub of tube: the table of the short tube on which all ends at a point land.

It stands so that the flattest of the tubes lands on it as squarely as may be. Where none is given it is the least round
tube as sold on which no foot comes within the sum of both walls of another. A square one is turned so that the tubes
come as squarely onto its faces as may be. It is so long that every foot has room for its weld.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from fabgen.geometry.space.frame import Array, unit
from fabgen.geometry.tube.hub import FLATTEST, Landing, best_turn, best_way, feet, fouling, is_clear, too_flat
from fabgen.job.errors import InputError
from fabgen.job.expansion.node_ends import OpenEnd, centred
from fabgen.job.expansion.placing import as_degrees, point_at, turn_toward
from fabgen.job.tables.fields import Context
from fabgen.job.tables.part_tables import NodeGiven
from fabgen.job.values.units import format_length
from fabgen.shop.profiles.standard_sizes import hub_tubes
from fabgen.shop.section import Section
from fabgen.wording.inches import INCH

WELD_ROOM = 10.0
"""From a foot to the rim of the hub, and from tube to tube on a disc, mm, at least (common practice, no source)."""
_STEPS = {"mm": 5.0, "in": INCH / 4.0}
"""A hub's two rims lie whole multiples of this from its point, mm, by the job's units."""


def hub_tube(group: Sequence[OpenEnd], node: NodeGiven | None, context: Context) -> dict[str, Any]:
    """The table of a hub, without its mark.

    Args:
        group: the ends that land on it.
        node: what the job says of the point.
        context: what the values are read with.
    Raises:
        InputError: a tube runs too nearly along the hub, or no size that is sold is large enough.
    """
    middle, landings = centred(group)
    given_way = way_given(node, middle)
    along = best_way(landings) if given_way is None else given_way
    marks = [end.mark for end in group]
    if flat := too_flat(landings, along):
        flattest = f"{round(math.degrees(FLATTEST))} degrees"
        what = f"{marks[flat[0]]} runs within {flattest} of the hub of the {len(group)} ends here"
        raise InputError(what, "hub_along with another direction in a [[node]], or another way to join these ends")
    own, found = _size(group, landings, along, None if node is None else node.hub, context)
    at, step = np.concatenate(found) @ along, _STEPS[context.units]
    low, high = (math.floor((at.min() - WELD_ROOM) / step) * step, math.ceil((at.max() + WELD_ROOM) / step) * step)
    plain = {"cut": "plain"}
    why = (
        "as given"
        if node is not None and node.hub is not None
        else "the least tube as sold on which no foot fouls another"
    )
    return {
        "title": "hub",
        "note": f"For {len(group)} ends; {why}.",
        **own,
        "route": [point_at(middle + place * along) for place in (low, high)],
        "start": plain,
        "finish": dict(plain),
    }


def _size(
    group: Sequence[OpenEnd], landings: Sequence[Landing], along: Array, given: Section | None, context: Context
) -> tuple[dict[str, Any], list[Array]]:
    """The hub's section, with its turn, and the feet of what lands on it: the one given, or the least as sold that
    serves."""
    if given is not None:
        return _given_size(group, landings, along, given, context)
    wall, units = max(landing.wall for landing in landings), context.units
    if served := _least(landings, along, wall, units):
        return {"section": served[0]}, served[1]
    widest, thickest = max(hub_tubes(units), key=lambda each: each.width), max(each.wall for each in hub_tubes(units))
    what = f"no round tube as sold, up to {widest.words(units)}, keeps the feet of the {len(group)} ends here apart"
    if thickest < wall - 1e-6:
        what = f"no round tube as sold has the wall of {format_length(wall, units)} for what lands on the hub here"
    marks = ", ".join(end.mark for end in group)
    raise InputError(what, f"thinner tubes, fewer ends ({marks}), or a wider hub in a [[node]]")


def _given_size(
    group: Sequence[OpenEnd], landings: Sequence[Landing], along: Array, given: Section, context: Context
) -> tuple[dict[str, Any], list[Array]]:
    """The section given, and the feet on it.

    Raises:
        InputError: it is narrower than a tube, or two feet lie over one another on it.
    """
    units, hub = context.units, given.words(context.units)
    turned = {} if given.is_round else {"turn": 0.0}

    def on_hub(which: Sequence[Landing]) -> list[Array] | None:
        if given.is_round:
            return feet(which, along, given.width)
        if (best := best_turn(which, along, given.width, given.depth)) is None:
            return None
        turned["turn"] = as_degrees(turn_toward(along, best[0]))
        return best[1]

    found = on_hub(landings)
    if found is None:
        wide = [end for end, each in zip(group, landings, strict=True) if on_hub([each]) is None]
        past = (
            f"is narrower than {wide[0].mark} ({wide[0].section.words(units)})" if wide else "lets its tubes run past"
        )
        raise InputError(f"the hub of {hub} {past}", "a wider hub, or thinner tubes", key=("hub",))
    if pair := fouling(found, along):
        served = _least(landings, along, max(landing.wall for landing in landings), units)
        what = f"on the hub of {hub} {group[pair[1]].mark} lands on top of {group[pair[0]].mark}"
        raise InputError(what, served[0].words(units) if served else "a wider hub", key=("hub",))
    return {"section": given, **turned}, found


def _least(landings: Sequence[Landing], along: Array, wall: float, units: str) -> tuple[Section, list[Array]] | None:
    """The least round tube as sold on which no foot fouls another, and the feet; None where there is none."""
    for section in hub_tubes(units):
        found = feet(landings, along, section.width)
        if section.wall >= wall - 1e-6 and found is not None and is_clear(landings, found):
            return section, found
    return None


def way_given(node: NodeGiven | None, middle: Array) -> Array | None:
    """The direction of a hub that the job gives, (3,), unit length.

    Args:
        node: what the job says of the point.
        middle: (3,), mm.
    """
    if node is None or node.hub_along is None:
        return None
    way = node.hub_along
    given = way.direction if way.toward is None else np.array(way.toward.xyz) - middle
    return unit(np.array(given, dtype=float))

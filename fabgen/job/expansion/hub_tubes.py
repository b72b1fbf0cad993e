"""A hub of round tube: the table of the short tube on which all ends at a point land.

It stands so that the flattest of the tubes lands on it as squarely as may be. It is the least tube as sold on
which no foot comes within the sum of both walls of another, and so long that every foot has room for its weld.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from fabgen.geometry.space.frame import Array, unit
from fabgen.geometry.tube.hub import FLATTEST, Landing, best_way, feet, is_clear, too_flat
from fabgen.job.errors import InputError
from fabgen.job.expansion.node_ends import OpenEnd, centred
from fabgen.job.expansion.placing import point_at
from fabgen.job.tables.fields import Context
from fabgen.job.tables.part_tables import NodeGiven
from fabgen.job.values.units import format_length
from fabgen.shop.section import Section
from fabgen.shop.tables import table
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
    section, found = _size(group, landings, along, None if node is None else node.hub, context)
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
        "section": section,
        "route": [point_at(middle + place * along) for place in (low, high)],
        "start": plain,
        "finish": dict(plain),
    }


def _size(
    group: Sequence[OpenEnd], landings: Sequence[Landing], along: Array, given: Section | None, context: Context
) -> tuple[Section, list[Array]]:
    """The hub's section and the feet of what lands on it: the one given, or the least as sold that serves."""
    if given is not None:
        found = feet(landings, along, given.width)
        if found is None:
            wider = next(end for end, each in zip(group, landings, strict=True) if not feet([each], along, given.width))
            units = context.units
            what = f"the hub of {given.words(units)} is narrower than {wider.mark} ({wider.section.words(units)})"
            raise InputError(what, "a wider hub, or a thinner tube", key=("hub",))
        return given, found
    wall = max(landing.wall for landing in landings)
    sold = _sold(context.units)
    for section in sold:
        found = feet(landings, along, section.width)
        if section.wall >= wall - 1e-6 and found is not None and is_clear(landings, found):
            return section, found
    wide, units = sold[-1].words(context.units), context.units
    what = f"no round tube as sold, up to {wide}, keeps the feet of the {len(group)} ends here apart"
    if max(section.wall for section in sold) < wall - 1e-6:
        what = f"no round tube as sold has the wall of {format_length(wall, units)} for what lands on the hub here"
    marks = ", ".join(end.mark for end in group)
    raise InputError(what, f"thinner tubes, fewer ends ({marks}), or a wider hub in a [[node]]")


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


def _sold(units: str) -> list[Section]:
    """Tubes as sold."""
    rows = table("hub_tubes", "in" if units == "in" else "mm").rows.values()
    return [Section("round", row["outside"], row["outside"], row["wall"]) for row in rows]

"""Where many tubes end at one point: a hub, a short round tube on which all of them land.

The hub stands so that the flattest of the tubes lands on it as squarely as may be. It is the least tube as sold on
which no foot comes within the sum of both walls of another, and so long that every foot has room for its weld.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from pydantic import ValidationError

from fabgen.geometry.space.frame import Array, unit, upright
from fabgen.geometry.tube.hub import Landing, best_way, feet, is_clear, too_flat
from fabgen.job.document import entries, mark_of, table_in
from fabgen.job.errors import InputError, Path, listed
from fabgen.job.expansion.placing import point_at
from fabgen.job.tables.fields import Context
from fabgen.job.tables.part_tables import NodeGiven
from fabgen.job.values.section_text import parse_section
from fabgen.shop.section import Section
from fabgen.shop.tables import table

MANY = 6
"""Where so many ends meet a job-wide choice of hubs makes one; fewer are coped onto one another."""
SAME_POINT = 1.0
"""Ends this near meet at one point, mm."""
WELD_ROOM = 10.0
"""From a foot to the rim of the hub, mm, at least (common practice, no source)."""
_STEP = 5.0
"""Lengths of hubs are whole multiples of this, mm."""
_TAKEN = ("onto", "plane", "extend", "foot", "opens", "splice")
"""Keys of an end that is worked otherwise."""

Entry = tuple[Path, Any]


@dataclass(frozen=True, eq=False)
class _End:
    """An end of a tube that is left open: where its tube stands in the job, which end, its point along the tube's
    middle and as the job gives it, and how it lands."""

    number: int
    at: str
    mark: str
    point: Array
    given: tuple[float, float, float]
    landing: Landing

    def meets(self, point: Array | tuple[float, float, float]) -> bool:
        return min(math.dist(self.point, point), math.dist(self.given, point)) <= SAME_POINT


def with_hubs(tubes: Sequence[Entry], raw: Mapping[str, Any], context: Context, marks: Set[str]) -> list[Entry]:
    """The tubes, with hubs before them and the ends that meet there on these; the very same where there are none.

    Args:
        tubes: the tables of tubes, each with its place in the file.
        raw: the job's other tables.
        context: what the values are read with.
        marks: those that parts have.
    Raises:
        InputError: a tube runs too nearly along a hub, or no size that is sold is large enough.
    """
    nodes = list(_nodes(raw, context))
    usual = table_in(raw, "job").get("corners") == "hub"
    if not usual and not any(node.corners == "hub" for _, node in nodes):
        return list(tubes)
    ends = [end for number, (_, entry) in enumerate(tubes) for end in _ends(number, entry, context)]
    made: list[Entry] = []
    onto: dict[tuple[int, str], str] = {}
    taken = set(marks)
    hubbed: list[Array] = []
    for group in _meeting(ends):
        place, node = next(((place, node) for place, node in nodes if group[0].meets(node.at.xyz)), ((), None))
        style = None if node is None else node.corners
        wanted = style == "hub" or (style is None and usual and len(group) >= MANY)
        if not wanted or len(group) < 2 or _is_run_through(group[0].point, tubes, context):
            continue
        hubbed.append(group[0].point)
        mark = next(name for i in range(1, len(taken) + 2) if (name := f"HUB{i}" if i > 1 else "HUB") not in taken)
        taken.add(mark)
        try:
            hub = _hub(mark, group, node, context)
        except InputError as fault:
            raise fault.below(*place) if place else fault from None
        metal = {str(m) for end in group if (m := tubes[end.number][1].get("material")) is not None}
        made.append((place or tubes[group[0].number][0], hub | ({"material": min(metal)} if metal else {})))
        onto |= {(end.number, end.at): mark for end in group}
    for place, node in nodes if all(_is_read(entry, context) for _, entry in tubes) else ():
        if node.corners == "hub" and not any(math.dist(node.at.xyz, each) <= SAME_POINT for each in hubbed):
            raise _no_hub(node, ends, tubes, context).below(*place)
    changed = [(place, _landed(number, entry, onto)) for number, (place, entry) in enumerate(tubes)]
    return [*made, *changed]


def _no_hub(node: NodeGiven, ends: Sequence[_End], tubes: Sequence[Entry], context: Context) -> InputError:
    """Why a hub that the job asks for is not made."""
    point = np.array(node.at.xyz)
    here = [end.mark for end in ends if math.dist(end.point, point) <= SAME_POINT]
    if len(here) > 1 and _is_run_through(point, tubes, context):
        what = f"a tube runs on through the point where {listed(here)} end, so there is no hub"
        return InputError(what, "a tube that ends here as well, or this node left out", key=("at",))
    what = f"only the end of {here[0]} lies here to land on a hub" if here else "no tube's end lies here for a hub"
    accepted = "a point where two tubes or more end, none of them cut by a `start` or `finish` of its own"
    return InputError(what, accepted, key=("at",))


def _nodes(raw: Mapping[str, Any], context: Context) -> Iterator[tuple[Path, NodeGiven]]:
    """The nodes that can be read; the faults of others are reported with the other tables."""
    for i, entry in entries(raw, "node"):
        try:
            yield ("node", i), NodeGiven.model_validate(entry, context=context)
        except ValidationError:
            continue


def _ends(number: int, entry: Any, context: Context) -> Iterator[_End]:
    """The ends of a tube that the job leaves open."""
    route = entry.get("route") if isinstance(entry, Mapping) else None
    if not isinstance(route, list) or len(route) < 2 or not mark_of(entry):
        return
    try:
        section = _section(entry.get("section"), context)
        turn = context.angle(entry.get("turn", 0.0))
    except InputError:
        return
    for at, written, next_one in (("start", route[0], route[1]), ("finish", route[-1], route[-2])):
        given = entry.get(at, {})
        if not isinstance(given, Mapping) or given.get("cut", "auto") != "auto" or any(key in given for key in _TAKEN):
            continue
        point, beyond = (context.point_reading.read(each)[0] for each in (written, next_one))
        if point is None or beyond is None or math.dist(point.xyz, beyond.xyz) < SAME_POINT:
            continue
        away = np.array(beyond.xyz) - np.array(point.xyz)
        frame = upright(np.zeros(3), away if at == "start" else -away, 0.0 if section.is_round else turn)
        outline = _outline(section, len(route) > 2) @ np.vstack((frame.y, frame.z))
        wall = section.wall or min(section.width, section.depth) / 2.0
        yield _End(
            number, at, mark_of(entry), np.array(point.xyz), point.as_given.xyz, Landing(unit(away), outline, wall)
        )


def _is_read(entry: Any, context: Context) -> bool:
    """Whether the ends of a tube are known; its faults are reported with its table."""
    route = entry.get("route") if isinstance(entry, Mapping) else None
    if not isinstance(route, list) or not mark_of(entry):
        return False
    try:
        _section(entry.get("section"), context)
        context.angle(entry.get("turn", 0.0))
    except InputError:
        return False
    return all(context.point_reading.read(each)[0] is not None for each in route)


def _section(given: object, context: Context) -> Section:
    return given if isinstance(given, Section) else parse_section(str(given), context.units, context.dimensions)


def _outline(section: Section, bent: bool) -> Array:
    """Points of the outside, (n, 2) along y and z of the tube; of a bent rectangle all round, as it may turn."""
    turn = np.linspace(0.0, 2.0 * math.pi, 72, endpoint=False)
    ring = np.column_stack((np.cos(turn), np.sin(turn)))
    if section.is_round or bent:
        return np.asarray(section.reach * ring)
    return np.asarray(ring / np.abs(ring).max(axis=1)[:, None] * np.array([section.depth, section.width]) / 2.0)


def _meeting(ends: Sequence[_End]) -> list[list[_End]]:
    """The ends by the point at which they meet."""
    groups: list[list[_End]] = []
    for end in ends:
        group = next((g for g in groups if g[0].meets(end.point) or g[0].meets(end.given)), None)
        if group is None:
            groups.append([end])
        else:
            group.append(end)
    return groups


def _is_run_through(point: Array, tubes: Sequence[Entry], context: Context) -> bool:
    """Whether a tube runs through the point, which carries the others then."""
    for _, entry in tubes:
        route = entry.get("route") if isinstance(entry, Mapping) else None
        read = [context.point_reading.read(each)[0] for each in route] if isinstance(route, list) else []
        places = [np.array(each.xyz) for each in read if each is not None]
        for one, other in pairwise(places):
            long = float(np.linalg.norm(other - one))
            if long < SAME_POINT:
                continue
            along = float((point - one) @ (other - one)) / long
            off = float(np.linalg.norm(point - one - along / long * (other - one)))
            if SAME_POINT < along < long - SAME_POINT and off <= SAME_POINT:
                return True
    return False


def _hub(mark: str, group: Sequence[_End], node: NodeGiven | None, context: Context) -> dict[str, Any]:
    """The table of a hub."""
    landings = [end.landing for end in group]
    along = _along(landings, group[0].point, node)
    marks = [end.mark for end in group]
    if flat := too_flat(landings, along):
        what = f"{marks[flat[0]]} runs within 20 degrees of the hub of the {len(group)} ends here"
        raise InputError(what, "hub_along with another direction in a [[node]], or another way to join these ends")
    given = None if node is None else node.hub
    sizes = [given] if given is not None else _sold(context.units, max(landing.wall for landing in landings))
    for section in sizes:
        found = feet(landings, along, section.width)
        if found is not None and (given is not None or is_clear(landings, found)):
            break
    else:
        what = f"no round tube as sold, up to {sizes[-1]} mm, keeps the feet of the {len(group)} ends here apart"
        if given is not None:
            what = f"the hub of {given} mm is narrower than a tube that lands on it"
        raise InputError(what, f"thinner tubes, fewer ends ({', '.join(marks)}), or a wider hub in a [[node]]")
    at = np.concatenate(found) @ along
    low, high = (math.floor((at.min() - WELD_ROOM) / _STEP) * _STEP, math.ceil((at.max() + WELD_ROOM) / _STEP) * _STEP)
    ends = [point_at(group[0].point + place * along) for place in (low, high)]
    plain = {"cut": "plain"}
    why = "as given" if given is not None else "the least tube as sold on which no foot fouls another"
    return {
        "mark": mark,
        "title": "hub",
        "note": f"for {len(group)} ends; {why}",
        "section": section,
        "route": ends,
        "start": plain,
        "finish": dict(plain),
    }


def _along(landings: Sequence[Landing], point: Array, node: NodeGiven | None) -> Array:
    if node is None or node.hub_along is None:
        return best_way(landings)
    way = node.hub_along
    given = way.direction if way.toward is None else np.array(way.toward.xyz) - point
    return unit(np.array(given, dtype=float))


def _sold(units: str, wall: float) -> list[Section]:
    """Tubes as sold whose wall is no thinner than that of what lands on them."""
    rows = table("hub_tubes", "in" if units == "in" else "mm").rows.values()
    return [Section("round", row["outside"], row["outside"], row["wall"]) for row in rows if row["wall"] >= wall - 1e-6]


def _landed(number: int, entry: Any, onto: Mapping[tuple[int, str], str]) -> Any:
    ends = {
        at: dict(entry.get(at, {})) | {"onto": [onto[number, at]]} for at in ("start", "finish") if (number, at) in onto
    }
    return dict(entry) | ends if ends else entry

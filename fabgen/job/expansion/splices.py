"""Tubes that are cut in pieces and spliced, as where no bar is long enough, and the sleeves inside splices.

A sleeve is a shorter tube inside both: four times as long as the tube's greater size, half of it in either piece, and
plug-welded through two holes in each (common practice, no source).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence, Set
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from typing import Any

import numpy as np

from fabgen.geometry.space.frame import Array, unit, upright
from fabgen.geometry.tube.centreline import Centreline, RouteError, Straight, centreline
from fabgen.job.document import mark_of
from fabgen.job.errors import InputError, Path, Problem, shown
from fabgen.job.expansion.pieces import letters, onto_pieces
from fabgen.job.expansion.placing import as_degrees, point_at, turn_toward
from fabgen.job.tables.fields import Context
from fabgen.shop.profiles.standard_sizes import widest_tube_in
from fabgen.shop.section import Section
from fabgen.shop.sleeves import LEAST_PLAY, half_sleeve, plug_hole
from fabgen.wording.figures import figure
from fabgen.wording.sentence import joined, lengths, mm, sentence

SAME_POINT = 1.0
"""Ends this near meet, mm."""
_IN_LINE = math.cos(math.radians(1.0))
_OWN = ("mark", "route", "bend_radius", "start", "finish", "splices", "turn")
"""Keys of a tube that are not those of each of its pieces."""

Entry = tuple[Path, Any]


# -- tubes cut in pieces -------------------------------------------------------------------
def cut_at_splices(tubes: Sequence[Entry], context: Context, problems: list[Problem]) -> list[Entry]:
    """The tubes, those with `splices` as their pieces.

    Args:
        tubes: the tables of tubes, each with its place in the file.
        context: what the values are read with.
        problems: gathers what keeps some from being cut.
    """
    made: list[Entry] = []
    carrying: dict[str, Callable[..., list[str]]] = {}
    for place, entry in tubes:
        is_cut = isinstance(entry, Mapping) and "splices" in entry and "state" not in entry
        if not is_cut or (line := _line(entry, context)) is None:
            made.append((place, entry))
            continue
        try:
            cut = _Cut(entry, line, _places(entry, line, context))
        except InputError as fault:
            problems.append(Problem.of(place, fault))
            continue
        made += [(place, piece) for piece in cut.pieces(context)]
        carrying[mark_of(entry)] = partial(_carrying, cut)
    return [(place, onto_pieces(entry, carrying, context)) for place, entry in made]


def _line(entry: Mapping[str, Any], context: Context) -> Centreline | None:
    """The centreline of a tube that can be read; the faults of others are reported with the other tables."""
    route, given = entry.get("route"), entry.get("bend_radius")
    if not isinstance(route, list) or len(route) < 2 or not mark_of(entry):
        return None
    read = [context.point_reading.read(written)[0] for written in route]
    points = np.array([point.xyz for point in read if point is not None])
    if len(points) != len(route) or math.dist(points[0], points[1]) < SAME_POINT:
        return None
    try:
        section = context.section(entry.get("section"))
        turn = 0.0 if section.is_round else context.angle(entry.get("turn", 0.0))
        frame = upright(points[0], points[1] - points[0], turn)
        if len(points) == 2:
            return Centreline((Straight(frame, math.dist(points[0], points[1]), 0.0),))
        radii = [context.plus_length(each) for each in (given if isinstance(given, list) else [given])]
        return centreline(points, radii * (len(points) - 2) if len(radii) == 1 else radii, frame)
    except (InputError, RouteError, IndexError, ValueError):
        return None


def _places(entry: Mapping[str, Any], line: Centreline, context: Context) -> list[float]:
    """Where a tube is cut, mm along its centreline from its start.

    Raises:
        InputError: it is not read, out of order, or in a bend or too near to one, to an end or to another splice.
    """
    given = entry["splices"]
    if not isinstance(given, list) or not given:
        raise InputError(f"cannot read {shown(given)} as splices", '["3000 mm"], or more places', key=("splices",))
    section = context.section(entry.get("section"))
    clear = half_sleeve(section)
    places: list[float] = []
    for i, written in enumerate(given):
        try:
            place = context.plus_length(written)
        except InputError as fault:
            raise fault.below("splices", i) from None
        if places and place < places[-1] + 2.0 * clear - 1e-6:
            what = sentence("a splice at ", mm(place), " is nearer than two half sleeves to the one before it")
            raise InputError(what, sentence(mm(places[-1] + 2.0 * clear), " or more"), key=("splices", i))
        spans = [(s.at + clear, s.at + s.length - clear) for s in line.straights if s.length > 2.0 * clear]
        if not any(first - 1e-6 <= place <= last + 1e-6 for first, last in spans):
            what = sentence(
                *("a splice at ", mm(place), " lies in a bend, or within half a sleeve, ", mm(clear)),
                ", of a bend or an end of the tube",
            )
            free = joined(" or ", [lengths(span, " to ") for span in spans])
            raise InputError(what, free or "a tube with a longer straight", key=("splices", i))
        places.append(place)
    return places


@dataclass(frozen=True, eq=False)
class _Cut:
    """A tube that is cut at places along its centreline, mm."""

    entry: Mapping[str, Any]
    line: Centreline
    places: Sequence[float]

    def pieces(self, context: Context) -> list[dict[str, Any]]:
        """The tables of its pieces."""
        entry, corners = self.entry, self.entry["route"][1:-1]
        bends = [turn.at + turn.length / 2.0 for turn in self.line.turns]
        radii = entry.get("bend_radius")
        each = radii if isinstance(radii, list) and len(radii) == len(corners) else [radii] * len(corners)
        if len(bends) != len(corners):  # a route with a point in a straight, which is no bend
            points = np.array([context.point_reading.read(corner)[0].xyz for corner in corners])  # type: ignore[union-attr]
            bends = self.line.locate(points)[0].tolist()
        rectangular = not context.section(entry.get("section")).is_round
        made = []
        stops = [0.0, *self.places, self.line.length]
        for number, (first, last) in enumerate(pairwise(stops)):
            within = [i for i, at in enumerate(bends) if first < at < last]
            piece = {key: value for key, value in entry.items() if key not in _OWN}
            piece |= {"mark": f"{mark_of(entry)}{letters(number)}"}
            start = self.line.frame_at(first)
            ends = [
                entry["route"][0] if number == 0 else point_at(start.origin),
                entry["route"][-1] if last == stops[-1] else point_at(self.line.frame_at(last).origin),
            ]
            piece["route"] = [ends[0], *(corners[i] for i in within), ends[1]]
            if within:
                piece["bend_radius"] = [each[i] for i in within]
            if rectangular and (turn := as_degrees(turn_toward(start.x, start.z))):
                piece["turn"] = turn
            spliced = {"splice": "welded" if entry.get("sleeve") == "none" else "sleeved"}
            for at, own in (("start", number == 0), ("finish", last == stops[-1])):
                if not own:
                    piece[at] = dict(spliced)
                elif at in entry:
                    piece[at] = entry[at]
            made.append(piece)
        return made


def _carrying(cut: _Cut, point: Any) -> list[str]:
    """The marks of the pieces on which an end at a point may sit: two where it lies at a splice."""
    at = float(cut.line.locate(np.array([point.xyz]))[0][0])
    spans = pairwise((-math.inf, *cut.places, math.inf))
    mark = mark_of(cut.entry)
    return [f"{mark}{letters(i)}" for i, (first, last) in enumerate(spans) if first - 1.0 < at < last + 1.0]


# -- sleeves -----------------------------------------------------------------------------------
@dataclass(frozen=True, eq=False)
class _End:
    """An end of a tube: its tube's table, which end, its point, and the unit direction into the tube."""

    place: Path
    entry: Mapping[str, Any]
    at: str
    point: Array
    inward: Array

    @property
    def mark(self) -> str:
        return mark_of(self.entry)

    @property
    def is_sleeved(self) -> bool:
        given = self.entry.get(self.at)
        return isinstance(given, Mapping) and given.get("splice") == "sleeved"


def with_sleeves(tubes: Sequence[Entry], context: Context, marks: Set[str], problems: list[Problem]) -> list[Entry]:
    """The tubes, and after them a sleeve for each splice that is sleeved and has none.

    Args:
        tubes: the tables of tubes, each with its place in the file.
        context: what the values are read with.
        marks: those that parts have.
        problems: gathers what keeps some sleeves from being made.
    """
    ends = [end for place, entry in tubes for end in _ends(place, entry, context)]
    done = [set(given) for _, entry in tubes if isinstance(entry, Mapping) and (given := _joined(entry))]
    taken, made = set(marks), list(tubes)
    plugged: dict[int, list[dict[str, Any]]] = {}
    for end in ends:
        if not end.is_sleeved:
            continue
        other = next((each for each in ends if each.entry is not end.entry and _goes_on(end, each)), None)
        if other is None:
            what = f"no other tube goes on from the {end.at} of {end.mark} in one straight line"
            problems.append(Problem.of((*end.place, end.at), InputError(what, "no splice here", key=("splice",))))
            continue
        if {end.mark, other.mark} in done:
            continue
        done.append({end.mark, other.mark})
        name = end.mark + "-SL"
        mark = next(each for i in range(1, len(taken) + 2) if (each := f"{name}{i}") not in taken)
        taken.add(mark)
        try:
            made.append((end.place, _sleeve(mark, end, other, context)))
        except InputError as fault:
            problems.append(Problem.of(end.place, fault))
            continue
        for spliced in (end, other):
            plugged.setdefault(id(spliced.entry), []).append(_plug_holes(spliced, context))
    return [(place, _with_holes(entry, plugged.get(id(entry), []))) for place, entry in made]


def _plug_holes(end: _End, context: Context) -> dict[str, Any]:
    """The holes for the plug welds of a sleeve: opposite one another, halfway along what it has in the tube, at the
    sides, where a tube bends least."""
    section = context.section(end.entry.get("section"))
    return {
        "from": end.at,
        "at": f"{half_sleeve(section) / 2.0:.12g} mm",
        "side": 90,
        "diameter": f"{plug_hole(section):g} mm",
        "both_walls": True,
        "plug": True,
    }


def _with_holes(entry: Any, holes: list[dict[str, Any]]) -> Any:
    """A tube's table with further holes, those first that it gives itself."""
    own = entry.get("holes", []) if holes else []
    return dict(entry) | {"holes": [*own, *holes]} if holes and isinstance(own, list) else entry


def _joined(entry: Mapping[str, Any]) -> list[str]:
    """The tubes that a tube is the sleeve of, where that can be read."""
    given = entry.get("sleeve_of")
    return [mark for mark in given if isinstance(mark, str)] if isinstance(given, list) else []


def _ends(place: Path, entry: Any, context: Context) -> list[_End]:
    route = entry.get("route") if isinstance(entry, Mapping) else None
    if not isinstance(route, list) or len(route) < 2 or not mark_of(entry):
        return []
    found = []
    for at, written, next_one in (("start", route[0], route[1]), ("finish", route[-1], route[-2])):
        point, beyond = (context.point_reading.read(each)[0] for each in (written, next_one))
        if point is not None and beyond is not None and math.dist(point.xyz, beyond.xyz) >= SAME_POINT:
            here = np.array(point.xyz)
            found.append(_End(place, entry, at, here, unit(np.array(beyond.xyz) - here)))
    return found


def _goes_on(one: _End, other: _End) -> bool:
    near = math.dist(one.point, other.point) <= SAME_POINT
    return near and float(one.inward @ other.inward) < -_IN_LINE


def _sleeve(mark: str, one: _End, other: _End, context: Context) -> dict[str, Any]:
    """The table of a sleeve.

    Raises:
        InputError: no tube as sold goes into the tube, or it is none that one could choose for.
    """
    section = context.section(one.entry.get("section"))
    given = next((s for end in (one, other) if (s := end.entry.get("sleeve")) not in (None, "none")), None)
    sleeve = context.section(given) if given is not None else _chosen(one.mark, section, context)
    long = half_sleeve(section)
    ends = [point_at(one.point + side * long * one.inward) for side in (1.0, -1.0)]
    plain = {"cut": "plain"}
    made: dict[str, Any] = {
        "mark": mark,
        "title": "sleeve",
        "note": "plug-welded through the two holes in either tube",
        "section": sleeve if given is None else given,
        "route": ends,
        "start": plain,
        "finish": dict(plain),
        "sleeve_of": [one.mark, other.mark],
    }
    for key in ("material", "quantity", "coating"):
        if key in one.entry:
            made[key] = one.entry[key]
    if not section.is_round and not sleeve.is_round:
        own = upright(np.zeros(3), one.inward if one.at == "start" else -one.inward, _turn(one, context))
        along = unit(np.array(ends[1].xyz) - np.array(ends[0].xyz))
        if turn := as_degrees(turn_toward(along, own.z)):
            made["turn"] = turn
    return made


def _turn(end: _End, context: Context) -> float:
    """The turn of a rectangular tube where it is straight from its start to the end."""
    if end.at == "start":
        return context.angle(end.entry.get("turn", 0.0))
    line = _line(end.entry, context)
    return 0.0 if line is None else turn_toward(line.finish.x, line.finish.z)


def _chosen(mark: str, section: Section, context: Context) -> Section:
    """The widest round tube as sold that goes into a tube."""
    if section.is_solid:
        raise InputError(f"{mark} is solid, so no sleeve goes into it", 'splice = "welded", or sleeve = "none"')
    sizes = " x ".join(figure(each - 2.0 * section.wall) for each in dict.fromkeys((section.width, section.depth)))
    if not section.is_round:
        what = f"the sleeve inside {mark} has to be named: the bore is {sizes} mm"
        raise InputError(what, 'sleeve = "…", a section that goes in, or sleeve = "none" for a welded splice')
    found = widest_tube_in(section.bore - LEAST_PLAY, section.wall, context.units == "in")
    if found is None:
        what = f"no round tube as sold goes into {mark}: the bore is {sizes} mm"
        raise InputError(what, 'sleeve = "…", a section that goes in, or sleeve = "none" for a welded splice')
    return Section("round", found[0], found[0], found[1])

"""Tubes that are cut in pieces where they cross another one, and tubes moved clear of what they would cross."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import numpy as np

from fabgen.geometry.space.frame import Array, Frame, cross, upright
from fabgen.geometry.space.lines import half_extent, nearest_places, unit_or_none
from fabgen.job.document import mark_of
from fabgen.job.errors import InputError
from fabgen.job.expansion.bent_crossings import BentTube, places_through
from fabgen.job.expansion.pieces import letters, onto_pieces
from fabgen.job.expansion.placing import point_at
from fabgen.job.tables.fields import Context
from fabgen.job.values.point import Point
from fabgen.shop.section import Section

CLASH = 0.5
"""Tubes into one another by less only touch, mm."""

SPARE = 0.5
"""A tube that is beside another one by less lands wholly on that, mm."""

Place = tuple[str | int, ...]
Entry = tuple[Place, Any]


@dataclass(frozen=True, eq=False)
class StraightTube:
    """A straight tube of the job as its table has it."""

    number: int
    entry: Mapping[str, Any]
    section: Section
    frame: Frame
    length: float
    cut: bool
    by_name: bool
    """Whether it is cut by a key of its own, not by the job's."""

    def most_beside(self, half: float, own: float) -> float:
        """How far the axis of a tube that it is cut at may be beside its own, mm: where its own key cuts it, they are
        to touch; where the job's does, all of it is to land on that.

        Args:
            half: of that one, across both, mm.
            own: the same of itself, mm.
        """
        return half + own - CLASH if self.by_name else max(half - own, 0.0) + SPARE

    def passes(self, other: StraightTube | BentTube) -> bool:
        """Whether it is to pass through the other one by a hole."""
        return _names(self.entry.get("through", ()), other)

    def half(self, toward: Array) -> float:
        """Half of what it measures in a direction square to it, mm."""
        if self.section.is_round:
            return self.section.width / 2.0
        return half_extent(self.frame.y, self.frame.z, (self.section.depth, self.section.width), toward)


def _names(through: object, tube: StraightTube | BentTube) -> bool:
    """Whether a tube's mark is among those that another one is to pass through."""
    return mark_of(tube.entry) in (
        [through] if isinstance(through, str) else through if isinstance(through, list) else ()
    )


def moved_aside(entry: Mapping[str, Any], context: Context) -> dict[str, Any]:
    """The table of a tube with its route moved by its own `offset`.

    Raises:
        InputError: the offset cannot be read.
    """
    given = entry["offset"]
    if not isinstance(given, list) or len(given) != 3:
        raise InputError("an offset has three lengths", "[x, y, z], e.g. [0, 0, 50]", key=("offset",))
    move = [context.length(each) for each in given]
    route = [context.point_reading.read(written)[0] or written for written in entry.get("route", ())]
    moved = [_aside(point, move) if isinstance(point, Point) else point for point in route]
    return dict(entry) | {"route": moved}


def _aside(point: Point, by: Sequence[float]) -> Point:
    drawn = None if point.drawn is None else _aside(point.drawn, by)
    x, y, z = (each + move for each, move in zip(point.xyz, by, strict=True))
    return replace(point, x=x, y=y, z=z, name="", record=None, drawn=drawn)


def cut_at_crossings(tubes: Sequence[Entry], usual: object, context: Context) -> list[Entry]:
    """The tubes, those that are to be cut where they cross others as their pieces.

    A tube with `crossings = "cut"` is cut at every other one; where all are, those listed later are cut at the
    earlier, but for those that pass beside the axis of these, of which a part would land on nothing: a check asks what
    is to be done there.  A bent one stays whole, and straight ones are cut at it.

    Args:
        tubes: the tables of tubes, each with its place in the file.
        usual: what the job says of crossings.
        context: what the values are read with.
    """
    straight = [
        found
        for number, (_, entry) in enumerate(tubes)
        if isinstance(entry, Mapping) and (found := _straight(number, entry, usual, context)) is not None
    ]
    if not any(tube.cut for tube in straight):
        return list(tubes)
    bent = [
        one
        for number, (_, entry) in enumerate(tubes)
        if isinstance(entry, Mapping) and (one := BentTube.of(number, entry, context)) is not None
    ]
    cuts = {tube.number: _places(tube, straight, bent) for tube in straight if tube.cut}
    pieces = {number: _pieces(tube, cuts[number]) for tube in straight if cuts.get(number := tube.number)}
    cut = {mark_of(tube.entry): Cut(tube, cuts[tube.number]).carrying for tube in straight if tube.number in pieces}
    result: list[Entry] = []
    for number, (place, entry) in enumerate(tubes):
        result += [(place, onto_pieces(piece, cut, context)) for piece in pieces.get(number, [entry])]
    return result


def _straight(number: int, entry: Mapping[str, Any], usual: object, context: Context) -> StraightTube | None:
    """A tube as far as it can be read; its faults are reported with the other tables."""
    route = entry.get("route")
    if not isinstance(route, list) or len(route) != 2 or not mark_of(entry):
        return None
    ends = [context.point_reading.read(written)[0] for written in route]
    try:
        section = context.section(entry.get("section"))
        turn = context.angle(entry.get("turn", 0.0))
    except InputError:
        return None
    if ends[0] is None or ends[1] is None or math.dist(ends[0].xyz, ends[1].xyz) < 1.0:
        return None
    first, last = (np.array(end.xyz) for end in ends if end is not None)
    frame = upright(first, last - first, 0.0 if section.is_round else turn)
    given = entry.get("crossings", usual)
    # Where a drilled tube is cut its holes would be measured from other ends: it stays whole, and a check asks.
    cut = given == "cut" and not entry.get("holes") and "sleeve_of" not in entry and "state" not in entry
    return StraightTube(number, entry, section, frame, float(np.linalg.norm(last - first)), cut, "crossings" in entry)


def _places(tube: StraightTube, others: Sequence[StraightTube], bent: Sequence[BentTube]) -> list[float]:
    """Where a tube is cut, mm along it."""
    found = [
        place
        for other in others
        if other is not tube and not (other.cut and other.number > tube.number)
        if not tube.passes(other) and not other.passes(tube)
        if (place := crossing_at(tube, other)) is not None
    ]
    for main in bent:
        if not tube.passes(main) and not _names(main.entry.get("through", ()), tube):
            beside = tube.most_beside(main.half, min(tube.section.width, tube.section.depth) / 2.0)
            found += places_through(main, tube.frame.origin, tube.frame.x, tube.length, tube.section.reach, beside)
    kept: list[float] = []
    for place in sorted(found):
        if not kept or place - kept[-1] > 1.0:
            kept.append(place)
    return kept


def crossing_at(tube: StraightTube, other: StraightTube) -> float | None:
    """Where a tube runs through another one between its own ends, mm along it; None where it does not."""
    places = nearest_places(tube.frame.origin, tube.frame.x, other.frame.origin, other.frame.x)
    if places is None:
        return None
    here, there = places
    apart = other.frame.origin + there * other.frame.x - tube.frame.origin - here * tube.frame.x
    square = unit_or_none(cross(tube.frame.x, other.frame.x))
    assert square is not None
    if float(np.linalg.norm(apart)) > tube.most_beside(other.half(square), tube.half(square)):
        return None
    across = unit_or_none(other.frame.x - float(other.frame.x @ tube.frame.x) * tube.frame.x)
    assert across is not None
    sine = float(np.linalg.norm(cross(tube.frame.x, other.frame.x)))
    within = other.section.reach / sine
    beside = tube.section.reach / sine
    if not within < here < tube.length - within or not beside < there < other.length - beside:
        return None
    return here


def _pieces(tube: StraightTube, cuts: Sequence[float]) -> list[dict[str, Any]]:
    entry = tube.entry
    middle = [point_at(tube.frame.origin + place * tube.frame.x) for place in cuts]
    stops = [entry["route"][0], *middle, entry["route"][1]]
    made = []
    for number, (start, finish) in enumerate(pairwise(stops)):
        piece = {key: value for key, value in entry.items() if key not in ("start", "finish", "crossings")}
        piece |= {"mark": f"{mark_of(entry)}{letters(number)}", "route": [start, finish]}
        if number == 0 and "start" in entry:
            piece["start"] = entry["start"]
        if number == len(cuts) and "finish" in entry:
            piece["finish"] = entry["finish"]
        made.append(piece)
    return made


@dataclass(frozen=True, eq=False)
class Cut:
    """A tube that is cut at places along it, mm."""

    tube: StraightTube
    places: Sequence[float]

    def carrying(self, point: Point) -> list[str]:
        """The marks of the pieces on which an end at a point may sit: two where it lies at a cut."""
        at = float((np.array(point.xyz) - self.tube.frame.origin) @ self.tube.frame.x)
        spans = pairwise((-math.inf, *self.places, math.inf))
        mark, spare = mark_of(self.tube.entry), self.tube.section.reach
        return [
            f"{mark}{letters(number)}"
            for number, (first, last) in enumerate(spans)
            if first - spare < at < last + spare
        ]

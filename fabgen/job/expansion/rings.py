"""Tubes whose route ends at the point where it begins: a bent ring that butts at one place, or a mitred frame.

A bent ring begins, and ends, in the middle of its longest straight, or at a point of a side that the job gives. A
frame of straight sides becomes a tube a side, with a letter after its mark, mitred at every corner. The section keeps
its sides to the ring all the way round, as if it were bent, whatever the way a single side would stand alone.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from fabgen.geometry.space.frame import Array, cross, unit, upright
from fabgen.geometry.survey.rigid_fit import rotation
from fabgen.job.document import mark_of
from fabgen.job.errors import InputError
from fabgen.job.expansion.pieces import letters
from fabgen.job.expansion.placing import as_degrees, point_at, turn_toward
from fabgen.job.tables.fields import Context
from fabgen.job.values.point import Point, PointReading

SAME = 0.01
"""A route whose first and last point are as near as this is closed, mm."""

ON_SIDE = 1.0
"""A place for the butt joint this near to a side is meant to lie on it, mm."""

_ONWARD = 1e-4
"""A side that turns from the one before by less goes straight on, rad."""


def is_closed(entry: Any, reading: PointReading) -> bool:
    """Whether a tube's route, of three corners or more, ends where it begins."""
    if not isinstance(entry, Mapping) or not isinstance(route := entry.get("route"), list) or len(route) < 4:
        return False
    first, last = (reading.read(route[i])[0] for i in (0, -1))
    return first is not None and last is not None and math.dist(first.xyz, last.xyz) <= SAME


def ring_of(entry: Mapping[str, Any], context: Context) -> list[dict[str, Any]]:
    """The tables that a tube with a closed route becomes: one of a bent ring, one a side of a frame.

    Args:
        entry: the tube's table; its route `is_closed`.
        context: what its values are read with.
    Raises:
        InputError: it says something of ends that it has not, or its joint lies on no straight of it.
    """
    for at in ("start", "finish"):
        if at in entry:
            raise InputError(f"a closed route has no {at}", "`closes_at` for the place where its ends meet", key=(at,))
    read = [context.point_reading.read(written)[0] for written in entry["route"]]
    if any(point is None for point in read) or not mark_of(entry):
        return [dict(entry)]  # reported with the other tables
    points = [point for point in read if point is not None][:-1]
    plain = {key: value for key, value in entry.items() if key not in ("closes_at", "turn")}
    if entry.get("bend_radius") is None:
        if "closes_at" in entry:
            raise InputError("closes_at has no meaning here", "it goes with bend_radius", key=("closes_at",))
        sides = _Sides(_corners_only(points))
        return [plain | side for side in _mitred(sides, mark_of(entry), _turns(sides, entry, context))]
    sides = _Sides(points)
    return [plain | _bent(sides, entry, _turns(sides, entry, context), context)]


def _mitred(sides: _Sides, mark: str, turns: Sequence[Mapping[str, Any]]) -> Iterator[dict[str, Any]]:
    """What is own to each tube of a frame of straight sides."""
    following = [*sides.points[1:], sides.points[0]]
    for i, (route, turn) in enumerate(zip(zip(sides.points, following, strict=True), turns, strict=True)):
        own = {"mark": f"{mark}{letters(i)}", "route": list(route)}
        yield own | {at: {"cut": "mitre"} for at in ("start", "finish")} | dict(turn)


def _bent(
    sides: _Sides, entry: Mapping[str, Any], turns: Sequence[Mapping[str, Any]], context: Context
) -> dict[str, Any]:
    """What is own to a bent ring: its route from its joint round to it."""
    radii = _radii(entry["bend_radius"], len(sides.points), context)
    side, joint = _joint(entry, sides, radii or [0.0] * len(sides.points), context)

    def from_joint(corners: Sequence[Any]) -> list[Any]:
        return [*corners[side + 1 :], *corners[: side + 1]]

    own: dict[str, Any] = {"route": [joint, *from_joint(sides.points), joint]}
    own |= {at: {"cut": "plain"} for at in ("start", "finish")}
    given = entry["bend_radius"]
    if isinstance(given, list) and len(given) == len(sides.points):
        own["bend_radius"] = from_joint(given)
    return own | dict(turns[side])


class _Sides:
    """The sides of a closed route, the last from its last corner to its first."""

    def __init__(self, points: Sequence[Point]) -> None:
        self.points = points
        self.at = np.array([point.xyz for point in points])
        legs = np.roll(self.at, -1, axis=0) - self.at
        self.lengths = [float(length) for length in np.linalg.norm(legs, axis=1)]
        for i, length in enumerate(self.lengths):
            if length < SAME:
                raise InputError(f"its points {i + 1} and {i + 2} are the same", "points apart", key=("route", i + 1))
        self.ways = [unit(leg) for leg in legs]

    def turn(self, corner: int) -> Array:
        """The rotation vector that turns the side before a corner into the one after it, (3,) rad."""
        before, after = self.ways[corner - 1], self.ways[corner]
        axis = cross(before, after)
        size = float(np.linalg.norm(axis))
        angle = math.atan2(size, float(before @ after))
        return axis / size * angle if size > 1e-9 else np.zeros(3)

    def takes(self, corner: int, radius: float) -> float:
        """What a bend takes of either side, mm."""
        angle = min(float(np.linalg.norm(self.turn(corner))), math.pi - 0.01)
        return radius * math.tan(angle / 2.0)

    def place(self, side: int, along: float) -> Point:
        """A point so far along a side, mm, with what the readings of its two corners move it by."""
        point = point_at(self.at[side] + along * self.ways[side])
        share = along / self.lengths[side]
        one, other = self.points[side].scatter, self.points[(side + 1) % len(self.points)].scatter
        still = (0.0, 0.0, 0.0)
        scatter = {}
        for reading in dict.fromkeys((*one, *other)):
            moved = (1.0 - share) * np.array(one.get(reading, still)) + share * np.array(other.get(reading, still))
            scatter[reading] = (float(moved[0]), float(moved[1]), float(moved[2]))
        return replace(point, scatter=scatter)


def _corners_only(points: list[Point]) -> list[Point]:
    """The points at which the route turns."""
    sides = _Sides(points)
    return [point for i, point in enumerate(points) if float(np.linalg.norm(sides.turn(i))) > _ONWARD]


def _turns(sides: _Sides, entry: Mapping[str, Any], context: Context) -> list[dict[str, Any]]:
    """The `turn` of a tube along each side, where it has one."""
    try:
        section = context.section(entry.get("section"))
        turn = context.angle(entry.get("turn", 0.0))
    except InputError:
        return [{key: entry[key] for key in ("turn",) if key in entry}] * len(sides.ways)
    if section.is_round:
        return [{}] * len(sides.ways)
    top = upright(sides.at[0], sides.ways[0], turn).z
    found = []
    for side, way in enumerate(sides.ways):
        if side:
            top = rotation(sides.turn(side)) @ top
        degrees = as_degrees(turn_toward(way, top))
        found.append({"turn": degrees} if degrees or "turn" in entry else {})
    return found


def _radii(given: object, corners: int, context: Context) -> list[float]:
    """The bend radii by corner, mm; none where they cannot be read, which is reported with the other tables."""
    try:
        radii = [context.plus_length(each) for each in (given if isinstance(given, list) else [given])]
    except InputError:
        return []
    return radii * corners if len(radii) == 1 else radii if len(radii) == corners else []


def _joint(entry: Mapping[str, Any], sides: _Sides, radii: Sequence[float], context: Context) -> tuple[int, Point]:
    """On which side a bent ring butts, and where."""
    takes = [sides.takes(i, radius) for i, radius in enumerate(radii)]
    after = [*takes[1:], takes[0]]
    straights = [long - a - b for long, a, b in zip(sides.lengths, takes, after, strict=True)]
    if "closes_at" not in entry:
        side = next(i for i, straight in enumerate(straights) if straight > max(straights) - SAME)
        return side, sides.place(side, takes[side] + straights[side] / 2.0)
    point, faults = context.point_reading.read(entry["closes_at"])
    if point is None:
        raise faults[0].below("closes_at")
    at = np.array(point.xyz)
    for i, way in enumerate(sides.ways):
        along = float((at - sides.at[i]) @ way)
        off = float(np.linalg.norm(at - sides.at[i] - along * way))
        if off <= ON_SIDE and takes[i] - SAME <= along <= sides.lengths[i] - after[i] + SAME:
            return i, sides.place(i, along)
    what = "this point lies on no straight of the ring"
    raise InputError(what, "a point of one of its sides, clear of the bends", key=("closes_at",))


def nearest_sides(sides: Sequence[Mapping[str, Any]], point: Point) -> list[str]:
    """The marks of a frame's sides nearest to a point: two at a corner.

    Args:
        sides: their tables.
    """
    away = [_away(point, [end.xyz for end in side["route"]]) for side in sides]
    return [side["mark"] for side, off in zip(sides, away, strict=True) if off <= min(away) + ON_SIDE]


def _away(point: Point, ends: Iterable[Sequence[float]]) -> float:
    one, other = (np.array(end) for end in ends)
    leg = other - one
    share = min(1.0, max(0.0, float((np.array(point.xyz) - one) @ leg) / float(leg @ leg)))
    return float(np.linalg.norm(np.array(point.xyz) - one - share * leg))

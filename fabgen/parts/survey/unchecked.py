"""Points by the tape that no reading checks, and the further reading that would check each best."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.geometry.survey.trilateration import check_share
from fabgen.job.tables.definitions import Definitions
from fabgen.job.values.point import Point, Taped
from fabgen.parts.survey.check_distances import SAME, Rail, rails
from fabgen.wording.sentence import Sentence, mm, sentence

NEAR = 100.0
"""No reading is proposed over less than this: the tape's own play is too large a share of it, mm."""
LEAST_SHARE = 0.01
"""A reading that would show less than this share of an error in another checks nothing."""
TELLS = 0.1
"""A reading tells two places apart where it differs by this share of what they are apart."""
OUTSIDE = 0.6
"""A point is on the outside of a section where it is farther from the axis than this share of the section's reach."""


@dataclass(frozen=True, slots=True)
class CheckReading:
    """A further reading: `to` a known point, or of a coordinate 'x', 'y', 'z'; what it should come to, mm, and what it
    would come to if the point lay on its other side."""

    to: str
    length: float
    other: float | None = None
    is_tape: bool = True


@dataclass(frozen=True, slots=True)
class Unchecked:
    """A point that has no reading to spare (`few`), or that `side` alone puts where it is, and what would check it."""

    name: str
    few: bool
    check: CheckReading | None

    @property
    def more(self) -> Sentence:
        """'H to D, 812 mm (1034 mm if it lies on the other side)': the reading that would check it."""
        check = self.check
        if check is None:
            return sentence(f"{self.name} by the same tape again")
        to = f"{self.name} to {check.to}, " if check.is_tape else f"{check.to} of {self.name}, "
        other = () if check.other is None else (" (", mm(check.other), " if it lies on the other side)")
        return sentence(to, mm(check.length), *other)


def unchecked(points: Mapping[str, Point], there: Mapping[str, Point] = MappingProxyType({})) -> list[Unchecked]:
    """The points by the tape that nothing checks, in the order of the job.

    A point is checked where it has a reading to spare, and so are those that it was measured from: a slip at one of
    them shows as its misfit.  A further reading is taken to what stands while one measures: points that were measured
    or measured from, and those on what is there already.

    Args:
        points: of the job, by name.
        there: those on what is there already, by name.
    """
    taped = {name: point.record.taped for name, point in points.items() if point.record and point.record.taped}
    of = {name: _ancestors(name, points) for name in points}
    measured = _measured(points)
    reached = {name: point for name, point in (*points.items(), *there.items()) if name in measured or name in there}
    checked = [name for name, by in taped.items() if by.spare > 0]
    others = frozenset(each for name in checked for each in of[name])
    found: list[Unchecked] = []
    for name, by in taped.items():
        few = by.spare < 1 and name not in others
        # A wrong side of a point shows where another with a reading to spare was measured from it.
        if few or (by.other is not None and name not in others):
            found.append(Unchecked(name, few, _best(name, by, points, reached, of)))
    return found


def _ancestors(name: str, points: Mapping[str, Point]) -> frozenset[str]:
    """The points that a point comes from, directly or through others."""
    found: set[str] = set()
    left = [name]
    while left:
        record = points[left.pop()].record
        fresh = (set(record.of) & points.keys()) - found if record else set()
        found |= fresh
        left += sorted(fresh)
    return frozenset(found)


def there_already(job: Definitions) -> dict[str, Point]:
    """The points on tubes and profiles that are there already, by name: on the outside or at an end, and ends that
    have no name as 'T1 finish'.

    Args:
        job: its definitions.
    """
    standing = [rail for rail in rails(job) if rail.there]
    found = {
        name: point
        for name, point in job.points.items()
        if any(_is_on(np.array(point.as_given.xyz), rail) for rail in standing)
    }
    named = [np.array(point.xyz) for point in found.values()]
    for rail in standing:
        for point, at in zip(rail.ends, ("start", "finish"), strict=True):
            if all(math.dist(point.xyz, each) > SAME for each in named):
                found[f"{rail.mark} {at}"] = point
    return found


def _is_on(at: Array, rail: Rail) -> bool:
    if any(math.dist(at, end.xyz) <= SAME for end in rail.ends):
        return True
    return OUTSIDE * rail.reach <= min(_away(at, *pair) for pair in pairwise(rail.route)) <= rail.reach + SAME


def _away(at: Array, one: Point, other: Point) -> float:
    """How far a place is from the line between two points."""
    start, way = np.array(one.xyz), np.array(other.xyz) - np.array(one.xyz)
    share = float((at - start) @ way) / max(float(way @ way), 1e-12)
    return math.dist(at, start + min(1.0, max(0.0, share)) * way)


def _measured(points: Mapping[str, Point]) -> frozenset[str]:
    """The points by the tape, and those that others were taped from; so far along an axis may be a size to build to."""
    found: set[str] = set()
    for name, point in points.items():
        if point.record is not None and point.record.taped is not None:
            found |= {name, *point.record.taped.to}
    return frozenset(found & points.keys())


def measured_from(points: Mapping[str, Point]) -> frozenset[str]:
    """The points at which there is something to measure to: those by the tape and offsets from these, and those that
    others were taped from; an offset from a point that is only drawn is a size to build to.

    Args:
        points: of the job, by name.
    """

    def is_measured(name: str) -> bool:
        record = points[name].record
        if record is None or record.taped is not None:
            return record is not None
        return bool(record.readings) and any(is_measured(each) for each in record.of if each in points)

    return _measured(points).union(filter(is_measured, points))


def _best(
    name: str,
    taped: Taped,
    points: Mapping[str, Point],
    reached: Mapping[str, Point],
    of: Mapping[str, frozenset[str]],
) -> CheckReading | None:
    """The reading that checks all others best, and tells the two places apart where there are two."""
    at = np.array(points[name].xyz)
    ways = np.array([_way(at, points[each].xyz) for each in taped.to] + [np.eye(3)[axis] for axis in taped.axes])
    apart = math.dist(at, taped.other) if taped.other else 1.0
    for candidates in (_tapes(name, taped, points, reached, of), _levels(name, taped, points)):
        best: tuple[float, CheckReading] | None = None
        for way, reading in candidates:
            share = check_share(ways, way[None], np.ones(len(ways) + 1))
            if reading.other is not None:
                share *= min(1.0, abs(reading.other - reading.length) / (TELLS * apart))
            if share > max(LEAST_SHARE, 1.001 * best[0] if best else 0.0):
                best = share, reading
        if best:
            return best[1]
    return None


def _tapes(
    name: str, taped: Taped, points: Mapping[str, Point], reached: Mapping[str, Point], of: Mapping[str, frozenset[str]]
) -> Iterator[tuple[Array, CheckReading]]:
    """Tape readings to known points that do not come from this one, each with the way it changes."""
    at, other = points[name].xyz, taped.other
    for each, point in reached.items():
        if each in taped.to or each == name or name in of.get(each, ()):
            continue
        length = math.dist(at, point.xyz)
        if length >= NEAR:
            there = None if other is None else math.dist(other, point.xyz)
            yield _way(np.array(at), point.xyz), CheckReading(each, length, there)


def _levels(name: str, taped: Taped, points: Mapping[str, Point]) -> Iterator[tuple[Array, CheckReading]]:
    """Coordinates that are not known yet, as from a level or a chalk line."""
    at, other = points[name].xyz, taped.other
    for axis, word in enumerate("xyz"):
        if axis not in taped.axes:
            yield np.eye(3)[axis], CheckReading(word, at[axis], None if other is None else other[axis], False)


def _way(at: Array, to: tuple[float, float, float]) -> Array:
    away = at - np.array(to)
    return np.asarray(away / max(float(np.linalg.norm(away)), 1e-9))

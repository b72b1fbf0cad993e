"""How far things of two issues lie apart: outlines, lines of ends, holes; and which of two lists are the same."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import product
from typing import TypeVar

import numpy as np

from fabgen.changes.issued_part import LINE_PLACES, Corner, IssuedEnd, IssuedFold, IssuedHole, Pair
from fabgen.geometry.plane.outline import Outline, Vertex
from fabgen.geometry.space.frame import Array

LEAST = 0.05
"""What differs by less is the same, mm: no tape, saw or laser of a shop shows it (common practice, no source)."""

LEAST_ANGLE = 0.05
"""Likewise of angles, degrees: what papers round to."""

_FINE = 0.005
"""Outlines that have other corners are compared flattened to this, mm."""

T = TypeVar("T")


def close(one: float, other: float, least: float = LEAST) -> bool:
    """Whether two lengths are the same, mm."""
    return abs(one - other) < least


def close_angle(one: float, other: float, whole: float = 360.0) -> bool:
    """Whether two angles are the same, degrees, turns by `whole` left out."""
    return abs(math.remainder(one - other, whole)) < LEAST_ANGLE


def close_all(one: Sequence[float], other: Sequence[float], least: float = LEAST) -> bool:
    """Whether two lists of lengths are the same, mm, one by one."""
    return len(one) == len(other) and all(close(a, b, least) for a, b in zip(one, other, strict=True))


def close_sizes(one: Mapping[str, float], other: Mapping[str, float]) -> bool:
    """Whether two lists of named lengths are the same, mm, name by name."""
    return one.keys() == other.keys() and all(close(size, other[name]) for name, size in one.items())


def places(line: Sequence[float | None]) -> Array:
    """The line of an end as figures, (`LINE_PLACES`,) mm: 0 where it is sawn square, nan where it misses."""
    return np.array([np.nan if x is None else x for x in line]) if line else np.zeros(LINE_PLACES)


def lines_apart(one: Array, other: Array) -> float:
    """How far two lines of ends lie apart at most, mm; inf where they do not miss at the same places."""
    if not np.array_equal(np.isnan(one), np.isnan(other)):
        return math.inf
    off = np.abs(one - other)
    return 0.0 if np.isnan(off).all() else float(np.nanmax(off))


def ends_apart(one: IssuedEnd, other: IssuedEnd) -> float:
    """How far the cuts of two ends lie apart at most, mm; inf where they cannot be compared place by place."""
    if not one.faces_mm and not other.faces_mm:
        return lines_apart(places(one.line_mm), places(other.line_mm))
    if one.faces_mm.keys() != other.faces_mm.keys():
        return math.inf
    from shapely import LineString, hausdorff_distance  # jobs with profiles

    def fine(line: Sequence[Pair]) -> LineString:
        return LineString(line).segmentize(1.0)

    # A notch may step: so it is not x at a place that counts, but how far one line lies from the other.
    return max(float(hausdorff_distance(fine(line), fine(other.faces_mm[face]))) for face, line in one.faces_mm.items())


def same_outline(one: Sequence[Corner], other: Sequence[Corner], least: float = LEAST) -> bool:
    """Whether two outlines are one to `least` mm, wherever either begins and however many corners it has."""
    if not one or not other:
        return not one and not other
    if len(one) == len(other) and _corner_by_corner(np.array(one), np.array(other)):
        return True
    # What is nowhere farther off has an area and a box that differ by little, and these are soon found.
    a, b = _outline(one), _outline(other)
    if abs(a.area - b.area) > least * (a.perimeter + b.perimeter) or not close_all(a.bounds, b.bounds, 2.0 * least):
        return False
    return _rings_apart(a, b) < least


def outlines_apart(one: Sequence[Corner], other: Sequence[Corner]) -> float:
    """How far two outlines lie apart at most, mm."""
    return _rings_apart(_outline(one), _outline(other))


def _outline(corners: Sequence[Corner]) -> Outline:
    return Outline(tuple(Vertex(*corner) for corner in corners))


def _rings_apart(one: Outline, other: Outline) -> float:
    """At the corners of the flattened outlines; between them neither goes farther from the other."""
    from shapely import LinearRing, hausdorff_distance  # few outlines change their corners

    return float(hausdorff_distance(*(LinearRing(each.points(_FINE)) for each in (one, other))))


def _corner_by_corner(one: Array, other: Array) -> bool:
    """Whether two outlines of as many corners have the same corners and arcs but for where they begin."""
    first = np.hypot(*(other[:, :2] - one[0, :2]).T)
    for begin in np.flatnonzero(first < LEAST):
        turned = np.roll(other, -int(begin), axis=0)
        off = np.hypot(*(turned[:, :2] - one[:, :2]).T)
        chord = np.hypot(*(np.roll(one[:, :2], -1, axis=0) - one[:, :2]).T)
        # An arc's middle stands off its chord by half of chord times bulge.
        swell = np.abs(turned[:, 2] - one[:, 2]) * chord / 2.0
        if float(off.max()) < LEAST and float(swell.max()) < LEAST:
            return True
    return False


# -- holes and bend lines ----------------------------------------------------------------
def hole_moved(one: IssuedHole, other: IssuedHole, around: float) -> float:
    """How far a hole's middle moved, mm; `around` is the skin's length round a tube, 0 of a flat."""
    return math.hypot(round_moved(one, other, around), other.at_mm[1] - one.at_mm[1])


def round_moved(one: IssuedHole, other: IssuedHole, around: float) -> float:
    """How far it moved along x, of a tube round the skin the short way, mm."""
    off = other.at_mm[0] - one.at_mm[0]
    return math.remainder(off, around) if around else off


def same_size(one: IssuedHole, other: IssuedHole, least: float = LEAST) -> bool:
    """Whether two holes are of one size and shape and in one leg, wherever they are there."""
    if one.leg != other.leg or not close_angle(one.turn_deg, other.turn_deg, 180.0):
        return False
    if not (close_all(one.size_mm, other.size_mm, least) and close_all(one.reach_mm, other.reach_mm, least)):
        return False
    if not one.outline:
        return True
    (x, y), (u, v) = one.at_mm, other.at_mm
    moved = tuple((a - u + x, b - v + y, bulge) for a, b, bulge in other.outline)
    return same_outline(one.outline, moved, least)


def same_hole(one: IssuedHole, other: IssuedHole, around: float, least: float = LEAST) -> bool:
    """Whether two holes are one: the same size at the same place."""
    return hole_moved(one, other, around) < least and same_size(one, other, least)


def same_fold(one: IssuedFold, other: IssuedFold) -> bool:
    """Whether two bends of flats are one, whatever they are called and from which end they are drawn."""
    return (
        one.up == other.up
        and close(one.radius_mm, other.radius_mm)
        and close_angle(one.angle_deg, other.angle_deg)
        and same_line(one, other)
    )


def same_line(one: IssuedFold, other: IssuedFold) -> bool:
    """Whether their lines are one."""
    ways = ((other.start_mm, other.end_mm), (other.end_mm, other.start_mm))
    return any(math.dist(one.start_mm, a) < LEAST and math.dist(one.end_mm, b) < LEAST for a, b in ways)


def left_over(
    one: Sequence[T], other: Sequence[T], same: Callable[[T, T], bool], place: Callable[[T], Sequence[float]]
) -> tuple[list[T], list[T]]:
    """What of either list is not in the other, in its order.

    Args:
        same: whether two are one.
        place: coordinates, one or two, mm; things that are one differ in them by less than 1 mm.
    """
    if len(one) == len(other) and all(map(same, one, other)):
        return [], []
    cells: dict[tuple[int, ...], list[int]] = {}
    for number, each in enumerate(other):
        cells.setdefault(_cell(place(each)), []).append(number)
    found: list[T] = []
    taken: set[int] = set()
    for each in one:
        near = (number for cell in _about(_cell(place(each))) for number in cells.get(cell, ()))
        match = next((number for number in near if number not in taken and same(each, other[number])), None)
        if match is None:
            found.append(each)
        else:
            taken.add(match)
    return found, [each for number, each in enumerate(other) if number not in taken]


def _cell(place: Sequence[float]) -> tuple[int, ...]:
    return tuple(math.floor(x) for x in place)


def _about(cell: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    """A cell of 1 mm and its neighbours."""
    return product(*((x, x - 1, x + 1) for x in cell))

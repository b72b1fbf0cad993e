"""Outlines as regions: the questions that need general polygon arithmetic.

Arcs are flattened for the question only; nothing here finds its way into a file.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache

from shapely import LinearRing, LineString, Point, Polygon
from shapely.validation import explain_validity

from fabgen.geometry.plane.outline import Loop, Xy

TOLERANCE = 0.01
"""Chord error of the flattened loops, mm."""


@lru_cache(maxsize=4096)
def region(loop: Loop, tolerance: float = TOLERANCE) -> Polygon:
    """The loop's inside as a shapely polygon.

    Args:
        loop: its arcs become chords.
        tolerance: greatest distance of a chord from its arc, mm.
    """
    return Polygon(loop.points(tolerance))


def cut_region(outline: Loop, holes: Iterable[Loop]) -> Polygon:
    """The metal of a flat part as a shapely polygon.

    Args:
        outline: the outside.
        holes: loops inside it.
    """
    return Polygon(outline.points(TOLERANCE), [hole.points(TOLERANCE) for hole in holes])


def crossing(loop: Loop) -> Xy | None:
    """Where the loop crosses or touches itself, mm; None when it does not.

    Args:
        loop: its arcs count as chords within `TOLERANCE`.
    """
    ring = LinearRing(loop.points(TOLERANCE))
    if ring.is_simple:
        return None
    reason = explain_validity(Polygon(ring))
    if "[" in reason:
        x, y = reason.split("[")[1].rstrip("]").split()
        return float(x), float(y)
    x, y = ring.coords[0]
    return float(x), float(y)


def inside(loop: Loop, outer: Loop) -> bool:
    """Whether `loop` lies inside `outer` with metal all round it.

    Args:
        loop: the inner one.
        outer: the outer one.
    """
    return bool(region(outer).contains_properly(region(loop)))


def overlap(one: Loop, other: Loop) -> bool:
    """Whether two loops cross or touch, or one lies in the other.

    Args:
        one: a loop.
        other: another.
    """
    return bool(region(one).intersects(region(other)))


def gap(one: Loop, other: Loop) -> float:
    """Least distance between two loops' boundaries, mm.

    Args:
        one: a loop.
        other: another.
    """
    return float(region(one).exterior.distance(region(other).exterior))


def gap_to_line(loop: Loop, line: Sequence[Xy]) -> float:
    """Least distance from a loop's inside to a line, mm.

    Args:
        loop: a loop.
        line: points of an open polyline, mm.
    """
    return float(region(loop).distance(LineString(line)))


def depth(point: Xy, outline: Loop) -> float:
    """Distance from a point to an outline's boundary, mm.

    Args:
        point: inside or outside, mm.
        outline: a loop.
    """
    return float(region(outline).exterior.distance(Point(point)))

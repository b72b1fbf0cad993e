"""Which ways are out of a frame at one of its tubes: where no other point of the frame lies beyond it."""

from __future__ import annotations

import math

import numpy as np

from fabgen.geometry.space.frame import Array

_NEAR = 1.0
"""Points this near to a line, seen along it, lie on it, mm."""

_STRAIGHT = math.radians(1.0)
"""An outline that turns by less goes straight on."""

_FLAT = math.radians(10.0)
"""Points seen from a corner within a wedge as thin as this lie in one plane, in whose thickness nothing is out."""


def outward(start: Array, across: Array, points: Array) -> list[Array]:
    """The ways out of a frame at a straight line of it: one at a side, two at an edge, none within.

    Seen along the line the frame is a set of points in the plane; the ways are square to the two edges of its convex
    hull that meet in the line, or to the one in which it lies.  Of a flat frame, seen as a line itself, only the way
    past its end is one.

    Args:
        start: (3,) a point of the line, mm.
        across: (2, 3) two unit directions, square to the line and to one another.
        points: (n, 3) the frame's, mm.
    Returns: unit vectors, each (3,).
    """
    seen = (points - start) @ across.T
    seen = seen[np.hypot(seen[:, 0], seen[:, 1]) > _NEAR]
    if not len(seen):
        return []
    angles = np.unique(np.arctan2(seen[:, 1], seen[:, 0]))
    gaps = np.diff(angles, append=angles[0] + 2.0 * math.pi)
    widest = int(np.argmax(gaps))
    gap, first = float(gaps[widest]), float(angles[widest])
    if gap < math.pi - _STRAIGHT or _lies_in_a_line(gap, angles):
        return []
    if gap < math.pi + _STRAIGHT or 2.0 * math.pi - gap < _FLAT:
        ways = [first + gap / 2.0]
    else:
        ways = [first + math.pi / 2.0, first + gap - math.pi / 2.0]
    return [math.cos(way) * across[0] + math.sin(way) * across[1] for way in ways]


def _lies_in_a_line(gap: float, angles: Array) -> bool:
    """Whether all points lie both ways along one line, on which the one that they are seen from lies too."""
    off = np.abs(np.sin(angles - angles[0]))
    return gap < math.pi + _STRAIGHT and bool((off < math.sin(_FLAT)).all())

"""Developments: points along a developed curve, and the sector of a cone.

All work on one surface, the neutral one that keeps its length when the sheet is rolled; the
callers count the sheet's thickness.  Further developments: `rolled.py` (skirts and cones with
cut-outs), `transition.py`, `unfolding.py`.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

from fabgen.geometry.plane.outline import OutlineError, Xy

CURVE_TOLERANCE = 0.01
"""Greatest distance between a developed curve and the chords that stand for it, mm."""


def sampled(curve: Callable[[float], Xy], start: float, end: float, tolerance: float = CURVE_TOLERANCE) -> list[Xy]:
    """Points on a curve, close enough for a chord tolerance; every one lies on the curve.

    The parameter's range is halved until three inner points of each part lie within nine tenths of the
    tolerance of its chord.

    Args:
        curve: the point (mm) at a parameter.
        start: first parameter.
        end: last parameter.
        tolerance: greatest distance of a chord from the curve, mm.
    Returns: from `start` to `end`, both included.
    """
    spans = [start + (end - start) * i / 8.0 for i in range(9)]
    ends = [curve(at) for at in spans]
    points = [ends[0]]
    for (a, b), (first, last) in zip(pairwise(spans), pairwise(ends), strict=True):
        points += _refined(curve, (a, first), ((a + b) / 2.0, curve((a + b) / 2.0)), (b, last), 0.9 * tolerance, 0)
    return points


_Spot = tuple[float, Xy]
"""A parameter and the curve's point there."""


def _refined(
    curve: Callable[[float], Xy], start: _Spot, middle: _Spot, end: _Spot, tolerance: float, level: int
) -> list[Xy]:
    """Points after `start` up to `end`.  What is known of the curve already is handed on: points are dear."""
    before, after = ((one[0] + other[0]) / 2.0 for one, other in ((start, middle), (middle, end)))
    early, late = (before, curve(before)), (after, curve(after))
    inner = (early[1], middle[1], late[1])
    if level > 20 or all(_off_chord(p, start[1], end[1]) <= tolerance for p in inner):
        return [end[1]]
    return _refined(curve, start, early, middle, tolerance, level + 1) + _refined(
        curve, middle, late, end, tolerance, level + 1
    )


def _off_chord(point: Xy, start: Xy, end: Xy) -> float:
    length = math.dist(start, end)
    if length < 1e-12:
        return math.dist(point, start)
    across = (point[0] - start[0]) * (end[1] - start[1]) - (point[1] - start[1]) * (end[0] - start[0])
    return abs(across) / length


# -- the cone -----------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class ConeFlat:
    """A developed frustum: the two radii of the sector (mm) and its angle (rad)."""

    outer: float
    inner: float
    sweep: float

    @property
    def slant(self) -> float:
        """Difference of the two radii, mm."""
        return self.outer - self.inner


def cone_flat(bottom: float, top: float, height: float, arc: float = 2.0 * math.pi) -> ConeFlat:
    """Sector of a right cone frustum.

    Args:
        bottom: neutral diameter D at the bottom, mm.
        top: neutral diameter d at the top, mm.
        height: upright, mm.
        arc: how much of the round the sheet covers, rad.
    Raises:
        OutlineError: the diameters are equal, which makes a cylinder.
    Source: the textbook development of a cone (sector angle = 360 degrees x base radius / slant height): with
        slant s = sqrt(height^2 + ((D - d) / 2)^2) the radii are s D / (D - d) and s d / (D - d) and the angle
        is arc (D - d) / (2 s).
    """
    large, small = max(bottom, top), min(bottom, top)
    if large - small < 1e-9:
        raise OutlineError("equal diameters make a cylinder, not a cone")
    slant = math.hypot(height, (large - small) / 2.0)
    outer = slant * large / (large - small)
    return ConeFlat(outer, outer - slant, arc * (large - small) / (2.0 * slant))

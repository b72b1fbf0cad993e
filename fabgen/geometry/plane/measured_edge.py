"""An edge through measured points: straight from one to the next, as a batten lies, or in arcs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

import numpy as np

from fabgen.geometry.plane.arc_fit import arcs_through
from fabgen.geometry.plane.outline import OutlineError, Vertex, Xy

Between = Literal["straight", "spline", "arc"]
_PARTS = 40
"""Points to a stretch of a spline before arcs are fitted."""
FITTED = 0.02
"""Greatest distance of the arcs from a spline, mm."""


def edge_through(points: Sequence[Xy], between: Between) -> list[Vertex]:
    """An edge through measured points, as the vertices from the first point up to, and without, the last.

    Args:
        points: in order, mm; with 'arc' an odd number, every second one in the middle of its arc.
        between: 'straight' chords, a 'spline' as a batten lies, or an 'arc' through every three points.
    Raises:
        OutlineError: two neighbouring points are the same.
    """
    for i, (p, q) in enumerate(pairwise(points)):
        if math.dist(p, q) < 1e-6:
            raise OutlineError(f"stations {i + 1} and {i + 2} are the same point", key=(i + 1,))
    if between == "arc":
        return [
            Vertex(*points[i], bulge_through(points[i], points[i + 1], points[i + 2]))
            for i in range(0, len(points) - 2, 2)
        ]
    if between == "spline" and len(points) > 2:
        return arcs_through(batten(points), FITTED)
    return [Vertex(x, y) for x, y in points[:-1]]


def bulge_through(start: Xy, middle: Xy, end: Xy) -> float:
    """The bulge of the arc through three points; 0 where they lie in a line.

    Args:
        start: where the arc begins, mm.
        middle: a point that it passes, mm.
        end: where it ends, mm.
    Source: the inscribed angle over a chord is half the angle at the centre (Euclid, Elements, III.20).
    """
    ux, uy = start[0] - middle[0], start[1] - middle[1]
    vx, vy = end[0] - middle[0], end[1] - middle[1]
    # The inscribed angle over the chord is half of what is left of the circle.
    half = math.pi - math.atan2(abs(ux * vy - uy * vx), ux * vx + uy * vy)
    side = (end[0] - start[0]) * (middle[1] - start[1]) - (end[1] - start[1]) * (middle[0] - start[0])
    return 0.0 if half < 1e-9 else math.copysign(math.tan(half / 2.0), -side)


def bulge_of_bow(start: Xy, end: Xy, bow: float) -> float:
    """The bulge of the arc over a side that stands out in its middle.

    Args:
        start: of the side, mm.
        end: of the side, mm.
        bow: how far it stands out, mm, positive to the right of the side.
    """
    return 2.0 * bow / math.dist(start, end)


def batten(points: Sequence[Xy]) -> np.ndarray:
    """Points (n, 2) along the natural cubic spline through `points`: how a thin batten lies that is held there.

    Each coordinate is a cubic spline of the length along the chords, its ends free of bending (the
    textbook natural spline: second derivatives from a tridiagonal system, 0 at both ends).

    Args:
        points: in order, mm, three or more.
    """
    at = np.array(points, dtype=float)
    chords = np.hypot(*np.diff(at, axis=0).T)
    count = len(at)
    matrix, right = np.eye(count), np.zeros((count, 2))
    for i in range(1, count - 1):
        before, after = chords[i - 1], chords[i]
        matrix[i, i - 1 : i + 2] = before, 2.0 * (before + after), after
        right[i] = 6.0 * ((at[i + 1] - at[i]) / after - (at[i] - at[i - 1]) / before)
    second = np.linalg.solve(matrix, right)
    share = np.arange(_PARTS)[:, None] / _PARTS
    pieces = [
        (1.0 - share) * at[i]
        + share * at[i + 1]
        + h * h / 6.0 * (((1.0 - share) ** 3 - (1.0 - share)) * second[i] + (share**3 - share) * second[i + 1])
        for i, h in enumerate(chords)
    ]
    return np.vstack([*pieces, at[-1:]])

"""How far measured points, and lengths between them, may be off the truth: tolerances of 95 in 100.

A reading that two points share moves both, so its effect on the length between them is that of the
difference (`job/measured_points.py` says how scatter comes about).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from fabgen.job.tables.measuring_tables import COVER
from fabgen.job.values.point import Point


def place_tolerance(point: Point) -> tuple[float, float, float]:
    """Of each coordinate, mm; 0 for a point that is given outright."""
    x, y, z = (
        COVER * math.sqrt(math.fsum(effect[axis] ** 2 for effect in point.scatter.values())) for axis in range(3)
    )
    return x, y, z


def distance_tolerance(one: Point, other: Point) -> float:
    """Of the distance between two points, mm."""
    return route_tolerance((one, other))


def route_tolerance(points: Sequence[Point]) -> float:
    """Of the length along straight lines from point to point, mm."""
    moves: dict[str, float] = {}
    for one, other in pairwise(points):
        length = math.dist(one.xyz, other.xyz)
        if length < 1e-6:
            continue
        way = [(b - a) / length for a, b in zip(one.xyz, other.xyz, strict=True)]
        for point, sign in ((one, -1.0), (other, 1.0)):
            for key, effect in point.scatter.items():
                moves[key] = moves.get(key, 0.0) + sign * sum(w * e for w, e in zip(way, effect, strict=True))
    return COVER * math.sqrt(math.fsum(move * move for move in moves.values()))

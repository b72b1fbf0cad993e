"""The angle of a gusset between two tubes of the job, from where these stand."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.job.tables.part_tables import Tube

ALIKE = math.radians(0.1)
"""Angles that differ by less are one."""
LEAST = math.radians(5.0)
"""Tubes nearer to parallel have no corner between them."""


def angles_between(one: Tube, other: Tube, legs: Sequence[float]) -> list[float]:
    """Angles that a gusset between two tubes can have where they come nearest one another, rad, ascending.

    A tube that ends there stands to one side alone, one that runs past to both; of two directions a leg needs one in
    which the tube runs on as far.

    Args:
        one: the first member.
        other: the second.
        legs: along the first and the second, mm.
    Returns: none where they are parallel.
    """
    near = min(
        ((_nearest(a, b), a, b) for a in _runs(one) for b in _runs(other)),
        key=lambda each: each[0][0],
    )
    (_, s, t), a, b = near
    found: list[float] = []
    for u in _ways(a, s, legs[0]):
        for v in _ways(b, t, legs[1]):
            angle = math.acos(max(-1.0, min(1.0, float(u @ v))))
            if LEAST < angle < math.pi - LEAST and all(abs(angle - each) > ALIKE for each in found):
                found.append(angle)
    return sorted(found)


def _runs(tube: Tube) -> Iterator[tuple[Array, Array]]:
    points = [np.array(point.xyz) for point in tube.runs_between]
    return ((a, b) for a, b in pairwise(points) if float(np.linalg.norm(b - a)) > 1e-6)


def _ways(run: tuple[Array, Array], along: float, leg: float) -> list[Array]:
    """Directions away from a place of a run in which it goes on for a leg; the longer one where neither does."""
    a, b = run
    length = float(np.linalg.norm(b - a))
    ahead = (b - a) / length
    room = [(length - along, ahead), (along, -ahead)]
    return [way for far, way in room if far >= leg] or [max(room, key=lambda each: each[0])[1]]


def _nearest(one: tuple[Array, Array], other: tuple[Array, Array]) -> tuple[float, float, float]:
    """How near two runs come to one another, and how far along either, mm."""
    (a, b), (c, d) = one, other
    u, v = b - a, d - c
    m, n = float(np.linalg.norm(u)), float(np.linalg.norm(v))
    u, v = u / m, v / n
    cosine, w = float(u @ v), a - c
    sine = 1.0 - cosine**2
    s = 0.0 if sine < 1e-9 else (cosine * float(w @ v) - float(w @ u)) / sine
    s = min(max(s, 0.0), m)
    t = min(max(float((a + s * u - c) @ v), 0.0), n)
    s = min(max(float((c + t * v - a) @ u), 0.0), m)
    return float(np.linalg.norm(a + s * u - c - t * v)), s, t

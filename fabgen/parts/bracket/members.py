"""The angle of a gusset between two tubes of the job, from where these stand."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.lines import nearest_of_stretches
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
        ((nearest_of_stretches(a, b), a, b) for a in _runs(one) for b in _runs(other)),
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

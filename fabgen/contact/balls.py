"""Balls as closed shells."""

from __future__ import annotations

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.mesh import Mesh

_RINGS = 13
"""A ball is so many rings of places from pole to pole."""


def ball(middle: Array, radius: float) -> Mesh:
    """A ball by rings of places, its poles single ones.

    Args:
        middle: (3,), mm.
        radius: mm.
    """
    count = 2 * (_RINGS - 1)
    down = np.pi * np.arange(1, _RINGS - 1) / (_RINGS - 1)
    round_ = 2.0 * np.pi * np.arange(count) / count
    rings = np.stack(
        (
            np.sin(down)[:, None] * np.cos(round_),
            np.sin(down)[:, None] * np.sin(round_),
            np.repeat(np.cos(down)[:, None], count, axis=1),
        ),
        axis=2,
    ).reshape(-1, 3)
    points = np.vstack((rings, [[0.0, 0.0, 1.0], [0.0, 0.0, -1.0]]))
    last = len(rings) - count
    this = np.arange(count)
    then = (this + 1) % count
    poles = [np.column_stack((np.full(count, len(rings)), this, then))]
    poles += [np.column_stack((np.full(count, len(rings) + 1), last + then, last + this))]
    belts = []
    for start in range(0, last, count):
        a, b = start + this, start + then
        belts += [np.column_stack((a, a + count, b + count)), np.column_stack((a, b + count, b))]
    return Mesh(middle + radius * points, np.vstack((*poles, *belts)))

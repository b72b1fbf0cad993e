"""Which stretches of edges an eye sees: what is hidden is left out of every picture of a body the same way.

Edges are sampled along their length, and a stretch is kept where nothing lies before its samples.  What does is for
the picture to say: `facet_lines.py` holds samples against each facet, exactly, for one part of thin sheet;
`body_lines.py` against a grid of heights, for many bodies.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.space.frame import Frame

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]


def isometric() -> Frame:
    """The view of ISO 5456-3: x to the right front, y to the right back, z up; the frame's z points to the eye."""
    eye = np.array([1.0, -1.0, 1.0]) / math.sqrt(3.0)
    x = np.array([1.0, 1.0, 0.0]) / math.sqrt(2.0)
    return Frame(np.zeros(3), x, np.cross(eye, x), eye)


def seen_size(points: Sequence[Array], view: Frame) -> Xy:
    """Width and height, mm, of all points, each (n, 3), seen along -view.z."""
    flat = view.inside(np.vstack(points))[:, :2]
    size = flat.max(axis=0) - flat.min(axis=0)
    return (float(size[0]), float(size[1]))


def visible_stretches(ends: Array, step: float, hidden: Callable[[Array], Flags]) -> tuple[Array, Array]:
    """The stretches of straight edges that are seen, edge by edge.

    Args:
        ends: (n, 2, 3), mm of paper, z toward the eye.
        step: samples lie this far apart at most, mm of paper.
        hidden: which of samples (m, 3) something lies before.
    Returns: first and last points of the stretches, each (k, 2).
    """
    counts = np.maximum(2, np.ceil(np.linalg.norm((ends[:, 1] - ends[:, 0])[:, :2], axis=1) / step).astype(int))
    first = np.repeat(np.cumsum(counts) - counts, counts)
    share = (np.arange(counts.sum()) - first + 0.5) / np.repeat(counts, counts)
    a, b = np.repeat(ends[:, 0], counts, axis=0), np.repeat(ends[:, 1], counts, axis=0)
    visible = ~hidden(a + (b - a) * share[:, None])
    edge = np.repeat(np.arange(len(ends)), counts)
    carried_on = np.concatenate(([False], visible[:-1] & (edge[1:] == edge[:-1])))
    goes_on = np.concatenate((visible[1:] & (edge[1:] == edge[:-1]), [False]))
    begin, end = np.flatnonzero(visible & ~carried_on), np.flatnonzero(visible & ~goes_on)
    of = edge[begin]
    start, run = ends[of, 0, :2], (ends[of, 1] - ends[of, 0])[:, :2]
    p = start + run * ((begin - first[begin]) / counts[of])[:, None]
    q = start + run * ((end + 1 - first[end]) / counts[of])[:, None]
    return p, q

"""Which boxes in space overlap: the first sieve before any exact question of contact."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from fabgen.geometry.space.frame import Array


def overlapping(low_a: Array, high_a: Array, low_b: Array, high_b: Array) -> NDArray[np.int64]:
    """Pairs of boxes a_i and b_j that overlap.

    A tree over the two axes that spread widest finds the pairs, so the work grows with the boxes and the pairs
    found.

    Args:
        low_a: lower corners, (n, 3), mm.
        high_a: upper corners, (n, 3), mm.
        low_b: lower corners, (m, 3), mm.
        high_b: upper corners, (m, 3), mm.
    Returns: (i, j), (k, 2), in ascending order.
    """
    if not len(low_a) or not len(low_b):
        return np.zeros((0, 2), dtype=np.int64)
    spread = np.ptp(np.vstack((low_b, high_b)), axis=0)
    i, j = sorted(np.argsort(spread, kind="stable")[1:])
    flat_a = shapely.box(low_a[:, i], low_a[:, j], high_a[:, i], high_a[:, j])
    flat_b = shapely.box(low_b[:, i], low_b[:, j], high_b[:, i], high_b[:, j])
    a, b = shapely.STRtree(flat_b).query(flat_a)
    third = 3 - i - j
    both = (low_a[a, third] <= high_b[b, third]) & (low_b[b, third] <= high_a[a, third])
    pairs = np.column_stack((a[both], b[both]))
    return pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))]

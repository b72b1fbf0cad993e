"""A sheet from one outline to another: straight lines drawn between the two, and the triangles between these.

Where both outlines are convex the lines are those of their convex hull: the one surface that can be
bent from flat sheet without stretching and bulges outward everywhere.  A square and a circle
give the textbook's four flat triangles and four parts of oblique cones.  Where an outline turns
inward the lines are those of the surface that is bent least, as a path through all pairs of points
(H. Fuchs, Z. M. Kedem and S. P. Uselton, Optimal Surface Reconstruction from Planar Contours,
Communications of the ACM 20, 1977, 693-702, who take the least area).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from fabgen.geometry.plane.outline import OutlineError, Xy
from fabgen.geometry.sheet.outline_rings import Ring, moved_sideways
from fabgen.geometry.sheet.unfolding import Triangle
from fabgen.geometry.space.frame import Array
from fabgen.wording.sentence import mm, sentence

Ruling = tuple[int, int]
"""A straight line of the surface: its point of the bottom ring and its point of the top ring."""

FLUSH = 1e-7


@dataclass(frozen=True, eq=False)
class Band:
    """The sheet from seam to seam, left to right seen from outside.

    Both rings begin at the seam; `rulings` run from (0, 0) to (count of the bottom, count of the
    top), which is the seam again, each one point farther on one ring than the last.
    """

    bottom: Ring
    top: Ring
    rulings: tuple[Ruling, ...]

    @cached_property
    def points(self) -> Array:
        """Bottom points, the first again at the end, then top points likewise, shape (n, 3), mm."""
        low, high = self.bottom.points, self.top.points
        return np.vstack((low, low[:1], high, high[:1]))

    @cached_property
    def triangles(self) -> list[Triangle]:
        """Into `points`, counter-clockwise seen from outside, from seam to seam."""
        head = len(self.bottom.flat) + 1
        found: list[Triangle] = []
        for (i, j), (k, m) in pairwise(self.rulings):
            found.append((i, k, head + j) if k > i else (i, head + m, head + j))
        return found

    def middle(self, shift: float) -> Band:
        """The same band on a surface farther out, square to every part of it.

        Args:
            shift: how far, mm; inward where less than 0.
        """
        low, high = self._leans()
        return Band(moved_sideways(self.bottom, shift * low), moved_sideways(self.top, shift * high), self.rulings)

    def _leans(self) -> tuple[Array, Array]:
        """How much of a step square to the sheet lies in each ring's plane, stretch by stretch: 1 where it stands."""
        points, low, high = self.points, np.ones(len(self.bottom.flat)), np.ones(len(self.top.flat))
        corners = points[np.array(self.triangles)]
        across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        across /= np.linalg.norm(across, axis=1)[:, None]
        for ring, leans in ((self.bottom, low), (self.top, high)):
            step = np.roll(ring.flat, -1, axis=0) - ring.flat
            out = np.column_stack((step[:, 1], -step[:, 0], np.zeros(len(step))))
            out = (out / np.linalg.norm(out, axis=1)[:, None]) @ ring.frame.axes
            for n, ((i, j), (k, _)) in enumerate(pairwise(self.rulings)):
                if (k > i) == (ring is self.bottom):
                    edge = i if ring is self.bottom else j
                    leans[edge] = across[n] @ out[edge]
        return low, high


def band(bottom: Ring, top: Ring, seam: Xy) -> Band:
    """The sheet between two rings.

    Args:
        bottom: the lower ring.
        top: the upper one, which must lie wholly above the bottom's plane.
        seam: begins where the bottom is nearest to this, in the bottom's plane, mm.
    Raises:
        OutlineError: the top does not lie above the bottom.
    """
    heights = bottom.frame.inside(top.points)[:, 2]
    if heights.min() <= 1e-6:
        raise OutlineError(sentence("the top reaches ", mm(-heights.min(), 1, fixed=True), " below the bottom's plane"))
    bottom = bottom.begun_nearest(seam)
    top = _begun_opposite(bottom, top)
    convex = bottom.is_convex and top.is_convex
    return Band(bottom, top, tuple(_hull(bottom, top) if convex else _least_bent(bottom, top)))


def _begun_opposite(bottom: Ring, top: Ring) -> Ring:
    """The top ring begun where the seam, which starts at the bottom's first point, ends."""
    points, start = top.points, bottom.points[0]
    before, after = bottom.flat[0] - bottom.flat[-1], bottom.flat[1] - bottom.flat[0]
    along = before / np.hypot(*before) + after / np.hypot(*after)
    along = along / np.hypot(*along)
    local = bottom.frame.inside(points) - np.append(bottom.flat[0], 0.0)
    out = local[:, 0] * along[1] - local[:, 1] * along[0]
    lean = np.arctan2(out, local[:, 2])
    outermost = np.flatnonzero(lean > lean.max() - 1e-7)
    if len(outermost) == 1:
        return top.begun_at(int(outermost[0]))
    # A stretch of the top runs parallel: the seam goes square across to it, as far as it reaches.
    count = len(points)
    first = next(int(i) for i in outermost if (int(i) - 1) % count not in outermost)
    last = next(int(i) for i in outermost if (int(i) + 1) % count not in outermost)
    one, other = points[first], points[last]
    share = float((start - one) @ (other - one) / ((other - one) @ (other - one)))
    foot = one + min(max(share, 0.0), 1.0) * (other - one)
    at = top.frame.inside(foot)
    return top.begun_nearest((float(at[0]), float(at[1])))


def _hull(bottom: Ring, top: Ring) -> list[Ruling]:
    """From each line on to the next one of the convex hull."""
    low, high = [tuple(p) for p in bottom.points.tolist()], [tuple(p) for p in top.points.tolist()]
    n, m = len(low), len(high)
    rulings = [(0, 0)]
    i = j = 0
    while (i, j) != (n, m):
        if j == m or (i < n and _is_behind(low[i % n], low[(i + 1) % n], high[j % m], high[(j + 1) % m])):
            i += 1
        else:
            j += 1
        rulings.append((i, j))
    return rulings


def _is_behind(a: Sequence[float], b: Sequence[float], c: Sequence[float], point: Sequence[float]) -> bool:
    """Whether a point lies behind or in the plane of a, b, c, counter-clockwise to the viewer in front."""
    ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
    vx, vy, vz = c[0] - a[0], c[1] - a[1], c[2] - a[2]
    px, py, pz = point[0] - a[0], point[1] - a[1], point[2] - a[2]
    nx, ny, nz = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    return nx * px + ny * py + nz * pz <= FLUSH * math.sqrt(nx * nx + ny * ny + nz * nz)


def _least_bent(bottom: Ring, top: Ring) -> list[Ruling]:
    """The lines across which the sheet is folded least, all folds' angles times their lengths summed.

    By dynamic programming over the lines (i, j), all with one i + j at a time; what a line costs
    depends on the triangle before it and the one after.
    """
    low, high = bottom.points, top.points
    low, high = np.vstack((low, low[:1])), np.vstack((high, high[:1]))
    n, m = len(low) - 1, len(high) - 1
    line = high[None] - low[:, None]
    # Normals of the triangles that step on from line (i, j): along the bottom, and along the top.
    steps = (
        _units(np.cross((low[1:] - low[:-1])[:, None], line[:-1])),
        _units(np.cross(line[:, 1:], line[:, :-1])),
    )
    length = np.linalg.norm(line, axis=2)
    cost = np.full((2, n + 1, m + 1), math.inf)
    came = np.zeros((2, n + 1, m + 1), dtype=np.int8)
    cost[0, 1, 0] = cost[1, 0, 1] = 0.0
    for both in range(1, n + m):
        i = np.arange(max(0, both - m), min(n, both) + 1)
        j = both - i
        for leave in (0, 1):
            on = i < n if leave == 0 else j < m
            a, b = i[on], j[on]
            after = steps[leave][a, b]
            ways = np.full((2, len(a)), math.inf)
            for arrive in (0, 1):
                known = (a > 0) if arrive == 0 else (b > 0)
                before = steps[arrive][a[known] - (arrive == 0), b[known] - (arrive == 1)]
                angle = _angles(before, after[known])
                ways[arrive, known] = cost[arrive, a[known], b[known]] + angle * length[a[known], b[known]]
            to = (leave, a + (leave == 0), b + (leave == 1))
            came[to] = np.argmin(ways, axis=0)
            cost[to] = ways.min(axis=0)
    return _traced(cost, came)


def _units(vectors: Array) -> Array:
    return np.asarray(vectors / np.maximum(np.linalg.norm(vectors, axis=-1, keepdims=True), 1e-12))


def _angles(one: Array, other: Array) -> Array:
    """Angles (n,) between unit vectors, rad."""
    return np.asarray(np.arctan2(np.linalg.norm(np.cross(one, other), axis=-1), (one * other).sum(axis=-1)))


def _traced(cost: Array, came: NDArray[np.int8]) -> list[Ruling]:
    """The cheapest path back from the last line to the first."""
    i, j = cost.shape[1] - 1, cost.shape[2] - 1
    step = int(np.argmin(cost[:, i, j]))
    rulings = [(i, j)]
    while (i, j) != (0, 0):
        before = int(came[step, i, j])
        i, j = (i - 1, j) if step == 0 else (i, j - 1)
        rulings.append((i, j))
        step = before
    return rulings[::-1]

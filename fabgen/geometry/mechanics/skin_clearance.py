"""The least distance between a skin of triangles and a shape that must stay free, through a travel.

Each triangle is bracketed: no nearer than a bound, no farther than its own corners and middle.  Triangles whose
bound is farther than the nearest point found are dropped, the rest cut into four, until bound and point agree
within `TOLERANCE`.  So the figure is never off by more than that from the skin's true distance, for any shape.

Bounds, for the distance f to a core: f changes no faster than the point moves; the distance to a core without
a hole is convex, so it lies over its tangent planes; inside a ring's bore it is no less than a concave sum, which
is least at a corner.

What counts is the skin: a shape that lies wholly inside the sheet, touching neither side, is not noticed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from fabgen.geometry.mechanics.envelopes import KeepOutShape, MovedShape
from fabgen.geometry.space.frame import Array

TOLERANCE = 0.01
"""How near the distance found is to the true one, mm."""
_PAIRS = 150_000
"""Triangles times positions taken in one step."""
_ROUNDS = 40


@dataclass(frozen=True, eq=False)
class TriangleSkin:
    """Triangles (m, 3, 3) about the skin's own origin, mm."""

    triangles: Array

    @cached_property
    def reach(self) -> float:
        """Radius of a ball about the origin that holds it."""
        return float(np.linalg.norm(self.triangles, axis=-1).max())


@dataclass(frozen=True, eq=False)
class MovedSkin:
    """A skin in every position of a travel: origins (s, 3) and axes (s, 3, 3), rows the skin's x, y, z."""

    shape: TriangleSkin
    origins: Array
    axes: Array

    @property
    def reach(self) -> float:
        """Radius of a ball about the origin that holds it, mm."""
        return self.shape.reach


def skin_clearances(kept: MovedShape, skin: MovedSkin) -> tuple[Array, Array]:
    """Clearance between a shape and a skin in each position, and where it is.

    Args:
        kept: the shape that must stay free, in s positions or still.
        skin: the triangles, in s positions or still.
    Returns: (s,) mm, below zero where the skin runs into the shape, by that much at least; and the points
        (s, 2, 3) mm where they come nearest, first of the shape's core, then of the skin.
    """
    count = max(len(kept.origins), len(skin.origins))
    triangles = skin.shape.triangles
    # The skin as the shape sees it.
    back = kept.axes.transpose(0, 2, 1)
    turns = np.broadcast_to(skin.axes @ back, (count, 3, 3))
    shifts = np.broadcast_to(((skin.origins - kept.origins)[:, None, :] @ back)[:, 0], (count, 3))
    if np.ptp(turns, axis=0).max() < 1e-9 and np.ptp(shifts, axis=0).max() < 1e-9:
        turns, shifts = turns[:1], shifts[:1]  # both ride on one body
    step = max(1, _PAIRS // len(triangles))
    found = [
        _least(kept.shape, np.einsum("mci,sij->smcj", triangles, turn) + shift[:, None, None, :])
        for turn, shift in ((turns[i : i + step], shifts[i : i + step]) for i in range(0, len(turns), step))
    ]
    gaps = np.broadcast_to(np.concatenate([gap for gap, _ in found]), (count,))
    near = np.broadcast_to(np.concatenate([point for _, point in found]), (count, 3))
    points = np.stack((kept.outside(kept.shape.nearest(near)), kept.outside(near)), axis=1)
    return gaps - kept.shape.round_, points


def _least(shape: KeepOutShape, seen: Array) -> tuple[Array, Array]:
    """Least distance (s,) of triangles (s, m, 3, 3) from the shape's core, and where on them it is, (s, 3)."""
    positions = len(seen)
    # Most triangles are too far away by their middles alone.
    middles = seen.mean(axis=2)
    far = np.linalg.norm(middles - shape.nearest(middles), axis=-1)
    reach = np.linalg.norm(seen[0] - middles[0][:, None, :], axis=-1).max(axis=1)
    kept = far - reach <= far.min(axis=1)[:, None]
    where, triangles = np.nonzero(kept)[0], seen[kept]
    best, near = np.full(positions, np.inf), np.zeros((positions, 3))
    for _ in range(_ROUNDS):
        tried = np.concatenate((triangles, triangles.mean(axis=1, keepdims=True)), axis=1)
        nearest = shape.nearest(tried)
        far = np.linalg.norm(tried - nearest, axis=-1)
        least = far.min(axis=1)
        order = np.lexsort((least, where))
        first = order[np.unique(where[order], return_index=True)[1]]
        better = first[least[first] < best[where[first]]]
        best[where[better]] = least[better]
        near[where[better]] = tried[better, far[better].argmin(axis=1)]
        open_ = _bound(shape, tried, nearest, far) < best[where] - TOLERANCE
        if not open_.any():
            break
        triangles, where = _quartered(triangles[open_]), np.repeat(where[open_], 4)
    return best, near


def _bound(shape: KeepOutShape, tried: Array, nearest: Array, far: Array) -> Array:
    """What each triangle's distance from the core is at least, (k,): `tried` (k, 4, 3) are its corners and its middle,
    `nearest` the nearest points of the core and `far` (k, 4) their distances."""
    corners = tried[:, :3]
    bound = far[:, 3] - np.linalg.norm(corners - tried[:, 3:], axis=-1).max(axis=1)
    distance = far
    if shape.is_ring:
        nearest = replace(shape, half=(shape.half[0], 0.0, shape.half[2])).nearest(tried)
        distance = np.linalg.norm(tried - nearest, axis=-1)
    slopes = (tried - nearest) / np.maximum(distance, 1e-12)[..., None]
    heights = slopes @ corners.transpose(0, 2, 1) - (slopes * tried).sum(axis=-1)[..., None]
    bound = np.maximum(bound, (distance + heights.min(axis=-1)).max(axis=1))
    if shape.is_ring:
        bound = np.maximum(bound, _bore_bound(shape, tried))
    return np.asarray(np.maximum(bound, 0.0))


def _bore_bound(shape: KeepOutShape, tried: Array) -> Array:
    """The same from within the bore, -1 where a triangle reaches out of it.

    The distance is that of (past the ring's face, short of its bore) from (0, 0); along any direction c, s
    it is at least c past + s short.  Past is no less than a plane's height, short falls evenly outward: their sum is
    concave.
    """
    length, inner, _ = shape.half
    side = np.where(tried[:, 3:, 0] < 0.0, -1.0, 1.0)
    past, short = side * tried[..., 0] - length, inner - np.hypot(tried[..., 1], tried[..., 2])
    way = np.stack((np.maximum(past, 0.0), np.maximum(short, 0.0)), axis=-1)
    way /= np.maximum(np.linalg.norm(way, axis=-1), 1e-12)[..., None]
    sums = way[..., :1] * past[:, None, :3] + way[..., 1:] * short[:, None, :3]
    inside = (short[:, :3] >= 0.0).all(axis=1)
    return np.asarray(np.where(inside, sums.min(axis=-1).max(axis=1), -1.0))


def _quartered(triangles: Array) -> Array:
    """Each triangle cut into four at the middles of its sides, (4 k, 3, 3)."""
    a, b, c = triangles.transpose(1, 0, 2)
    ab, bc, ca = (a + b) / 2.0, (b + c) / 2.0, (c + a) / 2.0
    parts = np.stack((np.stack((a, ab, ca)), np.stack((ab, b, bc)), np.stack((ca, bc, c)), np.stack((ab, bc, ca))))
    return np.asarray(parts.transpose(2, 0, 1, 3).reshape(-1, 3, 3))

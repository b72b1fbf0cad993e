"""Sheet made of flat triangles, laid flat edge by edge: the exact development of a folded surface.

Triangulation is the textbook way to develop what is neither a cylinder nor a cone: every
triangle is drawn with the true lengths of its sides, each on a side of the one before.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.plane.outline import OutlineError, Xy
from fabgen.geometry.space.frame import Array

Triangle = tuple[int, int, int]
Side = tuple[int, int]
"""Two corners, the lesser number first."""


@dataclass(frozen=True, slots=True)
class Fold:
    """A side that two triangles share: its corners and how far the second turns from the plane of the first,
    rad; positive away from the viewer, who sees the corners of every triangle counter-clockwise."""

    side: Side
    first: int
    second: int
    angle: float


@dataclass(frozen=True, eq=False)
class Unfolded:
    """Every triangle's corners on the flat, in the order of the triangles, and the folds between them.

    A corner of several triangles lies at one place for all, unless sheet was taken out at a
    fold between them.
    """

    triangles: tuple[Triangle, ...]
    corners: tuple[tuple[Xy, Xy, Xy], ...]
    folds: tuple[Fold, ...]

    def at(self, triangle: int, corner: int) -> Xy:
        """Where a triangle has a corner on the flat, mm.

        Args:
            triangle: its number.
            corner: the corner's number.
        """
        return self.corners[triangle][self.triangles[triangle].index(corner)]

    def middle(self, fold: Fold) -> tuple[Xy, Xy]:
        """The line half way between the two places of a fold's side, its lesser corner first, mm.

        Args:
            fold: one of `folds`.
        """
        ends = []
        for corner in fold.side:
            (ax, ay), (bx, by) = self.at(fold.first, corner), self.at(fold.second, corner)
            ends.append(((ax + bx) / 2.0, (ay + by) / 2.0))
        return ends[0], ends[1]

    def led_together(self, before: tuple[Xy, Xy], after: tuple[Xy, Xy]) -> Xy:
        """Where two edges of the sheet, which share a corner, meet on the flat.

        They end in one point unless sheet was taken out between them: then they are lengthened or shortened to
        where they cross, or to half way where they run on in nearly one line.

        Args:
            before: the edge that ends in the corner, (from, to), mm.
            after: the edge that begins there, (from, to), mm.
        """
        apart = math.dist(before[1], after[0])
        if apart < 1e-7:
            return after[0]
        half = ((before[1][0] + after[0][0]) / 2.0, (before[1][1] + after[0][1]) / 2.0)
        met = _meeting(before, after)
        return met if met is not None and math.dist(met, half) < 3.0 * apart else half


def folds_of(points: Array, triangles: Sequence[Triangle]) -> list[Fold]:
    """The folds of a surface whose triangles join as a tree, in the order of the second triangle.

    Args:
        points: (n, 3), mm.
        triangles: corners counter-clockwise seen from outside.
    Raises:
        OutlineError: a side belongs to more than two triangles.
    """
    owners: dict[Side, list[int]] = {}
    for i, triangle in enumerate(triangles):
        for side in sides(triangle):
            owners.setdefault(side, []).append(i)
    shared = {side: owned for side, owned in owners.items() if len(owned) > 1}
    if any(len(owned) > 2 for owned in shared.values()):
        raise OutlineError("three parts of the sheet meet in one edge")
    if not shared:
        return []
    across = normals(points, triangles)
    first, second = (np.array([owned[i] for owned in shared.values()]) for i in (0, 1))
    feet = points[np.array([side[0] for side in shared])]
    apexes = points[np.array([sum(triangles[two[1]]) - sum(side) for side, two in shared.items()])]
    n, m = across[first], across[second]
    behind = ((apexes - feet) * n).sum(axis=1) < 0.0
    angles = np.arctan2(np.linalg.norm(np.cross(n, m), axis=1), (n * m).sum(axis=1))
    signed = np.where(behind, angles, -angles).tolist()
    folds = [Fold(side, two[0], two[1], angle) for (side, two), angle in zip(shared.items(), signed, strict=True)]
    return sorted(folds, key=lambda fold: fold.second)


def sides(triangle: Triangle) -> tuple[Side, Side, Side]:
    """The three sides of a triangle, each as (lesser corner, greater corner).

    Args:
        triangle: three corner numbers.
    """
    a, b, c = triangle
    return (min(a, b), max(a, b)), (min(b, c), max(b, c)), (min(a, c), max(a, c))


def normals(points: Array, triangles: Sequence[Triangle]) -> Array:
    """Unit normals (m, 3), toward whoever sees the corners counter-clockwise.

    Args:
        points: (n, 3), mm.
        triangles: m of them.
    Raises:
        OutlineError: a triangle has no area.
    """
    corners = points[np.array(triangles)]
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.linalg.norm(across, axis=1)
    if (length < 1e-9).any():
        raise OutlineError("three neighbouring points of the sheet lie in one line")
    return np.asarray(across / length[:, None])


def unfold(
    points: Array,
    triangles: Sequence[Triangle],
    folds: Sequence[Fold] | None = None,
    taken: Callable[[Fold], float] | None = None,
) -> Unfolded:
    """Lay the triangles flat, the first with its first side along +x from the origin.

    Args:
        points: (n, 3), mm.
        triangles: corners counter-clockwise seen from outside.
        folds: as `folds_of` gives them, where they are known already.
        taken: how much sheet is left out across a fold, mm (a bend's deduction): what lies beyond moves nearer.
    Raises:
        OutlineError: the triangles are not in one piece.
    """
    hung = folds_of(points, triangles) if folds is None else list(folds)
    beside: dict[int, list[Fold]] = {}
    for fold in hung:
        beside.setdefault(fold.first, []).append(fold)
        beside.setdefault(fold.second, []).append(fold)
    at = [tuple(p) for p in points.tolist()]
    a, b, c = triangles[0]
    along = (math.dist(at[a], at[b]), 0.0)
    placed: dict[int, Mapping[int, Xy]] = {
        0: {a: (0.0, 0.0), b: along, c: _third((0.0, 0.0), along, at[a], at[b], at[c])}
    }
    waiting = [0]
    while waiting:
        here = waiting.pop()
        for fold in beside.get(here, ()):
            there = fold.second if fold.first == here else fold.first
            if there not in placed:
                gap = taken(fold) if taken is not None else 0.0
                placed[there] = _hung(at, triangles[here], placed[here], triangles[there], gap)
                waiting.append(there)
    if len(placed) != len(triangles):
        raise OutlineError("the sheet is not in one piece")
    corners = tuple((placed[i][t[0]], placed[i][t[1]], placed[i][t[2]]) for i, t in enumerate(triangles))
    return Unfolded(tuple(triangles), corners, tuple(hung))


def _hung(
    points: Sequence[Sequence[float]], here: Triangle, at: Mapping[int, Xy], there: Triangle, gap: float
) -> Mapping[int, Xy]:
    """The triangle `there` laid against `here` on the side they share, `gap` mm nearer."""
    # Both run counter-clockwise, so `there` passes the shared side the other way round.
    i = next(k for k in range(3) if there[k] in here and there[(k + 1) % 3] in here)
    p, q, apex = there[i], there[(i + 1) % 3], there[(i + 2) % 3]
    a, b = at[p], at[q]
    if gap:
        length = math.dist(a, b)
        nx, ny = -(b[1] - a[1]) / length * gap, (b[0] - a[0]) / length * gap
        # The new triangle lies to the left of p-q; taking sheet out moves it to the right.
        a, b = (a[0] - nx, a[1] - ny), (b[0] - nx, b[1] - ny)
    return {p: a, q: b, apex: _third(a, b, points[p], points[q], points[apex])}


def _third(a: Xy, b: Xy, pa: Sequence[float], pb: Sequence[float], pc: Sequence[float]) -> Xy:
    """The corner to the left of a-b with the true distances that pc has from pa and pb."""
    vx, vy, vz = pb[0] - pa[0], pb[1] - pa[1], pb[2] - pa[2]
    wx, wy, wz = pc[0] - pa[0], pc[1] - pa[1], pc[2] - pa[2]
    length = math.sqrt(vx * vx + vy * vy + vz * vz)
    along = (vx * wx + vy * wy + vz * wz) / length
    cx, cy, cz = vy * wz - vz * wy, vz * wx - vx * wz, vx * wy - vy * wx
    across = math.sqrt(cx * cx + cy * cy + cz * cz) / length
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    return a[0] + along * ux - across * uy, a[1] + along * uy + across * ux


def _meeting(one: tuple[Xy, Xy], other: tuple[Xy, Xy]) -> Xy | None:
    """Where two lines meet; None where they are nearly parallel."""
    (ax, ay), (bx, by) = one
    (cx, cy), (dx, dy) = other
    across = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
    if abs(across) < 0.05 * math.dist(*one) * math.dist(*other):
        return None
    share = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / across
    return ax + (bx - ax) * share, ay + (by - ay) * share

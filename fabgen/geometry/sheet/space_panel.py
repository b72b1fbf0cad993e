"""A panel between points in space: how far it is from flat, the flat nearest to it, and one folded along creases."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from fabgen.geometry.plane.outline import OutlineError, Xy
from fabgen.geometry.sheet.taped_polygon import least_squares
from fabgen.geometry.sheet.unfolding import Side, Triangle, folds_of, sides, unfold
from fabgen.geometry.space.frame import Array, Frame, unit
from fabgen.wording.sentence import mm, sentence

FLAT = 0.05
"""Corners within this of one plane, mm, lie in it."""


@dataclass(frozen=True, eq=False)
class SpacePanel:
    """The corners in space, (n, 3) mm, and how far each stands over the plane nearest to all of them, mm,
    toward whoever sees them counter-clockwise."""

    points: Array
    over: tuple[float, ...]
    frame: Frame

    @property
    def twist(self) -> float:
        """From the lowest corner to the highest, square to the nearest plane, mm."""
        return max(self.over) - min(self.over)

    @property
    def is_flat(self) -> bool:
        """Whether its corners lie in one plane."""
        return self.twist <= 2.0 * FLAT


def space_panel(points: Array) -> SpacePanel:
    """The panel with these corners.  Its frame: origin at corner 1, x toward corner 2 as near as the plane allows, z
    toward the viewer who sees the corners counter-clockwise.

    Args:
        points: (n, 3), mm, in the order one walks round it.
    Raises:
        OutlineError: two that follow one another are one point, or all lie in a line.
    """
    for i, step in enumerate(np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1)):
        if step < 1e-6:
            raise OutlineError(f"corners {i + 1} and {(i + 1) % len(points) + 1} are one point")
    middle = points.mean(axis=0)
    _, sizes, axes = np.linalg.svd(points - middle)
    if sizes[1] < 1e-6 * max(sizes[0], 1.0):
        raise OutlineError("the points lie in one line")
    # Newell's normal says which way round they go.
    around = np.cross(points - middle, np.roll(points, -1, axis=0) - middle).sum(axis=0)
    z = axes[2] if axes[2] @ around >= 0.0 else -axes[2]
    step = points[1] - points[0]
    x = unit(step - (step @ z) * z)
    frame = Frame(np.asarray(points[0]), x, np.cross(z, x), z)
    return SpacePanel(points, tuple(float(v) for v in (points - middle) @ z), frame)


@dataclass(frozen=True, eq=False)
class Flattened:
    """Corners on the flat and how much the panel's sides and diagonals change at most when it is pulled into
    place, mm: `side` and the corners it runs between."""

    corners: tuple[Xy, ...]
    most: float
    side: Side


def flattened(panel: SpacePanel) -> Flattened:
    """The flat whose sides and diagonals agree best with those in space (least squares).

    Args:
        panel: the corners in space.
    """
    count = len(panel.points)
    pairs = list(combinations(range(count), 2))
    i, j = np.array(pairs).T
    lengths = np.linalg.norm(panel.points[j] - panel.points[i], axis=1)
    start = panel.frame.inside(panel.points)[:, :2]
    made = start if panel.is_flat else least_squares(start, pairs, lengths)
    turn = math.atan2(made[1, 1] - made[0, 1], made[1, 0] - made[0, 0])
    c, s = math.cos(turn), math.sin(turn)
    made = (made - made[0]) @ np.array([[c, -s], [s, c]])
    change = np.abs(np.hypot(*(made[j] - made[i]).T) - lengths)
    worst = int(np.argmax(np.round(change, 9)))
    corners = tuple((round(float(x), 9) + 0.0, round(float(y), 9) + 0.0) for x, y in made)
    return Flattened(corners, float(change[worst]), pairs[worst])


# -- folded along creases -------------------------------------------------------
@dataclass(frozen=True, eq=False)
class Creased:
    """The flat of a folded panel: its corners, and the creases on the flat."""

    points: tuple[Xy, ...]
    bends: tuple[tuple[Xy, Xy, float, Side], ...]
    """Start, end, angle (rad, positive away from the viewer) and the corners it runs between."""


def creased(panel: SpacePanel, creases: Sequence[Side], deduction: Callable[[float], float]) -> Creased:
    """The panel folded along lines between its corners, every part of it flat.

    Args:
        panel: the corners in space.
        creases: pairs of corner numbers.
        deduction: what a crease of an angle (rad) makes the flat shorter, mm.
    Raises:
        OutlineError: creases cross, or a part between them is not flat.
    """
    count = len(panel.points)
    triangles: list[Triangle] = []
    for part in parts_between(count, creases):
        _must_be_flat(panel, part)
        triangles += _triangles(panel, part)
    folds = folds_of(panel.points, triangles)
    wanted = set(creases)
    laid = unfold(panel.points, triangles, folds, lambda f: deduction(abs(f.angle)) if f.side in wanted else 0.0)
    owners = {side: t for t, triangle in enumerate(triangles) for side in sides(triangle)}
    spans = []
    for i in range(count):
        k = (i + 1) % count
        t = owners[min(i, k), max(i, k)]
        spans.append((laid.at(t, i), laid.at(t, k)))
    points = [laid.led_together(spans[i - 1], spans[i]) for i in range(count)]
    placed = _Placed(points[0], points[1])
    bends = tuple(
        (placed.at(start), placed.at(end), fold.angle, fold.side)
        for fold in folds
        if fold.side in wanted
        for start, end in [laid.middle(fold)]
    )
    return Creased(tuple(placed.at(p) for p in points), bends)


@dataclass(frozen=True, slots=True)
class _Placed:
    """Points moved so that one lies at the origin and another on +x."""

    origin: Xy
    along: Xy

    def at(self, p: Xy) -> Xy:
        length = math.dist(self.origin, self.along)
        c, s = (self.along[0] - self.origin[0]) / length, (self.along[1] - self.origin[1]) / length
        x, y = p[0] - self.origin[0], p[1] - self.origin[1]
        return round(x * c + y * s, 9) + 0.0, round(y * c - x * s, 9) + 0.0


def parts_between(count: int, creases: Sequence[Side]) -> list[list[int]]:
    """The corners of every part that creases cut a polygon into.

    Args:
        count: how many corners the polygon has.
        creases: pairs of corner numbers.
    Raises:
        OutlineError: two creases cross.
    """
    parts = [list(range(count))]
    for a, b in creases:
        part_of_both = next((part for part in parts if a in part and b in part), None)
        if part_of_both is None:
            raise OutlineError(f"the crease {a + 1}-{b + 1} crosses another one")
        i, j = sorted((part_of_both.index(a), part_of_both.index(b)))
        if j - i in (1, len(part_of_both) - 1):
            raise OutlineError(f"the crease {a + 1}-{b + 1} lies on an edge or on another crease")
        parts.remove(part_of_both)
        parts += [part_of_both[i : j + 1], part_of_both[j:] + part_of_both[: i + 1]]
    return parts


def _must_be_flat(panel: SpacePanel, part: Sequence[int]) -> None:
    if len(part) > 3 and (off := space_panel(panel.points[list(part)]).twist) > 10.0 * FLAT:
        names = "-".join(str(i + 1) for i in part)
        raise OutlineError(
            sentence(f"the part {names} is not flat, by ", mm(off, 1, fixed=True), ": a further crease parts it")
        )


def _triangles(panel: SpacePanel, part: Sequence[int]) -> list[Triangle]:
    """The part cut into triangles, one corner after another cut off where nothing lies in the way."""
    from shapely import Point, Polygon

    flat = panel.frame.inside(panel.points)[:, :2]
    left = list(part)
    found: list[Triangle] = []
    while len(left) > 3:
        for k in range(len(left)):
            a, b, c = left[k - 1], left[k], left[(k + 1) % len(left)]
            (ux, uy), (vx, vy) = flat[b] - flat[a], flat[c] - flat[b]
            if ux * vy - uy * vx <= 1e-9:
                continue
            ear = Polygon([flat[a], flat[b], flat[c]])
            if not any(ear.intersects(Point(flat[p])) for p in left if p not in (a, b, c)):
                found.append((a, b, c))
                left.pop(k)
                break
        else:
            raise OutlineError("the panel crosses itself")
    return [*found, (left[0], left[1], left[2])]

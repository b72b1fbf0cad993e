"""Several bodies drawn as lines without the hidden ones: the picture of an assembled job.

What lies in front is found by filling every triangle that faces the eye into a grid of small
cells, each keeping how near to the eye it is and whose it is; edges are tried against the grid.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fabgen.documents.render.picture import Pen, Picture, Stroke
from fabgen.documents.scene.hidden_lines import Array, Flags, visible_stretches
from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.space.frame import Frame
from fabgen.geometry.space.mesh import EdgedMesh

Places = NDArray[np.int64]

CELL = 0.25
"""Side of the grid's cells, mm of paper."""
STEP = 0.4
"""Edges are tried so far apart, mm of paper."""
NEAR = 3.0
"""A line this little behind another body's face still counts as on it, mm: a joint's line lies on both."""
GRAZING = 1.6
"""How much of a round body of its own reach an outline may lie behind, in cells seen edge on."""


@dataclass(frozen=True)
class BodiesPicture:
    """The picture, with its lower left corner at the origin, and a place on each body that is seen (None: hidden)."""

    picture: Picture
    width: float
    height: float
    spots: tuple[Xy | None, ...]
    corner: Xy

    def at(self, point: Array, view: Frame, scale: float) -> Xy:
        """Where a point of the job lies in the picture."""
        x, y, _ = view.inside(point[None, :])[0] * scale
        return (float(x) - self.corner[0], float(y) - self.corner[1])


def bodies_picture(bodies: Sequence[EdgedMesh], view: Frame, scale: float, pens: Sequence[Pen] = ()) -> BodiesPicture:
    """The bodies seen along -view.z at `scale`, each with its pen; 'visible' where none are given."""
    drawn = [view.inside(body.vertices) * scale for body in bodies]
    every = np.vstack(drawn)
    low, high = every[:, :2].min(axis=0), every[:, :2].max(axis=0)
    drawn = [points - [low[0], low[1], 0.0] for points in drawn]
    size = high - low
    grid = _Grid.of(drawn, bodies, size)
    strokes: list[Stroke] = []
    pens = pens or ["visible"] * len(bodies)
    for number, (body, points) in enumerate(zip(bodies, drawn, strict=True)):
        # A round body's face falls away fast at its outline: within a cell by as much as this.
        own = GRAZING * math.sqrt(2.0 * CELL * _thickness(body) * scale) + NEAR * scale
        strokes += _lines(body, points, number, grid, own, NEAR * scale, pens[number])
    spots = tuple(grid.spot(number) for number in range(len(bodies)))
    return BodiesPicture(Picture.of(strokes), float(size[0]), float(size[1]), spots, (float(low[0]), float(low[1])))


def _thickness(body: EdgedMesh) -> float:
    """About the radius of a long body, mm: the smaller sizes of its box, had it lain along an axis."""
    centred = body.vertices - body.vertices.mean(axis=0)
    return float(np.sqrt(2.0 * np.linalg.eigvalsh(np.cov(centred.T))[0]))


class _Grid:
    """Cells with the nearest height and the body it belongs to; row by row from below."""

    def __init__(self, near: Array, owner: Places) -> None:
        self.near, self.owner = near, owner

    @staticmethod
    def of(drawn: Sequence[Array], bodies: Sequence[EdgedMesh], size: Array) -> _Grid:
        """Filled with the triangles that face the eye, all rows of all of them at once."""
        shape = (math.ceil(size[1] / CELL) + 3, math.ceil(size[0] / CELL) + 3)
        corners = np.vstack([points[body.triangles] for points, body in zip(drawn, bodies, strict=True)])
        whose = np.repeat(np.arange(len(bodies)), [len(body.triangles) for body in bodies])
        normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        front = normal[:, 2] > 1e-9
        corners, whose, normal = corners[front], whose[front], normal[front]
        corners = np.take_along_axis(corners, np.argsort(corners[:, :, 1], axis=1)[:, :, None], axis=1)
        low, middle, high = corners[:, 0], corners[:, 1], corners[:, 2]
        first, last = np.ceil(low[:, 1] / CELL).astype(int), np.floor(high[:, 1] / CELL).astype(int)
        triangle, row = _counted(first, last)
        y = row * CELL
        long_side = _crossing(low[triangle], high[triangle], y)
        under = y < middle[triangle, 1]
        short_side = np.where(
            under, _crossing(low[triangle], middle[triangle], y), _crossing(middle[triangle], high[triangle], y)
        )
        left, right = np.minimum(long_side, short_side), np.maximum(long_side, short_side)
        run, column = _counted(np.ceil(left / CELL - 1e-9).astype(int), np.floor(right / CELL + 1e-9).astype(int))
        triangle, row = triangle[run], row[run]
        n, origin = normal[triangle], low[triangle]
        away = n[:, 0] * (column * CELL - origin[:, 0]) + n[:, 1] * (row * CELL - origin[:, 1])
        height = origin[:, 2] - away / n[:, 2]
        # A face seen edge on is no nearer than its nearest corner, however its plane runs on.
        height = np.minimum(height, corners[:, :, 2].max(axis=1)[triangle])
        cell = (row + 1) * shape[1] + column + 1
        order = np.lexsort((whose[triangle], height, cell))
        top = order[np.flatnonzero(np.diff(cell[order], append=-1))]
        near, owner = np.full(shape, -np.inf), np.full(shape, -1, dtype=np.int64)
        near.flat[cell[top]], owner.flat[cell[top]] = height[top], whose[triangle[top]]
        return _Grid(near, owner)

    def hides(self, samples: Array, number: int, own: float, other: float) -> Flags:
        """Whether all cells about each sample lie before it: by more than `own` on its body, `other` on another."""
        column = np.rint(samples[:, 0] / CELL).astype(int) + 1
        row = np.rint(samples[:, 1] / CELL).astype(int) + 1
        hidden = np.ones(len(samples), dtype=bool)
        last_row, last_column = self.near.shape[0] - 1, self.near.shape[1] - 1
        for dj in (-1, 0, 1):
            for di in (-1, 0, 1):
                j, i = np.clip(row + dj, 0, last_row), np.clip(column + di, 0, last_column)
                allowed = np.where(self.owner[j, i] == number, own, other)
                hidden &= self.near[j, i] > samples[:, 2] + allowed
        return hidden

    def spot(self, number: int) -> Xy | None:
        """A seen cell of a body for a leader to end on: near the middle of what is seen of it, well inside it and
        away from its neighbours where it can be."""
        mine = self.owner == number
        rows, columns = np.nonzero(mine)
        if not len(rows):
            return None
        away = (rows - rows.mean()) ** 2 + (columns - columns.mean()) ** 2
        order = np.argsort(away, kind="stable")
        own = _summed(mine)
        for clear, inside in ((12, 3), (6, 3), (6, 2), (3, 1), (0, 0)):
            others = _about(self._taken, rows, columns, clear)[0] - _about(own, rows, columns, clear)[0]
            here, cells = _about(own, rows, columns, inside)
            good = (others == 0) & (here == cells)
            if good.any() or not clear:
                break
        at = order[int(np.argmax(good[order]))]
        return ((int(columns[at]) - 1) * CELL, (int(rows[at]) - 1) * CELL)

    @cached_property
    def _taken(self) -> Places:
        """How many cells some body has, summed."""
        return _summed(self.owner >= 0)


def _summed(cells: Flags) -> Places:
    """How many cells are set before each row and each column."""
    total = np.zeros((cells.shape[0] + 1, cells.shape[1] + 1), dtype=np.int64)
    total[1:, 1:] = cells.cumsum(axis=0).cumsum(axis=1)
    return total


def _about(total: Places, rows: Places, columns: Places, reach: int) -> tuple[Places, Places]:
    """How many cells of a sum are set within `reach` of each place, and of how many."""
    j0, j1 = np.maximum(rows - reach, 0), np.minimum(rows + reach + 1, total.shape[0] - 1)
    i0, i1 = np.maximum(columns - reach, 0), np.minimum(columns + reach + 1, total.shape[1] - 1)
    return np.asarray(total[j1, i1] - total[j0, i1] - total[j1, i0] + total[j0, i0]), (j1 - j0) * (i1 - i0)


def _counted(first: Places, last: Places) -> tuple[Places, Places]:
    """Every integer from each `first` to its `last`: which pair it belongs to, and the integer."""
    counts = np.maximum(last - first + 1, 0)
    which = np.repeat(np.arange(len(first)), counts)
    return which, np.arange(len(which)) - np.repeat(np.cumsum(counts) - counts, counts) + first[which]


def _crossing(a: Array, b: Array, y: NDArray[Any]) -> Array:
    """x where the lines from a to b, b above a, cross the levels y."""
    rise = b[:, 1] - a[:, 1]
    share = np.where(rise > 1e-12, (y - a[:, 1]) / np.where(rise > 1e-12, rise, 1.0), 0.0)
    return np.asarray(a[:, 0] + np.clip(share, 0.0, 1.0) * (b[:, 0] - a[:, 0]))


def _lines(
    body: EdgedMesh, points: Array, number: int, grid: _Grid, own: float, other: float, pen: Pen
) -> list[Stroke]:
    """The edges of one body that face the eye or bound what does, where nothing hides them."""
    ends = points[_edges(body, points)]
    if not len(ends):
        return []
    seen = visible_stretches(ends, STEP, lambda samples: grid.hides(samples, number, own, other))
    return _chained(*seen, pen)


def _edges(body: EdgedMesh, points: Array) -> Places:
    """Places of the ends of the edges to draw, (n, 2): of a body without a skin all."""
    if not len(body.triangles):
        return body.edges
    corners = points[body.triangles][:, :, :2]
    u, v = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    front = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0] > 1e-9
    sides = np.vstack([body.triangles[:, [0, 1]], body.triangles[:, [1, 2]], body.triangles[:, [2, 0]]])
    key = np.sort(sides, axis=1)
    faces = np.tile(front, 3)
    pairs, place = np.unique(key, axis=0, return_inverse=True)
    place = place.reshape(-1)
    fronts = np.bincount(place, weights=faces, minlength=len(pairs))
    backs = np.bincount(place, weights=~faces, minlength=len(pairs))
    named = len(points) * pairs[:, 0] + pairs[:, 1]
    sharp = np.sort(body.edges, axis=1)
    real = np.isin(named, len(points) * sharp[:, 0] + sharp[:, 1])
    return np.asarray(pairs[(fronts > 0) & (real | (backs > 0))])


def _chained(starts: Array, ends: Array, pen: Pen) -> list[Stroke]:
    """Stretches that run on from one another made into one line, so that a rim is one stroke and not seventy."""
    points = np.vstack((starts, ends))
    _, named = np.unique(np.round(points, 3), axis=0, return_inverse=True)
    named = named.reshape(-1)
    count = len(starts)
    tips = list(zip(named[:count].tolist(), named[count:].tolist(), strict=True))
    at = dict(zip(named.tolist(), map(tuple, points.tolist()), strict=True))
    meeting: dict[int, list[int]] = {}
    for number, pair in enumerate(tips):
        for tip in pair:
            meeting.setdefault(tip, []).append(number)
    used = [False] * count
    chains: list[Stroke] = []
    for number, (first, last) in enumerate(tips):
        if used[number]:
            continue
        used[number] = True
        ahead, behind = _followed(last, tips, meeting, used), _followed(first, tips, meeting, used)
        places = [*reversed(behind), first, last, *ahead]
        chains.append(Stroke(tuple(at[place] for place in places), pen))
    return chains


def _followed(tip: int, tips: Sequence[tuple[int, int]], meeting: dict[int, list[int]], used: list[bool]) -> list[int]:
    """The places one comes to from a tip along stretches that are not used yet."""
    found: list[int] = []
    while (following := next((n for n in meeting[tip] if not used[n]), None)) is not None:
        used[following] = True
        one, other = tips[following]
        tip = other if one == tip else one
        found.append(tip)
    return found

"""The bend of a tube as a solid: a part of a toroid (`toroid.py`), cut off at the planes square to the tube
where the bend begins and ends.

It is not convex, so that a strip of wall can meet it in two places, and its point of greatest x has
no closed form; along a line it has one.  Over the depth s of the wall, greatest x is a function g(s)
whose slope follows from the surface's normal n: g' = -(n . inward) / (n . along).  It is evaluated at every
r / 8 or closer.  Where a top lies between two such places, Newton's method goes from the top of the
cubic through them to where the surface's normal stands square to the wall; where that does not
settle, the top is sought by further cubics and halving, until what is left to gain is under `GAIN`.
What this may miss is a bite of the main's skin that lies between two places and is met at neither:
no deeper than (r / 8)^2 / (8 r) = r / 512.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from fabgen.geometry.space.frame import Array, unit
from fabgen.geometry.tube.solids import TOUCH, HalfSpace, SolidPiece, Walls
from fabgen.geometry.tube.toroid import Toroid

Mask = NDArray[np.bool_]
Index = NDArray[np.int64]

GAIN = 1e-6
"""A top of a wall's line is sought until no more than this is to be gained, mm, by its slopes; tests
hold it within 1e-4."""

_PLACES = 8.0
"""Places tried over each r of the wall's depth."""

_STEPS = 40
"""More steps than any search needs: each halves its room at the least every second time."""

_NEWTON = 4
"""Steps of Newton's method; from a cubic's top they settle in two or three."""

_NEAR_CUBIC = 0.1
"""Newton's method is believed where it stays this near the cubic's top, mm."""


@dataclass(frozen=True, eq=False)
class Curved:
    """The part of a toroid inside some half-spaces."""

    core: Toroid
    planes: tuple[HalfSpace, ...]

    def pieces(self) -> tuple[SolidPiece, ...]:
        """Itself."""
        return (self,)

    def trimmed(self, by: tuple[HalfSpace, ...]) -> Curved:
        """The part of it inside further half-spaces.

        Args:
            by: the half-spaces.
        """
        return replace(self, planes=self.planes + by)

    def distance(self, points: Array) -> Array:
        """Signed distance, mm, negative inside; outside never more than the true one.

        Args:
            points: (..., 3), mm.
        """
        return np.asarray(np.max([self.core.distance(points), *(p.distance(points) for p in self.planes)], axis=0))

    def greatest(self, walls: Walls) -> Array:
        """Greatest x at which each strip has a point in it.

        Args:
            walls: n strips.
        Returns: (n,), mm; nan where a strip has none.
        """
        near = self._near(walls)
        if near.all():
            return _Search(self, walls).run()
        found = np.full(len(walls.depth), np.nan)
        if near.any():
            picked = Walls(walls.skin[near], walls.inward[near], walls.depth[near], walls.along)
            found[near] = _Search(self, picked).run()
        return found

    def _near(self, walls: Walls) -> Mask:
        """Which strips come near enough to meet the core at all, (n,) of bool."""
        away = walls.skin - self.core.centre
        along = away @ walls.along
        reach = self.core.reach + walls.depth
        return np.asarray(np.einsum("ij,ij->i", away, away) - along * along <= reach * reach)

    def top(self, origins: Array, inward: Array, along: Array) -> tuple[Array, Array]:
        """Greatest x of lines, and its change with the depth of the wall.

        Args:
            origins: a point of each line, (n, 3), mm.
            inward: the way into the wall, (n, 3).
            along: the lines' unit direction, (3,).
        Returns: (x, slope), (n,) each, mm and mm a mm.
        """
        low, high, which = self._limits(origins, along)
        with np.errstate(divide="ignore", invalid="ignore"):
            x = self.core.exits(origins, along, low, high)
            skin = self.core.skin(origins + x[:, None] * along)
            slope = -skin.along_normal(inward) / skin.along_normal(along)
            if (cut := x >= high - TOUCH).any():
                normals = self._normals[which[cut]]
                slope[cut] = -np.einsum("ij,ij->i", normals, inward[cut]) / (normals @ along)
        return x, slope

    def _limits(self, origins: Array, along: Array) -> tuple[Array, Array, Index]:
        """Where lines enter and leave the half-spaces, and which of them they leave by, (n,) each."""
        count = len(origins)
        low, high, which = np.full(count, -np.inf), np.full(count, np.inf), np.zeros(count, dtype=np.int64)
        if not self.planes:
            return low, high, which
        slopes, bases = self._normals @ along, self._normals @ origins.T - self._levels
        for i, (slope, base) in enumerate(zip(slopes.tolist(), bases, strict=True)):
            if slope > 1e-12:
                end = -base / slope
                which[end < high] = i
                high = np.minimum(high, end)
            elif slope < -1e-12:
                low = np.maximum(low, -base / slope)
            else:
                high[base > TOUCH] = -np.inf
        return low, high, which

    @cached_property
    def _normals(self) -> Array:
        return np.array([plane.normal for plane in self.planes])

    @cached_property
    def _levels(self) -> Array:
        return np.array([[plane.level] for plane in self.planes])


class _Search:
    """Greatest x over the depth of each strip."""

    def __init__(self, piece: Curved, walls: Walls) -> None:
        self.piece, self.walls = piece, walls

    def run(self) -> Array:
        depth = self.walls.depth
        deepest = float(depth.max())
        if deepest == 0.0:
            return self.piece.top(self.walls.skin, self.walls.inward, self.walls.along)[0]
        spans = max(1, math.ceil(_PLACES * deepest / self.piece.core.least_radius))
        s = np.linspace(0.0, 1.0, min(spans, 48) + 1)[:, None] * depth
        every = np.tile(np.arange(len(depth)), len(s))
        x, slope = (found.reshape(s.shape) for found in self._at(every, s.ravel()))
        best = np.asarray(np.fmax.reduce(x))
        span, strip = np.nonzero(_between(x[:-1], slope[:-1], x[1:], slope[1:]) & (depth > 0.0))
        if len(strip):
            low, high = (np.array([f[span + i, strip] for f in (s, x, slope)]) for i in (0, 1))
            tops, settled = self._settled(strip, low, high)
            if not settled.all():
                rest = ~settled
                tops[rest] = self._tops(strip[rest], low[:, rest], high[:, rest])
            np.fmax.at(best, strip, tops)
        return best

    def _at(self, strip: Index, s: Array) -> tuple[Array, Array]:
        walls = self.walls
        inward = walls.inward[strip]
        return self.piece.top(walls.skin[strip] + s[:, None] * inward, inward, walls.along)

    def _settled(self, strip: Index, low: Array, high: Array) -> tuple[Array, Mask]:
        """The top between two places of each strip by Newton's method, (k,), and where it settled.

        Sought are the depth s and the x at which the distance from the surface and the normal's part
        along `inward` are both nought.
        """
        core, along, inward = self.piece.core, self.walls.along, self.walls.inward[strip]
        s, expected = _cubic_top(low, high)
        x = expected
        skin = self.walls.skin[strip]
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            for _ in range(_NEWTON):
                at = core.skin(skin + s[:, None] * inward + x[:, None] * along)
                aside, ahead = at.along_normal(inward), at.along_normal(along)
                near = (np.abs(at.off) < 1e-8) & (np.abs(aside) < 1e-6)
                if near.all():
                    break
                down, turned = at.turnings(inward, along)
                determinant = aside * turned - ahead * down
                s = s + (ahead * aside - at.off * turned) / determinant
                x = x + (at.off * down - aside * aside) / determinant
            points = skin + s[:, None] * inward + x[:, None] * along
            good = near & (ahead > 0.0) & (s >= low[0]) & (s <= high[0])
            good &= (np.abs(x - expected) < _NEAR_CUBIC) & (x >= np.fmax(low[1], high[1]) - GAIN)
            for plane in self.piece.planes:
                good &= plane.distance(points) <= TOUCH
        return np.where(good, x, np.nan), good

    def _tops(self, strip: Index, low: Array, high: Array) -> Array:
        """The top between two places of each strip, (k,); `low` and `high` have rows s, x, slope, (3, k)."""
        best = np.fmax(low[1], high[1])
        live = np.arange(len(strip))
        for step in range(_STEPS):
            a, b = low[:, live], high[:, live]
            s, expected = _cubic_top(a, b) if step % 3 < 2 else ((a[0] + b[0]) / 2.0, a[1] * np.nan)
            x, slope = self._at(strip[live], s)
            middle = np.array((s, x, slope))
            # A miss, or a lower place on the far side of a step, takes the lower end's place.
            lower = np.isnan(x) | (x < np.fmax(a[1], b[1]) - GAIN)
            up = np.where(lower, np.isnan(a[1]) | (a[1] < b[1]), slope > 0.0)
            low[:, live[up]], high[:, live[~up]] = middle[:, up], middle[:, ~up]
            best[live] = np.fmax(best[live], x)
            gain = _to_gain(low[:, live], high[:, live], slope, np.abs(x - expected) < 10.0 * GAIN)
            live = live[(lower | (gain > GAIN)) & (b[0] - a[0] > 1e-9)]
            if not len(live):
                break
        return np.asarray(best)


def _between(x0: Array, slope0: Array, x1: Array, slope1: Array) -> Mask:
    """Whether a top lies between two places: the line rises from the one and falls to the other,
    or rises from the higher; a miss counts as lower than anything."""
    miss0, miss1 = np.isnan(x0), np.isnan(x1)
    rises = miss0 | (slope0 > 0.0)
    falls = miss1 | (slope1 < 0.0)
    step = (~miss0 & (slope0 > 0.0) & (x1 < x0)) | (~miss1 & (slope1 < 0.0) & (x0 < x1))
    return np.asarray(((rises & falls) | step) & ~(miss0 & miss1))


def _cubic_top(a: Array, b: Array) -> tuple[Array, Array]:
    """(s, x) of the top of the cubic through both ends and along their slopes, kept off the ends;
    the middle, and nan, where there is no such cubic."""
    room = b[0] - a[0]
    with np.errstate(divide="ignore", invalid="ignore"):
        rise, fall, step = a[2] * room, b[2] * room, b[1] - a[1]
        square, cube = 3.0 * step - 2.0 * rise - fall, rise + fall - 2.0 * step
        t = rise / (np.sqrt(square * square - 3.0 * cube * rise) - square)
        there = np.isfinite(t) & (rise > 0.0) & (fall < 0.0)
        t = np.clip(np.where(there, t, 0.5), 0.02, 0.98)
        x = a[1] + ((cube * t + square) * t + rise) * t
    return a[0] + t * room, np.where(there, x, np.nan)


def _to_gain(a: Array, b: Array, slope: Array, smooth: Mask) -> Array:
    """What may still be gained between two places, of which one, with that slope, was reached
    last: the slope times the room, or, where the line is smooth, times the way to a slope of nought."""
    steep, room = np.abs(slope), b[0] - a[0]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(smooth & (a[2] > 0.0) & (b[2] < 0.0), steep / (a[2] - b[2]), 1.0)
    return np.asarray(steep * room * share)


@dataclass(frozen=True, eq=False)
class Elbow:
    """A bend of a tube, filled up: from `centre` + `start` round the unit `axis` by `angle` rad.

    `start` (3,) reaches from the bend's centre to the middle of the section where the bend
    begins, so its length is the centreline radius.  The section is 2 `across` mm wide along
    `start` and 2 `up` mm along `axis`, with corners of `corner` mm: all three alike for a round one.
    """

    centre: Array
    axis: Array
    start: Array
    angle: float
    across: float
    up: float
    corner: float

    @cached_property
    def radius(self) -> float:
        """Of the centreline, mm."""
        return float(np.linalg.norm(self.start))

    def turned(self, angle: float) -> Array:
        """`start` turned about the axis, (3,) mm.

        Args:
            angle: rad.
        """
        return np.asarray(math.cos(angle) * self.start + math.sin(angle) * np.cross(self.axis, self.start))

    def along(self, angle: float) -> Array:
        """Unit direction of the tube, (3,).

        Args:
            angle: on from the bend's beginning, rad.
        """
        return np.cross(self.axis, self.turned(angle)) / self.radius

    def pieces(self) -> tuple[SolidPiece, ...]:
        """Toroids cut off at planes, of half a turn at most each."""
        return self._pieces

    @cached_property
    def _pieces(self) -> tuple[SolidPiece, ...]:
        # Two half-spaces hold a bend of half a turn at most.
        count = max(1, math.ceil(self.angle / math.pi - 1e-9))
        limits = np.linspace(0.0, self.angle, count + 1)
        hoop = Toroid(self.centre, unit(self.axis), self.radius, self.across, self.up, self.corner)
        return tuple(
            Curved(hoop, (HalfSpace.at(self.centre, -self.along(first)), HalfSpace.at(self.centre, self.along(last))))
            for first, last in pairwise(limits.tolist())
        )

    def grown(self, by: float) -> Elbow:
        """Its skin moved out; where it begins and ends stays.

        Args:
            by: mm.
        """
        return replace(self, across=self.across + by, up=self.up + by, corner=self.corner + by)

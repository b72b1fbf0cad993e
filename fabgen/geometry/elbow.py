"""The bend of a tube as a solid: a round or rounded rectangular section carried round a circle.

A round section makes a part of a torus; a rectangular one the union of two flat rings (a
rectangle with its corners left off, one way and the other) and of four thin tori, its corners.
All are cut off at the planes square to the tube where the bend begins and ends.

None of these is convex, so that a strip of wall can meet one in two places, and its point of
greatest x has no closed form; along a line it has one (`rings.py`).  Over the depth s of the wall,
greatest x is a function g(s) whose slope the surface's normal n tells:
g' = -(n . inward) / (n . along).  It is looked at every r / 8 or closer, and wherever a top lies
between two such places it is sought by cubics through them, until what is left to gain is under
`GAIN`.  What that may miss is a bite of the main's skin that lies between two places and is met at
neither: no deeper than (r / 8)^2 / (8 r) = r / 512.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from fabgen.geometry.frame import unit
from fabgen.geometry.rings import Core, FlatRing, Ring
from fabgen.geometry.solids import TOUCH, Array, HalfSpace, Piece, Walls

Mask = NDArray[np.bool_]
Index = NDArray[np.int64]

GAIN = 1e-6
"""A top of a wall's line is sought until no more than this is to be gained, mm, by its slopes; tests
hold it within 1e-4."""

_PLACES = 8.0
"""Places looked at over each r of the wall's depth."""

_ROUNDING = 1e-3
"""A root of a quartic lies nearer than this to the true one, mm."""

_STEPS = 40
"""More steps than any search needs: each halves its room at the least every second time."""


@dataclass(frozen=True, eq=False)
class Curved:
    """The part of a ring inside some half-spaces."""

    core: Core
    planes: tuple[HalfSpace, ...]

    def pieces(self) -> tuple[Piece, ...]:
        return (self,)

    def trimmed(self, by: tuple[HalfSpace, ...]) -> Curved:
        return replace(self, planes=self.planes + by)

    def distance(self, points: Array) -> Array:
        return np.asarray(np.max([self.core.distance(points), *(p.distance(points) for p in self.planes)], axis=0))

    def greatest(self, walls: Walls) -> Array:
        """Greatest x, (n,) mm, at which each strip has a point in it; nan where it has none."""
        found = np.full(len(walls.depth), np.nan)
        near = self._near(walls)
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
        """(x, slope), (n,) each: greatest x of lines, and its change with the depth of the wall."""
        x = self.core.meets(origins, along)
        count = len(x)
        with np.errstate(divide="ignore", invalid="ignore"):
            if self.planes:
                slopes, bases = self._normals @ along, self._normals @ origins.T - self._levels
                steep = np.abs(slopes) > 1e-12
                ends = -bases[steep] / slopes[steep, None]
                inside = self.core.distance(origins + ends[..., None] * along) <= TOUCH
                x = np.concatenate((x, np.where(inside, ends, np.nan)))
                for base, slope in zip(bases, slopes, strict=True):
                    x[base + slope * x > TOUCH] = np.nan
            which = np.where(np.isnan(x), -np.inf, x).argmax(axis=0)
            best = x[which, np.arange(x.shape[1])]
            points = origins + best[:, None] * along
            normal = self.core.normals(points)
            # The last figures of a root, by one of Newton's steps on the distance.
            step = self.core.distance(points) / (normal @ along)
            best = best - np.where((which < count) & (np.abs(step) < _ROUNDING), step, 0.0)
            if self.planes:
                for i, plane in enumerate(plane for plane, kept in zip(self.planes, steep, strict=True) if kept):
                    normal[which == count + i] = plane.normal
            return best, -np.einsum("ij,ij->i", normal, inward) / (normal @ along)

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
            np.fmax.at(best, strip, self._tops(strip, low, high))
        return best

    def _at(self, strip: Index, s: Array) -> tuple[Array, Array]:
        walls = self.walls
        inward = walls.inward[strip]
        return self.piece.top(walls.skin[strip] + s[:, None] * inward, inward, walls.along)

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
        """`start` turned about the axis by `angle` rad, (3,)."""
        return np.asarray(math.cos(angle) * self.start + math.sin(angle) * np.cross(self.axis, self.start))

    def along(self, angle: float) -> Array:
        """Unit direction of the tube `angle` rad on from the bend's beginning."""
        return np.cross(self.axis, self.turned(angle)) / self.radius

    def pieces(self) -> tuple[Piece, ...]:
        return self._pieces

    @cached_property
    def _pieces(self) -> tuple[Piece, ...]:
        # Two half-spaces hold a bend of half a turn at most.
        count = max(1, math.ceil(self.angle / math.pi - 1e-9))
        limits = np.linspace(0.0, self.angle, count + 1)
        found: list[Piece] = []
        for first, last in pairwise(limits.tolist()):
            ends = (HalfSpace.at(self.centre, -self.along(first)), HalfSpace.at(self.centre, self.along(last)))
            found += [Curved(core, ends) for core in self._cores()]
        return tuple(found)

    def grown(self, by: float) -> Elbow:
        """Its skin moved out; where it begins and ends stays."""
        return replace(self, across=self.across + by, up=self.up + by, corner=self.corner + by)

    def _cores(self) -> list[Core]:
        a, b, c, big = self.across, self.up, self.corner, self.radius
        flat, side = a - c, b - c
        cores: list[Core] = []
        if side > 0.0 or c <= 0.0:
            cores.append(FlatRing(self.centre, self.axis, max(0.0, big - a), big + a, side))
        if flat > 0.0 and c > 0.0:
            cores.append(FlatRing(self.centre, self.axis, max(0.0, big - flat), big + flat, b))
        if c > 0.0:
            for i in (1.0, -1.0) if flat > 0.0 else (0.0,):
                for j in (1.0, -1.0) if side > 0.0 else (0.0,):
                    cores.append(Ring(self.centre + j * side * unit(self.axis), self.axis, big + i * flat, c))
        return cores

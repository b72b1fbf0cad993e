"""First contact: where the wall of a tube, followed back from its free end, meets a solid.

One general mechanism serves every cope.  The wall of the branch at one place round its
outside is a flat *strip*: it starts on the outside skin line, goes square inward through the
wall, and runs along the tube.  A point of it is

    P(s, x) = skin + s * inward + x * along,        0 <= s <= depth,

with s the depth below the skin and x the position along the tube, mm.  The cut at that place
is the *greatest* x at which some point of the strip lies in the solid: metal on the
greater-x side is clear of it.  With depth 0 this is the outside skin line alone.

A solid is a union of convex pieces, each the common part of half-spaces and of at most one
round bar (an infinite cylinder); a rounded prism, for example, is two boxes and four corner
bars.  Greatest over a union is the greatest of the pieces, so one piece is all there is to
solve, and that in closed form.  In the strip's plane each half-space n . P <= c is a line

    (n . inward) s + (n . along) x + (n . skin - c) <= 0,

the edges of the wall are the lines s = 0 and s = depth, and the bar (a point q of its axis,
unit direction a, radius R) is an ellipse: with v' for v less its part along a,

    | (skin - q)' + s inward' + x along' |^2 - R^2 <= 0.

The piece's part of the strip is convex, so its point of greatest x is one of these, and the
greatest of those that lie in all the others is the answer:

* the ellipse's own top, where the derivative along s is nought.  With m the unit vector
  a x inward (square to the axis and to the wall), the curve there has m . P' = +-R, so
  x = (R / |m . along|) - (m . (skin - q)) / (m . along);
* a line's crossing with the ellipse: a quadratic in the position along that line;
* two lines' crossing.

For a round branch (radius r, angle alpha, offset e, place phi) on a round main of radius R
the crossing with s = 0 reads x = (r cos phi cos alpha + sqrt(R^2 - (r sin phi - e)^2)) / sin
alpha, and the top lies where u = r' sin phi - e satisfies u / sqrt(R^2 - u^2) = cos phi cos
alpha / sin phi for some radius r' in the wall: the well-known intersection of two cylinders
(e.g. any text on descriptive geometry; derived anew and tested against bisection and solid
booleans in tests/validation).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fabgen.geometry.frame import Frame, unit

Array = NDArray[np.float64]

TOUCH = 1e-7
"""Points this near a surface count as on it, mm: rounding, not a shop tolerance."""


@dataclass(frozen=True, eq=False)
class Walls:
    """Strips of wall: `skin` points (n, 3) and unit `inward` (n, 3), `depth` (n,) mm, and the
    unit direction `along` (3,) of them all, to which every `inward` is square."""

    skin: Array
    inward: Array
    depth: Array
    along: Array

    def outer(self) -> Walls:
        """The outside skin lines alone."""
        return Walls(self.skin, self.inward, np.zeros_like(self.depth), self.along)

    @staticmethod
    def lines(points: Array, along: Array) -> Walls:
        """Bare lines through `points` (n, 3) in unit direction `along`."""
        return Walls(points, np.zeros_like(points), np.zeros(len(points)), along)


@dataclass(frozen=True, eq=False)
class HalfSpace:
    """All points with normal . P <= level; `normal` is the unit outward normal."""

    normal: Array
    level: float

    @staticmethod
    def at(point: Array, outward: Array) -> HalfSpace:
        """Bounded by the plane through `point`, whose outward normal is along `outward`."""
        normal = unit(outward)
        return HalfSpace(normal, float(normal @ point))

    def pieces(self) -> tuple[Convex, ...]:
        return (Convex(None, (self,)),)

    def distance(self, points: Array) -> Array:
        """Signed distance of points (..., 3), mm, negative inside."""
        return np.asarray(points @ self.normal - self.level)


@dataclass(frozen=True, eq=False)
class Bar:
    """An infinite round bar: a point of its axis, its unit direction, its radius, mm."""

    origin: Array
    axis: Array
    radius: float

    def pieces(self) -> tuple[Convex, ...]:
        return (Convex(self, ()),)

    def distance(self, points: Array) -> Array:
        """Signed distance of points (..., 3), mm, negative inside."""
        away = points - self.origin
        away = away - (away @ self.axis)[..., None] * self.axis
        return np.asarray(np.linalg.norm(away, axis=-1) - self.radius)


@dataclass(frozen=True, eq=False)
class Slab:
    """A plate of no bounds: between two planes `thickness` mm apart, centred on `centre`."""

    centre: Array
    normal: Array
    thickness: float

    def pieces(self) -> tuple[Convex, ...]:
        half = self.normal * (self.thickness / 2.0)
        return (
            Convex(
                None,
                (HalfSpace.at(self.centre + half, self.normal), HalfSpace.at(self.centre - half, -self.normal)),
            ),
        )


@dataclass(frozen=True, eq=False)
class RoundedPrism:
    """A rounded rectangle swept without end along `frame.x`: `width` along frame.y, `depth`
    along frame.z, corners of radius `corner`, mm."""

    frame: Frame
    width: float
    depth: float
    corner: float = 0.0

    def pieces(self) -> tuple[Convex, ...]:
        a, b, r = self.width / 2.0, self.depth / 2.0, self.corner
        if r <= 0.0:
            return (self._box(a, b),)
        bars = tuple(
            Convex(Bar(self.frame.outside(np.array([0.0, i * (a - r), j * (b - r)])), self.frame.x, r), ())
            for i in (1.0, -1.0)
            for j in (1.0, -1.0)
        )
        return (self._box(a - r, b), self._box(a, b - r), *bars)

    def _box(self, a: float, b: float) -> Convex:
        f = self.frame
        sides = ((f.y, a), (-f.y, a), (f.z, b), (-f.z, b))
        return Convex(None, tuple(HalfSpace(n, float(n @ f.origin) + half) for n, half in sides))


@dataclass(frozen=True, eq=False)
class Trimmed:
    """Any solid, cut back to the inside of some half-spaces."""

    solid: Solid
    by: tuple[HalfSpace, ...]

    def pieces(self) -> tuple[Convex, ...]:
        return tuple(Convex(piece.bar, piece.planes + self.by) for piece in self.solid.pieces())


@dataclass(frozen=True, eq=False)
class Convex:
    """The common part of half-spaces and of at most one round bar."""

    bar: Bar | None
    planes: tuple[HalfSpace, ...]

    def pieces(self) -> tuple[Convex, ...]:
        return (self,)

    @property
    def cast(self) -> bytes:
        """The same for pieces that differ only in where their bar and planes lie."""
        bar = b"" if self.bar is None else self.bar.axis.tobytes() + np.float64(self.bar.radius).tobytes()
        return bar + b"".join(plane.normal.tobytes() for plane in self.planes)

    def distance(self, points: Array) -> Array:
        """The greatest of the parts' signed distances of points (..., 3): negative inside, and
        outside never more than the true distance."""
        parts = [plane.distance(points) for plane in self.planes]
        if self.bar is not None:
            parts.append(self.bar.distance(points))
        return np.asarray(np.max(parts, axis=0))


Solid = HalfSpace | Bar | Slab | RoundedPrism | Trimmed | Convex


def greatest(solid: Solid, walls: Walls) -> Array:
    """Greatest x, (n,) mm, at which each strip of wall has a point in the solid; nan where it
    has none.  Raises ValueError when the solid has no end in that direction."""
    alike: dict[bytes, list[Convex]] = {}
    for piece in solid.pieces():
        alike.setdefault(piece.cast, []).append(piece)
    return union([_greatest(group, walls) for group in alike.values()])


def least(solid: Solid, walls: Walls) -> Array:
    """Least x, (n,) mm, of the same; nan where the strip misses."""
    return -greatest(solid, Walls(walls.skin, walls.inward, walls.depth, -walls.along))


def union(lines: Sequence[Array]) -> Array:
    """The greatest of several lines place by place, counting nan as a miss."""
    return np.asarray(np.fmax.reduce(lines))


def distance(solid: Solid, points: Array) -> Array:
    """Signed distance of points (..., 3) from the solid, mm: negative inside.  Near an edge
    and outside, it may be less than the true distance."""
    return np.asarray(np.min([piece.distance(points) for piece in solid.pieces()], axis=0))


# -- convex pieces --------------------------------------------------------------
def _greatest(alike: Sequence[Convex], walls: Walls) -> Array:
    """Greatest x over convex pieces of one cast, all worked at once: k pieces are k n strips."""
    k, n = len(alike), len(walls.depth)
    lines = _lines(alike, walls)
    bars = [piece.bar for piece in alike if piece.bar is not None]
    if not bars and not (lines[1] > 1e-9).any():
        raise ValueError("the solid has no end in the direction of the lines")
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        candidates = _line_crossings(lines)
        if bars:
            ellipse = _Ellipse.of(bars, walls)
            candidates += [ellipse.crossings(lines), ellipse.top()]
        s = np.concatenate([c[0] for c in candidates])
        x = np.concatenate([c[1] for c in candidates])
        good = np.isfinite(x) & np.isfinite(s)
        for a, b, c in zip(*lines, strict=True):
            good &= a * s + b * x + c <= TOUCH
        if bars:
            good &= ellipse.value(s, x) <= 2.0 * ellipse.radius * TOUCH
        found = np.where(good, x, -np.inf).reshape(-1, k, n).max(axis=(0, 1))
    return np.where(np.isneginf(found), np.nan, found)


Lines = tuple[Array, Array, Array]
"""Coefficients a, b, c of lines a s + b x + c <= 0, each (lines, k n)."""


def _lines(alike: Sequence[Convex], walls: Walls) -> Lines:
    """The wall's two edges, then the planes."""
    k, n = len(alike), len(walls.depth)
    one, nought = np.ones(k * n), np.zeros(k * n)
    a, b, c = [-one, one], [nought, nought], [nought, -np.tile(walls.depth, k)]
    for planes in zip(*(piece.planes for piece in alike), strict=True):
        normal = planes[0].normal
        a.append(np.tile(walls.inward @ normal, k))
        b.append(np.full(k * n, walls.along @ normal))
        skin = walls.skin @ normal
        c.append(np.concatenate([skin - plane.level for plane in planes]))
    return np.array(a), np.array(b), np.array(c)


def _line_crossings(lines: Lines) -> list[tuple[Array, Array]]:
    """(s, x), each (pairs, k n), of lines' crossings.  One of two lines that cross at a point
    of greatest x bounds x from above (b > 0); b is the same for all strips."""
    a, b, c = lines
    upper = [i for i in range(len(b)) if b[i, 0] > 0.0]
    pairs = [(i, j) for i in upper for j in range(len(b)) if j not in upper or j > i]
    if not pairs:
        return []
    i, j = np.array(pairs).T
    det = a[i] * b[j] - a[j] * b[i]
    return [((b[i] * c[j] - b[j] * c[i]) / det, (c[i] * a[j] - c[j] * a[i]) / det)]


@dataclass(frozen=True, eq=False)
class _Ellipse:
    """Bars alike, cut by the strips: xx x^2 + 2 sx s x + ss s^2 + 2 x1 x + 2 s1 s + c <= 0.

    `start` + `speed` x is the distance from the bar's axis, measured square to it and to the
    wall, of the places at x; at the ellipse's top it is the radius, one way or the other.
    """

    radius: float
    xx: float
    sx: Array
    ss: Array
    x1: Array
    s1: Array
    c: Array
    start: Array
    speed: Array

    @staticmethod
    def of(bars: Sequence[Bar], walls: Walls) -> _Ellipse:
        axis, k = bars[0].axis, len(bars)
        along = walls.along - (walls.along @ axis) * axis
        inward = walls.inward - (walls.inward @ axis)[:, None] * axis
        skin = np.concatenate([walls.skin - bar.origin for bar in bars])
        skin = skin - (skin @ axis)[:, None] * axis
        ss = (inward * inward).sum(axis=1)
        turn = np.array([[0.0, axis[2], -axis[1]], [-axis[2], 0.0, axis[0]], [axis[1], -axis[0], 0.0]])
        across = walls.inward @ turn / np.sqrt(ss)[:, None]  # axis x inward
        inward, every = np.tile(inward, (k, 1)), np.tile(across, (k, 1))
        return _Ellipse(
            radius=bars[0].radius,
            xx=float(along @ along),
            sx=inward @ along,
            ss=np.tile(ss, k),
            x1=skin @ along,
            s1=(skin * inward).sum(axis=1),
            c=(skin * skin).sum(axis=1) - bars[0].radius ** 2,
            start=(skin * every).sum(axis=1),
            speed=every @ walls.along,
        )

    def value(self, s: Array, x: Array) -> Array:
        """The left side of the inequality at places (..., k n)."""
        return np.asarray(
            (self.xx * x + 2.0 * (self.sx * s + self.x1)) * x + (self.ss * s + 2.0 * self.s1) * s + self.c
        )

    def top(self) -> tuple[Array, Array]:
        """(s, x) of the ellipse's point of greatest x, each (1, k n); nan where it has none."""
        x = self.radius / np.abs(self.speed) - self.start / self.speed
        s = -(self.s1 + self.sx * x) / self.ss
        return s[None, :], x[None, :]

    def crossings(self, lines: Lines) -> tuple[Array, Array]:
        """(s, x), each (lines, k n), of the point of greater x where each line meets the ellipse."""
        a, b, c = lines
        norm = np.hypot(a, b)
        # From the line's point nearest (0, 0), unit steps t along it.
        s0, x0 = -c * a / norm**2, -c * b / norm**2
        ds, dx = -b / norm, a / norm
        t2 = self.xx * dx * dx + 2.0 * self.sx * ds * dx + self.ss * ds * ds
        t1 = self.xx * x0 * dx + self.sx * (s0 * dx + x0 * ds) + self.ss * s0 * ds + self.x1 * dx + self.s1 * ds
        inside = t1 * t1 - t2 * self.value(s0, x0)
        # A line that just grazes the bar counts as touching it: equal tubes at 90 degrees do.
        grazing = (inside < 0.0) & (inside > -2.0 * self.radius * TOUCH * t2)
        root = np.sqrt(np.where(grazing, 0.0, inside))
        t = (np.copysign(root, dx) - t1) / t2
        return s0 + t * ds, x0 + t * dx

"""Solids that tubes are made of, each a union of pieces that first contact (`contact.py`) can solve.

A piece is convex, the common part of half-spaces and of at most one round bar, or curved, a part
of a ring (`elbow.py`).  A rounded prism, for example, is two boxes and four corner bars.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from fabgen.geometry.space.frame import Array, Frame, unit

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

    def inner(self) -> Walls:
        """The lines of the wall's inside alone."""
        skin = self.skin + self.depth[:, np.newaxis] * self.inward
        return Walls(skin, self.inward, np.zeros_like(self.depth), self.along)

    @staticmethod
    def lines(points: Array, along: Array) -> Walls:
        """Bare lines without depth.

        Args:
            points: a point of each, (n, 3), mm.
            along: their unit direction, (3,).
        """
        return Walls(points, np.zeros_like(points), np.zeros(len(points)), along)


class SolidPiece(Protocol):
    """One of the pieces whose union a solid is."""

    def trimmed(self, by: tuple[HalfSpace, ...]) -> SolidPiece:
        """The part of it inside all the half-spaces.

        Args:
            by: the half-spaces.
        """
        ...

    def distance(self, points: Array) -> Array:
        """Signed distance, mm, negative inside; outside never more than the true one.

        Args:
            points: (..., 3), mm.
        """
        ...


class Solid(Protocol):
    """A union of pieces."""

    def pieces(self) -> tuple[SolidPiece, ...]:
        """The pieces whose union it is."""
        ...

    def grown(self, by: float) -> Solid:
        """All points near it; each solid says where that is not meant to the letter.

        Args:
            by: within so many mm.
        """
        ...


@dataclass(frozen=True, eq=False)
class HalfSpace:
    """All points with normal . P <= level; `normal` is the unit outward normal."""

    normal: Array
    level: float

    @staticmethod
    def at(point: Array, outward: Array) -> HalfSpace:
        """Bounded by the plane through a point.

        Args:
            point: (3,), mm.
            outward: along the outward normal, (3,), of any length.
        """
        normal = unit(outward)
        return HalfSpace(normal, float(normal @ point))

    def pieces(self) -> tuple[SolidPiece, ...]:
        """One convex piece."""
        return (Convex(None, (self,)),)

    def grown(self, by: float) -> HalfSpace:
        """Its plane moved out.

        Args:
            by: mm.
        """
        return HalfSpace(self.normal, self.level + by)

    def distance(self, points: Array) -> Array:
        """Signed distance, mm, negative inside.

        Args:
            points: (..., 3), mm.
        """
        return np.asarray(points @ self.normal - self.level)


@dataclass(frozen=True, eq=False)
class RoundBar:
    """An infinite round bar: a point of its axis, its unit direction, its radius, mm."""

    origin: Array
    axis: Array
    radius: float

    def pieces(self) -> tuple[SolidPiece, ...]:
        """One convex piece."""
        return (Convex(self, ()),)

    def grown(self, by: float) -> RoundBar:
        """Of greater radius.

        Args:
            by: mm.
        """
        return replace(self, radius=self.radius + by)

    def distance(self, points: Array) -> Array:
        """Signed distance, mm, negative inside.

        Args:
            points: (..., 3), mm.
        """
        away = points - self.origin
        away = away - (away @ self.axis)[..., None] * self.axis
        return np.asarray(np.linalg.norm(away, axis=-1) - self.radius)


@dataclass(frozen=True, eq=False)
class Slab:
    """A plate of no bounds: between two planes `thickness` mm apart, centred on `centre`."""

    centre: Array
    normal: Array
    thickness: float

    def pieces(self) -> tuple[SolidPiece, ...]:
        """One convex piece."""
        half = self.normal * (self.thickness / 2.0)
        faces = (HalfSpace.at(self.centre + half, self.normal), HalfSpace.at(self.centre - half, -self.normal))
        return (Convex(None, faces),)

    def grown(self, by: float) -> Slab:
        """Both faces moved out.

        Args:
            by: mm.
        """
        return replace(self, thickness=self.thickness + 2.0 * by)


@dataclass(frozen=True, eq=False)
class RoundedPrism:
    """A rounded rectangle swept without end along `frame.x`: `width` along frame.y, `depth`
    along frame.z, corners of radius `corner`, mm."""

    frame: Frame
    width: float
    depth: float
    corner: float = 0.0

    def pieces(self) -> tuple[SolidPiece, ...]:
        """Two boxes and four corner bars; one box where the corners are sharp."""
        a, b, r = self.width / 2.0, self.depth / 2.0, self.corner
        if r <= 0.0:
            return (self._box(a, b),)
        bars = tuple(
            Convex(RoundBar(self.frame.outside(np.array([0.0, i * (a - r), j * (b - r)])), self.frame.x, r), ())
            for i in (1.0, -1.0)
            for j in (1.0, -1.0)
        )
        return (self._box(a - r, b), self._box(a, b - r), *bars)

    def grown(self, by: float) -> RoundedPrism:
        """Its faces moved out; a sharp corner grows to one of radius `by`.

        Args:
            by: mm.
        """
        return RoundedPrism(self.frame, self.width + 2.0 * by, self.depth + 2.0 * by, self.corner + by)

    def _box(self, a: float, b: float) -> Convex:
        f = self.frame
        sides = ((f.y, a), (-f.y, a), (f.z, b), (-f.z, b))
        return Convex(None, tuple(HalfSpace(n, float(n @ f.origin) + half) for n, half in sides))


@dataclass(frozen=True, eq=False)
class Trimmed:
    """Any solid, cut back to the inside of some half-spaces."""

    solid: Solid
    by: tuple[HalfSpace, ...]

    def pieces(self) -> tuple[SolidPiece, ...]:
        """Those of the solid, each cut back."""
        return tuple(piece.trimmed(self.by) for piece in self.solid.pieces())

    def grown(self, by: float) -> Trimmed:
        """Grown where it has its own surface; the faces it is cut back to stay where they are.

        Args:
            by: mm.
        """
        return Trimmed(self.solid.grown(by), self.by)


@dataclass(frozen=True, eq=False)
class Union:
    """Several solids as one."""

    parts: tuple[Solid, ...]

    def pieces(self) -> tuple[SolidPiece, ...]:
        """Those of all its parts."""
        return tuple(piece for part in self.parts for piece in part.pieces())

    def grown(self, by: float) -> Union:
        """Every part grown.

        Args:
            by: mm.
        """
        return Union(tuple(part.grown(by) for part in self.parts))


@dataclass(frozen=True, eq=False)
class Convex:
    """The common part of half-spaces and of at most one round bar."""

    bar: RoundBar | None
    planes: tuple[HalfSpace, ...]

    def pieces(self) -> tuple[SolidPiece, ...]:
        """Itself."""
        return (self,)

    def trimmed(self, by: tuple[HalfSpace, ...]) -> Convex:
        """The part of it inside further half-spaces.

        Args:
            by: the half-spaces.
        """
        return Convex(self.bar, self.planes + by)

    def grown(self, by: float) -> Convex:
        """Every surface moved out, so that sharp edges stay sharp.

        Args:
            by: mm.
        """
        bar = None if self.bar is None else self.bar.grown(by)
        return Convex(bar, tuple(plane.grown(by) for plane in self.planes))

    @property
    def cast(self) -> bytes:
        """The same for pieces that differ only in where their bar and planes lie."""
        bar = b"" if self.bar is None else self.bar.axis.tobytes() + np.float64(self.bar.radius).tobytes()
        return bar + b"".join(plane.normal.tobytes() for plane in self.planes)

    def distance(self, points: Array) -> Array:
        """The greatest of its parts' signed distances, mm: negative inside, and outside never more than the true one.

        Args:
            points: (..., 3), mm.
        """
        parts = [plane.distance(points) for plane in self.planes]
        if self.bar is not None:
            parts.append(self.bar.distance(points))
        return np.asarray(np.max(parts, axis=0))


def distance(solid: Solid, points: Array) -> Array:
    """Signed distance from the solid, mm: negative inside; near an edge and outside it may be less than the true one.

    Args:
        solid: a union of pieces.
        points: (..., 3), mm.
    """
    return np.asarray(np.min([piece.distance(points) for piece in solid.pieces()], axis=0))


_STEP = 1e-4
"""Of a central difference, mm to either side: far above rounding, far below any radius in the shop."""


def outward_normals(solid: Solid, points: Array) -> Array:
    """Unit outward normals of a solid's surface, (n, 3).

    The gradient of the signed distance, by central differences along the three axes: within 1e-7 on planes
    and round bars, and within 2e-5 where a flat face runs into a corner of 3 mm radius or more.  On a sharp
    edge it is that of one face or lies between the two.  It needs the distance only, so any solid will do.

    Args:
        solid: a union of pieces.
        points: on its surface, (n, 3), mm.
    """
    shifts = _STEP * np.eye(3)
    gradient = np.stack([distance(solid, points + step) - distance(solid, points - step) for step in shifts], axis=-1)
    length = np.linalg.norm(gradient, axis=-1, keepdims=True)
    return np.asarray(np.divide(gradient, length, out=np.zeros_like(gradient), where=length > 0.0))

"""Whatever can lie over an opening of a tube: its surface in space, as one sees it from the opening."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from fabgen.geometry.sheet.folded import placed_faces
from fabgen.geometry.space.frame import Array, Frame
from fabgen.parts.piece import FlatPart, LengthPart, LinkPart, Piece, ProfilePart
from fabgen.parts.shape.bodies.length_body import tube_body
from fabgen.parts.shape.profiles import profile_body
from fabgen.parts.shape.sheet_body import fold_tree_of, sheet_body

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

_LOOKS = math.cos(math.radians(25.0))
_TOLERANCE = 0.01
"""Chords of holes and bends stay this near to the true shape, mm."""
_BEND = 3.0
"""A bend stands out past the boxes of its faces by no more than so many times the thickness."""
_TURN = 0.1
"""A bent tube's box is that of places so far apart in its bends, rad."""


@dataclass(frozen=True, eq=False)
class Mouth:
    """An opening: its `rim` (n, 3), and a `frame` with x out of it."""

    rim: Array
    frame: Frame

    def seen(self, points: Array) -> Array:
        """Points (…, 3) as one sees them along x, (…, 2)."""
        return np.asarray((points - self.frame.origin) @ np.array([self.frame.y, self.frame.z]).T)

    @cached_property
    def reach(self) -> float:
        """From its origin to its rim at most, mm."""
        return float(np.linalg.norm(self.rim - self.frame.origin, axis=1).max())


@dataclass(frozen=True, eq=False)
class Lid:
    """A part that may lie over openings, where one of its places has it.

    Args:
        piece: the part.
        place: where its body stands; None of what is given in space.
    """

    piece: Piece
    place: Frame | None = None

    @property
    def mark(self) -> str:
        return self.piece.mark

    @property
    def thickness(self) -> float:
        """How far it puts an opening on that goes on through a hole of it, mm."""
        return self.piece.thickness

    @property
    def can_be_let_in(self) -> bool:
        """Whether it can lie in a tube and close that: sheet and solid bar can."""
        part = self.piece.shape
        return isinstance(part, FlatPart) or (isinstance(part, LengthPart) and part.section.is_solid)

    def is_near(self, mouth: Mouth, within: float) -> bool:
        """Whether it may come so near to a mouth, mm."""
        if not self.may_reach(mouth):
            return False
        reach, at = mouth.reach + within, mouth.frame.origin
        low, high = self._bounds if isinstance(self.piece.shape, FlatPart) else self._rough
        return bool((at >= low - reach).all() and (at <= high + reach).all())

    def may_reach(self, mouth: Mouth) -> bool:
        """Whether a sheet part is large enough to reach so far from its place; spares making its body."""
        part = self.piece.shape
        if not isinstance(part, FlatPart) or self.place is None:
            return True
        # No part is longer than its flat.
        return float(np.linalg.norm(mouth.rim - self.place.origin, axis=1).min()) <= 2.0 * sum(part.size)

    def lying(self, mouth: Mouth, low: float, high: float) -> BaseGeometry | None:
        """What of its surface looks into a mouth and lies near its rim, as one sees it along the mouth's x.

        Args:
            low, high: from where to where that is, mm out from the rim; below 0 inside it.
        Returns: None where nothing does.
        """
        import shapely

        corners, normals = self._surface
        looks = normals @ mouth.frame.x < -_LOOKS
        corners, normals = corners[looks], normals[looks]
        heights = np.einsum("tk,tpk->tp", normals, mouth.rim[np.newaxis] - corners[:, :1])
        near = ((heights >= low) & (heights <= high + self._rubber)).any(axis=1)
        if not near.any():
            return None
        lying = shapely.union_all(shapely.polygons(mouth.seen(corners[near])), grid_size=1e-6)
        for rim in self._holes:
            out = (rim - mouth.rim.mean(axis=0)) @ mouth.frame.x
            if out.max() >= low and out.min() <= high:
                lying = lying.difference(shapely.Polygon(mouth.seen(rim)).buffer(0.0))
        return lying

    @property
    def _rubber(self) -> float:
        part = self.piece.shape
        return part.band.rubber if isinstance(part, FlatPart) and part.band is not None else 0.0

    @property
    def _holes(self) -> Iterator[Array]:
        """The rims of holes that its surface does not show."""
        part = self.piece.shape
        if isinstance(part, LengthPart):
            for hole in part.drilled:
                yield hole.skin.at(hole.edge.station, hole.edge.along)

    @cached_property
    def _rough(self) -> tuple[Array, Array]:
        """A box that holds a length."""
        part = self.piece.shape
        assert isinstance(part, LengthPart | ProfilePart)
        if isinstance(part, ProfilePart):
            return self._bounds
        points = [end.frame.origin + end.line.longest * end.frame.x for end in part.ends]
        if part.path is not None:
            points += [part.path.frame_at(s).origin for s in part.path.stations(_TURN)]
        return np.min(points, axis=0) - part.section.width, np.max(points, axis=0) + part.section.width

    @cached_property
    def _bounds(self) -> tuple[Array, Array]:
        part = self.piece.shape
        if isinstance(part, FlatPart) and self.place is not None and (corners := _face_corners(part)).size:
            corners = self.place.outside(corners)
        else:
            corners = self._surface[0].reshape(-1, 3)
        return corners.min(axis=0), corners.max(axis=0)

    @cached_property
    def _surface(self) -> tuple[Array, Array]:
        """The triangles' corners (t, 3, 3) in the job, and their normals out of the metal (t, 3)."""
        part = self.piece.shape
        if isinstance(part, FlatPart):
            body = sheet_body(part, _TOLERANCE)
        else:
            body = profile_body(part) if isinstance(part, ProfilePart) else tube_body(part, as_sawn=True)
        points = body.vertices if self.place is None else self.place.outside(body.vertices)
        corners = points[body.triangles]
        normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        size = np.linalg.norm(normals, axis=1)
        proper = size > 1e-9
        return corners[proper], normals[proper] / size[proper, np.newaxis]


def _face_corners(part: FlatPart) -> Array:
    """Corners of boxes that hold a flat or folded part, (n, 3) in its own frame; none of others."""
    if part.rolled is not None or part.band is not None or (part.tree is None and part.surface):
        return np.zeros((0, 3))
    corners = []
    for placed in placed_faces(fold_tree_of(part)):
        x0, y0, x1, y1 = placed.face.outline.bounds
        more = 0.0 if part.tree is None else _BEND * part.thickness
        xs, ys, zs = ((low - more, high + more) for low, high in ((x0, x1), (y0, y1), (0.0, part.thickness)))
        corners.append(placed.frame.outside(np.array([(x, y, z) for x in xs for y in ys for z in zs])))
    return np.vstack(corners)


def sheet_lids(pieces: Iterable[Piece]) -> Iterator[Lid]:
    """The sheet parts that the job places, a place each."""
    for piece in pieces:
        if isinstance(part := piece.shape, FlatPart):
            for place in part.places:
                yield Lid(piece, place.frame)


def lids(pieces: Iterable[Piece]) -> Iterator[Lid]:
    """Sheet parts, tubes, solid bars and profiles that the job places; links, bent bars and bushes are none."""
    for piece in pieces:
        part = piece.shape
        if isinstance(part, FlatPart):
            yield from sheet_lids([piece])
        elif isinstance(part, ProfilePart):
            if piece.is_placed:
                yield Lid(piece, part.frame)
        elif part.frame is not None and piece.kind == "tube" and not (isinstance(part, LinkPart) or part.is_bent_bar):
            yield Lid(piece)

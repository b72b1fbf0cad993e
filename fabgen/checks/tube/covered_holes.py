"""Placed plates, feet and brackets whose faces lie on a tube's skin, over its holes.

A face lies there where it looks at the hole and is near its edge.  A hole of the part over the tube's own one is meant
to be there.  Parts that stand on their edge, and rolled ones, are not seen.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from fabgen.geometry.plane.outline import Loop
from fabgen.geometry.sheet.folded import placed_faces
from fabgen.geometry.space.frame import Array, Frame
from fabgen.parts.piece import DrilledHole, FlatPart, Piece
from fabgen.parts.shape.sheet_body import fold_tree_of

if TYPE_CHECKING:
    from shapely import Polygon

TOUCHES = 1.0
"""A face this near to a hole's edge lies on the tube, mm."""
_LOOKS = math.cos(math.radians(25.0))
_CHORDS = 0.01


@dataclass(frozen=True, eq=False)
class LaidFace:
    """One flat face of a placed part: `frame` with z = 0 on its one skin and z = `thickness`, mm, on the other."""

    piece: Piece
    frame: Frame
    outline: Loop
    openings: tuple[Loop, ...]
    thickness: float

    def covers(self, hole: DrilledHole) -> float:
        """How far the part's edge is from the hole, mm: 0 where it lies over it, inf where it does not lie there."""
        looks = float(hole.frame.x @ self.frame.z)
        if abs(looks) < _LOOKS:
            return math.inf
        edge = self.frame.inside(hole.skin.at(hole.edge.station, hole.edge.along))
        level = 0.0 if looks > 0.0 else self.thickness
        if float(np.abs(edge[:, 2] - level).min()) > TOUCHES:
            return math.inf
        seen = _polygon(edge[:, :2])
        if any(_polygon(opening.points(_CHORDS)).contains(seen.centroid) for opening in self.openings):
            return math.inf
        return float(seen.distance(_polygon(self.outline.points(_CHORDS))))


def laid_faces(pieces: Iterable[Piece]) -> Iterator[LaidFace]:
    """Every flat face of the sheet parts that the job places."""
    for piece in pieces:
        part = piece.shape
        if not isinstance(part, FlatPart) or part.rolled or part.band or (part.tree is None and part.surface):
            continue
        for place in part.places:
            for placed in placed_faces(fold_tree_of(part)):
                x, y, z = placed.frame.axes @ place.frame.axes
                frame = Frame(place.frame.outside(placed.frame.origin), x, y, z)
                yield LaidFace(piece, frame, placed.face.outline, tuple(placed.face.holes), part.thickness)


def _polygon(points: Array | list[tuple[float, float]]) -> Polygon:
    from shapely import Polygon

    return Polygon(np.asarray(points))

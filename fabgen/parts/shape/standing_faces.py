"""The flat faces of sheet parts where the job places them: what a tube's end can stand on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

from fabgen.geometry.plane.outline import Loop
from fabgen.geometry.sheet.folds import Face
from fabgen.geometry.space.frame import Array, Frame
from fabgen.parts.piece import Piece
from fabgen.parts.shape.sheet_body import faces_in_space

_CHORDS = 0.01
"""Outlines are drawn with chords this near to their arcs, mm."""

_ON_EDGE = 0.01
"""A point this far outside the metal still lies on its edge, mm."""


@dataclass(frozen=True, eq=False)
class StandingFace:
    """One side of a flat face in space.

    `mark` of the part; `frame` with its x and y on the metal's skin, z out of the metal; `metal` in that x and y, holes
    left out; `thickness` mm.
    """

    mark: str
    frame: Frame
    metal: Polygon
    thickness: float

    def share_on(self, points: Array) -> float:
        """The share of some points on its plane, (n, 3), that lie on the metal."""
        local = self.frame.inside(points)
        inside = shapely.contains_xy(self.metal.buffer(_ON_EDGE), local[:, 0], local[:, 1])
        return float(np.mean(inside))

    def meets(self, starts: Array, ends: Array) -> Array:
        """Which lines on its plane have something of the metal under them, (n,).

        Args:
            starts, ends: of each line, (n, 3) mm.
        """
        one, other = (self.frame.inside(points)[:, :2] for points in (starts, ends))
        lines = shapely.linestrings(np.stack((one, other), axis=1))
        return np.asarray(shapely.intersects(lines, self.metal.buffer(_ON_EDGE)))


def standing_faces(pieces: Iterable[Piece]) -> Iterator[StandingFace]:
    """Both sides of every face of plates and folded parts that are placed; what is rolled and straps have none."""
    for piece in pieces:
        if (part := piece.flat_part) is not None:
            for frame, face in faces_in_space(part):
                yield from _sides(piece.mark, part.thickness, face, frame)


def _sides(mark: str, thickness: float, face: Face, frame: Frame) -> Iterator[StandingFace]:
    origin, x, y, z = frame.origin, frame.x, frame.y, frame.z
    metal = Polygon(_ring(face.outline), [_ring(hole) for hole in face.holes])
    yield StandingFace(mark, Frame(origin + thickness * z, x, y, z), metal, thickness)
    flipped = shapely.affinity.scale(metal, 1.0, -1.0, origin=(0.0, 0.0))
    yield StandingFace(mark, Frame(origin, x, -y, -z), flipped, thickness)


def _ring(loop: Loop) -> Array:
    return np.asarray(loop.points(_CHORDS))

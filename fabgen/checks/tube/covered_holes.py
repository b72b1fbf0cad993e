"""Placed sheet parts that lie on a tube's skin, over its holes: on a face, on their edge, or rolled round it.

A part lies there where its surface looks at the hole and is near its edge.  A hole of the part over the tube's own one
is meant to be there.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.space.mesh import EdgedMesh
from fabgen.parts.piece import DrilledHole, FlatPart, Piece
from fabgen.parts.shape.sheet_body import sheet_body

TOUCHES = 1.0
"""A surface this near to a hole's edge lies on the tube, mm."""
_LOOKS = math.cos(math.radians(25.0))
_TOLERANCE = 0.05


@dataclass(frozen=True, eq=False)
class LaidPart:
    """A sheet part where one of its places has it."""

    piece: Piece
    part: FlatPart
    place: Frame

    def covers(self, hole: DrilledHole) -> float:
        """How far the part is from the hole, seen along the drill, mm: 0 where it lies over it, inf where it does not
        lie on the tube there."""
        import shapely

        edge = hole.skin.at(hole.edge.station, hole.edge.along)
        if float(np.linalg.norm(edge - self.place.origin, axis=1).min()) > 2.0 * sum(self.part.size):
            return math.inf  # no part is longer than its flat: spares making the body
        corners, normals = self._surface
        looks = normals @ hole.frame.x < -_LOOKS
        corners, normals = corners[looks], normals[looks]
        heights = np.einsum("tk,tpk->tp", normals, edge[np.newaxis] - corners[:, :1])
        near = np.abs(heights).min(axis=1, initial=math.inf) <= TOUCHES + self._rubber
        if not near.any():
            return math.inf
        lying = shapely.union_all(shapely.polygons(self._seen(hole, corners[near])), grid_size=1e-6)
        seen = shapely.Polygon(self._seen(hole, edge))
        rings = (ring for each in shapely.get_parts(lying) for ring in each.interiors)
        if any(shapely.Polygon(ring).contains(seen.centroid) for ring in rings):
            return math.inf
        return float(seen.distance(lying))

    @staticmethod
    def _seen(hole: DrilledHole, points: Array) -> Array:
        """Points (…, 3) as one sees them along the drill, (…, 2)."""
        return np.asarray((points - hole.frame.origin) @ np.array([hole.frame.y, hole.frame.z]).T)

    @property
    def _rubber(self) -> float:
        return self.part.band.rubber if self.part.band is not None else 0.0

    @cached_property
    def _surface(self) -> tuple[Array, Array]:
        """The triangles' corners (t, 3, 3) in the job, and their normals out of the metal (t, 3)."""
        body: EdgedMesh = sheet_body(self.part, _TOLERANCE)
        corners = self.place.outside(body.vertices)[body.triangles]
        normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        size = np.linalg.norm(normals, axis=1)
        proper = size > 1e-9
        return corners[proper], normals[proper] / size[proper, np.newaxis]


def laid_parts(pieces: Iterable[Piece]) -> Iterator[LaidPart]:
    """The sheet parts that the job places, a place each."""
    for piece in pieces:
        if isinstance(part := piece.shape, FlatPart):
            for place in part.places:
                yield LaidPart(piece, part, place.frame)

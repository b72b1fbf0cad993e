"""The flat faces of sheet parts where the job places them, and of profiles: what a tube's end can stand on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

from fabgen.geometry.plane.outline import Loop
from fabgen.geometry.profile.cross_section import CrossSection
from fabgen.geometry.sheet.folds import Face
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.space.frame import cross as cross_product
from fabgen.geometry.tube.solids import HalfSpace
from fabgen.parts.piece import Piece
from fabgen.parts.shape.sheet_body import faces_in_space

_CHORDS = 0.01
"""Outlines are drawn with chords this near to their arcs, mm."""

_ON_EDGE = 0.01
"""A point this far outside the metal still lies on its edge, mm."""

_SAME_WAY, _IN_PLANE = 1.0 - 1e-9, 0.01
"""A face lies in a plane where its normal and its level, mm, are that one's."""

_FLAT_ENOUGH = 1.0
"""A toe narrower than so many times what lies behind it is nothing to stand on."""


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

    def is_in(self, plane: HalfSpace) -> bool:
        """Whether it is the side of metal that looks out of a half-space, in its plane."""
        level = float(self.frame.origin @ plane.normal)
        return float(self.frame.z @ plane.normal) > _SAME_WAY and abs(level - plane.level) < _IN_PLANE

    def meets(self, starts: Array, ends: Array) -> Array:
        """Which lines on its plane have something of the metal under them, (n,).

        Args:
            starts, ends: of each line, (n, 3) mm.
        """
        one, other = (self.frame.inside(points)[:, :2] for points in (starts, ends))
        lines = shapely.linestrings(np.stack((one, other), axis=1))
        return np.asarray(shapely.intersects(lines, self.metal.buffer(_ON_EDGE)))


def faces_along(mark: str, frame: Frame, cross: CrossSection, start: float, finish: float) -> Iterator[StandingFace]:
    """The flat faces of a profile's legs, web and flanges.

    Args:
        mark: of the profile.
        frame: of the profile, x along it.
        cross: its section in the frame's (y, z).
        start: where along it the faces begin, mm.
        finish: where they end, mm.
    """
    across = np.vstack((frame.y, frame.z))
    for face in cross.faces:
        if face.width < _FLAT_ENOUGH * face.thickness and "toe" in face.name:
            continue
        z = np.array(face.outward) @ across
        y = cross_product(z, frame.x)
        origin = frame.origin + np.array(face.start) @ across
        long = float((np.array(face.end) - np.array(face.start)) @ across @ y)
        corners = [(start, 0.0), (finish, 0.0), (finish, long), (start, long)]
        yield StandingFace(mark, Frame(origin, frame.x, y, z), Polygon(corners), face.thickness)


def sides_of(piece: Piece) -> Iterator[StandingFace]:
    """The flat faces of a part of sheet that is placed, or of a profile from saw cut to saw cut.

    Args:
        piece: anything else has none.
    """
    if (part := piece.profile_part) is not None:
        yield from faces_along(piece.mark, part.frame, part.cross, part.begins, part.begins + part.length)
    else:
        yield from standing_faces([piece])


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

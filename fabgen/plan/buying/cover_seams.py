"""How long the seam round a cover is where it stands: as much of its edge as lies on, in or beside metal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from fabgen.geometry.plane.regions import region
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.space.mesh import Mesh
from fabgen.geometry.space.plane_cut import plane_cut
from fabgen.geometry.space.shared_metal import solid_of
from fabgen.parts.piece import FlatPart, LengthPart, LinkPart, Piece, ProfilePart
from fabgen.parts.shape.bodies.length_body import tube_body
from fabgen.parts.shape.profiles import profile_body
from fabgen.parts.shape.sheet_body import faces_in_space, sheet_body

if TYPE_CHECKING:
    from manifold3d import Manifold
    from shapely import Geometry

NEAR = 2.0
"""An edge no farther from metal is welded to it, mm, unless a weld gap is more: one that laps over a round tube lies
off its skin (common practice, no source)."""
_BESIDE = 0.3
"""What a cover lies on is cut so far under its skin, mm."""
_STEP = 1.0
"""An edge is followed in steps of so much, mm."""


@dataclass(frozen=True, eq=False)
class Body:
    """What a piece is made of where it stands, in a box from `low` to `high`, (3,) mm."""

    mark: str
    solid: Manifold
    low: Array
    high: Array

    def meets(self, low: Array, high: Array) -> bool:
        """Whether its box meets another, (3,) mm."""
        return bool((self.low <= high).all() and (self.high >= low).all())


def bodies_in_place(pieces: Sequence[Piece]) -> list[Body]:
    """What a cover may be welded to.

    Args:
        pieces: of the whole job.
    """
    return [Body(piece.mark, solid_of([mesh]), *mesh.bounds) for piece in pieces for mesh in _bodies(piece)]


def seam_round(cover: Piece, bodies: Sequence[Body], weld_gap: float) -> float | None:
    """How long one seam round a cover is, mm; None where the job gives no place to it or to anything that it touches.

    Of one that is folded no more than its flat's way round.

    Args:
        cover: a part of sheet that is let into an opening or laid over it.
        bodies: of `bodies_in_place`.
        weld_gap: how far it may be off what it is welded to, mm.
    """
    part = cover.flat_part
    if part is None or not part.places:
        return None
    near = max(NEAR, weld_gap) + 0.1
    every = list(faces_in_space(part))
    faces = every[: len(every) // len(part.places)]
    length = 0.0
    for frame, face in faces:
        edge = region(face.outline).exterior
        rim = frame.outside(np.array([(x, y, 0.0) for x, y in edge.coords]))
        reach = near + part.thickness
        low, high = rim.min(axis=0) - reach, rim.max(axis=0) + reach
        beside = [body.solid for body in bodies if body.mark != cover.mark and body.meets(low, high)]
        length += _along(edge, frame, part.thickness, beside, near)
    return min(length, part.outline.perimeter) or None


def _bodies(piece: Piece) -> Iterator[Mesh]:
    """What a piece is made of where it stands; links, bars and bushes are no part of an opening."""
    match piece.shape:
        case FlatPart() as part:
            body = sheet_body(part)
            yield from (Mesh(place.frame.outside(body.vertices), body.triangles) for place in part.places)
        case ProfilePart() as profile if piece.is_placed:
            body = profile_body(profile)
            yield Mesh(profile.frame.outside(body.vertices), body.triangles)
        case LengthPart() as tube if piece.kind == "tube" and tube.frame is not None and not isinstance(tube, LinkPart):
            body = tube_body(tube)
            yield Mesh(body.vertices, body.triangles)


def _along(edge: Geometry, frame: Frame, thickness: float, bodies: Sequence[Manifold], near: float) -> float:
    """How much of an edge is near what a plane cuts of bodies half way through the sheet, or just outside it, mm."""
    import shapely

    cuts = [
        plane_cut(body, frame, height)
        for body in bodies
        for height in (-near, -_BESIDE, thickness / 2.0, thickness + _BESIDE, thickness + near)
    ]
    there = shapely.union_all([each for each in cuts if not each.is_empty])
    if there.is_empty:
        return 0.0
    points = shapely.get_coordinates(shapely.segmentize(edge, _STEP))
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    on = shapely.distance(shapely.points(points), there) <= near
    return float(steps[on[:-1] & on[1:]].sum())

"""Pieces as bodies to look at: a skin of triangles and the edges a drawing would show.

Everything is in mm.  Lengths, rod ends and sheet are made in `parts/shape`.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fabgen.geometry.space.mesh import EdgedMesh, joined, round_edges
from fabgen.parts.piece import DrilledHole, LengthPart, LinkPart, Piece, ProfilePart
from fabgen.parts.shape.bodies.length_body import flattened_ends, tube_body
from fabgen.parts.shape.bodies.rod_end_body import rod_end_bodies
from fabgen.parts.shape.profiles import drilled_body
from fabgen.parts.shape.sheet_body import sheet_body

RIM = 36
"""About so many places round the edge of a hole."""
_LIFT = 0.1
"""The lid lies so far off the skin, to be seen, mm."""


def body(piece: Piece) -> EdgedMesh:
    """The piece as it is made; where the job places it, there, once a place."""
    shape = piece.shape
    if isinstance(shape, LinkPart):
        return joined([tube_body(shape), *rod_end_bodies(shape)])
    if isinstance(shape, LengthPart):
        flats = flattened_ends(shape)
        lids = [_lid(hole) for hole in shape.drilled]
        also = _also(shape)
        return joined([tube_body(shape), *flats, *lids, *also]) if flats or lids or also else tube_body(shape)
    if isinstance(shape, ProfilePart):
        return drilled_body(shape).in_frame(shape.frame)
    made = sheet_body(shape)
    return joined([made.in_frame(place.frame) for place in shape.places]) if shape.places else made


def _also(part: LengthPart) -> list[EdgedMesh]:
    """The others of one mark, each where it stands."""
    if part.frame is None or not part.also:
        return []
    first = tube_body(part)
    own = replace(first, vertices=part.frame.inside(first.vertices))
    return [own.in_frame(place) for place in part.also]


def _lid(hole: DrilledHole) -> EdgedMesh:
    """A hole as a lid on the tube's skin with the hole's edge: the skin's own triangles go on below it."""
    kept = slice(None, None, max(1, len(hole.edge.along) // RIM))
    rim = hole.skin.at(hole.edge.station[kept], hole.edge.along[kept])
    middle = hole.skin.at(np.array([hole.station]), np.array([hole.along]))
    count = len(rim)
    fan = np.array([(count, i, (i + 1) % count) for i in range(count)])
    facing = float(np.cross(rim[0] - middle[0], rim[count // 4] - middle[0]) @ hole.frame.x)
    points = np.vstack((rim, middle)) + _LIFT * hole.frame.x
    return EdgedMesh(points, fan if facing > 0.0 else fan[:, ::-1], np.array(round_edges(0, count)))

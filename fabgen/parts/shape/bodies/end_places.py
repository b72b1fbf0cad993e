"""Places of an end's cut in space: where it touches, and where an arrow to its joint points."""

from __future__ import annotations

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import At, LengthPart, Piece, ProfileEnd, WorkedEnd
from fabgen.parts.shape.sections import end_profile

_STEP = 0.5
"""Places along a limb's cut stand so far apart, mm."""


def end_places(piece: Piece, at: At) -> Array:
    """Places of the cut of one end, (n, 3) mm; none of a part that has no ends.

    Args:
        piece: a placed tube or profile.
        at: which of its ends.
    """
    which = 0 if at == "start" else 1
    if (profile := piece.profile_part) is not None:
        return cut_places(profile.ends[which])
    part = piece.length_part
    return np.empty((0, 3)) if part is None else tube_cut_places(part, part.ends[which])


def cut_places(end: ProfileEnd) -> Array:
    """Of each limb's cut, on its outer face, inside it and halfway through it, (n, 3) mm.

    Args:
        end: of a profile.
    """
    found = []
    for edge in end.cut.edges:
        station = np.linspace(0.0, edge.limb.width, max(3, int(edge.limb.width / _STEP) + 1))
        x = np.interp(station, edge.station, edge.x)
        skin, inward = edge.limb.skin(station)
        depth = edge.limb.depth(station)
        for share in (0.0, 0.5, 1.0):
            across = skin + share * depth[:, None] * inward
            found.append(np.column_stack((x if end.is_notched else end.cut.sawn.x(across), across)))
    return end.frame.outside(np.vstack(found))


def tube_cut_places(part: LengthPart, end: WorkedEnd) -> Array:
    """Of a tube's cut, round its outside, (n, 3) mm; nan where it misses.

    Args:
        part: the tube.
        end: one of its ends.
    """
    skin = end_profile(part.section, end).skin
    return end.frame.outside(np.column_stack((end.line.x, skin)))

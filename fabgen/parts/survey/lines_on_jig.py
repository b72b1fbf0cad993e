"""The lines along which tubes, profiles and link rods lie on the jig: their ends, and the corners of bends."""

from __future__ import annotations

from dataclasses import dataclass

from fabgen.geometry.space.frame import Array, Frame
from fabgen.parts.piece import LengthPart, LinkPart, Piece, ProfilePart
from fabgen.parts.shape.along_tube import saw_cut_at


@dataclass(frozen=True, eq=False)
class JigLine:
    """The middle line of a tube between its saw cuts, of a profile the line through the points given, of a link rod
    from pin to pin: where it begins and ends, (3,) mm, and the corners of its bends with their centre radii, mm.

    `frame`: of the part, x along the line at its start.
    """

    frame: Frame
    start: Array
    finish: Array
    bends: tuple[tuple[Array, float], ...] = ()


def line_on_jig(piece: Piece) -> JigLine | None:
    """The line of a piece; None of what is no length, and of what has no place.

    Args:
        piece: complete.
    """
    match piece.shape:
        case LinkPart() as link if link.frame is not None:
            return _straight(link.frame, -link.sides[0].reach, link.length + link.sides[1].reach)
        case LengthPart() as tube if tube.frame is not None and not tube.is_bent_bar:
            start = saw_cut_at(tube)
            if tube.path is None:
                return _straight(tube.frame, start, start + tube.length)
            one, other = (tube.path.frame_at(at).origin for at in (start, start + tube.length))
            return JigLine(tube.frame, one, other, tuple((turn.corner, turn.radius) for turn in tube.path.turns))
        case ProfilePart() as profile:
            return _straight(profile.frame, profile.begins, profile.begins + profile.length)
        case _:
            return None


def _straight(frame: Frame, start: float, finish: float) -> JigLine:
    return JigLine(frame, frame.origin + start * frame.x, frame.origin + finish * frame.x)

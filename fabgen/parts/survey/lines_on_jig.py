"""The lines along which tubes, profiles and link rods lie on the jig: their ends, and the corners of bends."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
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


def lines_on_jig(pieces: Iterable[Piece]) -> Iterator[tuple[str, Piece, JigLine]]:
    """The lines of all pieces with their names, 'B1 (2)' of one of several made alike.

    Args:
        pieces: of the job, complete.
    """
    for piece in pieces:
        if (line := line_on_jig(piece)) is None:
            continue
        also = piece.shape.also if isinstance(piece.shape, LengthPart) else ()
        for number, frame in enumerate((line.frame, *also), 1):
            own = line if number == 1 else _straight(frame, 0.0, math.dist(line.start, line.finish))
            yield f"{piece.mark} ({number})" if also else piece.mark, piece, own


def _straight(frame: Frame, start: float, finish: float) -> JigLine:
    return JigLine(frame, frame.origin + start * frame.x, frame.origin + finish * frame.x)

"""The sizes by which a part is set out, in words."""

from __future__ import annotations

import math

import numpy as np

from fabgen.documents.render.words import degrees, tape_text
from fabgen.parts.piece import EndSetOut, FlatPart, LengthPart, Piece, ProfilePart, SetOut
from fabgen.parts.shape.along_tube import axis_at, job_side
from fabgen.wording.figures import figure

_NO_ARC = 0.05
"""As far round the skin as this, mm, is at TOP."""
NOT_TURNED = math.radians(0.05)
"""A part that is turned by less counts as lying along."""


SAW_CUT = "the start's saw cut"
"""Where a tape is held on what is cut here."""


def tape_end(carrier: Piece) -> str:
    """Where the tape is held on a part: what is not made here has an end, but no saw cut of this job."""
    if isinstance(carrier.shape, FlatPart):
        return "the left edge"
    return "the start" if carrier.as_it_is else SAW_CUT


def held_at(carrier: Piece, point: str) -> str:
    """'the saw cut of the start, at D1': where the tape is held, and by the name of its point which end that is; of a
    point without a name by the way it looks."""
    if isinstance(carrier.shape, FlatPart):
        return tape_end(carrier)
    start = "the start" if carrier.as_it_is else "the saw cut of the start"
    return f"{start}, {f'at {point}' if point else f'its {_end_looks(carrier.shape)} end'}"


def _end_looks(part: LengthPart | ProfilePart) -> str:
    """Which end the start is, as one sees it in the vehicle: 'rear', 'left', 'lower' ..."""
    start, finish = (end.frame.origin for end in part.ends)
    away = start - finish
    axis = int(np.abs(away).argmax())
    return (("front", "rear"), ("left", "right"), ("upper", "lower"))[axis][int(away[axis] < 0.0)]


def touches(found: SetOut) -> str:
    """'its back', 'its bottom edge'."""
    return f"its {found.foot}"


def end_words(found: EndSetOut) -> str:
    """'T1's finish end', 'in T1's start end' of what is let in."""
    return f"{'in ' if found.let_in else ''}{found.on}'s {found.at} end"


def along_text(found: SetOut, units: str) -> tuple[str, str]:
    """The near and the far edge along what carries it; in a bend its place."""
    if found.along is None:
        return f"place at {tape_text(found.middle, units)}", "along the bend"
    return tape_text(found.along[0], units), tape_text(found.along[1], units)


def side_of(carrier: Piece, found: SetOut) -> str:
    """How the job calls the flat side of a tube that a part is on: 'left'; '' of what is round, and of no tube."""
    part = carrier.length_part
    if part is None or found.way is None or part.section.is_round or part.frame is None:
        return ""
    return job_side(axis_at(part, found.middle), found.way)


def clock_text(way: float) -> str:
    """Degrees from TOP, under 360 also where a little is lacking to it; `way` rad."""
    return degrees(math.radians(round(math.degrees(way), 1) % 360.0))


def round_text(found: SetOut, units: str, side: str = "") -> str:
    """'90°, 31.4 round', '270°, left' of a flat side with a name; of a profile or a sheet its face."""
    if found.way is None:
        return found.face
    angle = clock_text(found.way)
    if side:
        return f"{angle}, {side}"
    if not found.arc or abs(found.arc) < _NO_ARC:
        return angle
    return f"{angle}, {tape_text(found.arc, units)} round"


def across_text(found: SetOut, units: str) -> str:
    """'-15 to 15'; in an inch job '-19/32" to 19/32"'."""
    return " to ".join(tape_text(each, units) for each in found.across)


def turn_text(found: SetOut) -> str:
    """'-', or '30°'."""
    if abs(found.turn) < NOT_TURNED:
        return "-"
    turn = figure(math.degrees(found.turn))
    return "180°" if turn == "-180" else f"{turn}°"


def thickness_under(carrier: Piece, found: SetOut) -> float | None:
    """What of a carrier lies behind the skin that a part is on, to its far outside, mm; None where no tape goes round
    it."""
    shape = carrier.shape
    if isinstance(shape, FlatPart):
        return shape.thickness
    if not isinstance(shape, LengthPart) or found.way is None:
        return None
    return shape.section.through(found.way)


def outside_text(carrier: Piece, found: SetOut, units: str) -> str:
    """From its outermost point to the far outside of what carries it, or over the skin alone; '-' of what goes round
    it."""
    if found.over is None:
        return "-"
    under = thickness_under(carrier, found)
    if under is None:
        return f"{tape_text(found.over, units)} over"
    return tape_text(found.over + under, units)

"""The sizes by which a part is set out, in words."""

from __future__ import annotations

import math

from fabgen.documents.render.words import degrees, length_text
from fabgen.parts.piece import FlatPart, LengthPart, Piece, SetOut
from fabgen.wording.figures import figure
from fabgen.wording.inches import INCH

NOT_TURNED = math.radians(0.05)
"""A part that is turned by less counts as lying along."""


def touches(found: SetOut) -> str:
    """'its back', 'its bottom edge, square on it'."""
    return f"its {found.foot}"


def two_lines(length: float, units: str) -> str:
    """A size, the inches of an inch job on a line of their own."""
    return length_text(length + 0.0, units).replace(" [", "\n[")


def along_text(found: SetOut, units: str) -> tuple[str, str]:
    """The near and the far edge along what carries it; in a bend its place."""
    if found.along is None:
        return f"place at {two_lines(found.middle, units)}", "along the bend"
    return two_lines(found.along[0], units), two_lines(found.along[1], units)


def round_text(found: SetOut, units: str) -> str:
    """'90°', '31.4 round' on lines of their own; of a profile or a sheet its face."""
    if found.way is None:
        return found.face
    angle = degrees(found.way % (2.0 * math.pi))
    if not found.arc:
        return angle
    inches = f"\n[{figure(found.arc / INCH, 3)} in]" if units == "in" else ""
    return f"{angle}\n{figure(found.arc)} round{inches}"


def across_text(found: SetOut, units: str) -> str:
    """'-15 to 15'; in an inch job the inches on a line of their own."""
    low, high = (edge + 0.0 for edge in found.across)
    text = f"{figure(low)} to {figure(high)}"
    return f"{text}\n[{figure(low / INCH, 3)} to {figure(high / INCH, 3)} in]" if units == "in" else text


def turn_text(found: SetOut) -> str:
    """'-', or '30°'."""
    if abs(found.turn) < NOT_TURNED:
        return "-"
    turn = figure(math.degrees(found.turn))
    return f"{turn.removeprefix('-') if turn == '-180' else turn}°"


def thickness_under(carrier: Piece, found: SetOut) -> float | None:
    """What of a carrier lies behind the skin that a part is on, to its far outside, mm; None where no tape goes round
    it."""
    shape = carrier.shape
    if isinstance(shape, FlatPart):
        return shape.thickness
    if not isinstance(shape, LengthPart) or found.way is None:
        return None
    section = shape.section
    return section.width if section.is_round or abs(math.cos(found.way)) > 0.5 else section.depth


def outside_text(carrier: Piece, found: SetOut, units: str) -> str:
    """From its outermost point to the far outside of what carries it, or over the skin alone; '-' of what goes round
    it."""
    if found.over is None:
        return "-"
    under = thickness_under(carrier, found)
    if under is None:
        return f"{figure(found.over)} over" + (f"\n[{figure(found.over / INCH, 3)} in]" if units == "in" else "")
    return two_lines(found.over + under, units)

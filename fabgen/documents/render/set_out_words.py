"""The sizes by which a part is set out, in words."""

from __future__ import annotations

import math

from fabgen.documents.render.words import degrees, length_text
from fabgen.parts.piece import FlatPart, LengthPart, Piece, SetOut
from fabgen.wording.figures import figure

NOT_TURNED = math.radians(0.05)
"""A part that is turned by less counts as lying along."""


def touches(found: SetOut) -> str:
    """'its back', 'its bottom edge, square on it'."""
    return f"its {found.foot}"


def along_text(found: SetOut, units: str) -> tuple[str, str]:
    """The near and the far edge along what carries it; in a bend its place."""
    if found.along is None:
        return f"place at {length_text(found.middle, units)}", "along the bend"
    return length_text(found.along[0], units), length_text(found.along[1], units)


def round_text(found: SetOut, units: str) -> str:
    """'90° from TOP, 31.4 round'; of a profile or a sheet its face."""
    if found.way is None:
        return found.face
    angle = degrees(found.way % (2.0 * math.pi))
    return f"{angle}\n{length_text(found.arc, units)} round" if found.arc else angle


def across_text(found: SetOut, units: str) -> str:
    """'-15 to 15'."""
    low, high = found.across
    return f"{length_text(low + 0.0, units)} to {length_text(high + 0.0, units)}"


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
    """From its outermost point to the far outside of what carries it, or over the skin alone."""
    under = thickness_under(carrier, found)
    return length_text(found.over, units) + " over" if under is None else length_text(found.over + under, units)

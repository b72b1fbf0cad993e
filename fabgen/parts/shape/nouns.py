"""What a part is called in a sentence: 'the angle', 'the bracket', 'the bar'."""

from __future__ import annotations

from fabgen.job.tables.definitions import FAMILIES
from fabgen.parts.piece import LengthPart, Piece, ProfilePart

_PLAIN = {"folded bracket": "bracket", "bent bar": "bar", "link rod": "rod"}


def noun_of(piece: Piece) -> str:
    """The word for a part by its family: of a profile that of its section, of a tube of solid section 'bar'.

    Args:
        piece: any of the job.
    """
    shape = piece.shape
    if isinstance(shape, ProfilePart):
        return {"flat": "flat bar"}.get(shape.section.kind, shape.section.kind)
    if piece.kind == "tube" and isinstance(shape, LengthPart) and shape.section.is_solid:
        return "bar"
    family = FAMILIES[piece.kind].one
    return _PLAIN.get(family, family)

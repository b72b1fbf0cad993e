"""Where two things meet, as it is found on the metal."""

from __future__ import annotations

from collections.abc import Sequence

from fabgen.contact.solids import Solid
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import LengthPart, LinkPart, ProfilePart
from fabgen.wording.sentence import Sentence, coordinate, mm, sentence


def where(solids: Sequence[Solid], at: Array) -> Sentence:
    """'312 mm from T1's start', along the first straight length among the things that meet; else the point.

    Args:
        solids: what meets.
        at: the point, (3,).
    """
    for solid in solids:
        if (along := _along(solid, at)) is not None:
            return sentence(mm(along), f" from {solid.mark}'s start")
    x, y, z = at.tolist()
    return sentence("at ", coordinate(x), ", ", coordinate(y), ", ", coordinate(z))


def _along(solid: Solid, at: Array) -> float | None:
    """How far from its start's saw cut, mm; None of sheet, of what is bent, and of others than the first of a mark."""
    part = solid.part
    if solid.number:
        return None
    if isinstance(part, ProfilePart):
        return float(part.frame.inside(at)[0]) - part.begins
    if not isinstance(part, LengthPart) or isinstance(part, LinkPart) or part.path is not None or part.frame is None:
        return None
    start = part.ends[0]
    return float((at - start.frame.origin) @ start.frame.x) - start.line.longest

"""A job with other figures for some of its named dimensions, beside the job as its file has it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fabgen.changes.as_issued import as_issued
from fabgen.changes.compared import PartChange, compared
from fabgen.job.tables.definitions import Header
from fabgen.job.values.tried import Tried, worded
from fabgen.parts.piece import Piece, made_here
from fabgen.wording.sentence import Sentence, joined, sentence


@dataclass(frozen=True, slots=True)
class Trial:
    """What is tried, and what it changes.

    Args:
        tried: the dimensions.
        parts: what it changes of the parts; None where the job cannot be made as its file has it.
        masses: of all pieces made here as the file has it and as tried, kg.
    """

    tried: tuple[Tried, ...]
    parts: tuple[PartChange, ...] | None = None
    masses: tuple[float, float] = (0.0, 0.0)

    @property
    def said(self) -> Sentence:
        """'track = 1500 mm in place of 1480 mm'."""
        return joined(" and ", (each.said for each in self.tried))

    def heads(self, header: Header) -> Header:
        """The header of a job's papers for those of the trial, so that each of them says that it is one."""
        named = (sentence(f"{each.name} = ", worded(each.value)) for each in self.tried)
        figures = joined(", ", named).words(header.units)
        return header.model_copy(update={"title": f"{header.title} (trial: {figures})"})


def trial(tried: Sequence[Tried], before: Sequence[Piece] | None, pieces: Sequence[Piece], units: str) -> Trial:
    """What figures change of a job.

    Args:
        tried: the figures.
        before: the pieces as the file has them; None where it cannot be made so.
        pieces: as they are with the figures.
        units: "mm" or "in", of the job.
    """
    if before is None:
        return Trial(tuple(tried))
    changes = compared(as_issued(before), as_issued(pieces), units)
    one, other = (sum(piece.mass * piece.quantity for piece in made_here(each)) for each in (before, pieces))
    return Trial(tuple(tried), tuple(changes), (one, other))

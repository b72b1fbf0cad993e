"""The coating a job gives its parts, on the pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import Piece


def with_coatings(job: Definitions, pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces, each with what covers it: what its part says, else, of those made here, the job; a sleeve
    goes with its link.

    Args:
        job: the definitions.
        pieces: all.
    """
    given = {part.mark: part.coating for part in job.parts()}
    usual = {piece.mark: None if piece.as_it_is else job.job.coating for piece in pieces}
    coatings = {piece.mark: given.get(piece.part_of or piece.mark) or usual[piece.mark] for piece in pieces}
    return [replace(piece, coating=coating) if (coating := coatings[piece.mark]) else piece for piece in pieces]

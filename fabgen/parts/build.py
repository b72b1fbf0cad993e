"""All pieces of a job, family by family."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fabgen.job.definitions import Definitions
from fabgen.job.errors import JobError, Problem
from fabgen.parts import bracket, cover, link_rod, plate, tube
from fabgen.parts.measured import with_tolerances
from fabgen.parts.openings import with_openings
from fabgen.parts.piece import Piece
from fabgen.parts.weld_given import with_welds
from fabgen.shop.inches import inches_beside

FAMILIES = (tube, link_rod, plate, bracket, cover)
"""In the order of the documents.  A new family is one more module here."""


def all_pieces(job: Definitions) -> list[Piece]:
    """Every piece of the job; raises one JobError with the problems of all families."""
    pieces: list[Piece] = []
    problems: list[Problem] = []
    for family in FAMILIES:
        try:
            pieces += family.pieces(job)
        except JobError as error:
            problems += error.problems
    if problems:
        raise JobError(problems)
    pieces = with_tolerances(job, with_welds(job, with_openings(job, pieces)))
    return _in_inches(pieces) if job.job.units == "in" else pieces


def _in_inches(pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces with inches beside every size in what is told of them."""
    return [
        replace(
            piece,
            facts=tuple((label, inches_beside(text)) for label, text in piece.facts),
            hardware=tuple(replace(item, note=inches_beside(item.note)) for item in piece.hardware),
        )
        for piece in pieces
    ]

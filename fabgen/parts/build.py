"""All pieces of a job, family by family."""

from __future__ import annotations

from fabgen.job.definitions import Definitions
from fabgen.job.errors import JobError, Problem
from fabgen.parts import bracket, cover, link_rod, plate, tube
from fabgen.parts.openings import with_openings
from fabgen.parts.piece import Piece

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
    return with_openings(job, pieces)

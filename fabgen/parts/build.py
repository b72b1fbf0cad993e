"""All pieces of a job, family by family."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from importlib import import_module

from fabgen.job.errors import JobError, Problem
from fabgen.job.tables.definitions import FAMILIES, Definitions
from fabgen.parts.piece import Piece, fact
from fabgen.parts.survey.measured import with_tolerances
from fabgen.parts.tube.joined import joined
from fabgen.parts.weld_given import with_welds
from fabgen.wording.inches import inches_beside


def all_pieces(job: Definitions) -> list[Piece]:
    """Every piece of the job; raises one JobError with the problems of all families."""
    pieces: list[Piece] = []
    problems: list[Problem] = []
    for family in FAMILIES.values():
        try:
            pieces += import_module(f"fabgen.parts.{family.built_by}").pieces(job)
        except JobError as error:
            problems += error.problems
    if problems:
        raise JobError(problems)
    pieces = with_tolerances(job, with_welds(job, joined(pieces)))
    return _in_inches(pieces) if job.job.units == "in" else pieces


def _in_inches(pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces with inches beside every size in what is told of them."""
    return [
        replace(
            piece,
            facts=tuple(
                each if each.text.values else fact(each.key, each.label, inches_beside(each.text.words()))
                for each in piece.facts
            ),
        )
        for piece in pieces
    ]

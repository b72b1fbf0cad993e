"""All pieces of a job, family by family."""

from __future__ import annotations

from collections.abc import Container
from importlib import import_module

from fabgen.job.errors import Problems
from fabgen.job.tables.definitions import FAMILIES, Definitions
from fabgen.parts.bushes_given import with_bushes
from fabgen.parts.coating_given import with_coatings
from fabgen.parts.holes.vents import with_vents
from fabgen.parts.piece import Piece
from fabgen.parts.places.set_out import with_set_out
from fabgen.parts.places.settled import Settling, with_places_found
from fabgen.parts.shape.measured_bends import measured_ks
from fabgen.parts.states_given import with_states
from fabgen.parts.survey.measured import with_tolerances
from fabgen.parts.tube.joined import joined
from fabgen.parts.weld_given import with_welds


def all_pieces(job: Definitions) -> list[Piece]:
    """Every piece of the job; raises one JobError with the problems of all families."""
    problems = Problems()
    pieces: list[Piece] = []
    with problems.at():
        pieces = in_place(job)[1]
    with problems.at():
        measured_ks(job)  # of a metal that no part folds too
    problems.report()
    complete = with_coatings(job, with_welds(job, joined(with_bushes(job, with_states(job, pieces)))))
    return with_set_out(with_tolerances(job, with_vents(job, complete)))


def in_place(job: Definitions, families: Container[str] = FAMILIES) -> tuple[Definitions, list[Piece]]:
    """The pieces each as its family makes it, none of them knowing what else lands on it yet; with the job, its places
    found that are against something.

    Args:
        job: as read; places found before, on a job alike, are where the search for them starts.
        families: the tables whose pieces are wanted; where places are to be found, the others are made too.
    Raises:
        JobError: with the problems of all families made.
    """
    settling = Settling.of(job)
    problems = Problems(settling.problems)
    while True:
        pieces: list[Piece] = []
        for table, family in FAMILIES.items():
            if settling.wanted or table in families:
                with problems.at():
                    pieces += import_module(f"fabgen.parts.{family.built_by}").pieces(settling.job)
        if problems or not settling.finds_more(pieces):
            break
    problems += settling.problems if not problems else ()
    problems.report()
    return settling.job, pieces


def starting_from(job: Definitions, stood: Definitions) -> Definitions:
    """A job whose places against something are looked for first where another's were found, if both give them likewise.

    Args:
        job: as read.
        stood: its places found.
    """
    return with_places_found(job, stood)

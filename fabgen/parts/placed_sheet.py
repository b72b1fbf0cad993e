"""The plates and brackets that a job places, for those who stand on them."""

from __future__ import annotations

from contextlib import suppress

from fabgen.job.errors import JobError
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.bracket import bracket
from fabgen.parts.piece import Piece
from fabgen.parts.sheet import plate


def placed_sheet(job: Definitions) -> list[Piece]:
    """Those that have a place; none of a family with faults, which it reports itself."""
    plates = [given for given in job.plate if given.place]
    brackets = [given for given in job.bracket if given.place]
    found: list[Piece] = []
    with suppress(JobError):
        found += plate.pieces(job.model_copy(update={"plate": plates})) if plates else []
    with suppress(JobError):
        found += bracket.pieces(job.model_copy(update={"bracket": brackets})) if brackets else []
    return found

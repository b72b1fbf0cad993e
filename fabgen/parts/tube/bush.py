"""Bushes and crush tubes: round tube sawn square, as long as the parts that hold it make it."""

from __future__ import annotations

from fabgen.job.errors import InputError, Problems
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.lengths.bar_tables import Bush
from fabgen.parts.holes.short_tube import short_tube
from fabgen.parts.piece import Piece

UNKNOWN = 1.0
"""Length of a bush before what it sits in is known, mm."""


def pieces(job: Definitions) -> list[Piece]:
    """The bushes of a job, each of the length given; what follows from their seats is put in by `bushes_given`.

    Raises:
        JobError: with all faults.
    """
    problems = Problems()
    made: list[Piece] = []
    for i, bush in enumerate(job.bush):
        with problems.at("bush", i):
            made.append(_piece(job, bush, i))
    problems.report()
    return made


def _piece(job: Definitions, bush: Bush, index: int) -> Piece:
    if not bush.section.is_round or bush.section.is_solid:
        raise InputError("a bush is a round tube", 'e.g. section = "30 x 4"', key=("section",))
    material, length = job.find_material(bush.material or job.job.material), bush.length or UNKNOWN
    return Piece(
        mark=bush.mark,
        kind="bush",
        quantity=bush.quantity,
        material=material.name,
        mass=material.density * bush.section.area * length * 1e-9,
        shape=short_tube(bush.section, length),
        title=bush.title or ("crush tube" if bush.between else "bush"),
        note=bush.note,
        finish=bush.finish,
        path=("bush", index),
    )

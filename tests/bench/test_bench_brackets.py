"""Brackets of every shape: built, checked, and looked through for faces that run into one another."""

from typing import Any

from fabgen.app.starters import starters
from fabgen.checks.sheet.flat_parts import check_flat
from fabgen.geometry.sheet.collisions import collisions
from fabgen.job.reader import read_job
from fabgen.parts.bracket import bracket

JOB = read_job(starters()["brackets"]).definitions


def test_building_brackets(benchmark: Any) -> None:
    assert len(benchmark(lambda: bracket.pieces(JOB))) == len(JOB.bracket)


def test_checking_brackets(benchmark: Any) -> None:
    pieces = bracket.pieces(JOB)
    benchmark(lambda: [check_flat(piece) for piece in pieces])


def test_collisions_in_a_box(benchmark: Any) -> None:
    box = next(piece.flat_part for piece in bracket.pieces(JOB) if piece.mark == "B5")
    assert box is not None
    assert box.tree is not None
    assert benchmark(lambda: collisions(box.tree, box.thickness)) == []

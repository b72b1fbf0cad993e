"""Brackets of every shape: built, checked, and looked through for faces that run into one another."""

from typing import Any

from jobs import FLAT_RULES, checked, findings

from fabgen.app.starters import starters
from fabgen.geometry.sheet.collisions import collisions
from fabgen.job.reader import read_job
from fabgen.parts.bracket import bracket

JOB = read_job(starters()["brackets"]).definitions


def test_building_brackets(benchmark: Any) -> None:
    assert len(benchmark(lambda: bracket.pieces(JOB))) == len(JOB.bracket)


def test_checking_brackets(benchmark: Any) -> None:
    of = checked(JOB)
    benchmark(lambda: findings(of, FLAT_RULES))


def test_collisions_in_a_box(benchmark: Any) -> None:
    box = next(piece.flat_part for piece in bracket.pieces(JOB) if piece.mark == "B5")
    assert box is not None
    assert box.tree is not None
    assert benchmark(lambda: collisions(box.tree, box.thickness)) == []

"""In which order tubes are fitted and what the tape reads: figures by Pythagoras and by hand."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from fabgen.documents.lists.job_map import map_rows, mark_ranges
from fabgen.job.reader import read_job
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece
from fabgen.plan.fit_order import fit_steps
from fabgen.plan.plan import Plan

ROOT = Path(__file__).parents[2]

LADDER = """
[job]
title = "ladder"
number = "L-1"
units = "mm"
[points]
A = [0, 400, 0]
B = [1200, 400, 0]
C = [0, -400, 0]
D = [1200, -400, 0]
E = [300, 400, 0]
F = [300, -400, 0]
G = [300, 0, 0]
H = [900, 0, 0]
"""


def tube(mark: str, a: str, b: str) -> str:
    return f'[[tube]]\nmark = "{mark}"\nsection = "48.3 x 3.2"\nroute = ["{a}", "{b}"]\n'


def ladder(tmp_path: Path) -> list[Piece]:
    path = tmp_path / "ladder.toml"
    tubes = [tube("T1", "A", "B"), tube("T2", "C", "D"), tube("T3", "E", "F"), tube("T4", "G", "H")]
    path.write_text(LADDER + "".join(tubes))
    return all_pieces(read_job(path).definitions)


def test_mains_come_first(tmp_path: Path) -> None:
    steps = fit_steps(ladder(tmp_path))
    assert [[piece.mark for piece in step.pieces] for step in steps] == [["T1", "T2"], ["T3"], ["T4"]]


def test_what_the_tape_reads(tmp_path: Path) -> None:
    rails, rung, stub = fit_steps(ladder(tmp_path))
    over, diagonals = rails.checks
    assert over.lengths == pytest.approx((800.0 + 48.3,))
    assert diagonals.lengths == pytest.approx([math.hypot(1200.0, 800.0)] * 2)
    assert diagonals.alike
    assert [(check.to, check.lengths) for check in rung.checks] == [(("T3",), (300.0,)), (("T3",), (300.0,))]
    middle, free = stub.checks
    # Half of the rung's saw cut: its cope reaches in to sqrt(r² - r²) = 0 of the main's axis at the sides,
    # so the saw cut lies at the main's outside less the depth of the cope; the stub sits at the rung's middle.
    rung_part = rung.pieces[0].length_part
    assert rung_part is not None
    assert middle.lengths == pytest.approx((rung_part.length / 2.0,))
    assert free.lengths == pytest.approx([math.hypot(900.0, 400.0)] * 2)


@pytest.mark.parametrize("name", ["curlew-trailer", "sandpiper-nose"])
def test_nothing_is_fitted_before_what_it_sits_on(name: str) -> None:
    pieces = all_pieces(read_job(ROOT / "sample_parts" / f"{name}.toml").definitions)
    standing: set[str] = set()
    for step in fit_steps(pieces):
        for piece in step.pieces:
            assert piece.length_part is not None
            coped = {j.onto for end in piece.length_part.ends if end.cut == "cope" for j in end.joints}
            assert coped <= standing
        standing |= {piece.mark for piece in step.pieces}


def test_the_map_names_every_mark_and_ends_with_the_rods() -> None:
    pieces = all_pieces(read_job(ROOT / "sample_parts" / "curlew-trailer.toml").definitions)
    rows = list(map_rows(pieces, Plan(), "mm"))
    assert rows[0][0] == "Saw the bars square"
    assert "T1 to T17, L1 to L3" in rows[0][1]
    assert rows[-1][0].startswith("Set the link rods")
    assert any("over the outsides, at both ends: 1158.9" in row[2] for row in rows)


def test_marks_that_count_on_are_drawn_together() -> None:
    pieces = all_pieces(read_job(ROOT / "templates" / "frame.toml").definitions)
    assert mark_ranges(pieces[:4]) == "LEG1 to LEG4"
    assert mark_ranges(pieces[:2]) == "LEG1, LEG2"

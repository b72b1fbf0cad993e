"""In which order tubes are fitted and what the tape reads: figures by Pythagoras and by hand."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from faulty_profiles import HEAD, profile

from fabgen.app.work import built, planned
from fabgen.documents.lists.job_map import job_map, map_rows, mark_ranges
from fabgen.job.reader import read_job, read_text
from fabgen.motion.assembly import assemble
from fabgen.motion.riders import Riders
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece
from fabgen.plan.fit_order import fit_steps, profile_steps
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
    assert any("T1's start to the middle of T3 60, T14 815" in row[2] for row in rows)
    # The sheet of each step: where parts are placed, and where lines lie on the jig.
    of = {what: check for what, _, check in rows}
    assert "both edges of each, by set-out.pdf" in of["Fit plates, brackets and covers"]
    assert "steps below: set-out.pdf, On the jig" in of["Set up what is there already or bought"]
    assert sum("On the jig" in check for _, _, check in rows) == 1
    # It is not made where it has nothing to set out, and not named.
    bare = [piece for piece in pieces if piece.flat_part is None][:1]
    assert not any("set-out" in check for _, _, check in map_rows(bare, Plan(), "mm"))


def test_marks_that_count_on_are_drawn_together() -> None:
    pieces = all_pieces(read_job(ROOT / "templates" / "frame.toml").definitions)
    assert mark_ranges(pieces[:4]) == "LEG1 to LEG4"
    assert mark_ranges(pieces[:2]) == "LEG1, LEG2"
    assert mark_ranges([pieces[0], pieces[3], pieces[1], pieces[2]]) == "LEG1 to LEG4"


# -- profiles -----------------------------------------------------------------------------------
def angles() -> list[Piece]:
    """A mitred frame of hanging angles, a leg under each of two corners, and a rung between the legs' faces."""
    corners = [(0, 0, 0), (600, 0, 0), (600, 400, 0), (0, 400, 0)]
    sides = [("L1", 0, 1, "left"), ("L2", 1, 2, "back"), ("L3", 2, 3, "right"), ("L4", 3, 0, "front")]
    text = profile("F1", "[[0, 0, -500], [0, 0, 0]]", more='legs = ["front", "left"]')
    text += profile("F2", "[[600, 0, -500], [600, 0, 0]]", more='legs = ["back", "left"]')
    for mark, one, other, leg in sides:
        text += profile(mark, str([list(corners[one]), list(corners[other])]), more=f'legs = ["bottom", "{leg}"]')
    return all_pieces(read_text(HEAD + text).definitions)


def test_a_frame_of_profiles_is_tacked_before_what_sits_on_it() -> None:
    """Also where its legs are listed first."""
    assert [[piece.mark for piece in step] for step in profile_steps(angles())] == [
        ["L1", "L2", "L3", "L4"],
        ["F1", "F2"],
    ]


def test_the_job_map_of_profiles_has_its_steps_and_its_own_note() -> None:
    pieces = angles()
    rows = list(map_rows(pieces, Plan(), "mm"))
    assert [row[0] for row in rows] == [
        "Saw the profiles: ends square, or slanted as the saw sheet says",
        "Lay out, clamp and tack the profiles",
        "Fit and tack the profiles",
        "Measure again, then weld in turns on opposite sides",
    ]
    assert [row[1] for row in rows] == ["F1, F2, L1 to L4", "L1 to L4", "F1, F2", "the tacked frame"]
    assert "Tubes" not in job_map(pieces, Plan(), "mm", 500.0).note


# -- bodies that move ---------------------------------------------------------------------------
SWINGING = (
    LADDER
    + "P = [500, 700, 300]\nQ = [900, 700, 300]\nR = [500, 1000, 300]\nS = [900, 1000, 300]\nU = [900, 850, 300]\n"
    + tube("T1", "A", "B")
    + tube("T2", "A", "C")
    + tube("A1", "P", "Q")
    + tube("A2", "Q", "S")
    + tube("A3", "P", "R")
)
ARM = '[[body]]\nname = "arm"\npoints = ["R"]\nmarks = ["A1", "A2", "A3"]\n'
HINGE = '[[joint]]\nname = "bolts"\nkind = "hinge"\nbetween = ["frame", "arm"]\nat = "P"\naxis = "Q"\n'


def rows_of(text: str) -> list[tuple[str, str, str]]:
    job = read_text(text).definitions
    pieces, linkage = all_pieces(job), assemble(job)
    bodies = Riders(linkage, pieces).named() if linkage is not None else {}
    return list(map_rows(pieces, Plan(), "mm", bodies))


def test_a_body_that_moves_is_welded_by_itself() -> None:
    rows = rows_of(SWINGING + ARM + HINGE)
    what = [row[0] for row in rows]
    weld = what.index("Fit, tack, measure again and weld arm by itself, off the frame")
    assert rows[weld][1] == "A1; then A2, A3"
    assert "A1's start to the middle of" in rows[weld][2]
    assert "T1" not in rows[weld][2]
    # After the frame, which has none of it.
    frame = what.index("Measure again, then weld in turns on opposite sides")
    assert frame < weld
    assert not any("A1" in row[1] or "A1" in row[2] for row in rows[:weld] if row[0].startswith(("Fit", "Lay", "Meas")))


def test_what_does_not_move_stays_with_the_frame() -> None:
    """Without a joint nothing moves; a body fixed to the frame is part of it."""
    fixed = '[[joint]]\nname = "weld"\nkind = "fixed"\nbetween = ["frame", "arm"]\nat = "P"\n'
    for text in (SWINGING, SWINGING + ARM + fixed):
        assert not any("by itself" in row[0] for row in rows_of(text))


def test_a_body_of_one_tube_has_nothing_to_weld() -> None:
    one = (
        SWINGING.replace(tube("A2", "Q", "S"), "") + '[[body]]\nname = "arm"\npoints = ["R"]\nmarks = ["A3"]\n' + HINGE
    )
    assert not any("by itself" in row[0] for row in rows_of(one))


def test_bolts_come_last_and_those_without_a_way_in_before_the_brackets() -> None:
    plates = "".join(
        f'[[plate]]\nmark = "E{n}"\nthickness = 5\nrectangle = [40, 40]\nholes = [{{ at = [20, 20], bolt = "M8" }}]\n'
        for n in (1, 2)
    )
    bolts = '[[bolt]]\nthread = "M8"\nthrough = ["E1", "E2"]\nquantity = 2\n'
    loaded = read_text(SWINGING + plates + bolts + bolts.replace("M8", "M6"))
    worked = planned(loaded, built(loaded), None, None)
    rows = list(map_rows(worked.pieces, worked.plan, "mm"))
    assert rows[-2][0] == "Fit plates, brackets and covers"
    assert rows[-1] == ("Bolt together", "bolt 1, bolt 2", "from head to nut: set-out.pdf, Bolts")
    early = list(map_rows(worked.pieces, worked.plan, "mm", early=("bolt 2",)))
    assert early[-3][:2] == ("Put in the bolts that have no way in later", "bolt 2")
    assert early[-1][:2] == ("Bolt together, those above are in already", "bolt 1")
    first = list(map_rows(worked.pieces, worked.plan, "mm", first=("A1",)))
    (at,) = (i for i, row in enumerate(first) if "torch" in row[0])
    assert first[at][1] == "A1"
    assert [row for i, row in enumerate(first) if i != at] == rows

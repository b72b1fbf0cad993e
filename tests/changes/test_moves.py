"""Parts whose metal is what it was and whose place is another: listed as moved, with the set-out sizes then and now."""

from __future__ import annotations

from pathlib import Path

import pytest

from fabgen.changes.as_issued import as_issued
from fabgen.changes.compared import compared
from fabgen.changes.issued_part import IssuedPart
from fabgen.changes.metal_print import metal_prints
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece

JOB = """
[job]
title = "Moved"
number = "M-1"
units = "mm"
material = "S235"
[[tube]]
mark = "T1"
section = "40 x 2"
route = [[0, 0, 0], [900, 0, 0]]
[[tube]]
mark = "T2"
section = "40 x 2"
route = [[0, 500, 0], [900, 500, 0]]
[[plate]]
mark = "P1"
thickness = 5
rectangle = [60, 40]
place = { against = "T1", at = 300, side = "top" }
[[plate]]
mark = "P2"
thickness = 5
rectangle = [60, 40]
quantity = 2
place = [{ against = "T1", at = 600, side = "left", stands_on = "bottom" }, { against = "T1", at = 700, side = 30 }]
[[bracket]]
mark = "B1"
shape = "angle"
thickness = 3
legs = [40, 40]
length = 50
place = { at = [100, 250, 20] }
"""


def pieces(*changes: tuple[str, str]) -> list[Piece]:
    text = JOB
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return list(all_pieces(read_text(text, Path("job.toml")).definitions))


def told(*changes: tuple[str, str], units: str = "mm") -> dict[str, str]:
    found = compared(as_issued(pieces()), as_issued(pieces(*changes)), units)
    return {mark: f"{change.how}: {change.said.words(units)}" for change in found for mark in change.marks}


@pytest.mark.parametrize(
    ("old", "new", "mark", "said"),
    [
        ("at = 300", "at = 320", "P1", "moved: moved on T1: near edge 270.0 to 290.0 mm"),
        ('at = 300, side = "top"', "at = 300, side = 15", "P1", "moved: moved on T1: from TOP 0 to 15°"),
        ('at = 300, side = "top"', "at = 300, offset = 4", "P1", "moved: moved on T1: across -20.0 to -16.0 mm"),
        ('against = "T1", at = 300', 'against = "T2", at = 300', "P1", "moved: moved from T1 to T2: see set-out.pdf"),
        ('at = 300, side = "top"', 'at = 300, stands_on = "bottom"', "P1",
         "moved: moved on T1: now with its bottom edge, across -20.0 to -2.5 mm, over the skin 5.0 to 40.0 mm"),
        ("at = 700, side = 30", "at = 700, side = 30, turn = 10", "P2",
         "moved: moved (2) on T1: near edge 670.0 to 667.0 mm, far edge 730.0 to 733.0 mm, across -20.0 to -24.9 mm, "
         "turned 0 to 10°"),
        ("[100, 250, 20]", "[100, 262, 15]", "B1", "moved: moved on the jig: 12 mm to the left, 5 mm down"),
        ("route = [[0, 500, 0], [900, 500, 0]]", "route = [[0, 500, 0], [899.866, 515, 3]]", "T2",
         "moved: moved on the jig: start 0 mm, finish 15.3 mm, see set-out.pdf"),
    ],
)  # fmt: skip
def test_what_moved_is_told_with_its_sizes_then_and_now(old: str, new: str, mark: str, said: str) -> None:
    assert told((old, new)) == {mark: said}


def test_a_tube_that_moves_says_so_and_what_stands_on_it_goes_with_it() -> None:
    lower = ("route = [[0, 0, 0], [900, 0, 0]]", "route = [[0, 0, -30], [900, 0, -30]]")
    assert told(lower) == {"T1": "moved: moved on the jig: 30 mm down"}
    both = ("[0, 500, 0], [900, 500, 0]", "[0, 500, -30], [900, 500, -30]")
    assert compared(as_issued(pieces()), as_issued(pieces(lower, both)))[0].marks == ("T1", "T2")


def test_what_only_looks_moved_is_not_told() -> None:
    """Drawn from its other end; a part that is cut anew; one that is no longer placed by the same words."""
    assert told(("[[0, 500, 0], [900, 500, 0]]", "[[900, 500, 0], [0, 500, 0]]")) == {}
    assert told(('at = 300, side = "top"', 'from = "finish", at = 600, side = 0')) == {}
    larger = 'rectangle = [64, 40]\nplace = { against = "T1", at = 320'
    changed = told(('rectangle = [60, 40]\nplace = { against = "T1", at = 300', larger))
    assert list(changed) == ["P1"]
    assert changed["P1"].startswith("changed:")


@pytest.mark.parametrize(("at", "is_told"), [("300.51", True), ("300.49", False)])
def test_one_per_cent_inside_and_outside_the_least_move(at: str, is_told: bool) -> None:
    assert bool(told(("at = 300", f"at = {at}"))) == is_told


def test_in_inches_and_of_papers_that_kept_no_places() -> None:
    assert told(("at = 300", "at = 320"), units="in")["P1"].startswith("moved: moved on T1: near edge ")
    old = [IssuedPart(**(part.model_dump() | {"places": ()})) for part in as_issued(pieces())]
    assert compared(old, as_issued(pieces(("at = 300", "at = 320")))) == []


def test_a_move_changes_no_print_of_the_metal() -> None:
    assert metal_prints(pieces()) == metal_prints(pieces(("at = 300", "at = 320")))


def test_a_frame_that_is_turned_or_laid_elsewhere_as_a_whole_has_not_moved() -> None:
    """All points of the job by one rigid motion: nothing on the jig lies otherwise to the rest."""
    turned = [
        ("[[0, 0, 0], [900, 0, 0]]", "[[10, 20, 30], [10, 920, 30]]"),
        ("[[0, 500, 0], [900, 500, 0]]", "[[-490, 20, 30], [-490, 920, 30]]"),
        ('side = "left"', 'side = "back"'),
    ]
    assert told(*turned, ("at = [100, 250, 20] }", "at = [-240, 120, 50], along = [0, 1, 0] }")) == {}
    assert set(told(*turned)) == {"T1", "T2"}

"""Nesting comes to an end whatever it is given, says so where that cost fullness, and `check` does without it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fabgen.app.starters import starters
from fabgen.app.work import built, planned, work_on
from fabgen.geometry.plane import no_fit as no_fit_polygons
from fabgen.job.reader import Job, read_text
from fabgen.plan.effort import BUDGETS, Effort
from fabgen.plan.plan import SheetPlan
from fabgen.plan.sheets import nesting
from fabgen.plan.sheets.blanks import blanks_of
from fabgen.plan.sheets.nest_check import faults
from fabgen.plan.sheets.nesting import Nester
from fabgen.plan.sheets.sheet_stock import SheetStock

HEAD = '[job]\ntitle = "x"\nnumber = "x"\nunits = "mm"\n'
COVER = """[[cover]]
mark = "C{i}"
shape = "transition"
thickness = 1.2
bottom = {{ rectangle = [{wide}, 160] }}
top = 120
height = {high}
shift = [15, 0]
seam = 12
bends = 6
quantity = {count}
"""
PRICE = '[[price]]\nitem = "sheet"\neach = 40\n'
GAP, MARGIN = 5.0, 10.0


def covers(count: int, differ: float = 0.0, each: int = 1, more: str = "") -> Job:
    parts = (COVER.format(i=i, wide=200 + i * differ, high=150 + i * differ, count=each) for i in range(count))
    return read_text(HEAD + more + "".join(parts))


def counted(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """A list that grows by one with each pair of outlines whose moves are worked out."""
    calls: list[int] = []

    def count(*pieces: object) -> object:
        calls.append(1)
        return no_fit_polygons.no_fit(*pieces)  # type: ignore[arg-type]

    monkeypatch.setattr(nesting, "no_fit", count)
    return calls


def laid(sheets: tuple[SheetPlan, ...]) -> list[tuple[float, float, float]]:
    return sorted((round(p.x, 6), round(p.y, 6), p.turn) for sheet in sheets for p in sheet.placed)


def test_parts_of_one_outline_are_worked_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    calls = counted(monkeypatch)
    apart, together = covers(4), covers(1, each=4)
    one = planned(apart, built(apart), None).plan.sheets
    of_own_marks = len(calls)
    calls.clear()
    assert laid(planned(together, built(together), None).plan.sheets) == laid(one)
    assert 0 < of_own_marks == len(calls) <= 4  # the outline against itself in its four turns


def test_an_intricate_outline_is_simplified_and_stays_covered() -> None:
    (piece,) = built(covers(1))
    (blank,) = blanks_of([piece])["S235", 1.2]
    nester = Nester([blank], GAP)
    plain = nester.bare(blank.mark, 0.0).buffer(nester.growth)
    assert len(nester._pieces(blank.mark, 0.0)) <= nesting._MANY_PIECES  # type: ignore[attr-defined]
    for turn in (0.0, 90.0):
        grown = nester.grown(blank.mark, turn)
        assert grown.buffer(1e-6).covers(nester.bare(blank.mark, turn).buffer(nester.growth - 1e-6))
        assert grown.area < 1.02 * plain.area


def test_a_nester_that_has_spent_its_work_places_nothing_more() -> None:
    blanks = blanks_of(built(covers(3, 5.0)))["S235", 1.2]
    room = SheetStock((2000.0, 1000.0)).room(MARGIN)
    nester = Nester(blanks, GAP, moves=1)
    placed, left = nester.fill(room, blanks)
    assert nester.is_spent
    assert 0 < len(placed) < len(blanks)
    assert len(placed) + len(left) == len(blanks)
    assert faults(placed, {blank.mark: blank.part for blank in blanks}, room, GAP) == []


def test_a_plan_that_was_cut_short_says_so_and_is_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    job = covers(3, 5.0)
    assert not any(f.rule == "sheets-cut-short" for f in planned(job, built(job), None).findings)
    monkeypatch.setitem(BUDGETS, Effort.NORMAL, replace(BUDGETS[Effort.NORMAL], moves=100))
    work = planned(job, built(job), None)
    (said,) = [finding for finding in work.findings if finding.rule == "sheets-cut-short"]
    assert "--effort long" in said.text
    assert sum(len(sheet.placed) for sheet in work.plan.sheets) == 3
    assert all(sheet.is_cut_short for sheet in work.plan.sheets)


def test_check_does_not_nest(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise AssertionError("nested")

    monkeypatch.setattr(nesting, "no_fit", refuse)
    job = covers(3, 5.0)
    assert planned(job, built(job), None, None).plan.effort is Effort.QUICK
    with pytest.raises(AssertionError, match="nested"):
        planned(job, built(job), None)


def test_check_nests_where_a_price_of_sheets_is_given() -> None:
    job = covers(1, more=PRICE)
    assert planned(job, built(job), None, None).plan.effort is Effort.NORMAL


def test_check_nests_where_sheets_on_hand_run_short() -> None:
    """No sheet on sale is so long: by rectangles the ones on hand do not take all, by shapes they might."""
    plate = '[[plate]]\nmark = "P1"\nthickness = 6\nrectangle = [7000, 400]\nquantity = 2\n'
    for count, effort in ((1, Effort.NORMAL), (2, Effort.QUICK)):
        job = read_text(f"{HEAD}{plate}[[stock]]\nthickness = 6\nsheets = [[7100, 450]]\non_hand = {count}\n")
        assert planned(job, built(job), None, None).plan.effort is effort


@pytest.mark.parametrize("name", sorted(starters()))
def test_check_finds_what_make_finds(name: str) -> None:
    path = starters()[name]
    quick, full = work_on(path, effort=None), work_on(path)
    assert [f for f in full.findings if f.rule != "sheets-cut-short"] == list(quick.findings)


@pytest.mark.slow
def test_ten_covers_that_differ_are_laid_out_and_sound() -> None:
    """They used to take minutes, and rounding in their unions to end in an error of the geometry library."""
    job = covers(10, 5.0)
    pieces = built(job)
    (sheet,) = planned(job, pieces, None).plan.sheets
    parts = {piece.mark: piece.flat_part for piece in pieces if piece.flat_part}
    assert len(sheet.placed) == 10
    room = SheetStock(sheet.size).room(MARGIN)
    assert faults(sheet.placed, parts, room, GAP) == []

"""Parts that fill little of a sheet: the blank that is ordered in its place."""

from __future__ import annotations

import pytest
from jobs import pieces_of, read
from random_sheets import parts_of, random_pieces, room_to_spare

from fabgen.documents.lists.shopping_list import shopping_pdf
from fabgen.documents.render.paper import A4
from fabgen.geometry.plane.outline import Outline
from fabgen.parts.piece import FlatPart, Piece
from fabgen.plan.effort import Effort
from fabgen.plan.job_plan import plan_job
from fabgen.plan.plan import Plan, SheetPlan
from fabgen.plan.sheets.blanks import blanks_of
from fabgen.plan.sheets.sheet_stock import SheetStock, Spacing
from fabgen.plan.sheets.sheets import plan_sheets

GAP, MARGIN, STEP = 5.0, 10.0, 10.0
USUAL = SheetStock((2000.0, 1000.0), assumed=True)


def laid(pieces: list[Piece], stock: SheetStock = USUAL, effort: Effort = Effort.NORMAL) -> list[SheetPlan]:
    sheets, left = plan_sheets(
        ("S235", 3.0), blanks_of(pieces)["S235", 3.0], [stock], Spacing(GAP, MARGIN), effort, step=STEP
    )
    assert not left
    return sheets


def rectangles(width: float, height: float, count: int, grain: str | None = None) -> list[Piece]:
    return [Piece("P", "plate", count, "S235", 1.0, FlatPart(3.0, Outline.rectangle(width, height), (), grain=grain))]


def test_three_small_parts_get_the_least_blank() -> None:
    """In a row 3 x 80 + 2 x 5 by 60, in all 270 x 80 with the rims; stacked they would be 100 x 210."""
    (sheet,) = laid(rectangles(80.0, 60.0, 3))
    assert sheet.instead_of == (2000.0, 1000.0)
    assert sheet.size[0] * sheet.size[1] == pytest.approx(min(270 * 80, 210 * 100))
    assert sheet.used == pytest.approx(3 * 80 * 60 / (210 * 100))


def test_the_rolling_direction_runs_along_the_longer_side() -> None:
    (sheet,) = laid(rectangles(80.0, 60.0, 3, "across"))
    assert sheet.size[0] >= sheet.size[1]
    assert {place.turn for place in sheet.placed} <= {90.0, 270.0}


def test_a_sheet_that_is_well_filled_stays_a_sheet() -> None:
    (sheet,) = laid(rectangles(900.0, 480.0, 4))
    assert sheet.size == (2000.0, 1000.0)
    assert sheet.instead_of is None


def test_a_sheet_that_the_job_names_is_bought() -> None:
    (sheet,) = laid(rectangles(80.0, 60.0, 3), SheetStock((1000.0, 500.0), price=30.0))
    assert sheet.size == (1000.0, 500.0)


def test_after_full_sheets_the_rest_gets_a_blank() -> None:
    sheets = laid(rectangles(640.0, 480.0, 7))
    assert [sheet.instead_of is None for sheet in sheets] == [True, False]


@pytest.mark.parametrize("effort", [Effort.QUICK, Effort.NORMAL])
@pytest.mark.parametrize("seed", range(8))
def test_nothing_overlaps_on_a_blank(seed: int, effort: Effort) -> None:
    pieces = random_pieces(seed, 2 + seed % 4, 2)
    sheets = laid(pieces, effort=effort)
    assert min(room_to_spare(sheet, parts_of(pieces), GAP, MARGIN) for sheet in sheets) > -1e-6
    assert sum(len(sheet.placed) for sheet in sheets) == sum(piece.quantity for piece in pieces)
    for sheet in sheets:
        assert all(side % STEP == 0.0 for side in sheet.size)


JOB = """
[job]
title = "Brackets"
number = "B-1"
units = "{units}"
[[plate]]
mark = "P1"
thickness = "3 mm"
material = "S235"
rectangle = ["80 mm", "60 mm"]
quantity = 3
grain = "along"
"""


def planned(units: str, more: str = "") -> tuple[Plan, list[Piece]]:
    job = read(JOB.format(units=units) + more)
    pieces = pieces_of(job)
    return plan_job(job, pieces), pieces


def test_the_shopping_list_asks_for_the_blank_or_the_parts() -> None:
    plan, _ = planned("mm")
    line = next(line for line in plan.shopping if line.item == "blank cut to size")
    assert line.goods == plan.sheets[0].goods
    assert line.unit == "blank"
    assert "P1 x3" in line.note.words()
    assert f"rolling direction along the {plan.sheets[0].size[0]:g} mm side" in line.note.words()
    assert not any(line.item == "sheet" for line in plan.shopping)


def test_in_inches_its_sides_are_half_inches() -> None:
    plan, _ = planned("in")
    assert [side / 12.7 % 1.0 for side in plan.sheets[0].size] == pytest.approx([0.0, 0.0], abs=1e-9)


def test_a_sheet_that_is_hardly_used_is_remarked_on() -> None:
    plan, _ = planned("mm", '[[stock]]\nthickness = 3\nsheets = [["1000 mm", "500 mm"]]\n')
    assert "little of it is used" in next(line.note.words() for line in plan.shopping if line.item == "sheet")


def test_pages_of_either_kind_are_made() -> None:
    for more in ("", '[[stock]]\nthickness = 3\nsheets = [["1000 mm", "500 mm"]]\nprice = 20\n'):
        job = read(JOB.format(units="in") + more)
        pieces = pieces_of(job)
        assert shopping_pdf(job.job, pieces, plan_job(job, pieces), A4).startswith(b"%PDF")


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(3))
def test_long_effort_finds_no_larger_a_blank(seed: int) -> None:
    pieces = random_pieces(seed, 4, 2)
    (normal,), (long,) = laid(pieces), laid(pieces, effort=Effort.LONG)
    assert room_to_spare(long, parts_of(pieces), GAP, MARGIN) > -1e-6
    assert long.size[0] * long.size[1] <= normal.size[0] * normal.size[1]

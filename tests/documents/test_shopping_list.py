"""The shopping list as PDF, workbook and data."""

from __future__ import annotations

import io
import sys
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from pypdf import PdfReader

from fabgen.documents.data.plan_json import shopping_keys
from fabgen.documents.lists.shopping_list import priced_total, shopping_pdf
from fabgen.documents.lists.shopping_xlsx import shopping_xlsx
from fabgen.documents.render.paper import A4, LETTER, Paper
from fabgen.job.rack import read_rack
from fabgen.job.reader import read_job, read_text
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece
from fabgen.plan.buying.cut_orders import cut_orders
from fabgen.plan.job_plan import plan_job
from fabgen.plan.plan import Plan

SAMPLES = Path(__file__).parents[2] / "sample_parts"

INCH = """
[job]
title = "Inch"
number = "I-1"
units = "in"
[[plate]]
mark = "P1"
thickness = 0.25
rectangle = [4, 4]
holes = [{ at = [1, 1], bolt = "1/2-13 UNC" }, { at = [2, 2], diameter = 1 }]
quantity = 3
[[bolt]]
thread = "1/2-13 UNC"
through = ["P1", "P1"]
title = "=HYPERLINK(1)"
[[price]]
item = "bolt"
each = 1.25
"""

Made = tuple[Definitions, list[Piece], Plan]


@pytest.fixture(scope="module")
def demo() -> Made:
    job = read_job(SAMPLES / "curlew-trailer.toml").definitions
    pieces = all_pieces(job)
    return job, pieces, plan_job(job, pieces, read_rack(SAMPLES / "rack" / "rack.toml"))


def inch() -> Made:
    job = read_text(INCH).definitions
    pieces = all_pieces(job)
    return job, pieces, plan_job(job, pieces)


def pdf_of(made: Made, paper: Paper = A4) -> bytes:
    job, pieces, plan = made
    return shopping_pdf(job.job, pieces, plan, paper)


def text_of(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


def book_of(made: Made) -> Any:
    job, pieces, plan = made
    return openpyxl.load_workbook(io.BytesIO(shopping_xlsx(job.job, pieces, plan)))


def test_everything_to_buy_is_on_the_pages(demo: Made) -> None:
    text = " ".join(text_of(pdf_of(demo)).split())
    for line in demo[2].shopping:
        if line.unit == "piece":
            assert line.item in text
            assert line.spec.split(",")[0] in text
    for heading in ("Tube and bar", "Sheet, or parts cut from it", "Fasteners and fittings", "Gas and what is used up"):
        assert heading in text
    # The demo's parts fill little of a sheet: to have them cut is ticked, and nothing besides.
    assert text.count("\u2612") == len(cut_orders(demo[1]))
    assert "\u2612 have them cut" in text
    # A merchant needs no stacks of bolts, no welds and no centre of gravity.
    assert not any(word in text for word in ("Centre of gravity", "of seam", "Bolts by their stacks"))
    assert all(word in text for word in ("EN 10219-1", "ISO 4014", "zinc plated"))
    assert "EUR" in text


def test_the_total_is_the_sum_of_what_has_a_price(demo: Made) -> None:
    lines = demo[2].shopping
    total, open_lines = priced_total(lines)
    assert total == pytest.approx(sum(line.quantity * line.price for line in lines if line.price is not None))
    assert open_lines == sum(line.price is None for line in lines)
    assert f"{total:.2f} EUR" in text_of(pdf_of(demo))


@pytest.mark.parametrize("paper", [A4, LETTER])
def test_pages_print_clean(demo: Made, paper: Paper) -> None:
    sys.path.insert(0, str(Path(__file__).parents[1] / "page"))
    from print_check import outside, overlaps

    for made in (demo, inch()):
        pdf = pdf_of(made, paper)
        assert overlaps(pdf) == []
        assert outside(pdf, 6.0) == []


def test_like_jobs_like_bytes(demo: Made) -> None:
    job, pieces, plan = demo
    assert pdf_of(demo) == pdf_of(demo)
    assert shopping_xlsx(job.job, pieces, plan) == shopping_xlsx(job.job, pieces, plan)


def test_the_workbook_reads_back(demo: Made) -> None:
    plan = demo[2]
    sheet = book_of(demo)["Shopping list"]
    rows = list(sheet.iter_rows(min_row=2, values_only=True))
    assert [row[:4] for row in rows[:-1]] == [(p.item, p.spec, p.quantity, p.unit) for p in plan.shopping]
    assert [row[4] for row in rows[:-1]] == [p.price for p in plan.shopping]
    assert rows[0][5] == '=IF(E2="","",C2*E2)'
    assert rows[-1][5] == f"=SUM(F2:F{len(plan.shopping) + 1})"
    assert set(book_of(demo).sheetnames) == {
        "Shopping list", "Cutting service", "Bolts", "Consumables", "From the rack",
    }  # fmt: skip


def test_the_workbook_shows_the_figures_without_being_reckoned_again(demo: Made) -> None:
    job, pieces, plan = demo
    book = openpyxl.load_workbook(io.BytesIO(shopping_xlsx(job.job, pieces, plan)), data_only=True)
    rows = list(book["Shopping list"].iter_rows(min_row=2, values_only=True))
    assert rows[-1][5] == pytest.approx(priced_total(plan.shopping)[0])


def test_a_text_is_never_a_formula() -> None:
    cell = book_of(inch())["Bolts"]["J2"]
    assert (cell.value, cell.data_type) == ("=HYPERLINK(1)", "s")


def test_a_cutting_order_by_hand() -> None:
    import math

    _, pieces, _ = inch()
    (order,) = cut_orders(pieces)
    half = pieces[0].flat_part.holes[0].shape  # type: ignore[union-attr]
    assert order.parts == 3
    assert order.pierces == 9
    assert order.cut == pytest.approx(3 * (4 * 101.6 + half.perimeter + math.pi * 25.4))


def test_the_data_agree_with_the_plan(demo: Made) -> None:
    _, pieces, plan = demo
    keys = shopping_keys(pieces, plan, "mm")
    assert [bolt["grip_mm"] for bolt in keys["bolts"]] == [round(stack.choice.grip, 4) for stack in plan.bolts]
    assert sum(order["pierces"] for order in keys["cutting_orders"]) == sum(
        (1 + len(piece.flat_part.holes)) * piece.quantity for piece in pieces if piece.flat_part
    )
    mass = sum(piece.mass * piece.quantity for piece in pieces if piece.state != "there already")
    assert keys["whole"]["mass_kg"] == pytest.approx(mass, abs=1e-3)

"""Spacers given as lengths in a bolt's stack: which lengths are spacers, and the lists and papers they stand on."""

from __future__ import annotations

import io
import re

import pytest
from jobs import pieces_of, read
from pypdf import PdfReader

from fabgen.documents.lists.cut_list import cut_list_pdf
from fabgen.documents.render.paper import A4
from fabgen.documents.set_out.set_out_pdf import set_out_pdf
from fabgen.plan.buying.spacers import spacers
from fabgen.plan.job_plan import plan_job
from fabgen.plan.plan import BoltImage, Plan

JOB = """
[job]
title = "Spacers"
number = "S-1"
units = "mm"
[[plate]]
mark = "C1"
thickness = 5
rectangle = [60, 60]
holes = [{ at = [30, 30], bolt = "M12" }]
quantity = 2
[[plate]]
mark = "P1"
thickness = 6
rectangle = [100, 60]
holes = [{ at = [30, 30], bolt = "M12" }]
[[plate]]
mark = "P2"
thickness = 20
rectangle = [100, 60]
holes = [{ at = [30, 30], bolt = "M12" }]
[[link]]
mark = "L1"
section = "25.4 x 4"
length = 400
rod_ends = ["M12 right", "M12 left"]
"""


PLACED = "[[plate]]\nplace = { at = [0, 0, 0], along = [1, 0, 0], up = [0, 0, 1] }"


def plan(*bolts: str) -> Plan:
    job = read(JOB + "".join(f'[[bolt]]\nthread = "M12"\n{bolt}\n' for bolt in bolts))
    return plan_job(job, pieces_of(job))


def sawn(*bolts: str) -> list[tuple[str, float, int]]:
    return [(each.bolt, each.length, each.quantity) for each in spacers(plan(*bolts).bolts)]


@pytest.mark.parametrize(
    ("through", "expected"),
    [
        ('["C1", 10, "L1", 10, "C1"]', [("M12", 10.0, 2)]),  # either side of a ball
        ('["P1", 4, "L1", 3, "P2"]', [("M12", 3.0, 1), ("M12", 4.0, 1)]),  # between two plates, unlike
        ('["C1", 8, 20, 8, "C1"]', [("M12", 8.0, 2)]),  # either side of a bush that is not in the job
        ('["C1", 8, "P2", 8, "C1"]', [("M12", 8.0, 2)]),  # either side of a part between two ears
        ('["P1", 4, "L1", 4, 6]', [("M12", 4.0, 2)]),  # a lug there already under the nut, spacers beside the ball
    ],
)
def test_lengths_that_are_spacers(through: str, expected: list[tuple[str, float, int]]) -> None:
    assert sawn(f"through = {through}") == expected


@pytest.mark.parametrize(
    "through",
    [
        '["C1", 36, "C1"]',  # a bush that is not in the job fills the gap
        '[6, "L1", 6]',  # two lugs there already
        '["P1", 8, 8, "P2"]',  # two things not in the job
        '[8, 20, 8]',  # nothing of it is in the job
    ],
)  # fmt: skip
def test_lengths_that_are_none(through: str) -> None:
    assert sawn(f"through = {through}") == []


def test_like_spacers_of_all_bolts_are_one_line_with_the_bore_for_the_bolt() -> None:
    bolts = ('through = ["C1", 10, "L1", 10, "C1"]\nquantity = 2', 'through = ["P1", 10, "L1", 4, "P1"]')
    made = plan(*bolts)
    lines = [line for line in made.shopping if line.item == "spacer"]
    assert [(line.spec, line.quantity) for line in lines] == [("for M12, 4 mm long", 1), ("for M12, 10 mm long", 5)]
    # ISO 273:1979, medium series: M12 has 13.5.
    assert lines[1].note.words() == "saw from tube, bore 12 mm to 13.5 mm; bolt 1, bolt 2"


def test_a_spacer_thinner_than_a_saw_cuts_may_be_a_washer() -> None:
    (line,) = [each for each in plan('through = ["C1", 2, "L1", 2, "C1"]').shopping if each.item == "spacer"]
    assert line.note.words().startswith("thick washers, or saw from tube, ")


@pytest.mark.parametrize(("units", "length", "layer"), [("mm", "10", "10"), ("in", '0.394"', '0.394"')])
def test_the_cut_list_has_them_to_saw_and_the_set_out_sheet_in_their_stack(units: str, length: str, layer: str) -> None:
    bolt = '[[bolt]]\nthread = "M12"\nthrough = ["C1", "10 mm", "L1", "10 mm", "C1"]\ntitle = "trailing link"\n'
    more = '[[bolt]]\nthread = "M12"\nthrough = ["C1", "36 mm", "C1"]\n'
    tube = '[[tube]]\nmark = "T1"\nsection = "30 mm x 2 mm"\nroute = [[0, 0, 0], ["300 mm", 0, 0]]\n'
    job = read(JOB.replace("[[plate]]", PLACED, 1) + tube + bolt + more)
    header, pieces = job.job.model_copy(update={"units": units}), pieces_of(job)
    made = plan_job(job, pieces)
    cut = text_of(cut_list_pdf(header, pieces, made, [], {}, A4))
    assert "Spacers to saw" in cut
    assert re.search(rf"2 M12 bore 12 mm\b.* to 13\.5 mm\b.* {re.escape(length)} bolt 1", cut)
    out = set_out_pdf(header, pieces, 0.0, A4, made.bolts)
    assert out is not None
    order = text_of(out)
    assert f"spacer {layer}, L1 rod end" in order
    free = {"mm": "36", "in": "1.417"}[units]
    assert f"not in the job {free}" in order
    assert "trailing link" in order


def text_of(pdf: bytes) -> str:
    """All of it in one line: cells are wrapped."""
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())


def test_the_shopping_list_names_mirrored_bolts_as_other_papers_do() -> None:
    given = 'through = ["C1", "10 mm", "L1", "10 mm", "C1"]\n'
    job = read(JOB + f'[[bolt]]\nthread = "M12"\n{given}' * 2)
    bought = plan_job(job, pieces_of(job), images={1: BoltImage(0, "mirrored")}).shopping
    (line,) = [each for each in bought if each.item == "spacer"]
    assert line.note.words("mm").endswith("; bolt 1, bolt 1 mirrored")

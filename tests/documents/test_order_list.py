"""What a cutting service is told besides outlines: bends, threads, holes drilled later, grain; and its drawings."""

from __future__ import annotations

import csv
import io
import zipfile
from dataclasses import replace

import pypdfium2 as pdfium
import pytest
from conftest import make_plate
from page.print_check import outside, overlaps

from fabgen.documents.lists.order_list import bend_words, grain_words
from fabgen.documents.lists.order_pack import order_pack
from fabgen.documents.render.paper import A4
from fabgen.job.reader import Job, read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import FlatPart, Piece
from fabgen.plan.buying.hardware import bolt_stacks
from fabgen.wording.figures import Figures

JOB = """[job]
title = "Trays"
number = "TR-1"
units = "{units}"
material = "S235"
[[plate]]
mark = "P1"
thickness = "10 mm"
quantity = 2
rectangle = ["80 mm", "60 mm"]
grain = "across"
holes = [{{ at = ["20 mm", "30 mm"], diameter = "8.5 mm" }}, {{ at = ["60 mm", "30 mm"], diameter = "8.5 mm" }}]
[[bracket]]
mark = "B1"
shape = "channel"
material = "S235"
thickness = "3 mm"
radius = "3 mm"
length = "120 mm"
web = "80 mm"
flanges = ["30 mm", "30 mm"]
holes = [{{ face = "web", at = ["60 mm", "40 mm"], diameter = "9 mm", drilled = true }}]
[[bolt]]
thread = "M10"
through = ["12 mm"]
nut = "none"
into = "P1"
quantity = 4
"""


def made(units: str = "mm") -> tuple[Job, list[Piece]]:
    job = read_text(JOB.format(units=units))
    return job, all_pieces(job.definitions)


def pack(units: str = "mm") -> dict[str, bytes]:
    job, pieces = made(units)
    return order_pack(job.definitions.job, pieces, A4, bolts=bolt_stacks(job.definitions, pieces))


def rows(files: dict[str, bytes]) -> dict[str, dict[str, str]]:
    tables = (data.decode() for name, data in files.items() if name.endswith(".csv"))
    return {row["mark"]: row for table in tables for row in csv.DictReader(io.StringIO(table))}


def text_of(pdf: bytes) -> str:
    return " ".join(page.get_textpage().get_text_bounded().replace("\r\n", " ") for page in pdfium.PdfDocument(pdf))


def test_each_row_has_what_is_done_to_the_part() -> None:
    by_mark = rows(pack())
    plate, channel = by_mark["P1"], by_mark["B1"]
    assert (plate["material"], plate["thickness_mm"], plate["quantity"]) == ("S235", "10", "2")
    assert plate["threads"] == "M10 x 1.5 in 2 holes Ø8.5"
    assert (plate["grain"], plate["bend_lines"], plate["drawing"]) == ("along y", "", "")
    assert channel["bend_lines"] == "1, 2: 90° up, inside radius 3, 120 long"
    assert (channel["drilled_later"], channel["threads"], channel["grain"]) == ("Ø9", "", "either way")


def test_bends_are_those_of_the_part() -> None:
    """Read from the part's own bend lines, one by one."""
    _, pieces = made()
    (part,) = (piece.shape for piece in pieces if piece.mark == "B1")
    assert isinstance(part, FlatPart)
    turned = replace(part, bends=(part.bends[0], replace(part.bends[1], up=False)))
    assert bend_words(turned, Figures()) == [
        "1: 90° up, inside radius 3, 120 long",
        "2: 90° down, inside radius 3, 120 long",
    ]


@pytest.mark.parametrize(("grain", "said"), [("along", "along x"), ("across", "along y"), (None, "either way")])
def test_grain(grain: str | None, said: str) -> None:
    part = make_plate().shape
    assert isinstance(part, FlatPart)
    assert grain_words(replace(part, grain=grain)) == said


@pytest.mark.parametrize(
    ("diameter", "said"),
    [("8.5 mm", "M10 x 1.5 in 2 holes Ø8.5"), ("10.5 mm", "M10 x 1.5: no hole of its core diameter, drill 8.5")],
)
def test_a_thread_without_its_hole_is_told(diameter: str, said: str) -> None:
    job = read_text(JOB.format(units="mm").replace("8.5 mm", diameter))
    pieces = all_pieces(job.definitions)
    files = order_pack(job.definitions.job, pieces, A4, bolts=bolt_stacks(job.definitions, pieces))
    assert rows(files)["P1"]["threads"] == said


def test_three_threads_in_two_parts_alike_are_counted_in_all() -> None:
    job = read_text(JOB.format(units="mm").replace("quantity = 4", "quantity = 3"))
    pieces = all_pieces(job.definitions)
    files = order_pack(job.definitions.job, pieces, A4, bolts=bolt_stacks(job.definitions, pieces))
    assert rows(files)["P1"]["threads"] == "M10 x 1.5: 3 in all 2 parts, in holes Ø8.5"


def test_a_bent_part_has_its_drawing_in_the_zip_and_a_flat_one_none() -> None:
    files = pack()
    drawings = {name.rpartition("/")[2] for name in files if name.endswith(".pdf")} - {"overview.pdf"}
    assert drawings == {rows(files)["B1"]["drawing"]} == {"B1_S235_3mm_x1.pdf"}
    with zipfile.ZipFile(io.BytesIO(files["order/3mm_S235.zip"])) as archive:
        drawing = archive.read("3mm_S235/B1_S235_3mm_x1.pdf")
    said = text_of(drawing)
    assert "TR-1-B1" in said
    assert "90°" in said
    assert "Assembly" not in said


@pytest.mark.parametrize("units", ["mm", "in"])
def test_one_overview_lists_every_order(units: str) -> None:
    files = pack(units)
    whole = files["order/overview.pdf"]
    assert overlaps(whole) == []
    assert outside(whole, 5.0) == []
    said = text_of(whole)
    for wanted in ("10 mm S235: 1 part, 2 pieces", "3 mm S235: 1 part, 1 piece", "P1", "B1", "along y", "M10 x 1.5"):
        assert wanted in said
    assert ("inside radius 3, 120 long" in said) == (units == "mm")
    assert ('4.724" long' in said) == (units == "in")
    # Each order's own has its outlines, then its part of the list.
    own = pdfium.PdfDocument(files["order/10mm_S235/overview.pdf"])
    assert len(own) == 2
    assert "B1" not in text_of(files["order/10mm_S235/overview.pdf"])


def test_the_same_job_gives_the_same_pack() -> None:
    assert pack() == pack()

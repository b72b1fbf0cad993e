"""Pages of jobs of profiles: nothing on top of anything, nothing off the paper, in mm and in inches."""

from __future__ import annotations

from pathlib import Path

import pytest
from print_check import outside, overlaps, struck
from typer.testing import CliRunner

from fabgen.cli import app
from fabgen.documents.drawing.drawings import drawing_pages
from fabgen.documents.render import paper
from fabgen.documents.render.paper import PRINTER
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import profile_parts

TABLES = """
[[tube]]
mark = "T1"
section = "{tube}"
route = [[0, "-500 mm", 0], [0, "500 mm", 0]]
[[profile]]
mark = "A"
section = "{angle}"
route = [[0, 0, 0], ["700 mm", 0, 0]]
legs = ["top", "left"]
holes = [
  {{ leg = "a", at = "50 mm", bolt = "{bolt}" }},
  {{ leg = "b", at = "60 mm", from = "finish", diameter = "9 mm", length = "26 mm", row = {row} }},
]
[[profile]]
mark = "B"
section = "{folded}"
route = [[0, "200 mm", 0], ["500 mm", "200 mm", "300 mm"]]
legs = ["top", "right"]
[[profile]]
mark = "C"
section = "{channel}"
route = [[0, "-250 mm", 0], ["900 mm", "-250 mm", 0]]
back = "right"
holes = [
  {{ leg = "web", at = "300 mm", bolt = "{bolt}", row = {{ count = 6, pitch = "80 mm" }} }},
  {{ leg = "flange a", at = "100 mm", from = "finish", bolt = "{bolt}" }},
]
[[profile]]
mark = "D"
section = "{tee}"
route = [[0, "400 mm", 0], ["300 mm", "450 mm", 0]]
flange = "top"
[[profile]]
mark = "E"
section = "{flat}"
route = [[0, "-400 mm", 0], ["300 mm", "-400 mm", 0]]
width = "top"
holes = [{{ at = "20 mm", from = "finish", diameter = "11 mm" }}]
quantity = 3
[[profile]]
mark = "H1"
section = "{hexagon}"
route = [[0, "-700 mm", 0], ["400 mm", "-700 mm", 0]]
[[profile]]
mark = "H2"
section = "{hexagon}"
route = [["400 mm", "-700 mm", 0], ["400 mm", "-1000 mm", 0]]
[[profile]]
mark = "N"
section = "{nested}"
route = [["800 mm", "-250 mm", "{up}"], ["800 mm", "-60 mm", "{up}"]]
back = "front"
"""
ROW = '{ count = 3, pitch = "60 mm" }'
MM = {
    "tube": "60.3 x 3.2",
    "angle": "angle 60 x 40 x 5",
    "folded": "angle 40 x 40 x 3 folded",
    "channel": "UPN 200",
    "tee": "T 40 x 40 x 5",
    "flat": "flat 40 x 6",
    "hexagon": "hexagon bar 24",
    "nested": "UPN 80",
    "up": "46 mm",
    "bolt": "M10",
    "row": ROW,
}
INCH = {
    "tube": "2 in x 0.120 in",
    "angle": "angle 1.5 in x 1.5 in x 0.125 in",
    "folded": "angle 1 in x 1 in x 0.125 in folded",
    "channel": "C4 x 5.4",
    "tee": "T 1.5 in x 1.5 in x 0.1875 in",
    "flat": "flat 1.5 in x 0.25 in",
    "hexagon": "hexagon bar 1 in",
    "nested": "C3 x 4.1",
    "up": "3.5 mm",
    "bolt": "3/8 in",
    "row": ROW,
}


def job(units: str) -> str:
    head = f'[job]\ntitle = "Profiles on a tube"\nnumber = "P-1"\nunits = "{units}"\n'
    return head + TABLES.format(**(MM if units == "mm" else INCH))


@pytest.mark.slow
@pytest.mark.parametrize("units", ["mm", "in"])
def test_pages_print_clean(units: str, tmp_path: Path) -> None:
    """Templates of the channel run over two pages."""
    path = tmp_path / "rack.toml"
    path.write_text(job(units), encoding="utf-8")
    sheet = "A4" if units == "mm" else "Letter"
    result = CliRunner().invoke(app, ["make", str(path), "--out", str(tmp_path), "--paper", sheet])
    assert result.exit_code in (0, 1), result.output
    for made in sorted((tmp_path / "rack").glob("*.pdf")):
        pdf = made.read_bytes()
        assert overlaps(pdf) == [], made.name
        assert outside(pdf, PRINTER.left - 1.0) == [], made.name


@pytest.mark.parametrize("units", ["mm", "in"])
def test_no_line_runs_through_a_text_of_a_drawing(units: str) -> None:
    read = read_text(job(units)).definitions
    for page in drawing_pages(all_pieces(read), read.job, paper.A4):
        assert struck(page.picture) == []


def test_no_line_runs_through_the_angle_of_a_raked_leg() -> None:
    """Narrow wedges on both legs: an end sawn level, leaning in two ways."""
    text = '[job]\ntitle = "Leg"\nnumber = "L-1"\nunits = "mm"\n[[profile]]\nmark = "G1"\n'
    text += 'section = "angle 40 x 40 x 4"\nroute = [[100, -20, 600], [20, -200, 0]]\nlegs = ["front", "left"]\n'
    text += 'finish = { cut = "level" }\n'
    read = read_text(text).definitions
    for page in drawing_pages(all_pieces(read), read.job, paper.A4):
        assert struck(page.picture) == []


@pytest.mark.parametrize("units", ["mm", "in"])
def test_an_end_within_a_channel_is_bevelled_there(units: str) -> None:
    pieces = {piece.mark: piece for piece in all_pieces(read_text(job(units)).definitions)}
    assert [bool(end.bevels) for _, part in profile_parts([pieces["N"]]) for end in part.ends] == [True, False]

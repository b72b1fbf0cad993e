"""Pages of jobs with holes in tubes: nothing on top of anything, nothing off the paper, in mm and in inches."""

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

TABLES = """
[[tube]]
mark = "L"
section = "{one}"
route = [[0, "-400 mm", 0], [0, "400 mm", 0]]
holes = [
  {{ at = "30 mm", side = "front", bolt = "{bolt}", both_walls = true, sleeve = "{sleeve}" }},
  {{ at = "60 mm", from = "finish", side = "top", diameter = "9 mm", row = {{ count = 5, pitch = "40 mm" }} }},
  {{ at = "300 mm", side = "back", diameter = "9 mm", length = "30 mm", turn = 30 }},
]
[[tube]]
mark = "H"
section = "{two}"
route = [["600 mm", "-400 mm", "500 mm"], ["600 mm", "400 mm", "500 mm"]]
holes = [{{ at = "100 mm", side = "bottom", bolt = "{bolt}", offset = "5 mm" }}]
[[tube]]
mark = "B"
section = "{three}"
route = [[0, 0, 0], ["600 mm", 0, "500 mm"]]
holes = [{{ from = "finish", at = "22 mm", side = "left", diameter = "6 mm" }}]
[[tube]]
mark = "R"
section = "{one}"
bend_radius = "150 mm"
route = [[0, "900 mm", 0], ["600 mm", "900 mm", 0], ["600 mm", "900 mm", "600 mm"]]
holes = [{{ at = "100 mm", side = "left", diameter = "9 mm", both_walls = true }}, {{ vent = true }}]
"""
MM = {"one": "48.3 x 3.2", "two": "60 x 40 x 3", "three": "33.7 x 2.6", "bolt": "M10", "sleeve": "16 x 2"}
INCH = {
    "one": "1.75 in x 0.120 in",
    "two": "2 in x 1.5 in x 0.120 in",
    "three": "1.25 in x 0.095 in",
    "bolt": "3/8 in",
    "sleeve": "5/8 in x 0.065 in",
}


def job(units: str) -> str:
    head = f'[job]\ntitle = "Rack with holes"\nnumber = "R-1"\nunits = "{units}"\nvents = true\n'
    return head + TABLES.format(**(MM if units == "mm" else INCH))


@pytest.mark.parametrize("units", ["mm", "in"])
def test_pages_print_clean(units: str, tmp_path: Path) -> None:
    path = tmp_path / "rack.toml"
    path.write_text(job(units), encoding="utf-8")
    result = CliRunner().invoke(app, ["make", str(path), "--out", str(tmp_path)])
    assert result.exit_code == 0, result.output
    for made in sorted((tmp_path / "rack").glob("*.pdf")):
        pdf = made.read_bytes()
        assert overlaps(pdf) == [], made.name
        assert outside(pdf, PRINTER.left - 1.0) == [], made.name


@pytest.mark.parametrize("units", ["mm", "in"])
def test_no_line_runs_through_a_text_of_a_drawing(units: str) -> None:
    read = read_text(job(units)).definitions
    for page in drawing_pages(all_pieces(read), read.job, paper.A4):
        assert struck(page.picture) == []

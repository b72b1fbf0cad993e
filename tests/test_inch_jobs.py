"""A job worked in inches: every length printed and drawn is in inches, or has them beside."""

from __future__ import annotations

import json
from pathlib import Path

import pypdfium2 as pdfium
import pytest
from typer.testing import CliRunner

from fabgen.checks.checked import Checked
from fabgen.checks.registry import run_checks
from fabgen.cli import app
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces

JOB = """
[job]
title = "Bench stand"
number = "IN-1"
units = "in"
[points]
A = [0, 0, 0]
B = [40, 0, 0]
C = [12, 0, 0]
D = [20, 0, "1' 6 1/2\\""]
E = { tape = { A = 24.0625, B = 24.0625, C = 15.625, D = 17.3125 }, side = "left" }
[measuring]
tape_error = "1/16 in"
[[tube]]
mark = "T1"
section = "1 3/4 x 0.120"
route = ["A", "B"]
[[tube]]
mark = "T2"
section = "1 1/2 in x 0.095 in"
route = ["C", "D"]
[[plate]]
mark = "P1"
thickness = "3/16"
rectangle = [4, "2 1/2"]
holes = [{ at = [1, 1], bolt = "3/8" }]
[[link]]
mark = "L1"
length = "16 1/4 in"
section = "1 in x 0.120 in"
rod_ends = ["M12 right", "M12 left"]
"""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("inch")
    job = folder / "stand.toml"
    job.write_text(JOB)
    result = CliRunner().invoke(app, ["make", str(job), "--out", str(folder / "out")])
    assert result.exit_code == 0, result.output
    return folder / "out" / "stand"


def words(path: Path) -> str:
    return "\n".join(page.get_textpage().get_text_range() for page in pdfium.PdfDocument(path))


def test_drawings_are_in_inches(made: Path) -> None:
    said = words(made / "drawings.pdf")
    for text in ('2 1/2"', 'Ø13/32" for 3/8 in', 'sheet 3/16"', 'tube 1 3/4 x 0.120"', 'saw length 40"'):
        assert text in said


def test_lists_have_inches_beside(made: Path) -> None:
    assert '1 3/4 x 0.120" [44.45 x 3.05]' in words(made / "cut-list.pdf")
    assert '4.76 mm [3/16"]' in words(made / "shopping-list.pdf")


def test_facts_and_checks_have_inches_beside(made: Path) -> None:
    job = json.loads((made / "job.json").read_text())
    link = next(piece for piece in job["pieces"] if piece["mark"] == "L1")
    assert link["facts"]["pin to pin"] == '412.8 mm [16 1/4"]'
    plate = next(piece for piece in job["pieces"] if piece["mark"] == "P1")
    assert plate["facts"]["holes"] == 'Ø10.32 [13/32"] for 3/8 in'
    assert any('54 mm [2.126"] of shank' in check["text"] for check in job["checks"])


def test_what_was_measured_has_inches_beside(made: Path) -> None:
    said = words(made / "check-table.pdf")
    for text in ("Tape readings within ± 1.6 mm [0.063 in]", "396.9 [15.625 in]", "z = 0 mm [0 in]"):
        assert text in said
    assert '2 mm [0.079"]' in words(made / "saw-sheets.pdf")


@pytest.mark.parametrize(
    ("holes", "words_of_it"),
    [
        ('{ at = ["1/4 in", 1], diameter = "3/8 in" }', 'hole Ø9.53 [3/8"] ('),
        ('{ at = ["5/16 in", 1], diameter = "1/4 in", length = "1/2 in" }', 'slot 12.7 [1/2"] x 6.35 [1/4"]'),
    ],
)
def test_holes_in_findings_have_inches_beside(holes: str, words_of_it: str) -> None:
    job = read_text(JOB.replace('{ at = [1, 1], bolt = "3/8" }', holes))
    found = run_checks(Checked(job.definitions, all_pieces(job.definitions)))
    assert any(words_of_it in finding.said.words("in") for finding in found if "P1" in finding.marks)

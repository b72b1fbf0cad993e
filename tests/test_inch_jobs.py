"""A job worked in inches: every length printed and drawn is in inches, or has them first."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pypdfium2 as pdfium
import pytest
from typer.testing import CliRunner

from fabgen.checks.checked import Checked
from fabgen.checks.registry import run_checks
from fabgen.cli import app
from fabgen.job.errors import JobError
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


def test_lists_are_in_inches(made: Path) -> None:
    assert '1 3/4 x 0.120"' in words(made / "cut-list.pdf")
    assert '3/16"' in words(made / "shopping-list.pdf")


def test_facts_and_checks_have_inches_first(made: Path) -> None:
    job = json.loads((made / "job.json").read_text())
    link = next(piece for piece in job["pieces"] if piece["mark"] == "L1")
    assert link["facts"]["pin to pin"] == '16 1/4" [412.8 mm]'
    plate = next(piece for piece in job["pieces"] if piece["mark"] == "P1")
    assert plate["facts"]["holes"] == 'Ø13/32" [10.32 mm] for 3/8 in'
    assert any('2.126" [54 mm] of shank' in check["text"] for check in job["checks"])


def test_what_was_measured_is_in_inches(made: Path) -> None:
    said = words(made / "check-table.pdf")
    for text in ('Tape readings within ± 0.063"', '15.625"', 'z = 0"'):
        assert text in said
    assert '0.079"' in words(made / "saw-sheets.pdf")


@pytest.mark.parametrize(
    ("holes", "words_of_it"),
    [
        ('{ at = ["1/4 in", 1], diameter = "3/8 in" }', 'hole Ø3/8" [9.53 mm] ('),
        ('{ at = ["5/16 in", 1], diameter = "1/4 in", length = "1/2 in" }', 'slot 1/2" [12.7 mm] x 1/4" [6.35 mm]'),
    ],
)
def test_holes_in_findings_have_inches_first(holes: str, words_of_it: str) -> None:
    job = read_text(JOB.replace('{ at = [1, 1], bolt = "3/8" }', holes))
    found = run_checks(Checked(job.definitions, all_pieces(job.definitions)))
    assert any(words_of_it in finding.said.words("in") for finding in found if "P1" in finding.marks)


HEAD = '[job]\ntitle = "T"\nnumber = "T-1"\nunits = "in"\n'
POINTS = "[points]\nA = [0, 0, 0]\nB = [40, 0, 0]\nC = [0, 30, 0]\n"
TUBE = '[[tube]]\nmark = "T1"\nsection = "1.5 x 1.5 x 0.12"\nturn = 0\nroute = ["A", "B"]\n'
DRILLED = 'holes = [{ at = 50, side = "top", diameter = 1 }]\nturn'
ANGLE = '[[bracket]]\nmark = "B1"\nshape = "angle"\nthickness = "1/8"\nlength = 4\nlegs = [2, 2]\n'


@pytest.mark.parametrize(
    ("text", "words_of_it"),
    [
        ('P = { tape = { A = 26, B = 26, C = 26 } }\n' + TUBE, "[20, 15, -7.141]"),
        ('P = { tape = { A = 2, B = 2, C = 2 }, side = "above" }\n' + TUBE, 'they miss by 26.'),
        ('P = { on = "T1", along = 50 }\n' + TUBE, '50" [1270 mm] from its start'),
        (TUBE.replace("turn", DRILLED), '50" [1270 mm] along, of 40" [1016 mm]'),
        (TUBE + ANGLE + 'place = { against = "T1", at = 50, side = "top" }\n', '10" [254 mm] past its finish'),
        (TUBE + ANGLE + 'place = { against = "T1", at = 5, side = "top", offset = 2 }\n', '2" [50.8 mm] beside'),
        (ANGLE.replace("[2, 2]", "[2, 0.25]"), '1/4" [6.35 mm] is too short for its bend'),
        (ANGLE + 'holes = [{ at = [9, 1], face = "a", diameter = "1/2" }]\n', 'hole Ø1/2" [12.7 mm] at (9, 1) leaves'),
        (ANGLE + 'holes = [{ at = [2, 1], face = "a", diameter = 1, length = "1/2" }]\n', 'a slot 1/2" [12.7 mm] long'),
        (TUBE.replace('["A", "B"]', '["A", "B"]\nsplices = [1000]'), '" ['),
    ],
)  # fmt: skip
def test_errors_have_inches_first(text: str, words_of_it: str) -> None:
    with pytest.raises(JobError) as caught:
        built(HEAD + POINTS + text)
    said = "\n".join(f"{problem.what} {problem.accepted}" for problem in caught.value.problems)
    assert words_of_it in said
    assert not in_mm_alone(said), said


def in_mm_alone(text: str) -> list[str]:
    """Lengths of a text that are in mm with no inches before them."""
    return re.findall(r"\d mm\b(?!\])", text)


def built(text: str) -> None:
    job = read_text(text)
    with job.locating():
        all_pieces(job.definitions)

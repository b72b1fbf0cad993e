"""What an error offers as nearest is accepted when it is put in, and means what was meant."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from fabgen.cli import app
from fabgen.job.errors import MOST_PRINTED, JobError, Problem
from fabgen.job.reader import read_text
from fabgen.job.values.section_text import parse_section
from fabgen.parts.build import all_pieces
from fabgen.shop.section import Section

HEAD = """[job]
title = "x"
number = "x"
units = "mm"
date = 2026-03-14
material = "S235"
[dimensions]
width = 50
rail = "1.5 in"
[points]
L1 = [600, 0, 0]
L0 = [0, 0, 0]
[[plate]]
mark = "P1"
rectangle = ["width", 50]
thickness = 6
[[tube]]
mark = "T1"
section = "48.3 x 3.2"
route = ["L0", "L1"]
[[tube]]
mark = "T2"
section = "33.7 x 2.6"
route = ["L0", [0, 0, 500]]
start = { onto = "T1" }
"""

LINES = [
    # the line as it should be, as it is written, and what is offered
    ("thickness = 6", "thickness = 6,5", "thickness = 6.5"),
    ("thickness = 6", "thickness = 6,5 mm", 'thickness = "6.5 mm"'),
    ("thickness = 6", 'thickness = 1/4"', "thickness = '1/4\"'"),
    ("thickness = 6", "thickness = 1/4 in", 'thickness = "1/4 in"'),
    ("thickness = 6", "thickness = 0' 0 1/4\"", 'thickness = "0\' 0 1/4\\""'),
    ("thickness = 6", 'thickness = "1/4"" ', "thickness = '1/4\"'"),
    ("date = 2026-03-14", "date = 14.3.2026", "date = 2026-03-14"),
    ("date = 2026-03-14", "date = 4.3.2026", "date = 2026-03-04"),
    ("date = 2026-03-14", "date = 3/14/2026", "date = 2026-03-14"),
    ("L1 = [600, 0, 0]", "L1 = (600, 0, 0)", "L1 = [600, 0, 0]"),
    ('mark = "P1"', "mark = P1", 'mark = "P1"'),
    ('section = "48.3 x 3.2"', "section = 48.3 x 3.2", 'section = "48.3 x 3.2"'),
    ("[[plate]]", "// plate\n[[plate]]", "# plate"),
]

VALUES = [
    ("date = 2026-03-14", 'date = "14.3.2026"', "14.3.2026", "2026-03-14"),
    ('units = "mm"', 'units = "inch"', "inch", "in"),
    ('units = "mm"', 'units = "MM"', "MM", "mm"),
    ('"width", 50', '"2 width", 50', "2 width", "2 * width"),
    ('"width", 50', '"6,5 mm", 50', "6,5 mm", "6.5 mm"),
    ('"width", 50', '"5oo", 50', "5oo", "500"),
    ('"width", 50', '"5oo mm", 50', "5oo mm", "500 mm"),
    ('"width", 50', '"l00", 50', "l00", ""),
    ("start = { onto", 'start = "plain" #{ onto', '"plain"', '{ cut = "plain" }'),
    ("start = { onto", 'start = "T1" #{ onto', '"T1"', '{ onto = "T1" }'),
    ('"48.3 x 3.2"', '"3.2 x 48.3"', "3.2 x 48.3", "48.3 x 3.2"),
    ('"48.3 x 3.2"', '"3 x 60 x 40"', "3 x 60 x 40", "60 x 40 x 3"),
    ('"48.3 x 3.2"', '"0.120 x 1 1/2 in"', "0.120 x 1 1/2 in", "1 1/2 x 0.120 in"),
    ('"48.3 x 3.2"', '"1 1/2 sch 40"', "1 1/2 sch 40", "48.3 mm x 3.68 mm"),
    ('"48.3 x 3.2"', '"DN 40"', "DN 40", ""),
    ('"48.3 x 3.2"', '"rial x rail x 3"', "rial", "rail"),
    ('"S235"', '"mild steel"', "mild steel", "S235"),
    ('"S235"', '"S253JR"', "S253JR", "S235JR"),
    ('"L0", "L1"', '"LO", "L1"', "LO", "L0"),
    ('"L0", "L1"', '"L0", "Ll"', "Ll", "L1"),
]


def problems_of(text: str) -> list[Problem]:
    try:
        read_text(text)
    except JobError as error:
        return error.problems
    return []


def test_the_job_itself_is_read() -> None:
    assert problems_of(HEAD) == []


@pytest.mark.parametrize(("line", "written", "offered"), LINES, ids=[written[:24] for _, written, _ in LINES])
def test_a_line_as_it_was_meant(line: str, written: str, offered: str) -> None:
    (problem,) = problems_of(HEAD.replace(line, written, 1))
    assert problem.nearest == offered
    assert problems_of(HEAD.replace(line, written, 1).replace(written.split("\n")[0], offered, 1)) == []


@pytest.mark.parametrize(("good", "bad", "part", "offered"), VALUES, ids=[bad[:24] for _, bad, *_ in VALUES])
def test_a_value_as_it_was_meant(good: str, bad: str, part: str, offered: str) -> None:
    text = HEAD.replace(good, bad, 1)
    (problem,) = problems_of(text)
    assert problem.nearest.strip('"') == offered or problem.nearest == offered
    if offered:
        assert problems_of(HEAD.replace(good, bad.replace(part, offered, 1), 1)) == []


@pytest.mark.parametrize("line", ["thickness = 1,200", "date = 3/4/2026", "thickness = 2 pcs", "thickness = 6 + ("])
def test_nothing_is_offered_where_it_is_not_clear(line: str) -> None:
    (problem,) = problems_of(HEAD.replace("thickness = 6" if "thick" in line else "date = 2026-03-14", line))
    assert problem.nearest == ""


def test_a_mark_of_thousands_of_digits_is_one_clear_fault() -> None:
    (problem,) = problems_of(HEAD.replace('mark = "P1"', f"mark = 0x{'f' * 5000}"))
    assert "very long number" in problem.what


@pytest.mark.parametrize("unit", ["cm", "m", "ft"])
def test_units_of_another_size_are_not_offered(unit: str) -> None:
    (problem,) = problems_of(HEAD.replace('units = "mm"', f'units = "{unit}"'))
    assert problem.nearest == ""
    assert f'"60 {unit}"' in problem.accepted


def test_oo_after_a_number_is_no_foot() -> None:
    (problem,) = problems_of(HEAD.replace('"width", 50', '"5 oo", 50'))
    assert problem.nearest == ""


@pytest.mark.parametrize("text", ["1 1/2 sch 40", '1 1/2" sch 40', "1-1/2 in schedule 40", "DN40 sch 40"])
def test_nominal_bore_is_no_diameter(text: str) -> None:
    """NPS 1 1/2 is 1.900 in outside; schedule 40 is 0.145 in (ASME B36.10M; from memory)."""
    with pytest.raises(ValueError, match="nominal bore") as caught:
        parse_section(text)
    found = parse_section(caught.value.nearest.strip('"'))  # type: ignore[attr-defined]
    assert (found.width, found.wall) == (pytest.approx(1.900 * 25.4, abs=0.05), pytest.approx(0.145 * 25.4, abs=0.01))


@pytest.mark.parametrize(
    ("text", "section"),
    [
        ("rail x rail x 0.125 in", Section("rectangular", 38.1, 38.1, 3.175, 6.35)),
        ("box x 3", Section("round", 60.0, 60.0, 3.0)),
        ("box x rail x wall r 6", Section("rectangular", 60.0, 38.1, 3.0, 6.0)),
        ("box - 2 * wall x wall", Section("round", 54.0, 54.0, 3.0)),
        ("48.3x3.2", Section("round", 48.3, 48.3, 3.2)),
        ("rail solid", Section("round", 38.1, 38.1, 0.0)),
    ],
)
def test_named_lengths_in_a_section(text: str, section: Section) -> None:
    job = read_text(HEAD.replace('rail = "1.5 in"', 'rail = "1.5 in"\nbox = 60\nwall = 3').replace("48.3 x 3.2", text))
    assert job.definitions.tube[0].section == section


def test_a_bend_test_that_no_part_uses_is_told_with_its_line() -> None:
    text = HEAD + '[[bend_test]]\nmaterial = "S235"\nthickness = 3\nradius = 3\nstrip = 100\nlegs = [80, 80]\n'
    job = read_text(text)
    with pytest.raises(JobError) as caught, job.locating():
        all_pieces(job.definitions)
    (problem,) = caught.value.problems
    assert problem.line == text.split("\n").index("legs = [80, 80]") + 1


def test_thousands_of_faults_are_not_all_printed() -> None:
    text = HEAD + "".join(f'[[plate]]\nmark = "Q{i}"\nthickness = "x{i}"\ndisc = 20\n' for i in range(3000))
    with pytest.raises(JobError) as caught:
        read_text(text)
    error = caught.value
    assert len(error.problems) == 3000
    printed = str(error)
    assert printed.count("job.toml:") == MOST_PRINTED
    assert f"and {3000 - MOST_PRINTED} more problems" in printed
    assert error.summary.startswith("3000 problems")


def test_the_ending_of_a_file_name_makes_nothing_like_it(tmp_path: Path) -> None:
    (tmp_path / "pyproject.toml").touch()
    assert "nearest" not in CliRunner().invoke(app, ["make", str(tmp_path / "none.toml")]).output
    (tmp_path / "nose.toml").touch()
    assert "nearest" in CliRunner().invoke(app, ["make", str(tmp_path / "none.toml")]).output


def test_a_key_of_the_header_is_sent_there() -> None:
    tube = '[[tube]]\nmark = "T1"\nsection = "40 x 3"\nvents = true\nroute = [[0, 0, 0], [500, 0, 0]]\n'
    with pytest.raises(JobError) as caught:
        read_text('[job]\ntitle = "t"\nnumber = "1"\nunits = "mm"\n' + tube)
    (problem,) = caught.value.problems
    assert problem.what == 'there is no key "vents" here'
    assert problem.nearest == "vents, but under [job]"

"""Cautions: each once, where it matters, the gravest first."""

from __future__ import annotations

from typing import Any, get_args

from jobs import checked, definitions, findings, tube
from typer.testing import CliRunner

from fabgen.checks.cautions import RULES
from fabgen.checks.rule import Finding
from fabgen.cli import app
from fabgen.documents.render import cautions
from fabgen.job.tables.buying_tables import PropertyClass

MAIN = tube("T1", (-500, 0, 0), (500, 0, 0), section="60.3 x 3.2")
TEE = tube("T2", (0, 0, 0), (0, 700, 0))
LINK = {"mark": "L1", "section": "25.4 x 4", "length": 400, "rod_ends": ["M12 right", "M12 left"]}


def found(**tables: Any) -> list[Finding]:
    return findings(checked(definitions(**tables), planned=True), RULES)


def said(**tables: Any) -> list[tuple[str, tuple[str, ...]]]:
    return [(each.rule, each.marks) for each in found(**tables)]


def test_a_plain_frame_of_mild_steel_has_none() -> None:
    assert said(tube=[MAIN, TEE]) == []


def test_stainless_that_is_welded() -> None:
    metal = {"material": "304"}
    assert said(tube=[MAIN | metal, TEE | metal]) == [("stainless-fume", ("T1", "T2"))]
    assert said(plate=[{"mark": "P1", "thickness": 3, "rectangle": [60, 60]} | metal]) == []


def test_chromium_molybdenum_that_is_welded() -> None:
    metal = {"material": "4130"}
    (note,) = found(tube=[MAIN | metal, TEE | metal])
    assert (note.level, note.rule) == ("note", "chromium-molybdenum")
    assert said(tube=[MAIN | metal]) == []


def test_bolts_of_10_9_and_rod_ends() -> None:
    bolts = [{"thread": "M10", "through": [6, 6], "property_class": name} for name in ("8.8", "10.9", "12.9")]
    assert said(bolt=bolts) == [("hard-bolts", ("bolt 2", "bolt 3"))]
    assert said(link=[LINK, LINK | {"mark": "L2"}]) == [("rod-end-use", ("L1", "L2"))]
    hard = {"thread": "M12", "property_class": "10.9"}
    rules = [rule for rule, _ in said(link=[LINK | {"rod_ends": [hard, "M12 left"]}])]
    assert rules == ["hard-bolts", "rod-end-use"]


def test_every_class_and_grade_that_a_bolt_may_have() -> None:
    """SAE J429 (from memory): grade 8 is 150 ksi, 1034 MPa, harder than 10.9; ISO 3506-1: A4-80 is 800 MPa."""
    grades = [("M10", name) for name in get_args(PropertyClass) if not name.startswith("grade")]
    grades += [("3/8-16 UNC", "grade 5"), ("3/8-16 UNC", "grade 8")]
    bolts = [{"thread": thread, "through": [6, 6], "property_class": name} for thread, name in grades]
    (note,) = found(bolt=bolts)
    hard = [f"bolt {number}" for number, (_, name) in enumerate(grades, 1) if name in ("10.9", "12.9", "grade 8")]
    assert note.marks == tuple(hard)
    assert len(hard) == 3


def test_the_grave_ones_come_first_and_no_vent_is_leave_to_weld_a_tank() -> None:
    first, calculated, tank, *_ = cautions.GENERAL
    assert "Some countries forbid welding" in first
    assert calculated.startswith("Not calculated: strength, fatigue")
    assert tank.startswith("Never weld on a tank")
    assert "with a vent or without" in tank
    everything = " ".join(cautions.GENERAL)
    for word in ("phosgene", "magnesium", "Pressure vessels", "fire for an hour", "Discs", "fume"):
        assert word in everything
    assert "safe" not in everything.split()
    assert len(everything.split()) < 200


def test_the_last_line_of_check_says_what_was_not_checked() -> None:
    told = CliRunner().invoke(app, ["check", "templates/tubes.toml"])
    last = told.stdout.strip().splitlines()[-1]
    assert last.startswith("not checked: strength, fatigue")

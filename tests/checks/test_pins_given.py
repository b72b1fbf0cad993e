"""The bolt that holds a rod end is its pin: tilts are counted from it, a [[pin]] that says otherwise is told."""

from __future__ import annotations

import math

import numpy as np
import pytest
from held_rods import TUBE, bolt
from jobs import checked, findings, read

from fabgen.app.work import movement_in
from fabgen.checks.bolt.bolt_lines import bolt_no_axis
from fabgen.checks.bolt.pins_given import pin_off_bolt
from fabgen.checks.motion.motion_checks import Moving, ball_angle
from fabgen.job.errors import JobError
from fabgen.job.reader import read_text
from fabgen.motion.movement import Movement

CLEVIS = """[[bracket]]
mark = "B1"
shape = "clevis"
material = "S235"
thickness = 4
gap = {gap}
length = 40
height = 45
bolt = "M12"
fit = "close"
place = {{ against = "S1", near = "P", side = "left", turn = {turn} }}
[[link]]
mark = "L1"
section = "25 x 4"
between = ["P", "Q"]
rod_ends = {ends}
"""
POINTS = "[points]\nP = [300, 65, 300]\nQ = [300, 400, 300]\n"
RODS = '["M12 right", "M12 left"]'
EYES = '[{ eye = "38.1 x 3.2", width = 30 }, { eye = "38.1 x 3.2", width = 30 }]'
THROUGH = bolt("B1", "7.5 mm", "L1", "7.5 mm", "B1")
MOVES = """[[body]]
name = "knuckle"
points = ["Q"]
[[joint]]
name = "post"
kind = "sleeve"
between = ["frame", "knuckle"]
at = [0, 400, 300]
axis = [0, 0, 1]
[[sweep]]
name = "travel"
height = "Q"
travel = [-50, 50]
steps = 11
"""


def rod(turn: int = 0, ends: str = RODS, gap: int = 31) -> str:
    """A rod in a clevis, whose bolt stands upright, or lies along the tube where it is turned."""
    return TUBE + POINTS + CLEVIS.format(turn=turn, ends=ends, gap=gap)


def pin(at: str, *axis: float | str) -> str:
    return f"[[pin]]\nat = {at}\naxis = {str(list(axis)) if len(axis) == 3 else axis[0]}\n"


def moved(text: str) -> Movement:
    job = checked(read(text), planned=True)
    found = movement_in(read_text(text), job.pieces, job.plan.bolts)
    assert found is not None
    return found


# -- the bolt is the pin ---------------------------------------------------------------------
def test_tilts_are_counted_from_the_bolt_as_it_stands() -> None:
    """The rod is 335 mm long: on an upright bolt it is tilted by what it rises, whichever way it swings."""
    (sweep,) = moved(rod() + THROUGH + MOVES).sweeps
    start, finish = sweep.tilts
    assert (start.square, finish.square) == (True, False)
    assert np.allclose(start.angle, np.arcsin(np.abs(sweep.driver) / 335.0), atol=1e-9)


def test_one_that_lies_along_the_tube_has_the_swing_that_is_left() -> None:
    """The knuckle's point goes round the post: along x by so much that the rod keeps its length."""
    (sweep,) = moved(rod(turn=90) + THROUGH + MOVES).sweeps
    rise = float(np.abs(sweep.driver).max())
    level = math.sqrt(335.0**2 - rise**2)  # of the rod, seen from above: from P to a circle of 300 about (0, 400)
    far = math.hypot(300.0, 335.0)
    at_p = math.acos((far**2 + level**2 - 300.0**2) / (2.0 * far * level)) - math.acos(335.0 / far)
    assert sweep.tilts[0].square
    assert sweep.tilts[0].angle.max() == pytest.approx(math.asin(level * abs(math.sin(at_p)) / 335.0), abs=1e-6)


def test_without_a_bolt_all_of_the_swing_is_counted_and_with_one_nobody_asks_for_a_pin() -> None:
    text = rod() + MOVES
    plain, bolted = ([each.text for each in ball_angle(Moving(moved(given)))] for given in (text, text + THROUGH))
    assert any("at its start" in each and "([[bolt]] or [[pin]]) is not given" in each for each in plain)
    assert any("at its start" in each for each in bolted)
    assert not any("at its start" in each and "not given" in each for each in bolted)


def test_rod_ends_well_within_a_limit_from_memory_are_one_note_with_the_largest() -> None:
    """Both bolts are upright: the rod of 335 mm that rises 50 mm tilts on both by asin(50/335) = 8.6°."""
    told = list(ball_angle(Moving(moved(rod() + THROUGH + pin('"Q"', 0, 0, 1) + MOVES))))
    (note,) = [each.said.words("mm") for each in told]
    assert note.startswith("2 rod ends tilt, most L1's at its ")
    assert f"{math.degrees(math.asin(50.0 / 335.0)):.1f}° at height of Q" in note
    assert note.endswith(", against their limit of 13.0° (from memory, check against your part)")
    assert told[0].marks == ("L1",)


def test_rod_ends_near_a_limit_are_one_finding_with_each_figure() -> None:
    text = rod() + THROUGH + pin('"Q"', 0, 0, 1) + MOVES.replace("[-50, 50]", "[-70, 70]")
    (told,) = ball_angle(Moving(moved(text)))
    assert told.level == "warn"
    said, tilt = told.said.words("mm"), math.degrees(math.asin(70.0 / 335.0))
    assert said.startswith("2 rod ends tilt close to their limit of 13.0° (from memory, check against your part): ")
    assert f"L1 at its start {tilt:.1f}° at height of Q" in said
    assert f"; L1 at its finish {tilt:.1f}° at height of Q" in said


@pytest.mark.parametrize(("rise", "level"), [(50, "note"), (70, "warn"), (85, "stop"), (120, "stop")])
def test_a_ball_is_told_once_however_many_travels_tilt_it(rise: int, level: str) -> None:
    """asin(85/335) = 14.7°, past 13°; the second travel tilts it less, and tells nothing more."""
    travel = MOVES.replace("[-50, 50]", f"[-{rise}, {rise}]")
    less = MOVES[MOVES.index("[[sweep]]") :].replace("[-50, 50]", "[-48, 48]")
    less = less.replace('name = "travel"', 'name = "less"')
    (told,) = ball_angle(Moving(moved(rod() + THROUGH + pin('"Q"', 0, 0, 1) + travel + less)))
    assert told.level == level
    assert "less" not in told.said.words("mm")


def test_the_bolt_counts_where_a_pin_says_otherwise() -> None:
    (sweep,) = moved(rod() + THROUGH + pin('"P"', 1, 0, 0) + MOVES).sweeps
    assert np.allclose(sweep.tilts[0].angle, np.arcsin(np.abs(sweep.driver) / 335.0), atol=1e-9)


# -- a pin that says otherwise -----------------------------------------------------------------
def said(text: str, *rules: object) -> list[str]:
    return [each.text for each in findings(checked(read(text), planned=True), rules)]  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (rod() + THROUGH + pin('"P"', 1, 0, 0), "the [[pin]] at P runs 90.0° off it: turn what the bolt goes through"),
        (rod() + THROUGH + pin('"P"', 0.5, 0, 1), "at P runs 26.6° off it"),
        (rod(turn=90) + THROUGH + pin('"P"', 0, 0, 1), "at P runs 90.0° off it"),
        (rod() + THROUGH + pin("[300, 65, 300]", '"Q"'), "the [[pin]] 1 runs 90.0° off it"),
        (rod() + THROUGH + pin('"Q"', 0, 0, 1) + pin('"P"', 0, 1, 1) + MOVES, "at P runs 45.0° off it"),
    ],
)
def test_a_pin_that_the_bolt_gives_the_lie_is_told(text: str, words: str) -> None:
    (found,) = said(text, pin_off_bolt)
    assert words in found


@pytest.mark.parametrize(
    "text",
    [
        rod() + THROUGH + pin('"P"', 0, 0, -1),  # the other way up is the same bolt
        rod() + THROUGH + pin('"Q"', 1, 0, 0),  # no bolt is named there
        rod() + pin('"P"', 1, 0, 0),  # nor here
    ],
)
def test_others_are_not(text: str) -> None:
    assert said(text, pin_off_bolt) == []


@pytest.mark.parametrize(("part", "speaks"), [(0.99, False), (1.01, True)])
def test_the_limit_is_two_degrees(part: float, speaks: bool) -> None:
    text = rod() + THROUGH + pin('"P"', math.tan(math.radians(2.0 * part)), 0, 1)
    assert bool(said(text, pin_off_bolt)) is speaks


def test_two_pins_are_one_finding() -> None:
    text = rod() + THROUGH + pin('"P"', 1, 0, 0) + pin("[300, 65, 300]", 0, 1, 0)
    (found,) = said(text, pin_off_bolt)
    assert "bolt 1: the [[pin]] at P runs 90.0° off it; bolt 1: the [[pin]] 2 runs 90.0° off it" in found


def test_a_job_that_does_not_move_may_have_pins() -> None:
    """They turn eyes, and what is held against one another."""
    text = rod(ends=EYES) + UP
    assert movement_in(read_text(text), checked(read(text)).pieces) is None


def test_a_pin_that_runs_toward_its_own_point_is_a_fault_of_the_file() -> None:
    with pytest.raises(JobError, match="runs toward the point it starts from"):
        read_text(rod(ends=EYES) + pin('"P"', '"P"'))


# -- sleeves welded across the rod ----------------------------------------------------------------
LEVEL, UP = bolt("B1", "L1", "B1"), pin('"P"', 0, 0, 1)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            rod(ends=EYES) + LEVEL,
            ["has no axis: no hole of B1 looks the way of one of L1: a [[pin]] at that end of L1"],
        ),
        (rod(turn=90, ends=EYES) + LEVEL + UP, ["has no axis: no hole of B1 looks the way of one of L1"]),
        (rod(ends=EYES) + LEVEL + UP, []),
        (rod(turn=90, ends=EYES) + LEVEL, []),
    ],
)
def test_an_eye_looks_the_way_of_its_bolt(text: str, words: list[str]) -> None:
    found = said(text, bolt_no_axis)
    assert len(found) == len(words)
    assert all(each in one for each, one in zip(words, found, strict=True))

"""Rod ends past their swing as drawn, and rods held on one side alone."""

from __future__ import annotations

import math
import re

import pytest
from held_rods import TUBE, between, bolt, rods
from jobs import checked, findings, read

from fabgen.checks.bolt.bolt_rooms import bolt_room
from fabgen.checks.bolt.rod_tilt import rod_tilt
from fabgen.checks.bolt.single_shear import single_shear
from fabgen.checks.contact.into_one_another import into_one_another

CLEVIS = """[[bracket]]
mark = "B1"
shape = "clevis"
material = "S235"
thickness = 4
gap = 31
length = 40
height = 45
bolt = "M12"
fit = "close"
place = {{ against = "S1", near = [300, 65, 300], side = "left", turn = {turn} }}
[[link]]
mark = "L1"
section = "25 x 4"
between = [{points}]
rod_ends = [{{ thread = "M12 right"{swing} }}, "M12 left"]
"""
THROUGH = bolt("B1", "7.5 mm", "L1", "7.5 mm", "B1")
HERE = "[300, 65, 300]"


def skew(to: str, turn: int = 90, swing: str = "", back: bool = False) -> str:
    points = f"{to}, {HERE}" if back else f"{HERE}, {to}"
    return TUBE + CLEVIS.format(turn=turn, points=points, swing=swing) + THROUGH


def leaning(degrees: float) -> str:
    """A rod that leans so far on its bolt, which lies along x."""
    lean = math.radians(degrees)
    return f"[{300 + 350 * math.sin(lean)}, {65 + 350 * math.cos(lean)}, 300]"


def said(text: str, *rules: object) -> list[str]:
    return [each.text for each in findings(checked(read(text), planned=True), rules)]  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (skew("[400, 400, 250]"), "at its start it tilts 16.4° on bolt 1 as drawn, 13.0° is its limit"),
        (skew("[400, 400, 250]", back=True), "at its finish it tilts 16.4° on bolt 1"),
        (skew("[300, 65, 600]", turn=0), "at its start it tilts 90.0° on bolt 1"),
        (skew(leaning(25.0), swing=", swing = 20"), "tilts 25.0° on bolt 1 as drawn, 20.0° is its limit"),
        (skew("[600, 400, 300]"), "tilts 41.8° on bolt 1"),
    ],
)
def test_a_rod_past_its_swing_is_told_and_nobody_is_to_drill_it(text: str, words: str) -> None:
    (found,) = said(text, rod_tilt)
    assert words in found
    assert said(text, bolt_room) == []
    assert not any("drill it" in each for each in said(text, into_one_another))


@pytest.mark.parametrize(
    "text",
    [
        skew("[300, 400, 400]"),  # leans, but square to its bolt
        skew(leaning(25.0), swing=", swing = 30"),
        rods(200) + between("L1"),
    ],
)
def test_one_that_only_leans_is_not(text: str) -> None:
    assert said(text, rod_tilt) == []


@pytest.mark.parametrize(("part", "speaks"), [(0.99, False), (1.01, True)])
def test_the_limit_is_the_swing(part: float, speaks: bool) -> None:
    assert bool(said(skew(leaning(13.0 * part)), rod_tilt)) is speaks


@pytest.mark.parametrize(
    ("text", "turn"),
    [
        (skew("[400, 400, 250]"), -26.6),
        (skew("[300, 65, 600]", turn=0), 90),
        (skew("[600, 400, 300]"), 0),
    ],
)
def test_the_turn_that_is_said_makes_the_bolt_square_to_the_rod(text: str, turn: float) -> None:
    (found,) = said(text, rod_tilt)
    assert found.endswith(f", turn = {turn} in the place of B1")
    assert said(re.sub(r"turn = (0|90) }", f"turn = {turn} }}", text), rod_tilt) == []


# -- held on one side alone -------------------------------------------------------------------
@pytest.mark.parametrize(
    "through",
    [
        ("E1", "3 mm", "L1"),
        ("L1", "3 mm", "E1"),
        ("E1", "3 mm", "L1", "3 mm"),  # with a washer that keeps it
        ("6 mm", "L1"),
        ("E1", "L1", "3.96 mm"),
    ],
)
def test_a_rod_held_on_one_side_alone_is_told(through: tuple[str, ...]) -> None:
    (found,) = said(rods(200) + bolt(*through), single_shear)
    assert found == (
        "held on one side of L1 alone, so it bends: an ear on either side of the rod end, or a bolt one size up"
    )


@pytest.mark.parametrize(
    "through", [("E1", "L1", "E1"), ("E1", "3 mm", "L1", "6 mm"), ("E1", "L1", "4.04 mm"), ("E1",), ("L1", "3 mm")]
)
def test_what_is_held_on_both_sides_or_by_who_knows_what_is_not(through: tuple[str, ...]) -> None:
    assert said(rods(200) + bolt(*through), single_shear) == []


def test_several_rods_are_one_finding() -> None:
    text = rods(200, 230) + bolt("E1", "3 mm", "L1") + bolt("E1", "3 mm", "L2")
    (found,) = said(text, single_shear)
    assert found.startswith("held on one side of L1, L2 alone, so they bend")

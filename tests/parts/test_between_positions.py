"""The least clearance of a travel, where it is between its positions: by hand, of a ball on an arm past another."""

from __future__ import annotations

import math

import pytest
from moving_jobs import TRAILING, studied

from fabgen.checks.motion.motion_checks import movement_findings
from fabgen.motion.between_positions import WITHIN

RADIUS, BALL, OUT = 500.0, 20.0, 40.0
"""The arm's end goes round its pivot; both balls are 20 across, the one that stands still 40 outside the arc."""


def passing(height: float, steps: int, clear: float = 0.0, out: float = OUT) -> str:
    """The arm's end goes from 100 below to 100 above, past a ball at a height."""
    text = TRAILING.replace("steps = 21", f"steps = {steps}")
    assert f"steps = {steps}" in text
    return (
        text
        + f"""
[[envelope]]
name = "end"
shape = "capsule"
on = "arm"
between = ["C", "C"]
diameter = {BALL}
clear = {clear}
[[envelope]]
name = "post"
shape = "capsule"
at = [0, 0, 0]
between = [[{-out}, 400, {height}], [{-out}, 400, {height}]]
diameter = {BALL}
ignore = ["T1", "spring"]
""".replace("at = [0, 0, 0]\n", "")
    )


def by_hand(height: float, out: float = OUT) -> float:
    return abs(math.hypot(RADIUS + out, height) - RADIUS) - BALL


@pytest.mark.parametrize("height", [14.0, 22.0, 30.0, 45.0, 71.0])
@pytest.mark.parametrize("steps", [2, 5])
def test_the_least_is_found_between_few_positions(height: float, steps: int) -> None:
    found = studied(passing(height, steps))
    clear = next(each for each in found.clearances[0] if {each.one, each.other} == {"end", "post"})
    assert clear.least == pytest.approx(by_hand(height), abs=WITHIN)
    assert clear.driver(found.sweeps[0].driver) == pytest.approx(
        RADIUS * height / math.hypot(RADIUS + OUT, height), abs=6.0
    )


FAULTS = [14.0, 30.0, 45.0, 55.0, 62.0]
"""Heights between two positions at which the ball comes within 25 mm of the other, in none of them itself."""


@pytest.mark.parametrize("height", FAULTS)
def test_what_comes_too_near_between_positions_is_told(height: float) -> None:
    found = studied(passing(height, 2, 22.0 if height < 20.0 else 25.0))
    texts = [each.text for each in movement_findings(found, "mm") if each.rule == "clearance"]
    assert any("comes within" in text and "of post" in text for text in texts), texts


@pytest.mark.parametrize(("height", "clear", "out"), [(30.0, 20.0, OUT), (30.0, 25.0, 50.0)])
def test_what_only_looks_too_near_is_not(height: float, clear: float, out: float) -> None:
    found = studied(passing(height, 2, clear, out))
    assert not [each for each in movement_findings(found, "mm") if each.rule == "clearance" and "post" in each.text]


def test_as_many_positions_are_printed_as_were_given() -> None:
    assert len(studied(passing(30.0, 5)).sweeps[0].driver) == 5

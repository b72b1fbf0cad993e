"""Ends of tubes and profiles that come near a profile and do not reach it: five faults, what only looks so, limits."""

from __future__ import annotations

import pytest
from faulty_profiles import HEAD, profile, tray
from jobs import checked, findings

from fabgen.checks.neighbours import NEAR, TOUCH
from fabgen.checks.profile.profile_ends import SHORT, profile_misses
from fabgen.checks.tube.ends.loose_ends import loose_end

CHANNEL = profile("S1", "[[0, 0, 0], [2000, 0, 0]]", "UPN 100", 'back = "right"')
"""Its web's back at y = 0, its toes at y = 50, its flanges' outsides at z = -50 and 50."""
FAR = profile("S2", "[[0, 1000, 0], [2000, 1000, 0]]", "UPN 100", 'back = "left"')
"""Its toes at y = 950, its web's inside at y = 994."""


def square_tube(mark: str, route: str, more: str = "") -> str:
    return f'[[tube]]\nmark = "{mark}"\nsection = "40 x 40 x 3"\nturn = 0\nroute = {route}\n{more}\n'


def member(finish: float, section: str = "UPN 80", more: str = 'back = "front"') -> str:
    return profile("M", f"[[1000, 0, 0], [1000, {finish}, 0]]", section, more)


def said(*tables: str) -> list[str]:
    told = findings(checked(HEAD + "".join(tables)), [loose_end, profile_misses])
    return [f"{', '.join(found.marks)}: {found.text}" for found in told]


FIVE = {
    "a post above a channel": (
        CHANNEL + square_tube("P", "[[1200, 25, 53], [1200, 25, 400]]"),
        "P: touches nothing, the nearest is 3 mm from S1: nothing holds it",
    ),
    "a post under it": (
        CHANNEL + square_tube("P", "[[1200, 25, -400], [1200, 25, -60]]"),
        "P: touches nothing, the nearest is 10 mm from S1",
    ),
    "a rung that stops short of the far one's web": (
        CHANNEL + FAR + square_tube("P", "[[1000, 0, 0], [1000, 985, 0]]"),
        "P: its finish ends 9",
    ),
    "a member 10 mm short of the far one's toes": (
        CHANNEL + FAR + member(940.0),
        "M: its finish stops 46.8 mm short of S2",
    ),
    "an angle short of a leg": (
        CHANNEL
        + profile("S2", "[[0, 1000, 0], [2000, 1000, 0]]", "angle 60 x 60 x 6", 'legs = ["top", "right"]')
        + member(930.0, "angle 40 x 40 x 4", 'legs = ["top", "front"]'),
        "M: its finish stops 10 mm short of S2",
    ),
}

OUT = '["top", "right"]', '["top", "front"]', '["top", "left"]', '["top", "back"]'


def leg(x: float, y: float, legs: str) -> str:
    return profile("P", f"[[{x}, {y}, -400], [{x}, {y}, 0]]", more=f"legs = {legs}")


def test_a_leg_inside_a_corner_with_its_legs_out_has_only_edges() -> None:
    (told,) = said(tray(*OUT) + leg(0, 0, '["front", "left"]'))
    assert told.startswith(
        "P: 1 end touches others along an edge only (P finish on F1), where no weld holds: move the points"
    )


def test_a_leg_under_the_flat_legs_of_that_corner_stands() -> None:
    """Its legs under theirs, its heel below theirs or their outer corner; and one inside a corner with legs in."""
    assert not said(tray(*OUT) + leg(0, 0, '["back", "right"]'))
    assert not said(tray(*OUT) + leg(-40, -40, '["front", "left"]'))
    assert not said(tray() + leg(0, 0, '["front", "left"]'))


def test_an_end_that_laps_on_another_holds_by_that() -> None:
    rail = profile("A", "[[0, 0, 0], [600, 0, 0]]")
    assert not said(rail + profile("B", "[[300, -2.5, 0], [300, -2.5, 300]]", "flat 40 x 5", 'width = "front"'))


@pytest.mark.parametrize("name", FIVE)
def test_it_speaks(name: str) -> None:
    text, words = FIVE[name]
    told = [each for each in said(text) if not each.startswith("S2")]
    assert len(told) == 1
    assert told[0].startswith(words)


LOOKS_WRONG = {
    "a post that stands on a channel": CHANNEL + square_tube("P", "[[1200, 25, 50], [1200, 25, 400]]"),
    "a tube laid along its web": CHANNEL + square_tube("P", "[[200, -20, 0], [1800, -20, 0]]"),
    "a member that reaches both": CHANNEL + FAR + member(1000.0),
    "an arm from one, its end free": CHANNEL
    + profile("M", "[[1000, 0, 0], [1000, -300, 0]]", "UPN 80", 'back = "front"'),
    "a tube far from all": CHANNEL + square_tube("P", "[[0, 500, 0], [900, 500, 0]]"),
}


@pytest.mark.parametrize("name", LOOKS_WRONG)
def test_it_is_silent(name: str) -> None:
    assert not said(LOOKS_WRONG[name])


@pytest.mark.parametrize(
    ("off", "speaks"), [(0.99 * TOUCH, False), (1.01 * TOUCH, True), (0.99 * NEAR, True), (1.01 * NEAR, False)]
)
def test_limits_of_what_touches_and_of_what_is_near(off: float, speaks: bool) -> None:
    assert bool(said(CHANNEL + square_tube("P", f"[[1200, 25, {50.0 + off}], [1200, 25, 600]]"))) == speaks


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_limit_of_what_is_meant_to_reach(share: float) -> None:
    """Square bar level with the far channel's lower flange, and so between the two that it runs on to the web."""
    toe = 950.0 - share * SHORT
    bar = profile("M", f"[[1000, 0, -46], [1000, {toe}, -46]]", "square bar 6", "")
    told = [each for each in said(CHANNEL + FAR + bar) if each.startswith("M")]
    assert bool(told) == (share < 1.0)

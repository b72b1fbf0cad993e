"""profile-clash: five that an old hand would see at once, and what only looks wrong."""

from __future__ import annotations

import re

import pytest
from faulty_profiles import HEAD, profile, tube
from jobs import checked, findings

from fabgen.checks.profile.profile_clashes import profile_clash

ACROSS = 'legs = ["top", "front"]'
RAIL = profile("L1", "[[0, 0, 0], [600, 0, 0]]")
PLATE = """[[plate]]
mark = "P"
thickness = 8
rectangle = [120, 120]
place = {{ at = [-60, -60, {}] }}
"""


def said(*tables: str) -> list[str]:
    return [str(found.text) for found in findings(checked(HEAD + "".join(tables)), [profile_clash])]


FIVE = {
    "one through another between their ends": (
        RAIL + profile("L2", "[[300, -200, 20], [300, 200, 20]]", more=ACROSS),
        "over 40 mm, 2.1 mm deep",
    ),
    "an end left plain in another's leg": (
        RAIL
        + profile("L2", "[[300, 0, 10], [300, 300, 10]]", more='legs = ["top", "front"]\nstart = { cut = "plain" }'),
        'L2 start = { onto = "L1" }',
    ),
    "a leg into a tube beside it": (
        tube("T", "[[0, 60, -300], [0, 60, 300]]") + profile("L1", "[[-200, 0, 0], [200, 0, 0]]"),
        "runs into T",
    ),
    "two laid into one another": (
        RAIL + profile("L2", "[[0, 2, 0], [600, 2, 0]]", more='legs = ["top", "right"]'),
        "over 600 mm",
    ),
    "a leg into a tube that it crosses": (
        tube("T", "[[-300, 0, 10], [300, 0, 10]]") + profile("L1", "[[0, -200, 0], [0, 200, 0]]", more=ACROSS),
        "runs into T|T",
    ),
}


@pytest.mark.parametrize("name", FIVE)
def test_it_speaks(name: str) -> None:
    text, words = FIVE[name]
    (told,) = said(text)
    assert re.search(words, told), told


LOOKS_WRONG = {
    "legs back to back": RAIL + profile("L2", "[[0, 0, 0], [600, 0, 0]]", more='legs = ["top", "right"]'),
    "a brace flat on a leg": RAIL
    + profile("F", "[[100, -2.5, 20], [400, -2.5, 500]]", "flat 40 x 5", "width = [-480, 0, 300]"),
    "one nested in the corner of a larger": RAIL
    + profile("L2", "[[0, 4, 12], [600, 4, 12]]", "angle 20 x 20 x 3", 'legs = ["top", "left"]'),
    "a rung notched to its rails": RAIL
    + profile("L2", "[[0, 400, 0], [600, 400, 0]]", more='legs = ["top", "right"]')
    + profile("R", "[[300, 0, 0], [300, 400, 0]]", "angle 30 x 30 x 3", 'legs = ["top", "front"]'),
    "a mitred corner": RAIL + profile("L2", "[[600, 0, 0], [600, 400, 0]]", more='legs = ["top", "back"]'),
    "an angle under a plate": PLATE.format(40) + profile("L1", "[[-100, 0, 0], [100, 0, 0]]"),
    "one that passes over another": RAIL + profile("L2", "[[300, -200, 40.2], [300, 200, 40.2]]", more=ACROSS),
}


@pytest.mark.parametrize("name", LOOKS_WRONG)
def test_it_is_silent(name: str) -> None:
    assert not said(LOOKS_WRONG[name])


def test_several_are_one_finding() -> None:
    rungs = "".join(
        profile(f"R{i}", f"[[{100 * i}, -200, 20], [{100 * i}, 200, 20]]", more=ACROSS) for i in range(1, 5)
    )
    (told,) = said(RAIL, rungs)
    assert told.startswith("4 run into others")

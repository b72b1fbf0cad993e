"""profile-drawn-through: five ends that lose what they were drawn with, what only looks so, and the limit."""

from __future__ import annotations

import pytest
from faulty_profiles import HEAD, profile, tube
from jobs import checked, findings

from fabgen.checks.profile.drawn_through import BEYOND, RULES

ANGLE = profile("H", "[[0, 600, 0], [600, 600, 0]]")
"""Its upright leg from y = 600 to 604, its flat one to 640."""
CHANNEL = profile("H", "[[0, 600, 0], [600, 600, 0]]", "UPN 100", 'back = "right"')
"""Its web from y = 600 to 606, its toes at 650."""


def flat(finish: float, z: float = 15.0, start: float = 300.0, more: str = "") -> str:
    """A 50 x 6 on edge that runs along y."""
    return profile("G", f"[[400, {start}, {z}], [400, {finish}, {z}]]", "flat 50 x 6", more)


def said(*tables: str) -> list[str]:
    told = findings(checked(HEAD + "".join(tables)), RULES)
    return [f"{', '.join(found.marks)}: {found.text}" for found in told]


FIVE = {
    "flat bar through the upright leg to the edge of the other": (
        ANGLE + flat(640.0),
        "G: its finish is drawn through H, 36 mm out of the far side, and cut off before it, 40 mm shorter than drawn",
    ),
    "a channel's web, drawn to its toes": (
        CHANNEL + flat(650.0, 25.0),
        "G: its finish is drawn through H, 44 mm out of the far side, and cut off before it, 50 mm",
    ),
    "from the other side, its start": (
        ANGLE + profile("G", "[[400, 640, 15], [400, 300, 15]]", "flat 50 x 6", ""),
        "G: its start is drawn through H, 36 mm",
    ),
    "past the stem of a T to the far edge of its flange": (
        profile("H", "[[0, 600, 0], [600, 600, 0]]", "T 60 x 60 x 7", 'flange = "top"') + flat(629.0, -20.0),
        "G: its finish is drawn through H, 2",
    ),
    "both ends, of a rung drawn over all": (
        ANGLE + profile("K", "[[0, 200, 0], [600, 200, 0]]", more='legs = ["top", "right"]') + flat(640.0, start=160.0),
        "G: 2 ends are drawn through what they meet and cut off before it (G start 36 mm out of K, 40 mm lost; "
        "G finish 36 mm out of H, 40 mm lost): move their points to it, or `start = { onto",
    ),
}


@pytest.mark.parametrize("name", FIVE)
def test_it_speaks(name: str) -> None:
    text, words = FIVE[name]
    (told,) = said(text)
    assert told.startswith(words)


LOOKS_WRONG = {
    "to the heel of a rail whose legs look at it": profile(
        "H", "[[0, 600, 0], [600, 600, 0]]", more='legs = ["top", "right"]'
    )
    + flat(600.0),
    "to the middle line that a channel is drawn by": profile(
        "H", "[[0, 600, 0], [600, 600, 0]]", "UPN 100", 'back = "right"\nlies = "middle"'
    )
    + flat(600.0),
    "to the axis of a tube": tube("H", "[[0, 600, 0], [600, 600, 0]]") + flat(600.0, 0.0),
    "a brace that leans, drawn to the heel": profile("H", "[[0, 600, 0], [900, 600, 0]]")
    + profile("G", "[[300, 300, 15], [600, 600, 15]]", "flat 50 x 6", ""),
    "where the job names what it sits on": ANGLE + flat(640.0, more='finish = { onto = "H" }'),
}


@pytest.mark.parametrize("name", LOOKS_WRONG)
def test_it_is_silent(name: str) -> None:
    assert not said(LOOKS_WRONG[name])


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_limit_of_what_is_drawn_to_the_far_side(share: float) -> None:
    assert bool(said(ANGLE + flat(604.0 + share * BEYOND))) == (share > 1.0)


def test_in_inches() -> None:
    text = HEAD.replace('"mm"', '"in"') + profile("H", "[[0, 24, 0], [24, 24, 0]]", "angle 1 1/2 x 1 1/2 x 1/8")
    (found,) = findings(checked(text + profile("G", '[[16, 12, "1/2"], [16, 25.5, "1/2"]]', "flat 2 x 1/4", "")), RULES)
    assert '1 3/8" [34.9 mm] out of the far side, and cut off before it, 1 1/2" [38.1 mm] shorter' in found.text

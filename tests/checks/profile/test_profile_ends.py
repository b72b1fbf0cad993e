"""What is said of profiles' ends and hands: faults that an old hand would see at once, and what only looks wrong."""

from __future__ import annotations

import pytest
from faulty_profiles import HEAD, over_a_bar, profile, tube
from jobs import checked, findings

from fabgen.checks.profile import profile_ends
from fabgen.checks.profile.profile_ends import LEAST_LEFT, left_beside
from fabgen.parts.piece import ProfilePart

RAILS = profile("L1", "[[0, 0, 0], [600, 0, 0]]") + profile(
    "L2", "[[0, 400, 0], [600, 400, 0]]", more='legs = ["top", "right"]'
)
RUNG = 'legs = ["top", "front"]'


def said(*tables: str) -> list[str]:
    told = findings(checked(HEAD + "".join(tables)), profile_ends.RULES)
    return [f"{found.rule} {', '.join(found.marks)}: {found.text}" for found in told]


FIVE = {
    "a notch that leaves little": (
        over_a_bar(6.0),
        "profile-notch R: 6 mm of 40 mm of its section is left",
    ),
    "an inner corner left sharp": (
        RAILS
        + profile("R", "[[300, 0, 0], [300, 400, 0]]", "angle 30 x 30 x 3", RUNG + "\nstart = { corner_hole = 0 }"),
        "profile-corner R: inner corners of notches are left sharp (R start)",
    ),
    "left and right as two of one": (
        RAILS
        + profile(
            "R",
            "[[300, 0, 0], [300, 400, 0]]",
            "angle 50 x 30 x 3",
            RUNG + '\nquantity = 2\nfinish = { cut = "plain", extend = -200 }',
        ),
        "profile-hand R: several are made",
    ),
    "an end that stops short": (
        RAILS
        + profile(
            "R",
            "[[300, 0, 0], [300, 390, 0]]",
            "angle 30 x 30 x 3",
            RUNG + '\nfinish = { cut = "plain", extend = -40 }',
        ),
        "profile-misses R: its finish stops 10 mm short of L2",
    ),
    "a bar that hangs in the air": (
        RAILS + profile("R", "[[300, 60, 0], [300, 340, 0]]", "angle 30 x 30 x 3", RUNG),
        "profile-misses R: 2 ends stop short (R start stops 20 mm short of L1; R finish stops 20 mm short of L2)",
    ),
}


@pytest.mark.parametrize("name", FIVE)
def test_it_speaks(name: str) -> None:
    text, words = FIVE[name]
    told = said(text)
    assert len(told) == 1
    assert told[0].startswith(words)


LOOKS_WRONG = {
    "a rung notched at both ends": RAILS + profile("R", "[[300, 0, 0], [300, 400, 0]]", "angle 30 x 30 x 3", RUNG),
    "two rungs of one mark": RAILS
    + profile("R", "[[300, 0, 0], [300, 400, 0]]", "angle 30 x 30 x 3", RUNG + "\nquantity = 2"),
    "a bracket arm with a free end": RAILS + profile("R", "[[300, 0, 0], [300, -150, 0]]", "flat 40 x 5", ""),
    "two rails of one mark, drilled alike from both ends": RAILS
    + profile(
        "R",
        "[[300, 0, -40], [300, 400, -40]]",
        more=RUNG + '\nquantity = 2\nholes = [{ leg = "b", at = 50, bolt = "M8" }, '
        '{ leg = "b", at = 50, from = "finish", bolt = "M8" }]',
    ),
    "an angle by itself, far from all": RAILS + profile("R", "[[0, 900, 0], [500, 900, 0]]"),
    "a leg that laps on a tube": tube("T", "[[0, 30.15, -300], [0, 30.15, 300]]", "60.3 x 3.2")
    + profile("R", "[[-200, 0, 0], [200, 0, 0]]", more='legs = ["top", "right"]'),
}


@pytest.mark.parametrize(
    "holes",
    [
        '{ leg = "b", at = 50, bolt = "M8" }',
        '{ leg = "b", at = 50, bolt = "M8" }, { leg = "b", at = 50, from = "finish", bolt = "M6" }',
        '{ leg = "b", at = 50, bolt = "M8" }, { leg = "b", at = 51, from = "finish", bolt = "M8" }',
    ],
)
def test_square_cut_rails_drilled_unlike_are_of_one_hand(holes: str) -> None:
    keys = RUNG + f"\nquantity = 2\nholes = [{holes}]"
    (told,) = said(RAILS + profile("R", "[[300, 0, -40], [300, 400, -40]]", more=keys))
    assert told.startswith("profile-hand R: several are made")


@pytest.mark.parametrize("name", LOOKS_WRONG)
def test_it_is_silent(name: str) -> None:
    assert not said(LOOKS_WRONG[name])


@pytest.mark.parametrize(("share", "speaks"), [(0.99, True), (1.01, False)])
def test_limit_of_what_a_notch_leaves(share: float, speaks: bool) -> None:
    text = over_a_bar(LEAST_LEFT * share * 40.0)
    part = next(p.shape for p in checked(HEAD + text).pieces if p.mark == "R")
    assert isinstance(part, ProfilePart)
    assert left_beside(part.ends[0]).share == pytest.approx(LEAST_LEFT * share, abs=1e-3)
    assert bool([each for each in said(text) if "profile-notch" in each]) == speaks


@pytest.mark.parametrize("section", ["square bar 20", "hexagon bar 24"])
def test_bar_that_is_sawn_square_has_no_hand(section: str) -> None:
    """Its two principal moments across are alike, so the body alone would not tell."""
    plain = HEAD + profile("L1", "[[0, 0, 0], [600, 0, 0]]", section, "quantity = 2")
    assert not [each for each in findings(checked(plain)) if each.rule == "profile-hand"]

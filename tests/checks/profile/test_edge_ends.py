"""Ends of profiles that stand on edges alone: what an old hand would set in or lap, and what only looks so."""

from __future__ import annotations

import re

import pytest
from faulty_profiles import HEAD, hanging, profile
from jobs import checked, findings

from fabgen.app.work import built, planned
from fabgen.checks.profile import edge_ends
from fabgen.job.reader import read_text
from fabgen.parts.piece import ProfilePart

POST = "[[300, 0, -400], [300, 0, 0]]"
CORNER = hanging("[[0, 0, -500], [0, 0, 0]]")


def said(*tables: str) -> list[str]:
    told = findings(checked(HEAD + "".join(tables)), edge_ends.RULES)
    return [f"{', '.join(found.marks)}: {found.text}" for found in told]


FIVE = {
    "a leg heel to heel under a corner of hanging legs": (
        CORNER,
        "F: its finish stands edge to edge, 80 mm of 80 mm on the 4 mm edges of L1 and L2: set the points in by that "
        "thickness, so that the legs lap inside",
    ),
    "flat bar on end under flat bar on edge": (
        profile("L1", "[[0, 0, 20], [600, 0, 20]]", "flat 40 x 5", "")
        + profile("F", POST, "flat 40 x 5", 'width = "front"'),
        "F: its finish stands edge to edge, 40 mm of 40 mm on the 5 mm edge of L1: let it pass beside the edge",
    ),
    "flat bar across an edge": (
        profile("L1", "[[0, 0, 20], [600, 0, 20]]", "flat 40 x 5", "")
        + profile("F", POST, "flat 40 x 5", 'width = "left"'),
        "F: its finish stands edge to edge, 5 mm of 40 mm on the 5 mm edge of L1",
    ),
    "flat bar under the stem of a T": (
        profile("L1", "[[0, 0, 40], [600, 0, 40]]", "T 40 x 40 x 5", 'flange = "top"')
        + profile("F", POST, "flat 40 x 5", 'width = "front"'),
        "F: its finish stands edge to edge, 40 mm of 40 mm on the 5 mm edge of L1: let it pass beside the edge",
    ),
    "flat bar under one toe of a channel": (
        profile("L1", "[[0, 0, 45], [600, 0, 45]]", "channel 80 x 45 x 5", 'back = "top"')
        + profile("F", "[[300, 37.5, -400], [300, 37.5, 0]]", "flat 40 x 5", 'width = "front"'),
        "F: its finish stands edge to edge, 40 mm of 40 mm on the 5 mm edge of L1: set the points in by that thickness",
    ),
}


@pytest.mark.parametrize("name", FIVE)
def test_it_speaks(name: str) -> None:
    text, words = FIVE[name]
    (told,) = said(text)
    assert told.startswith(words)


LOOKS_WRONG = {
    "a leg set in, inside the corner": hanging("[[4, 4, -500], [4, 4, 0]]"),
    "a post under a flat leg": profile("L1", "[[0, 0, 0], [600, 0, 0]]")
    + profile("F", "[[300, 8, -400], [300, 8, 0]]", more='legs = ["front", "left"]'),
    "a rung against an upright leg": profile("L1", "[[0, 0, 0], [600, 0, 0]]")
    + profile("F", "[[300, -300, 0], [300, 0, 0]]", more='legs = ["top", "front"]'),
    "flat bar on the flat of flat bar": profile("L1", "[[0, 0, 0], [600, 0, 0]]", "flat 40 x 5", "")
    + profile("F", "[[300, 300, 0], [300, 2.5, 0]]", "flat 40 x 5", ""),
    "a post that runs past the edge of a rail": profile(
        "L1", "[[0, 0, 0], [600, 0, 0]]", more='legs = ["top", "right"]'
    )
    + profile("F", "[[300, 2.5, -400], [300, 2.5, 30]]", "flat 40 x 5", 'width = "front"'),
}


@pytest.mark.parametrize("name", LOOKS_WRONG)
def test_it_is_silent(name: str) -> None:
    assert not said(LOOKS_WRONG[name])


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_limit_of_what_stands_on_the_flat(share: float) -> None:
    """Flat bar under an angle: 4 mm of it below the upright leg's edge, the rest of what touches below the flat leg."""
    flat = edge_ends.FLAT * share
    y = 4.0 / (1.0 - flat) - 20.0
    post = profile("F", f"[[300, {y}, -400], [300, {y}, 0]]", "flat 40 x 5", 'width = "left"')
    assert bool(said(profile("L1", "[[0, 0, 0], [600, 0, 0]]") + post)) == (share < 1.0)


@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_line_that_it_writes_lets_the_leg_lap(units: str) -> None:
    text = HEAD + CORNER
    if units == "in":
        text = re.sub(r"(-?\d+), (-?\d+), (-?\d+)", r'"\1 mm", "\2 mm", "\3 mm"', text).replace(
            'units = "mm"', 'units = "in"'
        )
        text = text.replace("40 x 40 x 4", "1 1/2 x 1 1/2 x 1/8")
    job = read_text(text)
    (told,) = [f for f in planned(job, built(job), None, effort=None).findings if f.rule == "profile-on-edge"]
    line = re.search(r"`route = (\[\[.*\]\])` in the table of F", told.text)
    assert line
    route = re.search(r'mark = "F".*?route = (.*?)\n', text, re.S)
    assert route
    mended = read_text(text.replace(route[1], line[1]))
    pieces = built(mended)
    rules = {f.rule for f in planned(mended, pieces, None, effort=None).findings}
    assert not {rule for rule in rules if rule.startswith("profile-")}
    leg = next(piece.shape for piece in pieces if piece.mark == "F")
    assert isinstance(leg, ProfilePart)
    # It runs up between the hanging legs to where the roots below the flat ones begin, or farther.
    thick = 4.0 if units == "mm" else 25.4 / 8
    assert 500.0 - thick - leg.section.root - 0.01 <= leg.length <= 500.0 - thick + 0.01


def test_like_ends_are_one_finding() -> None:
    other = profile("G", "[[600, 0, -500], [600, 0, 0]]", more='legs = ["back", "left"]')
    side = profile("L3", "[[600, 0, 0], [600, 400, 0]]", more='legs = ["bottom", "back"]')
    (told,) = said(CORNER, side, other)
    assert told.startswith(
        "F, G: 2 ends stand edge to edge (F finish 80 mm of 80 mm on the 4 mm edges of L1 and L2; G finish"
    )

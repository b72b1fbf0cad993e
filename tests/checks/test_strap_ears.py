"""strap-ears: saddles whose ears lie on nothing, and what only looks so."""

from __future__ import annotations

import pytest
from faulty_straps import HEADER, PIPE, bed, saddle
from jobs import checked, findings

from fabgen.checks.neighbours import TOUCH
from fabgen.checks.sheet.strap_ears import RULES


def said(*tables: str) -> list[str]:
    return [f"{', '.join(found.marks)}: {found.text}" for found in findings(checked(HEADER + "".join(tables)), RULES)]


FIVE = {
    "above its bed": (
        PIPE + saddle() + bed("P", -100, -10.0, 200.0),
        "S: its ears lie on nothing (S 2 ears, 10 mm from P)",
    ),
    "one ear past the edge of it": (
        PIPE + saddle() + bed("P", -100, 0.0, 130.0),
        "S: its ears lie on nothing (S 1 of 2 ears, ",
    ),
    "turned across the rails it should lie on": (
        PIPE + saddle() + bed("P", 90, 0.0) + bed("Q", -150, 0.0),
        "S: its ears lie on nothing (S 2 ears, ",
    ),
    "by figures, in the air over a frame": (
        bed("P", -100, 0.0, 200.0) + saddle(more="place = { at = [200, 0, 100], along = [0, 1, 0], up = [0, 0, 1] }"),
        "S: its ears lie on nothing (S 2 ears, ",
    ),
    "two of them": (
        PIPE + saddle() + saddle("R", "at = 240") + bed("P", -100, -10.0, 200.0),
        "S, R: ears of saddles lie on nothing (S 2 ears, 10 mm from P; R 2 ears, 10 mm from P): move them onto",
    ),
}


@pytest.mark.parametrize("name", FIVE)
def test_it_speaks(name: str) -> None:
    text, words = FIVE[name]
    (told,) = said(text)
    assert told.startswith(words)


LOOKS_WRONG = {
    "down on a plate": PIPE + saddle() + bed("P", -100, 0.0, 200.0),
    "on two rails": PIPE + saddle() + bed("P", 30, 0.0) + bed("Q", -90, 0.0),
    "what it is bolted to is not drawn": PIPE + saddle(),
    "without a place": bed("P", -100, 0.0, 200.0) + saddle(more=""),
}


@pytest.mark.parametrize("name", LOOKS_WRONG)
def test_it_is_silent(name: str) -> None:
    assert not said(LOOKS_WRONG[name])


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_limit_of_what_it_lies_on(share: float) -> None:
    assert bool(said(PIPE + saddle() + bed("P", -100, -share * TOUCH, 200.0))) == (share > 1.0)

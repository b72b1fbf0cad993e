"""Ends of tubes on the edges of legs: five faults, three that only look so, and the limit."""

from __future__ import annotations

import pytest
from faulty_profiles import HEAD, profile
from jobs import checked, findings

from fabgen.checks.profile.tubes_on_edges import tube_on_edge

ANGLE = profile("L1", "[[0, 0, 0], [1000, 0, 0]]", "angle 60 x 60 x 6", 'legs = ["bottom", "left"]')
"""Its legs hang down at y = 0 to 6 and lie at z = -6 to 0, to y = 60."""


def tube(route: str, section: str = "40 x 40 x 3") -> str:
    return f'[[tube]]\nmark = "T1"\nsection = "{section}"\nroute = {route}\n'


def said(*tables: str) -> list[str]:
    told = findings(checked(HEAD + "".join(tables)), [tube_on_edge])
    return [f"{', '.join(each.marks)}: {each.text}" for each in told]


FIVE = {
    "square to the toe of the flat leg": tube("[[500, 60, -3], [500, 400, -3]]"),
    "under the toe of the leg that hangs": tube("[[500, 3, -60], [500, 3, -400]]"),
    "a round tube on that toe": tube("[[500, 60, -3], [500, 400, -3]]", "30 x 2"),
    "past the toe with most of it": tube("[[500, 72, 0], [500, 72, 300]]"),
    "past the heel with most of it": tube("[[500, -10, 0], [500, -10, 300]]"),
}


@pytest.mark.parametrize("name", FIVE)
def test_it_speaks(name: str) -> None:
    (told,) = said(ANGLE, FIVE[name])
    assert told.startswith("T1: ")
    assert " % of its start meets " in told
    assert told.endswith("move the point onto a face, turn the leg, or set a plate between")


LOOKS_WRONG = {
    "it stands on the flat leg": tube("[[500, 30, 0], [500, 30, 300]]"),
    "it lies against the hanging leg": tube("[[500, -20, -30], [800, -20, -30]]"),
    "it ends far from all": tube("[[500, 300, 0], [500, 300, 300]]"),
}


@pytest.mark.parametrize("name", LOOKS_WRONG)
def test_it_is_silent(name: str) -> None:
    assert not said(ANGLE, LOOKS_WRONG[name])


@pytest.mark.parametrize(("middle", "speaks"), [(59.0, False), (61.0, True)])
def test_limit_of_what_stands_on_a_face(middle: float, speaks: bool) -> None:
    """A square tube of 40 on the flat leg, its middle this side of the toe and past it by 1 mm."""
    assert bool(said(ANGLE, tube(f"[[500, {middle}, 0], [500, {middle}, 300]]"))) == speaks

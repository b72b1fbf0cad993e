"""Rods that hang in the air: five faults, what only looks wrong, and the limits from both sides."""

from __future__ import annotations

import pytest
from held_rods import ROD, TUBE, bolt, flats, rods
from jobs import checked, findings, read

from fabgen.checks.contact.rods_in_air import REACH, rod_in_air
from fabgen.checks.rule import Finding

WIDTH = 16.0
"""Of an M12 rod end's ball, mm: ISO 12240-4, series K (from memory, check against your part)."""
SKIN = 20.0
RADIUS = 12.5
"""The tube's skin, and that of the rod, mm."""


def rod(one: list[float], other: list[float], mark: str = "L1") -> str:
    keys = f'mark = "{mark}"\nsection = "25 x 4"\nbetween = [{one}, {other}]\n'
    return f'[[link]]\n{keys}rod_ends = ["M12 right", "M12 left"]\n'


AWAY = ROD.format(mark="L1", at=200).replace("65", "165")
"""Square to the tube, its start 165 mm off."""
NO_PLACE = '[[plate]]\nmark = "P9"\nthickness = 6\nrectangle = [60, 60]\nholes = [{ at = [30, 30], bolt = "M12" }]\n'
BODY = '[[body]]\nname = "arm"\n{keys}\n[[joint]]\nname = "j"\nkind = "ball"\nbetween = ["frame", "arm"]\nat = {at}\n'
POINTS = "[points]\nA = [200, 165, 300]\nB = [200, 400, 300]\n"
BETWEEN = rod([0, 0, 0], [0, 0, 1]).replace("[[0, 0, 0], [0, 0, 1]]", '["A", "B"]')


def said(text: str) -> list[Finding]:
    return findings(checked(read(text), planned=True), (rod_in_air,))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (TUBE + AWAY, "hangs in the air, 137 mm from the nearest, S1: "),
        (TUBE + AWAY + NO_PLACE, "137 mm from the nearest, S1"),  # what has no place holds nothing
        (TUBE + rod([100, 200, 300], [500, 200, 300]), "167.5 mm from the nearest, S1"),  # along the tube
        (rods() + rod([400, 165, 300], [400, 400, 300]), "137 mm from the nearest, S1"),  # far from the ears
        (
            TUBE + AWAY + rod([200, 181, 300], [400, 400, 300], "L2"),
            "2 rods hang in the air (L1 137 mm from S1; L2 153 mm from S1): ",  # on one another
        ),
    ],
)  # fmt: skip
def test_a_rod_that_hangs_on_nothing_is_looked_at(text: str, words: str) -> None:
    (finding,) = said(text)
    assert (finding.level, finding.marks[0]) == ("warn", "L1")
    assert words in finding.text


@pytest.mark.parametrize(
    "text",
    [
        rods(200),  # between its ears, though no bolt is named
        rods(200) + ROD.format(mark="L2", at=210),  # of one of them
        TUBE + AWAY + NO_PLACE + bolt("P9", "L1"),  # a bolt names it
        TUBE.split("[[tube]]")[0] + AWAY,  # rods alone
        flats(50) + rod([50, 30, 30], [50, 30, 400]),  # over a hole
        TUBE + rod([200, 32, 300], [200, 400, 300]),  # at the tube itself
        TUBE + POINTS + BETWEEN + BODY.format(keys='points = ["B"]', at='"B"'),
        TUBE + AWAY.replace("[[link]]", '[[link]]\nstate = "there already"'),
        # A bracket that misses the rod's point is told of that.
        TUBE + POINTS + BETWEEN + NO_PLACE + 'place = { against = "S1", near = "A", side = "right" }\n',
        TUBE + AWAY + '[[damper]]\nname = "D"\nbetween = [[200, 400, 300], [200, 400, 600]]\n',
    ],
)
def test_what_only_looks_as_if_it_did_is_silent(text: str) -> None:
    assert said(text) == []


@pytest.mark.parametrize(("off", "speaks"), [(0.99, False), (1.01, True)])
def test_the_limits_are_four_widths_from_a_hole_and_one_from_metal(off: float, speaks: bool) -> None:
    hole = flats(50) + rod([50, 30, 15 + off * REACH * WIDTH], [50, 400, 200])
    assert bool(said(hole)) is speaks
    metal = TUBE + rod([100, SKIN + RADIUS + off * WIDTH, 300], [500, SKIN + RADIUS + off * WIDTH, 300])
    assert bool(said(metal)) is speaks

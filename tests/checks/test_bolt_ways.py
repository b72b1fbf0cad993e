"""Bolts through parts that lie face to face: five that no bolt passes, what only looks wrong, and the limits."""

from __future__ import annotations

import re

import pytest
from faulty_profiles import HEAD, profile
from jobs import checked, findings, read

from fabgen.checks.bolt.bolt_ways import RULES
from fabgen.checks.rule import Finding

ANGLE = profile("A", "[[0, 0, 0], [600, 0, 0]]", "angle 50 x 50 x 5")
"""Its flat leg runs left to y = 50, its underside at z = 0; its upright leg's back looks right, at y = 0."""
IN_FLAT = 'holes = [{ leg = "b", at = 100, gauge = 30, bolt = "M10" }]\n'
IN_UPRIGHT = 'holes = [{ leg = "a", at = 200, gauge = 30, bolt = "M10" }]\n'


def plate(mark: str, at: tuple[float, float, float], hole: str, more: str = "") -> str:
    """80 x 50 x 6, level, its lower left corner at a point."""
    place = f"place = {{ at = {list(at)}{more} }}"
    return f'[[plate]]\nmark = "{mark}"\nthickness = 6\nrectangle = [80, 50]\nholes = [{hole}]\n{place}\n'


def beam(holes: str, y: float = -20.0) -> str:
    """A 60 x 40 tube along x, its left side at y + 20."""
    return (
        '[[tube]]\nmark = "T"\nsection = "60 x 40 x 3"\nturn = 0\n'
        f"route = [[0, {y}, 30], [600, {y}, 30]]\nholes = [{holes}]\n"
    )


def said(*tables: str) -> list[Finding]:
    return findings(checked(HEAD + "".join(tables)), RULES)


def under(x: float, what: str = 'bolt = "M10"') -> str:
    """A plate below the flat leg, its hole x mm from the angle's start and 30 mm from its heel."""
    return plate("P", (80.0, 0.0, -6.0), f"{{ at = [{x - 80.0}, 30], {what} }}")


SLEEVED = '{{ at = {}, side = "left", bolt = "M10", both_walls = true, sleeve = "16 x 2" }}'

FIVE = {
    "a plate under a leg": (
        ANGLE + IN_FLAT + under(104.0),
        "A hole 1 and P hole Ø11 for M10 (24 mm from the left, 30 mm from below) by 4 mm: move one of them",
    ),
    "a leg against a tube with a crush sleeve": (
        ANGLE + IN_UPRIGHT + beam(SLEEVED.format(215)),
        "T hole 1 and A hole 1 by 15 mm",
    ),
    "plate on plate": (
        plate("P", (0.0, 0.0, 0.0), '{ at = [40, 25], bolt = "M12" }')
        + plate("Q", (0.0, 0.0, 6.0), '{ at = [43, 25], bolt = "M12" }'),
        "P hole Ø13.5 for M12 (40 mm from the left, 25 mm from below) and Q hole Ø13.5 for M12 (43 mm from the left, "
        "25 mm from below) by 3 mm",
    ),
    "a plate's hole over a tube that has none": (
        beam("", -20.0) + plate("P", (100.0, -45.0, 60.0), '{ at = [40, 25], bolt = "M10" }'),
        "covered, so no bolt passes: P hole Ø11 for M10 (40 mm from the left, 25 mm from below) by T, drill T there",
    ),
    "a strap's ear on a plate": (
        '[[tube]]\nmark = "T"\nsection = "48.3 x 3.2"\nroute = [[0, 0, 24.15], [400, 0, 24.15]]\n'
        '[[strap]]\nmark = "S"\nshape = "saddle"\nwidth = 25\nthickness = 3\nround = "T"\nbolt = "M8"\n'
        "ear = 28\nat = 200\n" + plate("P", (160.0, 20.0, -6.0), '{ at = [43, 21], bolt = "M8" }'),
        "S hole Ø9 for M8 (",
    ),
}


@pytest.mark.parametrize("name", FIVE)
def test_it_speaks(name: str) -> None:
    text, words = FIVE[name]
    (finding,) = said(text)
    assert words in finding.text
    assert finding.level == "stop"


LOOKS_WRONG = {
    "in line": ANGLE + IN_FLAT + under(100.0),
    "a slot takes it up": ANGLE + IN_FLAT + under(107.0, "diameter = 11, length = 30"),
    "in the other leg": ANGLE + IN_UPRIGHT + under(140.0, "diameter = 20"),
    "a foot plate under a post, for a screw foot": '[[tube]]\nmark = "T"\nsection = "60 x 60 x 3"\nturn = 0\n'
    "route = [[40, 25, 6], [40, 25, 400]]\n" + plate("P", (0.0, 0.0, 0.0), '{ at = [40, 25], bolt = "M12" }'),
    "a plate that stands off": ANGLE + IN_FLAT + plate("P", (80.0, 0.0, -9.0), '{ at = [24, 30], bolt = "M10" }'),
    "a hole to save weight over a bolt's": ANGLE + IN_FLAT + under(103.0, "diameter = 30"),
}


@pytest.mark.parametrize("name", LOOKS_WRONG)
def test_it_is_silent(name: str) -> None:
    assert not said(LOOKS_WRONG[name])


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_limit_of_two_holes_of_11_for_a_bolt_of_10(share: float) -> None:
    assert bool(said(ANGLE + IN_FLAT + under(100.0 + share))) == (share > 1.0)


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_limit_through_a_sleeve_of_12_bore(share: float) -> None:
    assert bool(said(ANGLE + IN_UPRIGHT + beam(SLEEVED.format(200 + 1.5 * share)))) == (share > 1.0)


@pytest.mark.parametrize("gap", [0.99, 1.01])
def test_limit_of_faces_that_lie_on_one_another(gap: float) -> None:
    on = plate("P", (80.0, 0.0, -6.0 - gap), '{ at = [24, 30], bolt = "M10" }')
    assert bool(said(ANGLE + IN_FLAT + on)) == (gap < 1.0)


def test_holes_without_a_bolt_are_worth_a_look() -> None:
    holes = 'holes = [{ leg = "b", at = 100, gauge = 30, diameter = 11 }]\n'
    (finding,) = said(ANGLE + holes + under(104.0, "diameter = 11"))
    assert finding.level == "warn"
    assert finding.text.startswith("nearly in line, but no pin of their size passes: A hole 1 and P hole Ø11 (24 mm")


def test_the_line_that_it_writes_mends_it() -> None:
    text = HEAD + ANGLE + under(100.0)
    (finding,) = findings(checked(text), RULES)
    line = re.search(r"holes = \[.*?\}\]|holes = \[.*? \}\]", finding.text)
    assert line
    mended = text.replace('"angle 50 x 50 x 5"', f'"angle 50 x 50 x 5"\n{line[0]}')
    assert not findings(checked(read(mended)), RULES)


@pytest.mark.parametrize(("at", "drilled"), [(5.6, True), (5.4, False)])
def test_no_line_drills_a_hole_off_the_end(at: float, drilled: bool) -> None:
    """A hole of 11 takes 5.5 mm."""
    (finding,) = said(ANGLE + plate("P", (-20.0, 0.0, -6.0), f'{{ at = [{20 + at}, 30], bolt = "M10" }}'))
    assert finding.text.endswith(
        f'by A, drill A, holes = [{{ leg = "b", at = "{at} mm", gauge = "30 mm", diameter = "11 mm" }}]'
        if drilled
        else "by A, which ends there: move the hole in from its end, or move A"
    )


def test_a_row_is_one_finding() -> None:
    row = 'holes = [{ leg = "b", at = 60, gauge = 30, bolt = "M10", row = { count = 5, pitch = 100 } }]\n'
    many = "".join(plate(f"P{i}", (40.0 + 100.0 * i, 0.0, -6.0), '{ at = [25, 30], bolt = "M10" }') for i in range(5))
    (finding,) = said(ANGLE + row + many)
    assert finding.text.count("by 5 mm") == 5

"""Holes of profiles bolted together: five that an old hand sees at once, two that only look wrong, and the limit."""

from __future__ import annotations

import pytest
from hand_profiles import lapped
from jobs import checked, read

from fabgen.checks.bolt.bolt_ways import RULES
from fabgen.checks.rule import Finding

M8 = 'bolt = "M8"'


def said(*holes: str, more: str = "", turned: bool = False) -> list[Finding]:
    """An angle along x and one up at its start, leg on leg; `holes` of either."""
    job = checked(read(lapped(*holes, more=more, turned=turned)))
    return [finding for rule in RULES for finding in rule(job)]


# -- five that are wrong ------------------------------------------------------------------
def test_no_hole_in_what_is_bolted_on_it() -> None:
    (finding,) = said(f'{{ leg = "a", at = 22, {M8} }}', "")
    assert (finding.rule, finding.marks, finding.level) == ("hole-covered", ("P", "R"), "stop")
    assert finding.text == (
        'covered, so no bolt passes: P hole 1 by R, drill R, holes = [{ leg = "a", at = "12 mm", gauge = "22 mm", '
        'diameter = "9 mm" }]'
    )


def test_the_line_that_it_writes_mends_it() -> None:
    assert (
        said(f'{{ leg = "a", at = 22, {M8} }}', '{ leg = "a", at = "12 mm", gauge = "22 mm", diameter = "9 mm" }') == []
    )


def test_measured_from_the_heel_in_the_one_and_from_the_toe_in_the_other() -> None:
    (finding,) = said(f'{{ leg = "a", at = 22, {M8} }}', f'{{ leg = "a", at = 12, gauge = 18, {M8} }}')
    assert finding.text == "out of line, so no bolt passes: P hole 1 and R hole 1 by 4 mm: move one of them"


def test_a_row_on_another_pitch_than_its_fellow() -> None:
    """Laid beside one another over their length: the second and third hole are out by 2 and 4 mm, the first fits."""
    row = '{{ leg = "a", at = 60, bolt = "M8", row = {{ count = 3, pitch = {} }} }}'
    (finding,) = said(row.format(100), row.format(102), turned=True)
    assert finding.text.startswith(
        "out of line, so no bolt passes: P hole 2 and R hole 2 by 2 mm; P hole 3 and R hole 3 by 4"
    )


def test_drilled_in_the_other_leg() -> None:
    (finding,) = said(f'{{ leg = "a", at = 22, {M8} }}', f'{{ leg = "b", at = 12, {M8} }}')
    assert finding.rule == "hole-covered"


def test_a_hole_under_the_end_of_what_butts_there() -> None:
    """X ends on P's leg a, right over the hole."""
    butts = (
        '[[profile]]\nmark = "X"\nsection = "flat 40 x 5"\nroute = [[22, 0, 300], [22, -200, 300]]\n'
        'start = { cut = "plain" }\n'
    )
    (finding,) = said(f'{{ leg = "a", at = 300, {M8} }}', "", more=butts)
    assert "P hole 1 by X, which ends there: move the hole" in finding.text


# -- two that only look wrong ---------------------------------------------------------------
def test_a_slot_takes_up_what_is_out_of_line() -> None:
    slot = '{ leg = "a", at = 16, diameter = 9, length = 24 }'
    assert said(f'{{ leg = "a", at = 22, {M8} }}', slot) == []


def test_holes_beside_what_lies_there_are_none_of_its_business() -> None:
    assert (
        said(f'{{ leg = "a", at = 300, {M8} }}, {{ leg = "b", at = 22, {M8} }}', f'{{ leg = "a", at = 300, {M8} }}')
        == []
    )


# -- the limit -------------------------------------------------------------------------------
@pytest.mark.parametrize(("off", "told"), [(0.99, 0), (1.02, 1)])
def test_holes_of_9_let_a_bolt_of_8_pass_a_millimetre_out_of_line(off: float, told: int) -> None:
    assert len(said(f'{{ leg = "a", at = 22, {M8} }}', f'{{ leg = "a", at = {12 + off}, {M8} }}')) == told


@pytest.mark.parametrize(("off", "told"), [(0.99, 0), (1.02, 1)])
def test_so_do_holes_that_name_no_bolt(off: float, told: int) -> None:
    assert len(said('{ leg = "a", at = 22, diameter = 9 }', f'{{ leg = "a", at = {12 + off}, diameter = 9 }}')) == told

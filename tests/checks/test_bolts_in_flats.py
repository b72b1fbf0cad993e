"""Crushed ends of stays bolted to an angle, and bolts through sleeves and legs: five faults, what only looks wrong, and
the thickness that a bolt's stack takes from the hole that it passes."""

from __future__ import annotations

import pytest
from faulty_profiles import HEAD, profile
from jobs import checked, findings

from fabgen.checks.bolt import bolt_lines, bolt_ways, bolts
from fabgen.checks.checked import Checked
from fabgen.checks.profile import profile_clashes
from fabgen.job.errors import JobError
from fabgen.plan.plan import Layer
from fabgen.wording.levels import Level

ANGLE = profile("A", "[[0, 0, 0], [600, 0, 0]]", "angle 50 x 50 x 5") + (
    'holes = [{ leg = "a", at = 200, gauge = 30, bolt = "M10" }]\n'
)
"""Its upright leg's back looks right, at y = 0; the hole is at x = 200, z = 30."""
BOLT = '[[bolt]]\nthread = "M10"\nthrough = ["S", "A"]\n'
FLAT = 4.6


def stay(crush: str = "hole = 11, hole_at = 20", x: float = 200.0, y: float = -2.4, section: str = "26.9 x 2.3") -> str:
    """An upright stay before the angle, its foot crushed to 4.6 mm over 45 mm from z = 10."""
    return (
        f'[[tube]]\nmark = "S"\nsection = "{section}"\nroute = [[{x}, {y}, 10], [{x}, {y}, 600]]\n'
        f'start = {{ cut = "plain", crush = {{ length = 45, {crush} }} }}\n'
    )


def job(*tables: str, head: str = HEAD) -> Checked:
    return checked(head + "".join(tables), planned=True)


def told(of: Checked) -> list[str]:
    rules = (*bolts.BOLT_RULES, *bolt_lines.RULES, *bolt_ways.RULES, *profile_clashes.RULES)
    return [each.text for each in findings(of, rules) if each.level is not Level.NOTE]


@pytest.mark.parametrize(
    ("own", "said"),
    [
        (stay("hole = 11, hole_at = 20, turn = 90"), "turn the flat of S, `turn` of its `crush`"),
        (stay("hole = 11, hole_at = 24"), "out of line, so it does not pass: A from S by 4 mm"),
        (stay(x=204.0), "out of line, so it does not pass: A from S by 4 mm"),
        (stay(y=-0.9), "runs into S over"),
        (stay("hole = 0"), "A hole 1 by S, drill S there, or move it"),
        (stay(x=204.0, y=-2.31), "out of line"),
    ],
    ids=["edgewise", "hole low", "stay aside", "flat in the leg", "not drilled", "flush and aside"],
)
def test_faults_of_a_bolted_flat(own: str, said: str) -> None:
    texts = told(job(ANGLE, own, BOLT))
    assert any(said in text for text in texts), texts


def test_a_hole_in_the_root_of_the_angle_is_out_of_line_with_the_flat() -> None:
    root = ANGLE.replace("gauge = 30", "gauge = 9")
    assert "out of line, so it does not pass: A from S by 21 mm: move one of them" in told(job(root, stay(), BOLT))


@pytest.mark.parametrize("own", [stay(), stay(y=-FLAT / 2.0), stay(x=200.5), stay(section="26.9 x 2.3", y=-2.31)])
def test_a_flat_against_a_leg_is_no_round_tube_in_it(own: str) -> None:
    assert told(job(ANGLE, own, BOLT)) == []


@pytest.mark.parametrize(("off", "speaks"), [(0.99, False), (1.01, True)])
def test_the_limit_of_11_mm_holes_for_a_bolt_of_10(off: float, speaks: bool) -> None:
    """1 % inside and outside of the clearance of both holes."""
    texts = told(job(ANGLE, stay(x=200.0 + off), BOLT))
    assert any("out of line" in text for text in texts) is speaks, texts


def test_a_bolts_stack_has_two_walls_of_a_crushed_end() -> None:
    (stack,) = plan_of(job(ANGLE, stay(y=-FLAT / 2.0), BOLT))
    assert [layer.thickness for layer in stack] == pytest.approx([FLAT, 5.0])


def plan_of(of: Checked) -> list[list[Layer]]:
    return [[layer for layer in stack.layers if not layer.open] for stack in of.plan.bolts]


TUBE = (
    '[[tube]]\nmark = "T"\nsection = "2 x 2 x 0.120"\nmaterial = "A500"\nroute = [[0, 0, -1], [0, 30, -1]]\n'
    'holes = [{ at = 10, side = "top", bolt = "1/2", both_walls = true, SLEEVE }]\n'
)
SLEEVED = TUBE.replace("SLEEVE", 'sleeve = "7/8 x 0.120"')
CHANNEL = profile("W", "[[-1, 10, 0], [7, 10, 0]]", "C4 x 5.4", 'back = "bottom"\n') + (
    'start = { cut = "plain" }\nfinish = { cut = "plain" }\nholes = [{ leg = "web", at = AT, bolt = "1/2" }]\n'
)
INCHES = HEAD.replace('"mm"', '"in"')
WINCH_BOLT = '[[bolt]]\nthread = "1/2-13 UNC"\nthrough = ["W", "T"]\n'


def winch(tube: str = SLEEVED, at: str = "1", more: str = "") -> Checked:
    return job(tube, CHANNEL.replace("AT", at).replace("}]", f"}}{more}]"), WINCH_BOLT, head=INCHES)


def test_a_bolt_takes_the_leg_that_its_hole_is_in() -> None:
    """Web of C4 x 5.4: 0.184 in, ASTM A6; flanges 0.296."""
    (stack,) = plan_of(winch())
    assert stack[0].thickness == pytest.approx(0.184 * 25.4)
    assert told(winch()) == []


def test_of_holes_in_web_and_flange_the_one_in_line_is_taken() -> None:
    (stack,) = plan_of(winch(more=', { leg = "flange a", at = 5, bolt = "1/2" }'))
    assert stack[0].thickness == pytest.approx(0.184 * 25.4)


def test_a_bare_tube_is_told_and_one_with_a_sleeve_is_not() -> None:
    (bare,) = told(winch(TUBE.replace(", SLEEVE", "")))
    assert "clamps the bare tube T" in bare


def test_holes_out_of_line_are_one_finding() -> None:
    (only,) = told(winch(at="1.125"))
    assert "out of line, so it does not pass: T from W" in only


def test_what_is_asked_back_in_an_inch_job_is_in_inches() -> None:
    undrilled = CHANNEL.partition("holes")[0]
    with pytest.raises(JobError) as fault:
        job(SLEEVED, undrilled, WINCH_BOLT, head=INCHES)
    (problem,) = fault.value.problems
    assert problem.what == "W is C4 x 5.4: which of its flats does the bolt go through?"
    assert problem.accepted == '"0.184 in" or "0.296 in" in place of the mark'

"""Holes beside a rod end's ball that no bolt is named through: faults, what only looks wrong, the limits."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from held_rods import TUBE, between, bolt, rods
from jobs import checked, findings, read

from fabgen.checks.bolt.off_balls import REACH, WIDEST, hole_off_ball
from fabgen.checks.bolt.off_points import MOST
from fabgen.motion.movement import movement_of


def said(text: str) -> list[str]:
    return [each.text for each in findings(checked(read(text), planned=True), (hole_off_ball,))]


def ears(off: float = 0.0, bolt_size: str = "M12", **job: str) -> str:
    """Two ears beside the ball of a rod, so much nearer to the tube than that."""
    text = rods(200).replace("height = 65", f"height = {65.0 - off}").replace('bolt = "M12"', f'bolt = "{bolt_size}"')
    for key, value in job.items():
        text = text.replace(key, value)
    return text


PLATE = """[[plate]]
mark = "P1"
thickness = 6
rectangle = [120, 120]
holes = [{{ at = [{x}, 40], bolt = "M12" }}{more}]
place = {{ at = [186, 25, 260], along = [0, 1, 0], up = [1, 0, 0] }}
[[link]]
mark = "L1"
section = "25 x 4"
between = [[202, 65, 300], [202, 400, 300]]
rod_ends = ["M12 right", "M12 left"]
"""


def plated(x: float, more: str = "") -> str:
    """A plate beside a ball that is level with x = 40 of it."""
    return TUBE + PLATE.format(x=x, more=more)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (ears(7.0), "misses the ball at L1's start by 7 mm, too near to S1, and no bolt joins them: a height of 65 mm"),
        (ears(-20.0), "by 20 mm, too far from S1, and no bolt joins them: a height of 65 mm for E1 puts it there"),
        (plated(52.0), "its hole misses the ball at L1's start by 12 mm, and no bolt joins them: change"),
        (plated(52.0, ', { at = [68, 70], bolt = "M12" }'), "by 12 mm"),  # the nearest of those in its face
        (rods(200, 230).replace("height = 65", "height = 61"), "misses the ball at L1's start by 4 mm"),
    ],
)
def test_a_hole_beside_a_ball_is_told(text: str, words: str) -> None:
    (found,) = said(text)
    assert words in found


@pytest.mark.parametrize(
    "text",
    [
        plated(40.0),
        ears(-7.0, bolt_size="M16"),  # for another bolt
        plated(40.0, ', { at = [60, 40], bolt = "M12" }'),  # one of two in which the rod may be set
        ears(7.0) + bolt("E1"),  # for something that has no place
        ears(7.0) + between("L1"),  # told of the bolt
        rods(200, 230).replace("[230, 65, 300]", "[200, 95, 300]"),  # the next ball, beside the one that they hold
    ],
)
def test_what_only_looks_wrong_is_not(text: str) -> None:
    assert said(text) == []


def test_one_beside_its_fellow_that_meets_the_ball_is_told() -> None:
    first = "{ at = [186, 25, 260], along = [0, 1, 0], up = [1, 0, 0] }"
    text = plated(40.0).replace(first, f"[{first}, {first.replace('186, 25', '212, 30')}]\nquantity = 2")
    assert "by 5 mm" in said(text)[0]


@pytest.mark.parametrize(("part", "speaks"), [(0.99, False), (1.01, True)])
def test_a_millimetre_is_met(part: float, speaks: bool) -> None:
    assert bool(said(plated(40.0 + part * MOST))) is speaks


@pytest.mark.parametrize(("part", "speaks"), [(0.99, True), (1.01, False)])
def test_what_is_farther_is_for_something_else(part: float, speaks: bool) -> None:
    """The eye of an M12 rod end is 16 mm wide: the plate's middle is 13 mm along the bolt from the ball's."""
    off = math.sqrt((part * REACH * 16.0) ** 2 - 13.0**2)
    assert bool(said(plated(40.0 + off))) is speaks


@pytest.mark.parametrize(("part", "speaks"), [(0.99, True), (1.01, False)])
def test_what_is_wider_is_for_a_larger_bolt(part: float, speaks: bool) -> None:
    text = plated(52.0).replace('bolt = "M12" }]', f"diameter = {part * WIDEST * 12.0} }}]")
    assert bool(said(text)) is speaks


@pytest.mark.parametrize(("named", "speaks"), [('marks = ["P1"]', False), ('points = ["P"]', False), ("", True)])
def test_what_rides_on_another_body_is_not_for_it(named: str, speaks: bool) -> None:
    body = f'[[body]]\nname = "arm"\n{named}\n' if named else ""
    text = (
        plated(52.0).replace("[[tube]]", "[points]\nP = [202, 65, 300]\n[[tube]]", 1).replace("[[202, 65, 300]", '["P"')
    )
    job = checked(read(text + body), planned=True)
    job = replace(job, movement=movement_of(job.job, job.pieces))
    assert bool(findings(job, (hole_off_ball,))) is speaks

"""Balls that stand in one another, and dampers that spring nothing."""

from __future__ import annotations

import pytest
from jobs import checked, findings, read
from moving_jobs import STEERED, TRAILING, studied

from fabgen.checks.checked import Checked
from fabgen.checks.contact.into_one_another import into_one_another
from fabgen.checks.motion.motion_checks import movement_findings
from fabgen.checks.motion.shared_balls import RULES
from fabgen.checks.rule import Finding
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces

HEAD = """
[job]
title = "Links"
number = "L-1"
units = "mm"

[points]
A = [0, 0, 0]
B = [300, 0, 0]
C = [0, 300, 0]
NEAR = [{apart}, 0, 0]
"""
LINK = """
[[link]]
mark = "{mark}"
section = "25.4 x 4"
between = ["{one}", "{other}"]
rod_ends = ["{thread} right", "{thread} left"]
"""
BALL = """
[[body]]
name = "arm"
points = ["C"]

[[joint]]
name = "foot"
kind = "ball"
between = ["frame", "arm"]
at = "{at}"
"""
M12 = 16.0
"""Width of an M12 rod end's ball, mm: ISO 12240-4, series K (from memory, check against your part)."""


def links(*ends: tuple[str, str], apart: float = 500.0, thread: str = "M12", more: str = "") -> list[Finding]:
    text = HEAD.format(apart=apart)
    for i, (one, other) in enumerate(ends):
        text += LINK.format(mark=f"L{i + 1}", one=one, other=other, thread=thread)
    job = read_text(text + more).definitions
    checked = Checked(job, all_pieces(job))
    return [finding for each in RULES for finding in each(checked)]


def test_two_rod_ends_on_one_point_are_stopped() -> None:
    (finding,) = links(("A", "B"), ("C", "A"))
    assert (finding.level, finding.marks) == ("stop", ("L1", "L2"))
    assert finding.text.startswith("L1 start and L2 finish are 0 mm apart, 16 mm needed")


def test_three_on_one_bolt_are_one_finding() -> None:
    (finding,) = links(("A", "B"), ("C", "A"), ("NEAR", "A"))
    assert finding.text.count("apart") == 3 + finding.text.count("far apart")


@pytest.mark.parametrize(("apart", "speaks"), [(0.99 * M12, True), (1.01 * M12, False)])
def test_side_by_side_on_a_bolt_they_need_half_of_both_widths(apart: float, speaks: bool) -> None:
    assert bool(links(("A", "B"), ("C", "NEAR"), apart=apart)) == speaks


def test_a_ball_joint_where_a_link_ends_is_looked_at() -> None:
    (finding,) = links(("A", "C"), more=BALL.format(at="A"))
    assert finding.level == "warn"
    assert 'joint "foot" and L1 start' in finding.text


def test_links_that_end_apart_and_a_ball_of_its_own_are_silent() -> None:
    assert links(("A", "B"), ("C", "NEAR")) == []
    assert links(("A", "C"), more=BALL.format(at="B")) == []


@pytest.mark.parametrize(
    ("ends", "said"),
    [
        ([("A", "B"), ("C", "A")], []),
        ([("A", "B"), ("A", "F")], []),  # nearly along one another, as far as the tubes go
        ([("A", "B"), ("A", "K"), ("D", "E")], ["L3 runs right"]),  # what is not at a shared ball is still said
    ],
)
def test_metal_that_rods_share_at_a_ball_is_said_once(ends: list[tuple[str, str]], said: list[str]) -> None:
    text = HEAD.format(apart=500) + "D = [150, -200, 8]\nE = [150, 200, 8]\nK = [0, 0, 300]\nF = [300, 40, 0]\n"
    for i, (one, other) in enumerate(ends):
        text += LINK.format(mark=f"L{i + 1}", one=one, other=other, thread="M12")
    of = checked(read(text))
    assert findings(of, RULES)
    assert [finding.text[:13] for finding in findings(of, (into_one_another,))] == said


# -- dampers --------------------------------------------------------------------------------
def held(text: str) -> list[Finding]:
    return [finding for finding in movement_findings(studied(text)) if finding.rule == "damper-held"]


def test_a_damper_between_two_points_of_one_body_springs_nothing() -> None:
    (finding,) = held(TRAILING.replace('between = ["UP", "C"]', 'between = ["W", "C"]'))
    assert (finding.level, finding.marks) == ("stop", ("spring",))
    assert "both ends are on arm" in finding.text


def test_a_damper_whose_point_no_body_names_is_held_by_the_frame() -> None:
    (finding,) = held(TRAILING.replace('points = ["C", "W"]', 'points = ["W"]'))
    assert "both ends are on the frame" in finding.text


def test_a_damper_between_the_frame_and_what_is_fixed_to_it_springs_nothing() -> None:
    fixed = '\n[[joint]]\nname = "weld"\nkind = "fixed"\nbetween = ["frame", "arm"]\nat = "B"\n'
    (finding,) = held(TRAILING + fixed)
    assert "both ends are on the frame, fixed to arm, so it springs nothing" in finding.text


DAMPER = """
[[damper]]
name = "D"
between = ["{one}", "{other}"]
"""
EYES = "eye_diameter = 30\neye_width = 20\n"


def test_two_dampers_and_a_rod_end_on_one_point_are_stopped_where_their_eyes_have_a_width() -> None:
    damper = DAMPER.format(one="A", other="C") + EYES
    (finding,) = links(("A", "B"), more=damper)
    assert (finding.level, finding.marks) == ("stop", ("L1", "D"))
    assert finding.text.startswith("L1 start and D's first end are 0 mm apart, 18 mm needed")
    (finding,) = links(("C", "B"), more=DAMPER.format(one="A", other="B") + EYES + damper.replace('"D"', '"E"'))
    assert finding.text.count(" apart,") == 3


def test_a_damper_without_eyes_on_a_rod_end_or_a_ball_joint_is_looked_at() -> None:
    (finding,) = links(("A", "B"), more=DAMPER.format(one="C", other="A"))
    assert (finding.level, finding.marks) == ("warn", ("L1", "D"))
    assert finding.text.startswith("L1 start and D's second end: two on one point: ")
    (finding,) = links(("A", "B"), more=DAMPER.format(one="C", other="NEAR") + BALL.format(at="C"))
    assert finding.marks == ("foot", "D")


def test_a_damper_of_its_own_points_is_silent() -> None:
    assert links(("A", "B"), more=DAMPER.format(one="C", other="NEAR")) == []
    assert links(("A", "B"), more=DAMPER.format(one="C", other="NEAR") + EYES, apart=18.1) == []


def test_a_damper_from_frame_to_arm_and_one_between_two_bodies_are_silent() -> None:
    assert held(TRAILING) == []
    assert held(STEERED + '[[damper]]\nname = "steering damper"\nbetween = ["RACK", "STEER"]\n') == []

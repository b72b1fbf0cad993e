"""What the checks of movement say, and when."""

from __future__ import annotations

import pytest
from moving_jobs import STEERED, TRAILING, sample, studied

from fabgen.checks.motion.motion_checks import movement_findings
from fabgen.checks.rule import Finding

LINK = (
    '[[link]]\nmark = "L1"\nsection = "25.4 x 4"\nbetween = ["O", "C"]\nrod_ends = ["M10 right", "M10 left"]\n[[body]]'
)


def found(text: str, rule: str) -> list[Finding]:
    return [finding for finding in movement_findings(studied(text)) if finding.rule == rule]


def test_an_arm_that_moves_as_wanted_is_not_stopped() -> None:
    findings = movement_findings(studied(TRAILING))
    assert {finding.level for finding in findings} == {"note"}
    assert not any("safe" in finding.text for finding in findings)


def test_one_motion_too_many_is_named() -> None:
    (finding,) = found(sample("caught/loose-arm.toml"), "freedoms")
    assert finding.level == "stop"
    assert "2 ways, 1 too many; 1 needed" in finding.text
    assert "arm turns about a line through PIVOT" in finding.text


def test_an_axis_through_two_points_is_named_by_them() -> None:
    """With nothing asked of the arm, a ball and a link leave it the line through the two, among others."""
    text = TRAILING.replace('kind = "hinge"', 'kind = "ball"').replace("[[body]]", LINK)
    text = text.replace('height = "W"', 'height = "C"')
    (finding,) = found(text, "freedoms")
    assert "arm turns about the line through" in finding.text
    assert "B" in finding.text
    assert "C" in finding.text


def test_an_arm_that_binds_says_how_far_the_link_would_have_to_give() -> None:
    (finding,) = found(sample("caught/solid-arm.toml"), "binds")
    assert finding.level == "stop"
    assert "past a small shake it locks" in finding.text
    # The arm's plane lies 910 from the link's foot; it rises at most 61.25 at the link: sqrt(910^2 + ...) - 910.
    assert "L1 would have to change its length by 0.0 to +2.1 mm" in finding.text


def test_joints_a_hair_out_of_line_are_told_apart_from_a_real_bind() -> None:
    second = (
        '[[joint]]\nname = "second"\nkind = "hinge"\nbetween = ["frame", "arm"]\nat = [500.2, 0, 0]\naxis = [0, 1, 0]\n'
    )
    (finding,) = found(TRAILING + second, "binds")
    assert "exactly in line" in finding.text


def test_two_hinges_in_line_hold_twice_and_move() -> None:
    second = '[[joint]]\nname = "second"\nkind = "hinge"\nbetween = ["frame", "arm"]\nat = "A"\naxis = [0, 1, 0]\n'
    (finding,) = found(TRAILING + second, "holds-twice")
    assert finding.level == "warn"
    assert "pivot and second" in finding.text
    assert "5 times" in finding.text
    assert not found(TRAILING + second, "binds")


def test_a_soft_bush_in_place_of_one_takes_it_up() -> None:
    second = '[[joint]]\nname = "second"\nkind = "bush"\nbetween = ["frame", "arm"]\nat = "A"\naxis = [0, 1, 0]\n'
    second += "stiff = []\n"
    assert not found(TRAILING + second, "holds-twice")


def test_a_travel_not_reached_stops() -> None:
    (finding,) = found(TRAILING.replace("[-100, 100]", "[-100, 700]"), "travel")
    assert finding.level == "stop"
    assert "dead point" in finding.text
    assert "of +700.0 mm" in finding.text


def test_ball_angles_stop_past_the_limit() -> None:
    (ok, other) = found(STEERED, "ball-angle")
    assert {ok.level, other.level} == {"note", "warn"}
    assert "the bolt's direction ([[bolt]] or [[pin]]) is not given" in other.text
    tight = STEERED.replace(
        '["M10 right", "M10 left"]', '[{ thread = "M10", swing = 1 }, { thread = "M10", swing = 60 }]'
    )
    tight += '[[pin]]\nat = "RACK"\naxis = [1, 0, 0]\n'
    (finding,) = [f for f in found(tight, "ball-angle") if f.level == "stop"]
    assert "past its limit of 1.0°" in finding.text


@pytest.mark.parametrize(
    ("limit", "word"), [("shortest = 300", "closes to"), ("longest = 400", "opens to"), ("shortest = 100", "")]
)
def test_damper_lengths(limit: str, word: str) -> None:
    findings = found(TRAILING.replace('between = ["UP", "C"]', f'between = ["UP", "C"]\n{limit}'), "damper-length")
    assert [word in finding.text for finding in findings] == ([True] if word else [])


# UP to C is 350 mm as drawn.
@pytest.mark.parametrize(
    ("limit", "word"),
    [
        ("shortest = 353.5", "drawn 350.0 mm from eye to eye, but it is 353.5 mm long when closed"),
        ("shortest = 346.5", ""),
        ("longest = 346.5", "drawn 350.0 mm from eye to eye, but it is 346.5 mm long when open"),
        ("longest = 353.5", ""),
        ("shortest = 350\nlongest = 350", ""),
        ("shortest = 900", "it is 900.0 mm long when closed"),
    ],
)
def test_a_damper_drawn_past_its_length_is_told_without_travel(limit: str, word: str) -> None:
    still = TRAILING[: TRAILING.index("[[sweep]]")]
    findings = found(still.replace('between = ["UP", "C"]', f'between = ["UP", "C"]\n{limit}'), "damper-length")
    assert [word in finding.text for finding in findings] == ([True] if word else [])


@pytest.mark.parametrize(
    ("eyes", "words"),
    [
        ("eye_diameter = 180\neye_width = 40", "but it is 360.0 mm long with its eyes alone"),
        ("eye_diameter = 170\neye_width = 40", ""),
        ("", ""),
    ],
)
def test_a_damper_is_longer_than_its_eyes(eyes: str, words: str) -> None:
    """As drawn it is 350 from eye to eye."""
    still = TRAILING.split("[[sweep]]")[0]
    findings = found(still.replace('between = ["UP", "C"]', f'between = ["UP", "C"]\n{eyes}'), "damper-length")
    assert [words in each.text for each in findings] == ([True] if words else [])


def test_a_damper_between_points_that_all_but_meet_is_told_by_two_usual_eyes() -> None:
    near = TRAILING.split("[[sweep]]")[0].replace('between = ["UP", "C"]', 'between = ["UP", [0, 400, 310]]')
    (finding,) = found(near, "damper-length")
    assert "but it is 50.0 mm long with two usual eyes, its own not given" in finding.text


def test_two_dampers_past_the_same_length_are_one_finding() -> None:
    twice = TRAILING.replace('between = ["UP", "C"]', 'between = ["UP", "C"]\nlongest = 300')
    twice += '\n[[damper]]\nname = "other"\nbetween = ["UP", "C"]\nlongest = 300\n'
    (finding,) = found(twice, "damper-length")
    assert finding.marks == ("spring", "other")


ARM = (
    '[[tube]]\nmark = "ARM"\nsection = "42.4 x 2.6"\nroute = ["B", "TIP"]\n'
    '[[body]]\nname = "arm"\npoints = ["C", "W"]\nmarks = ["ARM"]\n'
)
ON_ARM = TRAILING.replace("W = [0", "TIP = [100, 400, 60]\nMID = [250, 400, 30]\nW = [0")
ON_ARM = ON_ARM.replace('[[body]]\nname = "arm"\npoints = ["C", "W"]\n', ARM)


@pytest.mark.parametrize(
    ("between", "speaks"),
    [
        ('["TIP", "C"]', True),
        ('["C", "TIP"]', True),
        ('["TIP", "W"]', True),
        ('[[100, 400, 60], "C"]', True),
        ('["UP", "O"]', True),
        ('["UP", "TIP"]', False),
        ('["TIP", "O"]', False),
    ],
)
def test_a_damper_between_two_ends_of_one_body_springs_nothing(between: str, speaks: bool) -> None:
    """The end of a tube that the arm carries rides on the arm, named or not."""
    text = ON_ARM.replace('between = ["UP", "C"]', f"between = {between}")
    assert bool(found(text, "damper-held")) == speaks


def test_where_two_bodies_meet_in_a_point_the_job_says_which_it_rides_on() -> None:
    """A tube of the frame ends where the arm's does: the point is the frame's, as long as no body names it."""
    text = ON_ARM.replace('between = ["UP", "C"]', 'between = ["TIP", "C"]')
    text += '\n[[tube]]\nmark = "T2"\nsection = "42.4 x 2.6"\nroute = ["UP", "TIP"]\n'
    assert not found(text, "damper-held")
    assert found(text.replace('points = ["C", "W"]', 'points = ["C", "W", "TIP"]'), "damper-held")


def test_clearances_warn_and_stop() -> None:
    block = '[[envelope]]\nname = "end"\nshape = "capsule"\non = "arm"\nbetween = ["C", "C"]\ndiameter = 20\n'
    block += '[[envelope]]\nname = "block"\nshape = "box"\nat = [0, 400, {}]\nsize = [400, 100, 20]\n'
    block += 'ignore = "spring"\n'
    (near,) = found(TRAILING + block.format(125), "clearance")
    assert near.level == "warn"
    assert "within 5.0 mm of block at height of W +100.0 mm" in near.text
    (hit,) = found(TRAILING + block.format(95), "clearance")
    assert hit.level == "stop"
    assert "runs into block" in hit.text
    assert not found(TRAILING + block.format(200), "clearance")


def test_a_driver_that_drives_nothing_is_told() -> None:
    """The height of a point straight before the pivot's axis, over it: a dead point as drawn."""
    text = TRAILING.replace("W = [0, 600, 0]", "W = [500, 600, 300]")
    (finding,) = found(text, "freedoms")
    assert finding.level == "stop"
    assert "do not hold every motion" in finding.text


def test_nothing_asked_tells_the_motions() -> None:
    text = TRAILING[: TRAILING.index("[[sweep]]")]
    (finding,) = found(text, "freedoms")
    assert finding.level == "note"
    assert "arm turns about" in finding.text


def test_a_body_that_nothing_holds_is_free_in_six_ways() -> None:
    text = TRAILING[: TRAILING.index("[[joint]]")] + "[movement]\nfreedoms = 1\n"
    (finding,) = found(text, "freedoms")
    assert "moves in 6 ways, 5 too many; 1 needed" in finding.text
    assert finding.text.count("arm slides") == 3
    assert finding.text.count("arm turns") == 3


# -- dampers beside wheels and envelopes ------------------------------------------------------------
def near_the_damper(envelope: str, damper: str = "") -> list[str]:
    """What is found of an envelope beside the spring, which runs from UP, above, down to the arm's C."""
    text = TRAILING.replace('between = ["UP", "C"]', f'between = ["UP", "C"]\n{damper}')
    found = movement_findings(studied(f'{text}\n[[envelope]]\nname = "room"\nclear = 5\n{envelope}'))
    return [finding.text for finding in found if finding.rule == "clearance"]


BOX = 'shape = "box"\nat = [{x}, 400, 200]\nsize = [40, 40, 40]'


@pytest.mark.parametrize(("x", "speaks"), [(-49.5, True), (-50.5, False)])
def test_a_damper_keeps_clear_of_envelopes_by_its_size(x: float, speaks: bool) -> None:
    """A box of 40, a damper of 50 and 5 mm wanted: 50 from middle to middle; the spring's foot swings away from it."""
    assert bool(near_the_damper(BOX.format(x=x), "diameter = 50")) == speaks


def test_a_damper_without_a_size_is_taken_slim() -> None:
    assert near_the_damper(BOX.format(x=40)) == []
    assert near_the_damper(BOX.format(x=0))[0].startswith("travel: runs into spring")


def test_the_room_of_a_damper_itself_is_not_held_against_it() -> None:
    own = 'shape = "capsule"\nbetween = [[0, 400, 320], [0, 400, 60]]\ndiameter = 60'
    assert near_the_damper(own, "diameter = 50") == []

"""What a part's new length rests on, where the frame was measured as built."""

from __future__ import annotations

import math

import pytest

from fabgen.app.work import built, planned
from fabgen.job.reader import read_text
from fabgen.parts.survey.following import Change, change_fact

JOB = """
[job]
title = "t"
number = "1"
units = "mm"
[points]
RL = [0, 550, 0]
FL = [2000, 550, 0]
RR = [0, -550, 0]
FR = [2000, -550, 0]
EYE = [1000, 900, 300]
EAR = { from = "FL", by = [-300, 0, 0] }
FAR = [0, 0, 900]
[[link]]
mark = "L1"
section = "25.4 x 4"
between = ["%s", "%s"]
rod_ends = ["M12 right", "M12 left"]
[as_built]
error = "1 mm"
made = []
distances = [%s]
"""
ALL = {"RL": (0, 550), "FL": (2000, 550), "RR": (0, -550), "FR": (2000, -550)}


def changed(one: str, other: str, readings: str) -> tuple[Change, list[str]]:
    job = read_text(JOB % (one, other, readings))
    work = planned(job, built(job), None)
    (change,) = work.changes
    return change, [finding.text for finding in work.findings if finding.rule == "hangs-on-unread"]


def said(change: Change) -> str:
    return change_fact(change).text.words()


def test_a_rod_to_a_point_that_was_not_measured_says_so_before_its_new_length() -> None:
    change, told = changed("FL", "EYE", '["FL", "FR", 1110]')
    assert change.unread == ("EYE",)
    assert said(change).startswith("FL is 5 mm out; EYE was not measured and stays as drawn: ")
    assert told == [
        f"new length (L1 {abs(change.longer):.1f} mm shorter), but nothing was read of EYE: measure that before sawing"
    ]


def test_a_point_that_is_set_from_a_measured_one_says_by_how_much_it_goes_along() -> None:
    change, told = changed("EAR", "FAR", '["FL", "FR", 1110]')
    assert "EAR, not measured, goes 5 mm with the points it is set from" in said(change)
    assert "FAR was not measured and stays as drawn" in said(change)
    assert told


def test_a_rod_across_from_corner_to_corner_whose_distance_no_reading_holds() -> None:
    """Only the two ends' widths were read: they say nothing of the diagonal."""
    change, told = changed("FL", "RR", '["FL", "FR", 1110], ["RL", "RR", 1100]')
    assert change.unread == ("FL to RR",)
    assert told
    assert "nothing was read of FL to RR" in told[0]


@pytest.mark.parametrize(("off", "speaks"), [(2.02, True), (1.98, False)])
def test_less_than_the_readings_error_is_a_note_alone(off: float, speaks: bool) -> None:
    """A rod straight across from FL takes half of what FL to FR is out, which is what FL is moved by."""
    text = JOB.replace("EYE = [1000, 900, 300]", "EYE = [2000, 1550, 0]")
    job = read_text(text % ("FL", "EYE", f'["FL", "FR", {1100 + off}]'))
    work = planned(job, built(job), None)
    assert abs(work.changes[0].longer) == pytest.approx(off / 2, abs=1e-6)
    assert bool([f for f in work.findings if f.rule == "hangs-on-unread"]) is speaks


def test_silent_where_the_readings_hold_the_distance() -> None:
    real = {name: (x, y + (6.0 if name == "FL" else 0.0)) for name, (x, y) in ALL.items()}
    pairs = [(a, b) for i, a in enumerate(real) for b in list(real)[i + 1 :]]
    every = ", ".join(f'["{a}", "{b}", {math.dist(real[a], real[b]):.4f}]' for a, b in pairs)
    change, told = changed("FL", "RR", every)
    assert change.unread == ()
    assert not told
    assert change.longer == pytest.approx(math.dist(real["FL"], real["RR"]) - math.dist(ALL["FL"], ALL["RR"]), abs=0.01)


def test_silent_where_a_rod_between_unmeasured_points_stays_as_drawn() -> None:
    change, told = changed("EYE", "FAR", '["FL", "FR", 1110]')
    assert not change.is_any
    assert not told


ANGLES = """
[job]
title = "t"
number = "1"
units = "mm"
[points]
A = [0, 0, 0]
B = [900, 0, 0]
C = [900, 500, 0]
D = [0, 500, 0]
[as_built]
error = "1 mm"
made = [%s]
distances = [["A", "B", 900], ["D", "C", 912], ["A", "D", 500.036], ["B", "C", 500.036], ["A", "C", 1034.812],
             ["B", "D", 1034.812]]
"""
SIDES = (("R1", "A", "B", "left"), ("R2", "B", "C", "back"), ("R3", "C", "D", "right"), ("R4", "D", "A", "front"))


def angles(made: str = "") -> dict[str, Change]:
    """A mitred frame of angle whose far side was built 12 mm too long, 6 mm at either end (Pythagoras)."""
    text = ANGLES % made
    for mark, one, other, leg in SIDES:
        text += f'[[profile]]\nmark = "{mark}"\nsection = "angle 40 x 40 x 4"\nroute = ["{one}", "{other}"]\n'
        text += f'legs = ["bottom", "{leg}"]\n'
    job = read_text(text)
    return {change.mark: change for change in planned(job, built(job), None).changes}


def test_profiles_follow_the_frame_as_built_with_their_mitres() -> None:
    changes = angles()
    assert list(changes) == ["R1", "R2", "R3", "R4"]
    length = changes["R3"]
    assert length.longer == pytest.approx(12.0, abs=0.2)
    # A corner 12/2 mm out over 500 is 0.69 degrees off square, its mitre half of that: tan over a leg of 40 mm.
    assert changes["R1"].cut == pytest.approx(40.0 * 2.0 * math.tan(math.atan(6.0 / 500.0) / 2.0), abs=0.1)
    assert said(length).startswith("912")


def test_a_profile_that_is_made_is_not_cut_again() -> None:
    changes = angles('"R3"')
    assert changes["R3"].made
    assert said(changes["R3"]).endswith("do not cut again")

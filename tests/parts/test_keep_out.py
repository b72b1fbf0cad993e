"""Envelopes against tubes and links, as drawn and through a travel."""

from __future__ import annotations

import math

import numpy as np
import pytest
from moving_jobs import HEAD, TRAILING, studied

from fabgen.checks.motion.motion_checks import movement_findings
from fabgen.job.errors import JobError

STILL = (
    HEAD
    + '\n[[envelope]]\nname = "spanner"\nshape = "capsule"\ndiameter = 40\n'
    + "between = [[250, -100, 60], [250, 100, 60]]\n"
)


def test_an_envelope_over_a_tube_as_drawn() -> None:
    found = studied(STILL)
    assert found.mobility is None
    ((clear,),) = found.clearances
    assert (clear.one, clear.other) == ("spanner", "T1")
    assert clear.least == pytest.approx(60.0 - 20.0 - 48.3 / 2.0, abs=1e-6)


def test_what_is_to_be_ignored_is() -> None:
    assert studied(STILL + 'ignore = ["T1"]\n').clearances == ((),)


def test_the_least_is_where_the_arm_stands_then() -> None:
    """A ball of 20 on the arm's end against a block over it: nearest at full rise."""
    text = (
        TRAILING
        + """
[[envelope]]
name = "end"
shape = "capsule"
on = "arm"
between = ["C", "C"]
diameter = 20
[[envelope]]
name = "block"
shape = "box"
at = [0, 400, 140]
size = [400, 100, 20]
ignore = ["T1"]
"""
    )
    found = studied(text)
    clear = next(c for c in found.clearances[0] if {c.one, c.other} == {"end", "block"})
    assert clear.least == pytest.approx(130.0 - 100.0 - 10.0, abs=1e-5)
    assert found.sweeps[0].driver[clear.at] == pytest.approx(100.0)
    assert np.allclose(clear.clear, 130.0 - found.sweeps[0].driver - 10.0, atol=1e-5)


def test_a_tube_that_rides_on_the_arm_goes_with_it() -> None:
    text = TRAILING.replace('points = ["C", "W"]', 'points = ["C", "W"]\nmarks = ["T2"]').replace(
        "[[body]]", '[[tube]]\nmark = "T2"\nsection = "40 x 40 x 3"\nroute = ["B", "C"]\n[[body]]'
    )
    text += (
        '[[envelope]]\nname = "stop"\nshape = "disc"\nat = [0, 400, 200]\naxis = [0, 0, 1]\ndiameter = 50\nwidth = 20\n'
    )
    clear = next(c for c in studied(text).clearances[0] if c.other == "T2")
    assert clear.at == 20
    assert 190.0 - 100.0 - 40.0 < clear.least < 190.0 - 100.0 - 20.0


@pytest.mark.parametrize(
    ("shoulder", "gap"),
    [
        ("", math.hypot(17.0, 17.0) - 5.0),  # 5 mm by itself: nearly the sharp edge, 12 out and 12 up
        ("shoulder = 5\n", math.hypot(17.0, 17.0) - 5.0),
        ("shoulder = 40\n", math.hypot(52.0, 52.0) - 40.0),
    ],
)
def test_a_corner_beside_the_shoulder_of_a_tyre(shoulder: str, gap: float) -> None:
    """The tyre is 500 x 150 about y at (0, 600, 0); a long bar's corner stands 12 off its edge both ways."""
    text = TRAILING.replace("diameter = 500\n", f"diameter = 500\nwidth = 150\nrim = 330\nclear = 16\n{shoulder}")
    text += '[[envelope]]\nname = "bar"\nshape = "box"\non = "arm"\nat = [0, 737, 312]\nsize = [0.1, 100, 100]\n'
    found = studied(text)
    clear = next(c for c in found.clearances[0] if c.other == "bar")
    assert clear.least == pytest.approx(gap, abs=0.01)
    too_near = [f for f in movement_findings(found) if f.rule == "clearance" and "bar" in f.text]
    assert bool(too_near) is (gap < 16.0)


def test_shoulders_that_do_not_go_into_the_tyre_are_refused() -> None:
    text = TRAILING.replace("diameter = 500\n", "diameter = 500\nwidth = 150\nrim = 330\nshoulder = 43\n")
    with pytest.raises(JobError, match="more than half the tyre's width or height"):
        studied(text)


def test_a_tyre_is_open_in_the_middle() -> None:
    text = TRAILING.replace("diameter = 500\n", "diameter = 500\nwidth = 150\nrim = 330\n")
    text += '[[envelope]]\nname = "caliper"\nshape = "box"\non = "arm"\nat = [80, 600, 0]\nsize = [60, 40, 60]\n'
    clear = next(c for c in studied(text).clearances[0] if c.other == "caliper")
    assert clear.least > 30.0
    assert np.ptp(clear.clear) < 1e-4

"""fouls-in-travel: what an old hand sees when he lifts the wheel, what only looks wrong, and the limit from both
sides."""

from __future__ import annotations

from functools import cache

import pytest
from jobs import findings
from moving_jobs import STEERED, TRAILING

from fabgen.checks.checked import Checked
from fabgen.checks.contact.in_travel import fouls_in_travel
from fabgen.checks.rule import Finding
from fabgen.job.reader import read_text
from fabgen.motion.movement import movement_of
from fabgen.parts.build import all_pieces

ARM = (
    TRAILING.replace('points = ["C", "W"]', 'points = ["C", "W"]\nmarks = ["T2"]')
    + """
[[tube]]
mark = "T2"
section = "40 x 40 x 3"
route = ["B", "C"]
"""
)
"""The arm's tube runs from its pivot at x = 500 to x = 0, along y = 400; there it goes up and down by 100."""


def across(z: float, x: float = 100.0) -> str:
    """A square tube of the frame over or under the arm, along y."""
    return f'\n[[tube]]\nmark = "T3"\nsection = "40 x 40 x 3"\nroute = [[{x}, 200, {z}], [{x}, 700, {z}]]\n'


def plate(mark: str, at: str, more: str = "", size: str = "[60, 60]") -> str:
    return f'\n[[plate]]\nmark = "{mark}"\nthickness = 6\nrectangle = {size}\nplace = {{ at = {at}{more} }}\n'


@cache
def told(text: str) -> tuple[Finding, ...]:
    job = read_text(text).definitions
    pieces = all_pieces(job)
    return tuple(findings(Checked(job, pieces, movement=movement_of(job, pieces)), (fouls_in_travel,)))


FAULTS = {
    "the arm into a tube over it": (ARM + across(100), "T2 runs into T3|T3 runs into T2"),
    "the arm into a plate under it": (ARM + plate("P1", "[60, 370, -100]"), "at height of W -"),
    "a plate on the arm that no body names": (
        ARM + across(100) + '\n[[plate]]\nmark = "P1"\nthickness = 20\nrectangle = [60, 40]\n'
        'place = { against = "T2", at = 400, side = "top" }\n',
        "2 pairs run into one another in a travel (",
    ),
    "the spring into a tube when it closes": (
        TRAILING + across(150, x=41).replace("40 x 40 x 3", "60 x 60 x 3"), "spring runs into T3, 3.1 mm deep"
    ),
    "a steering rod into a plate beside it": (
        STEERED + plate("P1", "[-103, 300, -30]", ', along = [0, 1, 0], up = [1, 0, 0]'), "steer: L1 runs into P1",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_it_speaks(name: str) -> None:
    text, words = FAULTS[name]
    (finding,) = told(text)
    assert any(word in finding.text for word in words.split("|")), finding.text
    assert finding.level == "stop"


LOOKS_WRONG = {
    "a tube that the arm just clears": ARM + across(145),
    "a plate that rides along": ARM + plate("P1", "[60, 370, 20]", ', on = "arm"'),
    "in one another as drawn, which is told already": ARM + plate("P1", "[60, 370, 0]"),
    "a lug on the frame whose ears take the arm": ARM + (
        '\n[[bracket]]\nmark = "B1"\nshape = "clevis"\nthickness = 4\ngap = 41\nlength = 80\nheight = 60\n'
        'bolt = "M12"\n'
        'place = { at = [500, 400, -60], of = [40, 24.5], along = [1, 0, 0], up = [0, 0, 1] }\n'
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", LOOKS_WRONG)
def test_it_is_silent(name: str) -> None:
    assert told(LOOKS_WRONG[name]) == ()


def test_it_is_told_once_where_it_is_worst() -> None:
    """Two travels reach it, the second one farther: the arm's top comes to 96 + 20 mm there, and leans."""
    second = '\n[[sweep]]\nname = "jump"\nheight = "W"\ntravel = [-100, 120]\nsteps = 23\n'
    (finding,) = told(ARM + across(100) + second)
    assert "jump: " in finding.text
    assert " deep at height of W +120.0 mm" in finding.text


@pytest.mark.parametrize(("clear", "speaks"), [(-0.495, False), (-0.505, True)])
def test_half_a_millimetre_from_both_sides(clear: float, speaks: bool) -> None:
    """The spring stands upright over the arm's end as drawn; at the top of the travel its foot has swung by
    500 - sqrt(500^2 - 100^2) = 10.1 mm toward +x, where a flat face of the frame stands."""
    foot = 500.0 - (500.0**2 - 100.0**2) ** 0.5
    height = 90.0
    text = TRAILING.replace('between = ["UP", "C"]', 'between = ["UP", "C"]\ndiameter = 20')
    # The face looks toward -x, square to the spring's lean then: nearest where the body begins, 25 mm from its foot.
    length = (foot**2 + 250.0**2) ** 0.5
    sine, cosine = foot / length, 250.0 / length
    x = foot - 25.0 * sine + 10.0 * cosine + clear
    z = 100.0 + 25.0 * cosine + 10.0 * sine
    text += plate("P1", f"[{x}, 370, {z - height}]", ", along = [0, 1, 0], up = [1, 0, 0]", "[60, 300]")
    assert bool(told(text)) == speaks

"""Ends of dampers that nothing holds: five faults, what only looks wrong, and the limit from both sides."""

from __future__ import annotations

import pytest
from jobs import findings, pieces_of
from moving_jobs import TRAILING

from fabgen.checks.checked import Checked
from fabgen.checks.contact.dampers_in_air import damper_in_air
from fabgen.checks.rule import Finding
from fabgen.job.reader import read_text
from fabgen.motion.movement import movement_of

# T1 lies along x from O to A, 48.3 across; C is named by the arm.
ENDS = 'between = ["UP", "C"]'
POST = '[[tube]]\nmark = "T2"\nsection = "48.3 x 3.2"\nroute = [[0, 400, 0], [0, 400, {}]]\n'
CLEVIS = (
    '[[bracket]]\nmark = "B1"\nshape = "clevis"\nthickness = 4\ngap = {}\nlength = 40\nheight = 50\nbolt = "M12"\n'
    "place = [{{ at = [0, 400, 400], of = [20, {}], along = [1, 0, 0], up = [0, 0, -1] }}]\n"
)
AWAY = CLEVIS.replace("400, 400]", "600, 400]").format(20, 14)
ARM = '[[tube]]\nmark = "T2"\nsection = "48.3 x 3.2"\nroute = ["B", "C"]\n'
CARRIED = TRAILING.replace('points = ["C", "W"]', 'points = ["W"]\nmarks = ["T2"]')


def said(text: str) -> list[Finding]:
    job = read_text(text).definitions
    pieces = pieces_of(job)
    of = Checked(job, pieces, movement=movement_of(job, pieces))
    return findings(of, (damper_in_air,))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (TRAILING, "spring's first end, 507.4 mm from the nearest, T1: hangs in the air: place the bracket"),
        (TRAILING.replace(ENDS, 'between = ["C", "UP"]'), "spring's second end, 507.4 mm from the nearest, T1"),
        (TRAILING + POST.format(324.7), "32.8 mm from the nearest, T2"),  # the post ends short of it
        (TRAILING + AWAY, "from the nearest, B1"),  # the bracket stands elsewhere
        # No body names its foot, and no part of the arm is there.
        (CARRIED.replace('"T2"', '"T3"').replace(ENDS, 'between = ["UP", [250, 200, 0]]')
         + ARM.replace("T2", "T3"), "spring's second end, 175.9 mm from the nearest, T1: hang in the air"),
        (TRAILING.replace(ENDS, f"{ENDS}\neye_diameter = 20\neye_width = 16") + POST.format(329.8), "29.1 mm from the"),
    ],
)  # fmt: skip
def test_an_end_that_hangs_on_nothing_is_looked_at(text: str, words: str) -> None:
    (finding,) = said(text)
    assert (finding.level, finding.marks[0]) == ("warn", "spring")
    assert words in finding.text


@pytest.mark.parametrize(
    "text",
    [
        TRAILING + POST.format(325.3),  # at a post's end, 24.7 mm off
        TRAILING.replace(ENDS, f"{ENDS}\neye_diameter = 24\neye_width = 16") + POST.format(326.3),
        TRAILING.replace(ENDS, f"{ENDS}\neye_diameter = 30\neye_width = 18") + CLEVIS.format(20, 14),
        TRAILING + POST.replace("400, {}", "400, 500").replace("400, 0]", "400, 340]"),  # a spring in its turret
        CARRIED.replace(ENDS, 'between = ["O", "C"]') + ARM,  # at a tube of the arm that ends there
        TRAILING.replace('mark = "T1"', 'mark = "T1"\nstate = "there already"') + POST.format(340),
    ],
)
def test_what_has_something_to_hang_on_is_left_alone(text: str) -> None:
    assert said(text) == []

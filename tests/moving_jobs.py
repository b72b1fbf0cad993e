"""Job texts of things that move, for the tests of tables, travels, checks and documents."""

from __future__ import annotations

from pathlib import Path

from fabgen.job.reader import read_text
from fabgen.job.tables.definitions import Definitions
from fabgen.motion.movement import Movement, movement_of
from fabgen.parts.link import link_rod
from fabgen.parts.tube import tube

SAMPLES = Path(__file__).parents[1] / "sample_parts"
HEAD = """
[job]
title = "Moving"
number = "M-1"
units = "mm"

[points]
O = [0, 0, 0]
A = [500, 0, 0]
B = [500, 400, 0]
C = [0, 400, 0]
W = [0, 600, 0]
UP = [0, 400, 350]

[[tube]]
mark = "T1"
section = "48.3 x 3.2"
route = ["O", "A"]
"""

TRAILING = (
    HEAD
    + """
[[body]]
name = "arm"
points = ["C", "W"]

[[joint]]
name = "pivot"
kind = "hinge"
between = ["frame", "arm"]
at = "B"
axis = [0, 1, 0]

[[damper]]
name = "spring"
between = ["UP", "C"]

[[wheel]]
name = "wheel"
on = "arm"
centre = "W"
diameter = 500

[[sweep]]
name = "travel"
height = "W"
travel = [-100, 100]
steps = 21
"""
)

SWING_AXLE = TRAILING.replace('at = "B"\naxis = [0, 1, 0]', 'at = "O"\naxis = [1, 0, 0]')

STEERED = (
    HEAD
    + """
[[link]]
mark = "L1"
section = "25.4 x 4"
material = "S355"
between = ["RACK", "STEER"]
rod_ends = ["M10 right", "M10 left"]

[[body]]
name = "hub"
points = ["STEER", "W"]

[[body]]
name = "rack"
points = ["RACK"]

[[joint]]
name = "kingpin"
kind = "hinge"
between = ["frame", "hub"]
at = "C"
axis = [0, 0, 1]

[[joint]]
name = "guide"
kind = "slider"
between = ["frame", "rack"]
at = "RACK"
axis = [0, 1, 0]

[[wheel]]
name = "wheel"
on = "hub"
centre = "W"
diameter = 500

[[sweep]]
name = "steer"
rack = "guide"
travel = [-60, 60]
steps = 13
"""
).replace("UP = ", "RACK = [-120, 0, 0]\nSTEER = [-120, 400, 0]\nUP = ")

WISHBONE_JOB = """
[job]
title = "Front corner"
number = "W-1"
units = "mm"

[points]
LF = [150, 300, -100]
LR = [-150, 310, -90]
LB = [5, 650, -110]
UF = [120, 350, 120]
UR = [-130, 360, 100]
UB = [-10, 620, 110]
RK = [-120, 290, -60]
ST = [-140, 630, -70]
WH = [0, 720, 0]
DT = [20, 380, 330]
DB = [5, 560, -95]

[[tube]]
mark = "T1"
section = "42.4 x 2.6"
route = ["LF", "LB"]

[[tube]]
mark = "T2"
section = "42.4 x 2.6"
route = ["UF", "UB"]

[[link]]
mark = "L1"
section = "25.4 x 4"
between = ["RK", "ST"]
rod_ends = ["M10 right", "M10 left"]

[[body]]
name = "lower arm"
points = ["DB"]
marks = ["T1"]

[[body]]
name = "upper arm"
marks = ["T2"]

[[body]]
name = "hub"
points = ["ST", "WH"]

[[body]]
name = "rack"
points = ["RK"]

[[joint]]
name = "lower pivot"
kind = "hinge"
between = ["frame", "lower arm"]
at = "LF"
axis = "LR"

[[joint]]
name = "upper pivot"
kind = "hinge"
between = ["frame", "upper arm"]
at = "UF"
axis = "UR"

[[joint]]
name = "lower ball"
kind = "ball"
between = ["lower arm", "hub"]
at = "LB"
swing = 20

[[joint]]
name = "upper ball"
kind = "ball"
between = ["upper arm", "hub"]
at = "UB"

[[joint]]
name = "rack guide"
kind = "slider"
between = ["frame", "rack"]
at = "RK"
axis = [0, 1, 0]

[[damper]]
name = "damper"
between = ["DT", "DB"]

[[wheel]]
name = "wheel"
on = "hub"
centre = "WH"
diameter = 560
width = 165
rim = 330

[[sweep]]
name = "steering"
rack = "rack guide"
travel = [-40, 40]
steps = 9


[[sweep]]
name = "bump at lock"
height = "WH"
travel = [-60, 60]
steps = 13
held = { steering = 20 }
"""


def job_of(text: str) -> Definitions:
    return read_text(text).definitions


def studied(text: str) -> Movement:
    job = job_of(text)
    found = movement_of(job, [*tube.pieces(job), *link_rod.pieces(job)])
    assert found is not None
    return found


def sample(name: str) -> str:
    return (SAMPLES / name).read_text(encoding="utf-8")

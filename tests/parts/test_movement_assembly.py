"""From a job's tables to a mechanism, and what the tables may not say."""

from __future__ import annotations

import numpy as np
import pytest
from moving_jobs import HEAD, STEERED, TRAILING, job_of, sample

from fabgen.geometry.mechanics.constraints import FRAME
from fabgen.job.errors import JobError
from fabgen.motion.assembly import assemble
from fabgen.motion.riders import Riders
from fabgen.parts.build import all_pieces
from fabgen.parts.shape.bored.hole_ways import hole_ways


def faults(text: str) -> list[str]:
    with pytest.raises(JobError) as caught:
        assemble(job_of(text))
    return [
        f"{problem.path}: {problem.what} | {problem.accepted} | {problem.nearest}" for problem in caught.value.problems
    ]


def test_links_between_bodies_hold_by_themselves() -> None:
    linkage = assemble(job_of(STEERED))
    assert linkage is not None
    (rod,) = linkage.rods
    assert rod.mark == "L1"
    assert rod.bodies == (1, 0)
    assert linkage.mechanism.rows[-1].value == pytest.approx(400.0)


def test_a_job_without_movement_has_none() -> None:
    assert assemble(job_of(HEAD)) is None


def test_two_sweeps_of_one_driver_count_once() -> None:
    twice = TRAILING + '\n[[sweep]]\nname = "again"\nheight = "W"\ntravel = [-5, 5]\n'
    linkage = assemble(job_of(twice))
    assert linkage is not None
    assert len(linkage.drivers) == 1
    assert linkage.drives == (0, 0)
    assert linkage.wanted == 1


@pytest.mark.parametrize(
    ("old", "new", "path", "words"),
    [
        ('between = ["frame", "arm"]', 'between = ["frame", "arn"]', "('joint', 0, 'between', 1)", 'no body "arn"'),
        ('on = "arm"', 'on = "arms"', "('wheel', 0, 'on')", 'no body "arms"'),
        ('height = "W"', 'height = "A"', "('sweep', 0, 'height')", "rides on no body"),
        ('height = "W"', 'rack = "pivot"', "('sweep', 0, 'rack')", "no slider"),
        ('height = "W"', 'damper = "springs"', "('sweep', 0, 'damper')", "no damper"),
        ("travel = [-100, 100]", "travel = [100, -100]", "('sweep', 0, 'travel')", "no length"),
        ("axis = [0, 1, 0]", 'axis = "B"', "('joint', 0, 'axis')", "starts from"),
        ('points = ["C", "W"]', 'points = [[0, 0, 1]]', "('body', 0, 'points', 0)", "needs a name"),
        ('points = ["C", "W"]', 'points = ["C", "W"]\nmarks = ["T2"]', "('body', 0, 'marks', 0)", 'no part "T2"'),
        ('points = ["C", "W"]', 'points = ["C", "W"]\nmarks = ["L9"]\n[[link]]\nmark = "L9"\nsection = "25 x 4"\n'
         'length = 400\nrod_ends = ["M12 right", "M12 left"]', "('body', 0, 'marks', 0)", '"L9" is not named here'),
        ("[[damper]]", '[[joint]]\nname = "pivot"\nkind = "ball"\nbetween = ["arm", "frame"]\nat = "A"\n[[damper]]',
         "('joint', 1, 'name')", "taken already"),
        ("diameter = 500", 'diameter = 500\nignore = ["T9"]', "('wheel', 0, 'ignore', 0)", '"T9"'),
    ],
)  # fmt: skip
def test_faults_have_their_place(old: str, new: str, path: str, words: str) -> None:
    assert old in TRAILING
    found = faults(TRAILING.replace(old, new))
    assert any(fault.startswith(path) and words in fault for fault in found), found


def test_a_point_rides_on_one_body_only() -> None:
    found = faults(TRAILING + '\n[[body]]\nname = "other"\npoints = ["W"]\n')
    assert any('rides on "arm" already' in fault for fault in found)


def test_a_joint_without_a_moving_body_is_told() -> None:
    assert "no body moves" in faults(HEAD + '\n[[sweep]]\nname = "s"\nheight = "A"\ntravel = [-1, 1]\n')[0]


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('kind = "hinge"', 'kind = "hinges"', "none of the choices"),
        ("axis = [0, 1, 0]\n", "", "has an axis"),
        ("axis = [0, 1, 0]", "axis = [0, 0, 0]", "no length"),
        ("axis = [0, 1, 0]", "axis = [0, 1]", "as an axis"),
        ('height = "W"', 'height = "W"\ndamper = "spring"', "only one of them"),
        ('kind = "hinge"', 'kind = "hinge"\nstiff = ["axial"]', "stiff has no meaning"),
        ('name = "arm"', 'name = "frame"', "stands still"),
    ],
)
def test_the_reader_tells_faults_of_the_tables(old: str, new: str, words: str) -> None:
    with pytest.raises(JobError) as caught:
        job_of(TRAILING.replace(old, new))
    assert any(words in problem.what for problem in caught.value.problems), caught.value.problems
    assert all(problem.line for problem in caught.value.problems)


@pytest.mark.parametrize("name", ["curlew-arm.toml", "caught/loose-arm.toml", "caught/solid-arm.toml"])
def test_samples_assemble(name: str) -> None:
    assert assemble(job_of(sample(name))) is not None


CLEVIS = (
    '[[bracket]]\nmark = "BR"\nshape = "clevis"\nthickness = 4\ngap = 21\nlength = 60\nheight = 50\nbolt = "M12"\n'
    "place = [{ at = [300, 0, 24.15], of = [30, 14.5], along = [1, 0, 0], up = [0, 0, 1] }]\n"
)
"""On top of T1, its pin across at z = 24.15 + the height of its hole."""


@pytest.mark.parametrize(
    ("off", "on"), [((0.0, 0.0, 0.0), 0), ((0.0, 9.0, 0.0), 0), ((0.0, 40.0, 0.0), FRAME), ((0.0, 0.0, 6.0), FRAME)]
)
def test_the_pin_of_a_clevis_that_a_body_carries_rides_on_it(off: tuple[float, float, float], on: int) -> None:
    """A damper's end between its ears or in one does, beside them or past the hole not."""
    text = TRAILING.replace('points = ["C", "W"]', 'points = ["C", "W"]\nmarks = ["BR"]') + CLEVIS
    pieces = all_pieces(job_of(text))
    (bracket,) = (piece for piece in pieces if piece.mark == "BR")
    ears = np.array([way.centre for way in hole_ways(bracket)])
    at = ears.mean(axis=0) + off
    job = job_of(text.replace('between = ["UP", "C"]', f'between = ["UP", {at.tolist()}]'))
    linkage = assemble(job, pieces)
    assert linkage is not None
    assert linkage.body_of(job.damper[0].between[1]) == on
    assert linkage.body_of(job.damper[0].between[0]) == FRAME


ANGLE_ARM = """
[[body]]
name = "arm"
marks = ["A1"]
[[joint]]
name = "pivot"
kind = "hinge"
between = ["arm", "frame"]
at = "C"
axis = [1, 0, 0]
[[profile]]
mark = "A1"
section = "angle 40 x 40 x 4"
legs = ["top", "front"]
route = ["C", "W"]
[[sweep]]
name = "up"
height = "W"
travel = [-20, 20]
"""


def test_a_profile_rides_on_a_body_and_its_ends_with_it() -> None:
    job = job_of(HEAD + ANGLE_ARM)
    pieces = all_pieces(job)
    linkage = assemble(job, pieces)
    assert linkage is not None
    piece = next(each for each in pieces if each.mark == "A1")
    assert Riders(linkage, pieces).body(piece) == linkage.number("arm")
    (end,) = (sweep.height for sweep in job.sweep)
    assert end is not None
    assert linkage.body_of(end) == linkage.number("arm")

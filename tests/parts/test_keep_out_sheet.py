"""Placed plates, brackets and covers against what must stay free, through a travel; distances by manifold3d."""

from __future__ import annotations

import math
from pathlib import Path

import manifold3d
import numpy as np
import pytest
from moving_jobs import SAMPLES, TRAILING

from fabgen.checks.motion.motion_checks import movement_findings
from fabgen.geometry.space.frame import Array
from fabgen.job.errors import JobError
from fabgen.job.reader import read_text
from fabgen.job.tables.movement_tables import SHOULDER
from fabgen.motion.keep_out import Clearance
from fabgen.motion.movement import Movement, movement_of
from fabgen.parts.build import all_pieces
from fabgen.parts.shape.sheet_body import sheet_body

WIDTH, RIM, DIAMETER = 150.0, 330.0, 500.0
WHEELED = TRAILING.replace("diameter = 500\n", f"diameter = {DIAMETER}\nwidth = {WIDTH}\nrim = {RIM}\nclear = 15\n")
"""An arm of 500 about the bolt at B = (500, 400, 0); the wheel's middle W, at (0, 600, 0), goes 100 up and down."""

BRACKET = """
[[bracket]]
mark = "B1"
shape = "angle"
thickness = 4
length = 80
legs = [50, 40]
holes = [{{ at = [40, 25], diameter = 11, face = "a" }}]
place = {{ at = [-60, 620, {height}], up = [0.1, 0, -1], along = [0.2, 1, 0] }}
"""
PLATE = """
[[plate]]
mark = "P1"
thickness = 6
rectangle = [120, 50]
place = {{ at = [-60, {y}, 20], along = [1, 0, 0], up = [0, 1, 0]{on} }}
"""


def studied(text: str) -> Movement:
    job = read_text(text, Path("job.toml")).definitions
    found = movement_of(job, all_pieces(job))
    assert found is not None
    return found


def clearance(found: Movement, one: str, other: str) -> Clearance:
    return next(each for each in found.clearances[0] if (each.one, each.other) == (one, other))


# -- the same by another program ---------------------------------------------------
def tyre(rise: float) -> manifold3d.Manifold:
    """The tyre where the wheel's middle has risen by `rise`, from its profile and a circle about the bolt."""
    r = SHOULDER
    turn = np.linspace(0.0, 2.0 * math.pi, 121)[:-1]
    centres = [(s * (WIDTH / 2.0 - r), DIAMETER / 2.0 - r) for s in (-1.0, 1.0)]
    centres += [(s * (WIDTH / 2.0 - r), RIM / 2.0 + r) for s in (-1.0, 1.0)]
    points = np.vstack([np.column_stack((y + r * np.cos(turn), x + r * np.sin(turn))) for x, y in centres])
    profile = manifold3d.CrossSection.hull_points(points)
    ring = manifold3d.Manifold.revolve(profile, 360)
    angle = math.asin(rise / 500.0)
    at = (500.0 - 500.0 * math.cos(angle), 600.0, rise)
    return ring.rotate([90.0, 0.0, 0.0]).translate(at)


def solid(study_: Movement, text: str, mark: str) -> manifold3d.Manifold:
    part = next(p for p in all_pieces(study_.linkage.job) if p.mark == mark).flat_part
    assert part is not None
    body = sheet_body(part, 0.005).in_frame(part.places[0].frame)
    mesh = manifold3d.Mesh(body.vertices.astype(np.float32), body.triangles.astype(np.uint32))
    mesh.merge()
    return manifold3d.Manifold(mesh)


def agrees(part: manifold3d.Manifold, rises: Array, clear: Array) -> bool:
    """Whether every fifth clearance is what the solids have; its chords leave the tyre's hide by 0.03 mm at most."""
    found = [
        part.min_gap(tyre(float(rise)), max(gap, 0.0) + 1.0) for rise, gap in zip(rises[::5], clear[::5], strict=True)
    ]
    return bool(np.allclose(found, np.maximum(clear[::5], 0.0), atol=0.05))


# -- one end of the travel -----------------------------------------------------------
def test_a_bracket_over_the_wheel_fouls_it_at_full_rise_only() -> None:
    text = WHEELED + BRACKET.format(height=345)
    found = studied(text)
    clear = clearance(found, "wheel", "B1")
    rises = found.sweeps[0].driver
    assert clear.least < -1.0
    assert rises[clear.at] == pytest.approx(100.0)
    assert clear.clear[0] > 90.0
    assert (np.diff(clear.clear) < 0.0).all()
    with_room = clear.clear > 0.0
    assert with_room.sum() in range(10, len(rises) - 1)
    assert agrees(solid(found, text, "B1"), rises, clear.clear)
    (told,) = [finding for finding in movement_findings(found) if finding.rule == "clearance" and "B1" in finding.text]
    assert told.level == "stop"
    assert "height of W +100.0 mm" in told.text


def test_the_same_bracket_higher_up_fouls_nothing() -> None:
    text = WHEELED + BRACKET.format(height=400)
    found = studied(text)
    clear = clearance(found, "wheel", "B1")
    assert clear.least > 15.0
    assert agrees(solid(found, text, "B1"), found.sweeps[0].driver, clear.clear)
    assert not [finding for finding in movement_findings(found) if finding.rule == "clearance" and "B1" in finding.text]


def test_a_plate_beside_the_tyre_against_a_box_by_hand() -> None:
    """The plate as six numbers, so that its placing is tried as well."""
    text = WHEELED + PLATE.format(y=490, on="")
    found = studied(text)
    clear = clearance(found, "wheel", "P1")
    plate = manifold3d.Manifold.cube([120.0, 6.0, 50.0]).translate([-60.0, 490.0, -30.0])
    assert agrees(plate, found.sweeps[0].driver, clear.clear)


# -- what rides -------------------------------------------------------------------------
@pytest.mark.parametrize("way", ["on", "marks"])
def test_a_plate_that_rides_on_the_arm_keeps_its_distance_to_the_wheel(way: str) -> None:
    text = WHEELED + PLATE.format(y=490, on=', on = "arm"' if way == "on" else "")
    if way == "marks":
        text = text.replace('points = ["C", "W"]', 'points = ["C", "W"]\nmarks = ["P1"]')
    text += '[[envelope]]\nname = "stop"\nshape = "box"\nat = [0, 493, 250]\nsize = [400, 100, 20]\n'
    found = studied(text)
    clear = clearance(found, "wheel", "P1")
    still = clearance(studied(WHEELED + PLATE.format(y=490, on="")), "wheel", "P1")
    assert np.ptp(clear.clear) < 1e-9
    middle = int(np.argmin(np.abs(found.sweeps[0].driver)))
    assert clear.clear[0] == pytest.approx(still.clear[middle], abs=0.02)
    stop = clearance(found, "stop", "P1")
    # Its upper edge, 20 over the bolt, turns about it: the end far from the bolt rises most.
    for rise, gap in zip(found.sweeps[0].driver, stop.clear, strict=True):
        angle = math.asin(rise / 500.0)
        corners = [(560.0, 20.0), (440.0, 20.0)]
        top = max(x * math.sin(angle) + z * math.cos(angle) for x, z in corners)
        assert gap == pytest.approx(240.0 - top, abs=0.02)


def test_what_may_touch_is_not_looked_at() -> None:
    text = WHEELED.replace("clear = 15\n", 'clear = 15\nignore = ["B1"]\n') + BRACKET.format(height=320)
    assert not [each for each in studied(text).clearances[0] if each.other == "B1"]


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('points = ["C", "W"]', 'points = ["C", "W"]\nmarks = ["P1"]', "has no place"),
        ("up = [0, 1, 0]", 'up = [0, 1, 0], on = "arn"', 'no body "arn"'),
    ],
)
def test_faults_of_riding(old: str, new: str, words: str) -> None:
    text = (WHEELED + PLATE.format(y=490, on="")).replace(old, new)
    if "marks" in new:
        text = text[: text.index("place =")]
    with pytest.raises(JobError) as fault:
        studied(text)
    assert any(words in problem.what and problem.accepted for problem in fault.value.problems)


# -- the sample ------------------------------------------------------------------------------
def test_the_trailing_arms_bracket_and_shield_keep_clear() -> None:
    found = studied((SAMPLES / "curlew-arm.toml").read_text(encoding="utf-8"))
    shield, bracket = clearance(found, "wheel", "C1"), clearance(found, "wheel", "B1")
    assert 20.0 < shield.least < 30.0
    assert found.sweeps[0].driver[shield.at] == pytest.approx(70.0)
    assert np.ptp(bracket.clear) < 1e-9
    assert clearance(found, "caliper", "C1").least > 8.0

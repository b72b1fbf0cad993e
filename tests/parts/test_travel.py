"""Wheels, dampers, balls and bushes through a travel, against closed forms of simple arms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from moving_jobs import STEERED, SWING_AXLE, TRAILING, WISHBONE_JOB, job_of, studied

from fabgen.checks.motion.motion_checks import movement_findings
from fabgen.documents.data.movement_json import movement_keys
from fabgen.documents.points.movement_pdf import movement_pdf
from fabgen.documents.render.paper import find
from fabgen.job.errors import JobError
from fabgen.motion.movement import swing_limit


def test_a_trailing_arm_keeps_camber_and_toe_and_shortens_the_wheelbase() -> None:
    (result,) = studied(TRAILING).sweeps
    (wheel,) = result.wheels
    assert np.allclose(wheel.camber, 0.0, atol=1e-9)
    assert np.allclose(wheel.toe, 0.0, atol=1e-9)
    assert np.allclose(wheel.outward, 0.0, atol=1e-6)
    # The wheel's centre goes round the pivot, 500 in front of it; the contact point lies below the centre.
    expected = 500.0 - np.sqrt(500.0**2 - result.driver**2)
    assert np.allclose(wheel.forward, expected, atol=1e-6)
    assert np.allclose(wheel.height, result.driver, atol=1e-6)


def test_the_damper_follows_the_law_of_cosines() -> None:
    (result,) = studied(TRAILING).sweeps
    foot = np.array([500.0, 0.0]) + 500.0 * np.column_stack(
        (-np.cos(np.arcsin(result.driver / 500.0)), result.driver / 500.0)
    )
    assert np.allclose(result.dampers["spring"], np.hypot(foot[:, 0], foot[:, 1] - 350.0), atol=1e-6)


def test_a_swing_axle_leans_its_top_inward_as_the_wheel_rises() -> None:
    """Camber is positive with the top outward (ISO 8855:2011), so it falls as the wheel rises, by the axle's angle."""
    (result,) = studied(SWING_AXLE).sweeps
    (wheel,) = result.wheels
    assert np.allclose(wheel.camber, -np.arcsin(result.driver / 600.0), atol=1e-9)
    assert np.allclose(wheel.toe, 0.0, atol=1e-9)


def test_the_right_wheel_mirrors_the_left() -> None:
    right = SWING_AXLE.replace("W = [0, 600, 0]", "W = [0, -600, 0]")
    left_wheel, right_wheel = (studied(text).sweeps[0].wheels[0] for text in (SWING_AXLE, right))
    for name in ("camber", "toe", "outward", "forward"):
        assert np.allclose(getattr(left_wheel, name), getattr(right_wheel, name), atol=1e-6)


def test_the_rack_behind_the_axle_toes_the_wheel() -> None:
    """Steering arm 120 behind the kingpin and the rod square to it: as the rack goes left (outward) the arm's
    end goes outward, so the left wheel's front turns inward: toe grows.  Closed form of the planar loop."""
    found = studied(STEERED)
    assert found.mobility is not None
    assert (found.mobility.freedoms, found.mobility.lasting, found.linkage.wanted) == (1, 1, 1)
    (result,) = found.sweeps
    (wheel,) = result.wheels
    for travel, toe in zip(result.driver, wheel.toe, strict=True):
        # Arm's end (-120 cos t, 400 + 120 sin t) lies 400 from the rack's end (-120, travel).
        x, y = -120.0 * math.cos(toe), 400.0 + 120.0 * math.sin(toe)
        assert math.hypot(x + 120.0, y - travel) == pytest.approx(400.0, abs=1e-6)
        assert toe * travel >= 0.0


def test_ball_angles_by_the_bolt_and_without_it() -> None:
    bolts = '\n[[pin]]\nat = "RACK"\naxis = [0, 0, 1]\n[[pin]]\nat = "STEER"\naxis = [1, 0, 0]\n'
    plain, square = (studied(text).sweeps[0] for text in (STEERED, STEERED + bolts))
    # A bolt square to the plane of motion is not tilted at all; one in it takes the whole swing.
    assert np.allclose(square.tilts[0].angle, 0.0, atol=1e-6)
    assert np.allclose(square.tilts[1].angle, plain.tilts[1].angle, atol=1e-6)
    assert [t.square for t in plain.tilts] == [False, False]
    assert [t.square for t in square.tilts] == [True, True]


def test_the_limit_is_the_jobs_or_the_tables() -> None:
    found = studied(STEERED)
    limit, source = swing_limit(found, found.sweeps[0].tilts[0])
    assert limit == pytest.approx(math.radians(13.0))
    assert source == "from memory, check against your part"
    own = STEERED.replace('["M10 right", "M10 left"]', '[{ thread = "M10", swing = 20 }, "M10 left"]')
    found = studied(own)
    limit, source = swing_limit(found, found.sweeps[0].tilts[0])
    assert limit == pytest.approx(math.radians(20.0))
    assert source == "as the job gives it"


def test_a_bush_soft_endwise_tells_how_far_it_gives() -> None:
    """A link square to the arm at rest pulls it sideways by L - sqrt(L2 - h2)."""
    text = TRAILING.replace('kind = "hinge"', 'kind = "bush"').replace(
        "[[body]]",
        '[[link]]\nmark = "L1"\nsection = "25.4 x 4"\nbetween = ["O", "C"]\n'
        'rod_ends = ["M10 right", "M10 left"]\n[[body]]',
    )
    (result,) = studied(text).sweeps
    (give,) = result.gives
    x = 500.0 - np.sqrt(500.0**2 - result.driver**2)
    side = np.sqrt(400.0**2 - result.driver**2 - x**2)
    assert np.allclose(give.endwise, side - 400.0, atol=1e-6)
    assert np.allclose(give.tilt, 0.0, atol=1e-6)


def test_a_damper_may_drive() -> None:
    text = TRAILING.replace('height = "W"', 'damper = "spring"').replace("[-100, 100]", "[-50, 50]")
    (result,) = studied(text).sweeps
    assert np.allclose(result.dampers["spring"], 350.0 + result.driver, atol=1e-6)


def test_a_travel_that_is_not_reached_says_where_it_ends() -> None:
    (result,) = studied(TRAILING.replace("[-100, 100]", "[-100, 700]")).sweeps
    ((reached, why),) = result.ends
    assert reached == pytest.approx(500.0, abs=0.1)
    assert why == "dead point"


def test_a_travel_with_the_steering_held_over() -> None:
    """At full lock the wheel's travel starts from the toe that the steering sweep gives there."""
    text = STEERED + '\n[[sweep]]\nname = "at lock"\nrack = "guide"\ntravel = [-1, 1]\n'
    with pytest.raises(JobError) as caught:
        studied(text + "held = { steer = 40 }\n")
    assert "same driver" in caught.value.problems[0].what
    corner = studied(WISHBONE_JOB)
    steering, bump = corner.sweeps
    at_lock = next(i for i, change in enumerate(steering.driver) if change == pytest.approx(20.0))
    drawn = next(i for i, change in enumerate(bump.driver) if change == 0.0)
    assert bump.wheels[0].toe[drawn] == pytest.approx(steering.wheels[0].toe[at_lock], abs=1e-9)
    assert abs(bump.wheels[0].toe[drawn]) > math.radians(5.0)


def test_what_cannot_be_held_is_told() -> None:
    text = WISHBONE_JOB.replace("held = { steering = 20 }", "held = { steering = 900 }")
    (_, bump) = studied(text).sweeps
    assert bump.places == ()
    assert len(bump.ends) == 1
    movement = studied(text)
    assert any("cannot be reached" in finding.text for finding in movement_findings(movement))
    assert movement_pdf(job_of(text).job, movement, movement_findings(movement), find("A4")).startswith(b"%PDF")
    assert movement_keys(movement)["movement"]["sweeps"][1]["driver_mm"] == []

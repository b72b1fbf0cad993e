"""Lengths of weld runs and angles along them, against published functions and approximations.

M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 1964: complete elliptic
integral of the second kind E(m), by the arithmetic-geometric mean (17.6.3, 17.6.4), and its
tabled value at m = 0.5 (table 17.1).
AWS D1.1, tubular connections, length factor K_a of a round branch (run / 2 pi r): the form with
beta and the simpler (1 + 1 / sin theta) / 2.  Both from memory, check against your edition; they
are approximations, and are held to 5 and 8 per cent.
"""

import math

import numpy as np
import pytest

from fabgen.geometry.space.frame import Frame
from fabgen.geometry.tube.contact import greatest
from fabgen.geometry.tube.profile import round_profile
from fabgen.geometry.tube.solids import HalfSpace, RoundBar, Slab, Solid, outward_normals
from fabgen.geometry.tube.weld_run import WeldRun, weld_run

R = 30.0
POLYGON = 2e-5
"""360 chords fall short of a circle by 1.3 parts in 100,000."""


def second_integral(m: float) -> float:
    """E(m) by the arithmetic-geometric mean."""
    a, b, c, total, power = 1.0, math.sqrt(1.0 - m), math.sqrt(m), m / 2.0, 1.0
    while abs(c) > 1e-15:
        a, b, c = (a + b) / 2.0, math.sqrt(a * b), (a - b) / 2.0
        total += power * c * c
        power *= 2.0
    return math.pi / 2.0 / a * (1.0 - total)


def run_onto(solid: Solid, diameter: float) -> WeldRun:
    """The run of a round branch along x from the origin, its outside alone."""
    walls = round_profile(diameter, 3.0).walls(Frame(np.zeros(3), *np.eye(3))).outer()
    points = walls.skin + greatest(solid, walls)[:, None] * walls.along
    return weld_run(points, -walls.inward, outward_normals(solid, points))


def leaning_bar(theta: float, radius: float) -> RoundBar:
    return RoundBar(np.zeros(3), np.array([math.cos(theta), math.sin(theta), 0.0]), radius)


def plate(theta: float) -> Solid:
    return HalfSpace.at(np.zeros(3), np.array([math.sin(theta), -math.cos(theta), 0.0]))


def test_the_integral_itself() -> None:
    assert second_integral(0.5) == pytest.approx(1.35064388, abs=1e-8)
    assert second_integral(0.0) == pytest.approx(math.pi / 2.0)


def test_square_on_a_plate_is_the_circumference() -> None:
    for solid in (plate(math.pi / 2.0), Slab(np.zeros(3), np.array([1.0, 0.0, 0.0]), 10.0)):
        run = run_onto(solid, 2.0 * R)
        assert run.length == pytest.approx(2.0 * math.pi * R, rel=POLYGON)
        assert run.angle == pytest.approx(np.full(360, math.pi / 2.0), abs=1e-6)


@pytest.mark.parametrize("degrees", [20.0, 30.0, 45.0, 60.0, 75.0])
def test_leaning_on_a_plate_is_an_ellipse(degrees: float) -> None:
    """Half axes r and r / sin(theta): 4 a E(m), m = cos^2(theta)."""
    theta = math.radians(degrees)
    run = run_onto(plate(theta), 2.0 * R)
    assert run.length == pytest.approx(4.0 * R / math.sin(theta) * second_integral(math.cos(theta) ** 2), rel=3e-5)
    assert math.degrees(run.least) == pytest.approx(degrees)
    assert math.degrees(run.greatest) == pytest.approx(180.0 - degrees)


def test_equal_tubes_at_90_degrees_are_two_half_ellipses() -> None:
    """Each lies in a plane at 45 degrees, half axes r and r sqrt(2): 4 sqrt(2) r E(1/2)."""
    run = run_onto(leaning_bar(math.pi / 2.0, R), 2.0 * R)
    assert run.length == pytest.approx(4.0 * math.sqrt(2.0) * R * 1.35064388, rel=POLYGON)
    assert math.degrees(run.least) == pytest.approx(90.0)
    assert math.degrees(run.greatest) == pytest.approx(180.0, abs=0.1)


@pytest.mark.parametrize("beta", [0.3, 0.6, 0.9])
def test_unequal_tubes_at_90_degrees(beta: float) -> None:
    """The curve's own integral, sqrt(r^2 + (dx/dphi)^2) by Simpson's rule, and cos(psi) = -beta sin^2(phi)."""
    phi = np.linspace(0.0, math.pi / 2.0, 20_001)
    slope = R * R * np.sin(phi) * np.cos(phi) / np.sqrt((R / beta) ** 2 - (R * np.sin(phi)) ** 2)
    speed = np.hypot(R, slope)
    weights = np.ones(20_001)
    weights[1:-1:2], weights[2:-1:2] = 4.0, 2.0
    wanted = 4.0 * float(weights @ speed) * (math.pi / 2.0 / 20_000) / 3.0
    run = run_onto(leaning_bar(math.pi / 2.0, R / beta), 2.0 * R)
    assert run.length == pytest.approx(wanted, rel=POLYGON)
    assert np.cos(run.angle) == pytest.approx(-beta * np.sin(np.radians(np.arange(360))) ** 2, abs=1e-6)


@pytest.mark.parametrize("beta", [0.2, 0.4, 0.6, 0.8])
@pytest.mark.parametrize("degrees", [30.0, 45.0, 60.0, 90.0])
def test_length_factor(beta: float, degrees: float) -> None:
    theta = math.radians(degrees)
    run = run_onto(leaning_bar(theta, R / beta), 2.0 * R)
    factor = run.length / (2.0 * math.pi * R)
    x = 1.0 / (2.0 * math.pi * math.sin(theta))
    y = (3.0 - beta**2) / (3.0 * math.pi * (2.0 - beta**2))
    assert factor == pytest.approx(x + y + 3.0 * math.hypot(x, y), rel=0.05)
    assert factor == pytest.approx((1.0 + 1.0 / math.sin(theta)) / 2.0, rel=0.08)

"""Positions through a travel, against closed forms of the textbooks, to 1e-6 mm and rad."""

from __future__ import annotations

import math

import linkages
import numpy as np
import pytest
from linkages import WISHBONE, Array, Z

from fabgen.geometry.mechanics.constraints import FRAME, ConstraintRow, ball, hinge, rod, slider
from fabgen.geometry.mechanics.mechanism import Mechanism
from fabgen.geometry.mechanics.sweeping import sweep

X, Y = np.eye(3)[:2]


def driven(mechanism: Mechanism, body: int, point: Array, along: Array) -> Mechanism:
    """With a last row that holds the point's place along a direction of the frame."""
    row = ConstraintRow("drive", "gap", FRAME, body, np.zeros(3), point, float(along @ point), along)
    return mechanism.with_rows([row])


def test_planar_four_bar_by_freudenstein() -> None:
    """Freudenstein's equation: K1 cos(output) - K2 cos(input) + K3 = cos(input - output), the angles
    counted from the fixed link (F. Freudenstein, Approximate synthesis of four-bar linkages,
    Trans. ASME 77, 1955)."""
    crank, coupler, rocker, ground = 100.0, 300.0, 250.0, 280.0
    k1, k2 = ground / crank, ground / rocker
    k3 = (crank**2 - coupler**2 + rocker**2 + ground**2) / (2.0 * crank * rocker)
    mechanism = linkages.four_bar()
    pin = np.array([60.0, 80.0, 0.0])
    head = linkages.circles(pin, coupler, ground * X, rocker)
    made = driven(mechanism, 0, pin, X)
    travel = sweep(made.system, len(made.rows) - 1, np.linspace(-150.0, 38.0, 60))
    assert len(travel.positions) == 60
    assert travel.ends == ()
    for position in travel.positions:
        b = made.system.point(0, pin, position.places)
        c = made.system.point(2, head, position.places) - ground * X
        theta, psi = math.atan2(b[1], b[0]), math.atan2(c[1], c[0])
        assert b[0] == pytest.approx(60.0 + position.driver, abs=1e-6)
        assert math.hypot(*c[:2]) == pytest.approx(rocker, abs=1e-6)
        # A t2 + B t + C = 0 with t = tan(output / 2), as R. L. Norton, Design of Machinery, chapter 4, solves it.
        a = math.cos(theta) - k1 - k2 * math.cos(theta) + k3
        b_, c_ = -2.0 * math.sin(theta), k1 - (k2 + 1.0) * math.cos(theta) + k3
        roots = [2.0 * math.atan2(-b_ + s * math.sqrt(b_**2 - 4.0 * a * c_), 2.0 * a) for s in (1.0, -1.0)]
        assert min(abs(math.remainder(psi - root, 2.0 * math.pi)) for root in roots) < 1e-8


def test_slider_crank() -> None:
    """x = r cos t + sqrt(l2 - (r sin t - e)2), e.g. Norton, Design of Machinery, chapter 4 (offset slider-crank)."""
    crank, length, offset, angle = 80.0, 240.0, 20.0, 0.8
    mechanism = linkages.slider_crank(angle, crank, length, offset)
    pin = crank * np.array([math.cos(angle), math.sin(angle), 0.0])
    made = driven(mechanism, 0, pin, Y)
    travel = sweep(made.system, len(made.rows) - 1, np.linspace(-130.0, 20.0, 40))
    assert travel.ends == ()
    for position in travel.positions:
        at = made.system.point(0, pin, position.places)
        end = made.system.point(2, np.array([0.0, offset, 0.0]), position.places)
        drawn = made.system.point(2, np.array([0.0, offset, 0.0]), made.system.drawn)
        expected = at[0] + math.sqrt(length**2 - (at[1] - offset) ** 2)
        start = pin[0] + math.sqrt(length**2 - (pin[1] - offset) ** 2)
        assert end[0] - drawn[0] == pytest.approx(expected - start, abs=1e-6)
        assert end[1] == pytest.approx(offset, abs=1e-9)


def circle_point(foot: Array, axis: Array, drawn: Array, far: Array, length: float, near: Array) -> Array:
    """The point of the circle of `drawn` about an axis that lies `length` from `far`: A cos + B sin = C
    by the half angle; of its two solutions the one nearer `near`."""
    axis = axis / np.linalg.norm(axis)
    centre = foot + axis * float(axis @ (drawn - foot))
    u = drawn - centre
    v = np.cross(axis, u)
    gap = far - centre
    a, b = 2.0 * float(u @ gap), 2.0 * float(v @ gap)
    c = float(gap @ gap + u @ u) - length**2
    middle, spread = math.atan2(b, a), math.acos(c / math.hypot(a, b))
    found = [centre + math.cos(t) * u + math.sin(t) * v for t in (middle + spread, middle - spread)]
    return min(found, key=lambda p: float(np.linalg.norm(p - near)))


def test_rssr() -> None:
    """The output of an RSSR is a circle's point on a sphere: A cos + B sin = C, solved by the half angle."""
    made = driven(linkages.rssr(), 0, np.array([100.0, 0.0, 0.0]), Y)
    a, b = np.array([100.0, 0.0, 0.0]), np.array([300.0, 40.0, 150.0])
    foot, axis = np.array([300.0, 40.0, 0.0]), np.array([0.3, 1.0, 0.2])
    travel = sweep(made.system, len(made.rows) - 1, np.linspace(-70.0, 70.0, 50))
    assert travel.ends == ()
    for position in travel.positions:
        one = made.system.point(0, a, position.places)
        other = made.system.point(1, b, position.places)
        assert one[0] == pytest.approx(math.sqrt(100.0**2 - position.driver**2), abs=1e-6)
        assert np.allclose(
            other, circle_point(foot, axis, b, one, float(np.linalg.norm(b - a)), other), rtol=0.0, atol=1e-6
        )


def trilateration(centres: list[Array], distances: list[float], near: Array) -> Array:
    """The point at three distances from three points, nearer `near`."""
    p, q, r = centres
    ex = (q - p) / np.linalg.norm(q - p)
    i = float(ex @ (r - p))
    ey = (r - p - i * ex) / np.linalg.norm(r - p - i * ex)
    d, j = float(np.linalg.norm(q - p)), float(ey @ (r - p))
    a, b, c = distances
    x = (a * a - b * b + d * d) / (2.0 * d)
    y = (a * a - c * c + i * i + j * j) / (2.0 * j) - i * x / j
    z = math.sqrt(a * a - x * x - y * y)
    found = [p + x * ex + y * ey + s * z * np.cross(ex, ey) for s in (1.0, -1.0)]
    return min(found, key=lambda point: float(np.linalg.norm(point - near)))


def test_double_wishbone() -> None:
    """The lower arm's angle gives the lower ball; the upper ball is a circle's point on a sphere; the
    steering arm lies at three distances from three points: all in closed form."""
    p = WISHBONE
    made = driven(linkages.double_wishbone(), 0, p["lower ball"], Z)
    dist = lambda a, b: float(np.linalg.norm(p[a] - p[b]))  # noqa: E731
    travel = sweep(made.system, len(made.rows) - 1, np.linspace(-80.0, 80.0, 41))
    assert len(travel.positions) == 41
    for position in travel.positions:
        low, high, arm = (
            made.system.point(body, p[name], position.places)
            for body, name in ((0, "lower ball"), (1, "upper ball"), (2, "steering arm"))
        )
        assert low[2] == pytest.approx(p["lower ball"][2] + position.driver, abs=1e-6)
        assert np.allclose(made.system.point(2, p["lower ball"], position.places), low, rtol=0.0, atol=1e-6)
        axis = p["upper rear"] - p["upper front"]
        length = dist("lower ball", "upper ball")
        expected = circle_point(p["upper front"], axis, p["upper ball"], low, length, high)
        assert np.allclose(high, expected, rtol=0.0, atol=1e-6)
        reach = [dist(n, "steering arm") for n in ("lower ball", "upper ball", "rack")]
        assert np.allclose(arm, trilateration([low, high, p["rack"]], reach, arm), rtol=0.0, atol=1e-6)
        foot = made.system.point(0, p["lower ball"], position.places) - p["lower front"]
        assert float(np.linalg.norm(foot)) == pytest.approx(dist("lower front", "lower ball"), abs=1e-6)


def test_a_dead_point_ends_the_sweep_and_is_called_so() -> None:
    """A crank's pin cannot go farther out than the crank is long."""
    made = driven(linkages.four_bar(), 0, np.array([60.0, 80.0, 0.0]), X)
    travel = sweep(made.system, len(made.rows) - 1, [0.0, 20.0, 60.0])
    ((reached, why),) = travel.ends
    assert why == "dead point"
    assert reached == pytest.approx(40.0, abs=0.05)
    assert reached <= 40.0
    assert [round(q.driver, 1) for q in travel.positions] == [0.0, 20.0, 40.0]


def test_a_piston_cannot_go_past_its_dead_centre() -> None:
    """The rod in line with the crank: x = r + l for a slider through the crank's axis."""
    mechanism = linkages.slider_crank(offset=0.0)
    start = 80.0 * math.cos(0.8) + math.sqrt(240.0**2 - (80.0 * math.sin(0.8)) ** 2)
    made = driven(mechanism, 2, np.array([start, 0.0, 0.0]), X)
    travel = sweep(made.system, len(made.rows) - 1, [0.0, 10.0, 50.0])
    ((reached, why),) = travel.ends
    assert why == "dead point"
    assert start + reached == pytest.approx(320.0, abs=0.05)


def test_an_arm_that_binds_does_not_close() -> None:
    arm = hinge("pivot", FRAME, 0, np.array([500.0, 400.0, 0.0]), Y)
    tie = rod("link", FRAME, 0, np.array([0.0, 0.0, -50.0]), np.array([0.0, 350.0, -50.0]))
    made = driven(Mechanism(("arm",), (*arm, tie)), 0, np.array([0.0, 500.0, 0.0]), Z)
    travel = sweep(made.system, len(made.rows) - 1, [-40.0, 0.0, 40.0])
    assert {why for _, why in travel.ends} == {"does not close"}
    assert len(travel.ends) == 2
    assert max(abs(reached) for reached, _ in travel.ends) < 0.5


def test_the_mechanism_keeps_its_way_of_being_put_together() -> None:
    """A long step past where two ways come close stays on its own way."""
    rows = [*hinge("foot", FRAME, 0, np.zeros(3), Z), *slider("guide", FRAME, 1, np.array([250.0, 0.0, 0.0]), X)]
    rows += [rod("tie", 0, 1, np.array([0.0, 100.0, 0.0]), np.array([250.0, 0.0, 0.0]))]
    made = driven(Mechanism(("crank", "slide"), tuple(rows)), 1, np.array([250.0, 0.0, 0.0]), X)
    few = sweep(made.system, len(made.rows) - 1, [-60.0])
    many = sweep(made.system, len(made.rows) - 1, list(np.linspace(0.0, -60.0, 61)))
    end = np.array([0.0, 100.0, 0.0])
    one, other = (made.system.point(0, end, t.positions[0].places) for t in (few, many))
    assert np.allclose(one, other, atol=1e-6)
    assert np.hypot(*one[:2]) == pytest.approx(100.0, abs=1e-6)


def test_a_free_ball_takes_the_least_motion() -> None:
    made = driven(Mechanism(("bob",), tuple(ball("pivot", FRAME, 0, np.zeros(3)))), 0, 300.0 * X, Z)
    travel = sweep(made.system, len(made.rows) - 1, [100.0])
    at = made.system.point(0, 300.0 * X, travel.positions[0].places)
    assert np.allclose(at, [math.sqrt(300.0**2 - 100.0**2), 0.0, 100.0], atol=1e-6)

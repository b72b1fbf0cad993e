"""Centrelines of bent tubes: lengths by hand, and frames that do not twist."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabgen.geometry.space.frame import Frame
from fabgen.geometry.tube.centreline import Centreline, RouteError, Straight, Turn, centreline

X, Y, Z = np.eye(3)


def route(points: list[tuple[float, float, float]], *radii: float) -> Centreline:
    at = np.array(points, dtype=float)
    return centreline(at, radii, Frame.along(at[0], at[1] - at[0], np.cross(Z, at[1] - at[0])))


U_SHAPE = [(0, 0, 0), (0, 0, 600), (0, 500, 600), (0, 500, 0)]


def u_shape() -> Centreline:
    at = np.array(U_SHAPE, dtype=float)
    return centreline(at, (100.0, 100.0), Frame.along(at[0], Z, Y))


class TestLengths:
    def test_a_quarter(self) -> None:
        line = route([(0, 0, 0), (400, 0, 0), (400, 300, 0)], 120.0)
        assert [s.length for s in line.stretches] == pytest.approx([280.0, 120.0 * math.pi / 2.0, 180.0])
        assert line.length == pytest.approx(280.0 + 60.0 * math.pi + 180.0)
        assert line.finish.origin == pytest.approx([400, 300, 0])
        assert line.finish.x == pytest.approx([0, 1, 0])

    def test_two_bends(self) -> None:
        line = u_shape()
        assert [s.length for s in line.straights] == pytest.approx([500.0, 300.0, 500.0])
        assert line.finish.origin == pytest.approx([0, 500, 0])
        assert line.finish.x == pytest.approx([0, 0, -1])

    def test_where_a_bend_begins(self) -> None:
        """Tangent length R tan(angle / 2): 45 degrees at radius 100 take 41.42 mm of either leg."""
        line = route([(0, 0, 0), (200, 0, 0), (300, 100, 0)], 100.0)
        (turn,) = line.turns
        assert turn.at == pytest.approx(200.0 - 100.0 * math.tan(math.pi / 8.0))
        assert turn.angle == pytest.approx(math.pi / 4.0)

    def test_a_straight_route_has_no_turn(self) -> None:
        line = route([(0, 0, 0), (200, 0, 0), (300, 0, 0)], 100.0)
        assert line.turns == ()
        assert line.length == pytest.approx(300.0)

    def test_half_a_turn_from_two_quarters(self) -> None:
        line = route([(0, 0, 0), (300, 0, 0), (300, 200, 0), (0, 200, 0)], 100.0, 100.0)
        (turn,) = line.turns
        assert turn.angle == pytest.approx(math.pi)
        assert [s.length for s in line.straights] == pytest.approx([200.0, 200.0])

    def test_an_s_stays_two_bends(self) -> None:
        line = route([(0, 0, 0), (300, 0, 0), (300, 200, 0), (600, 200, 0)], 100.0, 100.0)
        assert len(line.turns) == 2
        assert [s.length for s in line.straights] == pytest.approx([200.0, 0.0, 200.0])


class TestTop:
    def test_it_is_carried_through_a_bend_in_its_plane(self) -> None:
        """Bent upward, the top leans back with the tube."""
        line = route([(0, 0, 0), (400, 0, 0), (400, 0, 400)], 100.0)
        assert line.start.z == pytest.approx([0, 0, 1])
        assert line.finish.z == pytest.approx([-1, 0, 0])

    def test_it_stays_up_through_a_level_bend(self) -> None:
        assert route([(0, 0, 0), (400, 0, 0), (400, 400, 0)], 100.0).finish.z == pytest.approx([0, 0, 1])

    @pytest.mark.parametrize(
        ("corner", "degrees"), [((0, 300, 0), -90.0), ((0, -300, 0), 90.0), ((0, 0, 300), 0.0), ((0, 0, -300), 180.0)]
    )
    def test_inside_of_a_bend_clockwise_from_the_top(self, corner: tuple[float, ...], degrees: float) -> None:
        """From the start looking along +x, with +z up, +y is to the left."""
        (turn,) = route([(0, 0, 0), (400, 0, 0), (400 + corner[0], corner[1], corner[2])], 100.0).turns
        assert math.remainder(math.degrees(turn.from_top) - degrees, 360.0) == pytest.approx(0.0, abs=1e-9)

    def test_rotation_between_bends(self) -> None:
        """Level to the right, then up: seen from the start the second bend lies a quarter back."""
        first, second = route([(0, 0, 0), (400, 0, 0), (400, -400, 0), (400, -400, 400)], 100.0, 100.0).turns
        assert math.degrees(second.from_top - first.from_top) == pytest.approx(-90.0)


POINTS = st.lists(st.tuples(*[st.floats(-400, 400)] * 3), min_size=3, max_size=6)


@settings(max_examples=80)
@given(POINTS, st.floats(10, 60))
def test_any_route(points: list[tuple[float, float, float]], radius: float) -> None:
    try:
        line = route(points, *[radius] * (len(points) - 2))
    except (RouteError, ValueError):
        return
    assert line.finish.origin == pytest.approx(np.array(points[-1]), abs=0.05)
    places = np.linspace(0.0, line.length, 200)
    frames = [line.frame_at(float(s)) for s in places]
    steps = np.linalg.norm(np.diff([f.origin for f in frames], axis=0), axis=1)
    assert steps.sum() == pytest.approx(line.length, rel=0.01)
    for frame in frames:
        assert frame.axes @ frame.axes.T == pytest.approx(np.eye(3), abs=1e-9)
    # No twist: from place to place the frame turns about a line square to the tube only.
    for a, b in pairwise(frames):
        turned = b.axes.T @ a.axes
        spin = np.array([turned[2, 1] - turned[1, 2], turned[0, 2] - turned[2, 0], turned[1, 0] - turned[0, 1]])
        assert abs(float(spin @ (a.x + b.x))) < 1e-6


@settings(max_examples=40)
@given(st.floats(0.0, 1.0), st.floats(-20, 20), st.floats(-20, 20))
def test_locate_finds_places_again(share: float, y: float, z: float) -> None:
    line = u_shape()
    s = share * line.length
    frame = line.frame_at(s)
    at, across = line.locate(frame.outside(np.array([[0.0, y, z]])))
    assert at == pytest.approx([s], abs=1e-6)
    assert across == pytest.approx(np.array([[y, z]]), abs=1e-6)


def test_locate_runs_on_past_the_ends() -> None:
    at, _ = u_shape().locate(np.array([[0.0, 0.0, -50.0], [0.0, 500.0, -80.0]]))
    assert at == pytest.approx([-50.0, u_shape().length + 80.0])


def test_nearest() -> None:
    line = u_shape()
    assert isinstance(line.nearest(np.array([0.0, 20.0, 580.0])), Turn)
    found = line.nearest(np.array([5.0, 250.0, 610.0]))
    assert isinstance(found, Straight)
    assert found.length == pytest.approx(300.0)


class TestFaults:
    def test_bends_that_overlap(self) -> None:
        with pytest.raises(RouteError) as fault:
            route([(0, 0, 0), (300, 0, 0), (300, 150, 0), (0, 150, 0)], 100.0, 100.0)
        assert "150.0 mm apart, and the bends there take 200.0 mm" in fault.value.what
        assert fault.value.key == (1,)

    def test_a_bend_too_near_the_end(self) -> None:
        with pytest.raises(RouteError, match="points 1 and 2"):
            route([(0, 0, 0), (80, 0, 0), (80, 300, 0)], 100.0)

    def test_turning_back(self) -> None:
        with pytest.raises(RouteError, match="turns back on itself"):
            route([(0, 0, 0), (300, 0, 0), (0, 10, 0)], 20.0)

    def test_a_point_twice(self) -> None:
        with pytest.raises(RouteError, match="points 2 and 3 are the same"):
            route([(0, 0, 0), (300, 0, 0), (300, 0, 0)], 20.0)

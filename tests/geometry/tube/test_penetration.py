"""Where a bore comes through its main: against closed forms, and there and back."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.geometry.space.frame import Frame
from fabgen.geometry.tube.penetration import Outside, Penetration, penetration
from fabgen.geometry.tube.profile import rectangular_profile, round_profile
from fabgen.geometry.tube.solids import distance

X, Y, Z = np.eye(3)
LEVEL = Frame(np.zeros(3), X, Y, Z)


def standing(height: float = 500.0, lean: float = 90.0, aside: float = 0.0) -> Frame:
    """A branch that rises from the main along x: leaning toward +x, its axis `aside` to the left."""
    c, s = math.cos(math.radians(lean)), math.sin(math.radians(lean))
    return Frame.along(np.array([100.0, aside, 0.0]), np.array([c, 0.0, s]), X)


def square(bore: float, main: float, aside: float = 0.0) -> Penetration:
    return penetration(round_profile(bore, 0.0), standing(aside=aside), Outside.of_round(LEVEL, main))


@pytest.mark.parametrize(("bore", "main", "aside"), [(41.9, 60.3, 0.0), (20.0, 60.3, 12.0), (48.0, 48.3, 0.0)])
def test_two_cylinders_crossing_square(bore: float, main: float, aside: float) -> None:
    """Developed on the main: along = +-sqrt(r^2 - (R sin(s / R) - e)^2) about the branch's axis
    (the curve of intersection of two cylinders, analytic geometry)."""
    edge = square(bore, main, aside)
    radius, r = main / 2.0, bore / 2.0
    # The branch stands `aside` to the left; the station counts to the right.
    right = radius * np.sin(edge.station / radius)
    assert edge.along - 100.0 == pytest.approx(r * np.cos(edge.phi), abs=1e-9)
    assert (edge.along - 100.0) ** 2 == pytest.approx(r**2 - (right + aside) ** 2, abs=1e-6)
    assert edge.centre[0] == pytest.approx(-radius * math.asin(aside / radius))
    assert edge.centre[1] == pytest.approx(100.0)
    assert not edge.misses


def test_widest_round_the_main_is_the_chords_arc() -> None:
    wide, long = square(41.9, 60.3).size
    assert wide == pytest.approx(60.3 * math.asin(41.9 / 60.3))
    assert long == pytest.approx(41.9)


@pytest.mark.parametrize("lean", [35.0, 60.0])
def test_an_oblique_bore_is_as_long_as_its_slanted_section(lean: float) -> None:
    """In the plane of the two axes both skin lines of the bore meet the main's top line, r / sin(angle)
    either side of where the axis does."""
    edge = penetration(round_profile(30.0, 0.0), standing(lean=lean), Outside.of_round(LEVEL, 60.3))
    on_top = np.abs(edge.station) < 1e-9
    assert edge.phi[on_top] == pytest.approx([0.0, math.pi])
    reach = 15.0 / math.sin(math.radians(lean))
    assert edge.along[on_top] - edge.centre[1] == pytest.approx([reach, -reach])
    assert edge.centre[1] == pytest.approx(100.0 + 30.15 / math.tan(math.radians(lean)))


def test_a_bore_on_a_flat_face_is_the_bore_itself() -> None:
    main = Outside(LEVEL, 60.0, 40.0, 6.0)
    edge = penetration(rectangular_profile(34.0, 24.0, 0.0, 2.0), standing(), main)
    assert np.abs(edge.station).max() == pytest.approx(12.0)
    assert np.abs(edge.along - 100.0).max() == pytest.approx(17.0)
    # A branch seen from its free end is the main's top seen from outside: nothing is mirrored.
    lopsided = penetration(rectangular_profile(34.0, 24.0, 0.0, 2.0, 0.3), standing(), main)
    y, z = rectangular_profile(34.0, 24.0, 0.0, 2.0, 0.3).skin.T
    assert lopsided.along - 100.0 == pytest.approx(y)
    assert lopsided.station == pytest.approx(-z * (Frame.along(np.zeros(3), Z, X).z @ Y))


def test_a_bore_round_a_corner() -> None:
    """Across a corner's arc the station grows by the arc, not the chord."""
    main = Outside(LEVEL, 40.0, 40.0, 10.0)
    middle = main.at(np.array([10.0 + 10.0 * math.pi / 4.0]), np.array([0.0]))[0]
    out = np.array([0.0, -1.0, 1.0]) / math.sqrt(2.0)
    assert middle == pytest.approx(np.array([0.0, -10.0, 10.0]) + 10.0 * out)
    edge = penetration(round_profile(20.0, 0.0), Frame.along(middle + 100.0 * out, out, X), main)
    assert edge.centre[0] == pytest.approx(10.0 + 10.0 * math.pi / 4.0)
    # Gone back to space, every point of the edge lies on the bore.
    back = main.at(edge.station, edge.along)
    off = back - middle
    assert np.linalg.norm(off - (off @ out)[:, None] * out, axis=1) == pytest.approx(np.full(360, 10.0))


def test_a_bore_that_runs_past_has_no_edge_there() -> None:
    edge = square(30.0, 60.3, aside=20.0)
    assert edge.misses
    assert 0 < np.isnan(edge.x).sum() < 360
    assert np.isnan(edge.station).sum() == np.isnan(edge.x).sum()
    assert np.isnan(square(10.0, 60.3, aside=60.0).x).all()


def test_over_the_bottom_the_station_does_not_jump() -> None:
    frame = Frame.along(np.array([0.0, 0.0, -500.0]), -Z, X)
    edge = penetration(round_profile(40.0, 0.0), frame, Outside.of_round(LEVEL, 60.3))
    assert abs(edge.centre[0]) == pytest.approx(math.pi * 30.15)
    assert np.ptp(edge.station) == pytest.approx(60.3 * math.asin(40.0 / 60.3))


sizes = st.tuples(st.floats(20.0, 150.0), st.floats(20.0, 150.0), st.floats(0.0, 1.0))


@given(sizes, st.floats(-3.0, 3.0), st.floats(-500.0, 500.0))
def test_there_and_back(size: tuple[float, float, float], turns: float, along: float) -> None:
    across, up, share = size
    main = Outside(
        Frame.along(np.array([3.0, -5.0, 7.0]), np.array([1.0, 2.0, -0.5]), Y), across, up, share * min(across, up) / 2
    )
    station = np.array([turns * main.girth / 2.0])
    points = main.at(station, np.array([along]))
    back, at = main.developed(points)
    assert at[0] == pytest.approx(along, abs=1e-6)
    turned = (back[0] - station[0]) / main.girth
    assert turned == pytest.approx(round(turned), abs=1e-6)
    assert distance(main.solid, points)[0] == pytest.approx(0.0, abs=1e-6)


def test_equal_steps_round_are_equal_steps_in_space() -> None:
    """The development keeps lengths: points 0.01 mm apart on the sheet are so on the tube."""
    for main in (Outside(LEVEL, 60.0, 40.0, 8.0), Outside.of_round(LEVEL, 48.3)):
        station = np.arange(0.0, main.girth, 0.01)
        points = main.at(station, np.zeros_like(station))
        assert np.linalg.norm(np.diff(points, axis=0), axis=1) == pytest.approx(
            np.full(len(station) - 1, 0.01), abs=1e-6
        )
        # To the right of the top, looking along x: minus y.
        assert points[100] @ -Y == pytest.approx(1.0, abs=0.05)

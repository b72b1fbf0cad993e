import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabgen.geometry.tube.profile import Profile, rectangular_profile, round_profile
from fabgen.shop.section import Section

SIZES = st.floats(20.0, 120.0)


def around(profile: Profile) -> np.ndarray:
    """Lengths of the chords from place to place, round to the first again."""
    return np.linalg.norm(np.roll(profile.skin, -1, axis=0) - profile.skin, axis=1)


def test_round() -> None:
    profile = round_profile(48.3, 3.2)
    assert len(profile.phi) == 360
    assert profile.station[90] == pytest.approx(math.pi * 48.3 / 4)
    assert profile.skin[90] == pytest.approx([0.0, 24.15])
    assert profile.inward[180] == pytest.approx([1.0, 0.0])
    assert (profile.depth == 3.2).all()


def test_solid_bar_is_wall_to_its_middle() -> None:
    assert (round_profile(20.0, 0.0).depth == 10.0).all()
    assert rectangular_profile(40.0, 20.0, 0.0, 2.0).depth.max() == 10.0


@settings(max_examples=40)
@given(SIZES, SIZES, st.floats(0.0, 1.0), st.floats(-7.0, 7.0))
def test_rectangular(width: float, depth: float, share: float, turn: float) -> None:
    corner = share * min(width, depth) / 2.0
    profile = rectangular_profile(width, depth, 2.0, corner, turn)
    section = Section("rectangular", width, depth, 2.0, corner)
    assert profile.perimeter == pytest.approx(section.perimeter, abs=2e-3)  # tiny corners count as sharp
    assert profile.phi[0] == 0.0
    assert profile.station[0] == pytest.approx(0.0, abs=1e-9)
    assert (np.diff(profile.phi) > 0).all()
    # Each place lies on its ray, and the developed steps are the steps round the outside.
    turned = np.arctan2(profile.skin[:, 1], profile.skin[:, 0])
    assert np.cos(turned - profile.phi) == pytest.approx(np.ones(len(turned)), abs=1e-9)
    steps = np.diff(np.append(profile.station, profile.perimeter))
    chords = around(profile)
    assert (steps >= chords - 1e-9).all()
    assert (steps <= chords * math.sqrt(2.0) + 1e-9).all()  # at most a sharp corner between two places
    assert steps.sum() == pytest.approx(profile.perimeter)
    assert np.linalg.norm(profile.inward, axis=1) == pytest.approx(np.ones(len(turned)))
    # Inward points inward: a little way along it the ray's length falls.
    assert ((profile.skin * profile.inward).sum(axis=1) < 0).all()


def test_first_figure_lies_along_y_until_turned() -> None:
    assert rectangular_profile(60.0, 40.0, 3.0, 6.0).skin[0] == pytest.approx([30.0, 0.0])
    assert rectangular_profile(60.0, 40.0, 3.0, 6.0, math.pi / 2).skin[0] == pytest.approx([20.0, 0.0])


def test_tangent_points_are_places_of_their_own() -> None:
    profile = rectangular_profile(60.0, 40.0, 3.0, 6.0)
    for y, z in ((30.0, 14.0), (24.0, 20.0), (-30.0, -14.0)):
        assert np.linalg.norm(profile.skin - (y, z), axis=1).min() < 1e-9
    assert len(rectangular_profile(60.0, 40.0, 3.0, 6.0, tangents=False).phi) == 360


def test_a_sharp_corner_has_a_place_on_either_face() -> None:
    profile = rectangular_profile(60.0, 40.0, 3.0, 0.0)
    near = np.linalg.norm(profile.skin - (30.0, 20.0), axis=1) < 1e-4
    assert {tuple(np.round(normal)) for normal in profile.inward[near]} == {(-1.0, 0.0), (0.0, -1.0)}

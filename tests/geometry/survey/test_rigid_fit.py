"""Laying points on points, and the shape of a frame as built."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.geometry.survey.frame_as_built import FrameReadings, frame_as_built, one_out, strain
from fabgen.geometry.survey.rigid_fit import rigid_fit, rotation

FRAME = np.array([[0, 550, 0], [2000, 550, 0], [0, -550, 0], [2000, -550, 0], [900, 550, 0], [900, -540, 320.0]])
PAIRS = tuple((i, j) for i in range(6) for j in range(i))


@given(
    turned=st.tuples(*[st.floats(-3.0, 3.0)] * 3).filter(lambda t: np.linalg.norm(t) < 3.1),
    shift=st.tuples(*[st.floats(-1000, 1000)] * 3),
)
def test_a_rigid_motion_is_found_again(turned: tuple[float, ...], shift: tuple[float, ...]) -> None:
    matrix = rotation(np.array(turned))
    found = rigid_fit(FRAME, FRAME @ matrix.T + shift)
    assert np.allclose(found.rotation, matrix, atol=1e-9)
    assert np.allclose(found.shift, shift, atol=1e-6)
    assert found.angle == pytest.approx(float(np.linalg.norm(turned)), abs=1e-6)


def test_no_motion_turns_a_left_hand_into_a_right() -> None:
    found = rigid_fit(FRAME, FRAME * [1.0, -1.0, 1.0])
    assert float(np.linalg.det(found.rotation)) == pytest.approx(1.0)


def _readings(real: np.ndarray, **more: object) -> FrameReadings:  # type: ignore[type-arg]
    lengths = np.array([np.linalg.norm(real[i] - real[j]) for i, j in PAIRS])
    kept: dict[str, object] = {"pairs": PAIRS, "lengths": lengths, "high": (), "heights": np.zeros(0)}
    kept |= {"placed": (), "places": np.zeros((0, 3))}
    return FrameReadings(**(kept | more))  # type: ignore[arg-type]


@given(off=st.lists(st.floats(-8.0, 8.0), min_size=18, max_size=18))
def test_all_distances_give_the_shape_again(off: list[float]) -> None:
    real = FRAME + np.array(off).reshape(6, 3)
    found = frame_as_built(FRAME, _readings(real))
    made = [np.linalg.norm(found.places[i] - found.places[j]) for i, j in PAIRS]
    read = [np.linalg.norm(real[i] - real[j]) for i, j in PAIRS]
    # Where four points lie all but in a plane, rises off it show in no distance.
    assert np.allclose(made, read, atol=0.1)


def test_places_measured_in_other_directions_give_the_shape_again() -> None:
    real = FRAME.copy()
    real[1] += [0.0, 0.0, -4.0]
    matrix = rotation(np.array([0.2, -0.1, 1.4]))
    none = {"pairs": (), "lengths": np.zeros(0)}
    places = real @ matrix.T + [300.0, -20.0, 55.0]
    found = frame_as_built(FRAME, _readings(real, **none, placed=tuple(range(6)), places=places))
    single = one_out(found, 1.0)
    assert single is not None
    assert single.index == 1
    assert np.allclose(single.off, [0.0, 0.0, -4.0], atol=0.02)
    assert found.stands is not None
    assert found.stands.angle == pytest.approx(float(np.linalg.norm([0.2, -0.1, 1.4])), abs=2e-3)


def test_heights_may_all_be_off_by_a_shift_and_a_tilt() -> None:
    none = {"pairs": (), "lengths": np.zeros(0)}
    heights = FRAME[:, 2] + 300.0 + 0.002 * FRAME[:, 0] - 0.001 * FRAME[:, 1]
    found = frame_as_built(FRAME, _readings(FRAME, **none, high=tuple(range(6)), heights=heights))
    assert np.abs(found.off).max() < 1e-3
    assert found.level is not None
    assert np.allclose(found.level[1:], [0.002, -0.001], atol=1e-6)


def test_a_racked_frame_has_the_skew_it_was_given() -> None:
    skew = 0.003
    corners = (0, 1, 2, 3)
    real = FRAME[:4] + skew * np.column_stack((FRAME[:4, 1], np.zeros(4), np.zeros(4)))
    pairs = ((0, 1), (2, 3), (0, 2), (1, 3), (0, 3), (1, 2))
    lengths = np.array([np.linalg.norm(real[i] - real[j]) for i, j in pairs])
    found = frame_as_built(FRAME[:4], _readings(FRAME, pairs=pairs, lengths=lengths))
    shape = strain(found, corners)
    assert float(shape.skew[0]) == pytest.approx(skew, rel=0.01)
    assert np.abs(shape.left).max() < 0.02
    diagonals = lengths[4] - lengths[5]
    assert abs(diagonals) == pytest.approx(2 * skew * 2000 * 1100 / math.hypot(2000, 1100), rel=0.01)


def test_what_no_reading_tells_is_left_as_drawn() -> None:
    pairs = ((0, 1),)
    found = frame_as_built(FRAME[:3], _readings(FRAME, pairs=pairs, lengths=np.array([2010.0])))
    assert float(np.linalg.norm(found.places[1] - found.places[0])) == pytest.approx(2010.0, abs=0.01)
    assert not found.held[2].any()
    assert not found.held[:, 2].any()

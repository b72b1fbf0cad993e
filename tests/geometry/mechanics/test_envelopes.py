"""Least distances between shapes, against closed forms and against a general search."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabgen.geometry.mechanics.envelopes import KeepOutShape, MovedShape, ball_gaps, clearances
from fabgen.geometry.space.frame import Frame

X, Y, Z = np.eye(3)


def placed(shape: KeepOutShape, origin: tuple[float, float, float], x: np.ndarray = X, y: np.ndarray = Y) -> MovedShape:
    return MovedShape.still(shape, Frame.along(np.array(origin), x, y))


def clear(one: MovedShape, other: MovedShape) -> float:
    return float(clearances(one, other)[0][0])


def test_crossed_rods() -> None:
    one, other = (
        placed(KeepOutShape.capsule(200.0, 20.0), (0, 0, 0)),
        placed(KeepOutShape.capsule(300.0, 30.0), (10, 20, 60), Y, X),
    )
    assert clear(one, other) == pytest.approx(60.0 - 10.0 - 15.0, abs=1e-6)


def test_parallel_rods_end_to_end() -> None:
    one, other = (
        placed(KeepOutShape.capsule(200.0, 20.0), (0, 0, 0)),
        placed(KeepOutShape.capsule(200.0, 20.0), (500, 30, 40)),
    )
    assert clear(one, other) == pytest.approx(math.hypot(300.0, 30.0, 40.0) - 20.0, abs=1e-6)


def test_boxes_corner_to_corner() -> None:
    one, other = placed(KeepOutShape.box(100, 60, 40), (0, 0, 0)), placed(KeepOutShape.box(20, 20, 20), (90, 80, 50))
    assert clear(one, other) == pytest.approx(math.hypot(30.0, 40.0, 20.0), abs=1e-6)


def test_a_disc_facing_a_box() -> None:
    one, other = (
        placed(KeepOutShape.disc(300.0, 20.0), (0, 0, 0), Y, X),
        placed(KeepOutShape.box(50, 50, 50), (0, 60, 120)),
    )
    assert clear(one, other) == pytest.approx(60.0 - 25.0 - 10.0, abs=1e-6)


def test_a_torus_and_a_rod_beside_it() -> None:
    """A torus of 400 over all and 100 thick: its core is a circle of 150."""
    tyre = KeepOutShape.tyre(400.0, 100.0, 200.0, 50.0)
    assert tyre.half == (0.0, 150.0, 150.0)
    rod = placed(KeepOutShape.capsule(40.0, 30.0), (0, 90.0, 150.0))
    ring = placed(tyre, (0, 0, 0), Y, X)
    assert clear(ring, rod) == pytest.approx(90.0 - 50.0 - 15.0, abs=1e-5)
    assert clear(rod, ring) == pytest.approx(90.0 - 50.0 - 15.0, abs=1e-5)


@pytest.mark.parametrize("shoulder", [5.0, 15.0, 40.0])
def test_beside_the_shoulder_of_a_tyre(shoulder: float) -> None:
    """600 x 165: a ball of 20 whose middle is 30 out and 40 up of the sharp edge, so 50 from it; the shoulder takes
    away (sqrt(2) - 1) of its radius at 45°, less here: the distance to its centre by Pythagoras."""
    tyre = placed(KeepOutShape.tyre(600.0, 165.0, 340.0, shoulder), (0, 0, 0), Y, X)
    ball = placed(KeepOutShape.capsule(0.0, 20.0), (0, 82.5 + 30.0, 300.0 + 40.0))
    assert clear(tyre, ball) == pytest.approx(math.hypot(30.0 + shoulder, 40.0 + shoulder) - shoulder - 10.0, abs=1e-4)


@pytest.mark.parametrize(("side", "above"), [(25.0, -30.0), (-20.0, 25.0)])
def test_over_the_tread_and_beside_the_side_of_a_tyre_the_faces_are_flat(side: float, above: float) -> None:
    tyre = placed(KeepOutShape.tyre(600.0, 165.0, 340.0, 5.0), (0, 0, 0), Y, X)
    ball = placed(KeepOutShape.capsule(0.0, 20.0), (0, 82.5 + side, 300.0 + above))
    assert clear(tyre, ball) == pytest.approx(25.0 - 10.0, abs=1e-4)


def test_what_lies_within_the_rim_is_clear() -> None:
    tyre = placed(KeepOutShape.tyre(600.0, 160.0, 380.0, 5.0), (0, 0, 0), Y, X)
    caliper = placed(KeepOutShape.box(60, 40, 60), (100, 0, 0))
    assert clear(tyre, caliper) == pytest.approx(190.0 - math.hypot(130.0, 30.0), abs=0.05)


def test_shapes_in_one_another_are_below_zero() -> None:
    one, other = (
        placed(KeepOutShape.capsule(200.0, 20.0), (0, 0, 0)),
        placed(KeepOutShape.capsule(200.0, 20.0), (0, 0, 5)),
    )
    assert clear(one, other) == pytest.approx(-15.0, abs=1e-6)


@settings(max_examples=40)
@given(st.integers(0, 2**32 - 1))
def test_no_pair_of_points_is_nearer(seed: int) -> None:
    """Points sampled over both cores are nowhere nearer than the least distance, and come close to it."""
    rng = np.random.default_rng(seed)
    shapes = [
        KeepOutShape.capsule(250.0, 30.0),
        KeepOutShape.box(80, 120, 50),
        KeepOutShape.disc(200.0, 30.0),
        KeepOutShape.tyre(500.0, 150.0, 330.0, 40.0),
        KeepOutShape.tyre(500.0, 150.0, 330.0, 5.0),
    ]
    one, other = (
        placed(shapes[rng.integers(5)], tuple(rng.normal(size=3) * 300.0), rng.normal(size=3), rng.normal(size=3))
        for _ in range(2)
    )
    found = clear(one, other)
    local = rng.normal(size=(3000, 1, 3)) * 400.0
    mine = one.nearest(one.outside(local))
    gap = np.linalg.norm(mine - other.nearest(mine), axis=-1).min() - one.shape.round_ - other.shape.round_
    assert found <= gap + 1e-3
    assert found >= gap - 25.0
    assert found >= float(ball_gaps(one, other)[0]) - 1e-6

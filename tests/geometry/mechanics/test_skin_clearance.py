"""Skins of triangles against shapes: closed forms, and points strewn densely over them."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabgen.geometry.mechanics.envelopes import KeepOutShape, MovedShape
from fabgen.geometry.mechanics.skin_clearance import TOLERANCE, MovedSkin, TriangleSkin, skin_clearances
from fabgen.geometry.space.frame import Array, Frame

STILL = Frame(np.zeros(3), *np.eye(3))
SHAPES = (
    KeepOutShape.capsule(120.0, 40.0),
    KeepOutShape.box(80.0, 46.0, 70.0),
    KeepOutShape.disc(120.0, 30.0),
    KeepOutShape.tyre(600.0, 165.0, 340.0, 65.0),
    KeepOutShape.tyre(600.0, 165.0, 340.0, 5.0),
)


def still(triangles: Array) -> MovedSkin:
    return MovedSkin(TriangleSkin(np.asarray(triangles, dtype=float)), np.zeros((1, 3)), np.eye(3)[None])


def least(shape: KeepOutShape, triangles: Array) -> float:
    return float(skin_clearances(MovedShape.still(shape, STILL), still(triangles))[0][0])


def strewn(triangles: Array, count: int) -> Array:
    """Points in an even net of barycentric coordinates on every triangle."""
    i, j = np.meshgrid(np.arange(count + 1), np.arange(count + 1))
    kept = i + j <= count
    u, v = i[kept] / count, j[kept] / count
    a, b, c = triangles.transpose(1, 0, 2)[:, :, None, :]
    return (a + u[None, :, None] * (b - a) + v[None, :, None] * (c - a)).reshape(-1, 3)


def distance(shape: KeepOutShape, points: Array) -> Array:
    """From points to a shape, by the textbook formula of each: box, rod, and profile of a body of revolution."""
    if shape.kind == "box":
        return np.linalg.norm(np.maximum(np.abs(points) - shape.half, 0.0), axis=1) - shape.round_
    length, inner, outer = shape.half
    along = np.maximum(np.abs(points[:, 0]) - length, 0.0)
    radius = np.hypot(points[:, 1], points[:, 2])
    across = np.maximum(np.maximum(inner - radius, radius - outer), 0.0)
    return np.hypot(along, across) - shape.round_


def test_a_plate_beside_a_box_lies_flat_on_it() -> None:
    plate = [[[-500, -500, 60.0], [500, -500, 60.0], [0, 900, 60.0]]]
    assert least(KeepOutShape.box(80.0, 46.0, 70.0), plate) == pytest.approx(25.0, abs=1e-9)


def test_a_rod_through_a_plate_runs_in_by_its_radius() -> None:
    plate = [[[20.0, -300, -300], [20.0, 500, -300], [20.0, -300, 500]]]
    assert least(KeepOutShape.capsule(120.0, 40.0), plate) == pytest.approx(-20.0, abs=TOLERANCE)


def test_a_disc_inside_a_tyres_rim_has_the_room_of_the_radii() -> None:
    """Corners of a hexagon of 120 in a rim of 340: the bore is round, so the corners are nearest."""
    turn = np.arange(6) * math.pi / 3.0
    ring = np.column_stack((np.zeros(6), 120.0 * np.cos(turn), 120.0 * np.sin(turn)))
    plate = np.array([[np.zeros(3), ring[i], ring[(i + 1) % 6]] for i in range(6)])
    assert least(KeepOutShape.tyre(600.0, 165.0, 340.0, 65.0), plate) == pytest.approx(170.0 - 120.0, abs=TOLERANCE)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**32 - 1), st.sampled_from(SHAPES), st.floats(0.0, 400.0))
def test_never_farther_off_than_said_from_points_strewn_densely(seed: int, shape: KeepOutShape, away: float) -> None:
    random = np.random.default_rng(seed)
    middle = random.normal(size=3)
    triangles = away * middle / np.linalg.norm(middle) + random.normal(size=(4, 3, 3)) * random.uniform(5.0, 80.0)
    count = 150
    dense = float(distance(shape, strewn(triangles, count)).min())
    found = least(shape, triangles)
    coarse = float(np.linalg.norm(triangles - np.roll(triangles, 1, axis=1), axis=-1).max()) / count
    assert found <= dense + TOLERANCE + 1e-9
    assert found >= dense - coarse


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: f"{shape.kind} {shape.half}")
def test_the_points_told_are_as_far_apart_as_said(shape: KeepOutShape) -> None:
    random = np.random.default_rng(7)
    turns = np.linalg.qr(random.normal(size=(9, 3, 3)))[0]
    origins = random.normal(size=(9, 3)) * 300.0
    skin = MovedSkin(TriangleSkin(random.normal(size=(30, 3, 3)) * 20.0), origins, turns)
    kept = MovedShape(shape, origins[::-1].copy(), turns[::-1].copy())
    clear, points = skin_clearances(kept, skin)
    assert np.allclose(np.linalg.norm(points[:, 0] - points[:, 1], axis=1) - shape.round_, clear, atol=1e-9)
    for number in range(9):
        moved = skin.shape.triangles @ turns[number] + origins[number]
        seen = (moved - kept.origins[number]) @ kept.axes[number].T
        assert clear[number] == pytest.approx(float(distance(shape, strewn(seen, 60)).min()), abs=1.5)


def test_a_round_shield_beside_the_rim_is_as_near_all_round() -> None:
    """A shield of 320 about the wheel's axis, 60 off its middle: every point of its edge is the nearest."""
    turn = np.linspace(0.0, 2.0 * math.pi, 201)
    edge = np.column_stack((np.full(201, 60.0), 160.0 * np.cos(turn), 160.0 * np.sin(turn)))
    shield = np.array([[[60.0, 0.0, 0.0], edge[i], edge[i + 1]] for i in range(200)])
    tyre = KeepOutShape.tyre(600.0, 165.0, 340.0, 65.0)
    flank, middle = 165.0 / 2.0 - 65.0, 300.0 - 65.0
    wanted = math.hypot(60.0 - flank, middle - 160.0) - 65.0
    assert least(tyre, shield) == pytest.approx(wanted, abs=TOLERANCE)

"""Outward normals by differences of the distance, against those written down by hand."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.geometry.space.frame import Frame, unit
from fabgen.geometry.tube.solids import HalfSpace, RoundBar, RoundedPrism, Slab, Solid, Trimmed, outward_normals

FRAME = Frame.along(np.array([300.0, -200.0, 1500.0]), np.array([1.0, 2.0, -0.5]), np.array([0.3, 0.1, 1.0]))
TURNS = st.floats(0.0, 2.0 * math.pi)


def same(solid: Solid, point: np.ndarray, wanted: np.ndarray, within: float = 1e-7) -> None:
    assert outward_normals(solid, point[None, :])[0] == pytest.approx(wanted, abs=within)


@given(TURNS, st.floats(-500.0, 500.0), st.floats(3.0, 150.0))
def test_bar(turn: float, along: float, radius: float) -> None:
    out = math.cos(turn) * FRAME.y + math.sin(turn) * FRAME.z
    same(RoundBar(FRAME.origin, FRAME.x, radius), FRAME.origin + along * FRAME.x + radius * out, out)


@given(TURNS)
def test_corners_of_a_rounded_prism(turn: float) -> None:
    prism = RoundedPrism(FRAME, 60.0, 40.0, 6.0)
    c, s = math.cos(turn), math.sin(turn)
    corner = np.array([77.0, math.copysign(24.0, c) + 6.0 * c, math.copysign(14.0, s) + 6.0 * s])
    same(prism, FRAME.outside(corner), c * FRAME.y + s * FRAME.z, 1e-5)


@given(st.floats(-0.99, 0.99), st.sampled_from([(1, 0), (-1, 0), (0, 1), (0, -1)]), st.sampled_from([0.0, 6.0]))
def test_faces_of_a_rounded_prism(share: float, face: tuple[int, int], corner: float) -> None:
    prism = RoundedPrism(FRAME, 60.0, 40.0, corner)
    y, z = face
    across = np.array([-33.0, y * 30.0 + abs(z) * share * (30.0 - corner), z * 20.0 + abs(y) * share * (20.0 - corner)])
    same(prism, FRAME.outside(across), y * FRAME.y + z * FRAME.z)


def test_planes() -> None:
    normal = unit(np.array([1.0, 2.0, 3.0]))
    point = np.array([10.0, 20.0, 30.0])
    same(HalfSpace.at(point, normal), point, normal)
    slab = Slab(point, normal, 8.0)
    same(slab, point + 4.0 * normal, normal)
    same(slab, point - 4.0 * normal, -normal)


def test_a_trimmed_solid_has_the_cut_face_too() -> None:
    bar = Trimmed(RoundBar(FRAME.origin, FRAME.x, 20.0), (HalfSpace.at(FRAME.origin, FRAME.x),))
    same(bar, FRAME.origin + 5.0 * FRAME.y, FRAME.x)
    same(bar, FRAME.origin - 50.0 * FRAME.x + 20.0 * FRAME.z, FRAME.z)


def test_many_at_once() -> None:
    points = FRAME.origin + 20.0 * np.stack((FRAME.y, FRAME.z, -FRAME.y))
    assert outward_normals(RoundBar(FRAME.origin, FRAME.x, 20.0), points) == pytest.approx(
        np.stack((FRAME.y, FRAME.z, -FRAME.y)), abs=1e-6
    )
    assert outward_normals(RoundBar(FRAME.origin, FRAME.x, 20.0), np.zeros((0, 3))).shape == (0, 3)

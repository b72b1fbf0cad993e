"""Developments: lengths on the flat are lengths on the rolled sheet; arcs stay arcs; cut-outs clear the cutter."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.geometry.plane.outline import OutlineError
from fabgen.geometry.sheet.developments import (
    cone_flat,
    sampled,
)


# -- cones --------------------------------------------------------------------
@given(st.floats(40, 400), st.floats(0.1, 0.9), st.floats(5, 500), st.floats(0.5, 2 * math.pi))
def test_cone_keeps_lengths(bottom: float, ratio: float, height: float, arc: float) -> None:
    top = bottom * ratio
    flat = cone_flat(bottom, top, height, arc)
    assert flat.outer * flat.sweep == pytest.approx(bottom / 2 * arc)
    assert flat.inner * flat.sweep == pytest.approx(top / 2 * arc)
    assert flat.slant == pytest.approx(math.hypot(height, (bottom - top) / 2))


@given(st.floats(-1.0, 1.0), st.floats(0.0, 1.0), st.floats(-1.0, 1.0), st.floats(0.0, 1.0))
def test_distances_on_the_cone_are_those_on_the_flat(u0: float, v0: float, u1: float, v1: float) -> None:
    """A short chord on the flat, carried to the cone, keeps its length."""
    flat = cone_flat(200.0, 90.0, 120.0)
    half_cone = math.asin((200.0 - 90.0) / 2 / flat.slant)

    def on_flat(u: float, v: float) -> np.ndarray:
        radius, turn = flat.inner + v * flat.slant, u * flat.sweep / 2
        return np.array([radius * math.sin(turn), -radius * math.cos(turn)])

    def on_cone(point: np.ndarray) -> np.ndarray:
        radius, turn = math.hypot(*point), math.atan2(point[0], -point[1]) / math.sin(half_cone)
        across = radius * math.sin(half_cone)
        return np.array([across * math.cos(turn), across * math.sin(turn), -radius * math.cos(half_cone)])

    here = on_flat(u0, v0)
    step = on_flat(u1, v1) - here
    if np.linalg.norm(step) < 1e-3:
        return
    there = here + step / np.linalg.norm(step) * 1e-3
    assert np.linalg.norm(on_cone(there) - on_cone(here)) == pytest.approx(1e-3, rel=1e-4)


def test_cones_that_cannot_be() -> None:
    with pytest.raises(OutlineError, match="cylinder"):
        cone_flat(100, 100, 50)


# -- curves -------------------------------------------------------------------
@given(st.floats(1.0, 500.0), st.floats(0.005, 0.5))
def test_sampled_curves_keep_within_the_tolerance(radius: float, tolerance: float) -> None:
    points = sampled(lambda a: (radius * math.cos(a), radius * math.sin(a)), 0.0, 3.0, tolerance)
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        assert radius - math.hypot((x0 + x1) / 2, (y0 + y1) / 2) <= tolerance
        assert math.hypot(x1, y1) == pytest.approx(radius)

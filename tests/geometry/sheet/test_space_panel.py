"""Panels between points in space: how far from flat, the nearest flat, and folded flat exactly along creases."""

import math
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.geometry.plane.outline import OutlineError
from fabgen.geometry.sheet.space_panel import creased, flattened, parts_between, space_panel

QUAD = np.array([[0.0, 0.0, 0.0], [400.0, 0.0, 0.0], [400.0, 300.0, 0.0], [0.0, 300.0, 0.0]])


def lifted(height: float) -> np.ndarray:
    points = QUAD.copy()
    points[2, 2] = height
    return points


@given(st.floats(-3, 3), st.floats(-3, 3), st.floats(-500, 500))
def test_a_flat_panel_anywhere_is_flat_and_keeps_its_sizes(a: float, b: float, dz: float) -> None:
    ca, sa, cb, sb = math.cos(a), math.sin(a), math.cos(b), math.sin(b)
    turn = np.array([[ca, -sa, 0], [sa, ca, 0], [0, 0, 1]]) @ np.array([[1, 0, 0], [0, cb, -sb], [0, sb, cb]])
    panel = space_panel(QUAD @ turn.T + [0.0, 0.0, dz])
    assert panel.is_flat
    flat = flattened(panel)
    assert np.allclose(flat.corners, QUAD[:, :2], atol=1e-6)
    assert flat.most < 1e-6


def test_twist_is_told_from_the_nearest_plane() -> None:
    panel = space_panel(lifted(40.0))
    assert not panel.is_flat
    # Corners of a quadrilateral stand alternately over and under the nearest plane.
    signs = [math.copysign(1.0, v) for v in panel.over]
    assert signs in ([1, -1, 1, -1], [-1, 1, -1, 1])
    assert panel.twist == pytest.approx(20.0, rel=0.02)
    flat = flattened(panel)
    for i, j in combinations(range(4), 2):
        true = float(np.linalg.norm(panel.points[i] - panel.points[j]))
        assert abs(math.dist(flat.corners[i], flat.corners[j]) - true) <= flat.most + 1e-9
    assert 0.05 < flat.most < 2.0


def test_points_in_a_line() -> None:
    with pytest.raises(OutlineError, match="in one line"):
        space_panel(np.array([[0.0, 0, 0], [1.0, 0, 0], [5.0, 0, 0]]))


@pytest.mark.parametrize("height", [40.0, -90.0])
def test_folding_along_a_diagonal_is_exact(height: float) -> None:
    panel = space_panel(lifted(height))
    made = creased(panel, [(1, 3)], lambda angle: 0.0)
    for i, j in ((0, 1), (1, 2), (2, 3), (3, 0), (1, 3)):
        true = float(np.linalg.norm(panel.points[i] - panel.points[j]))
        assert math.dist(made.points[i], made.points[j]) == pytest.approx(true, abs=1e-6)
    ((_, _, angle, side),) = made.bends
    assert side == (1, 3)
    # Corner 3 lies `height` off the plane of 1, 2, 4 at its distance from the crease 2-4, which is 240 mm.
    assert angle == pytest.approx(-math.asin(height / math.hypot(240.0, height)), abs=0.01)
    assert made.points[0] == (0.0, 0.0)
    assert made.points[1][1] == pytest.approx(0.0, abs=1e-9)


def test_a_crease_takes_out_what_its_bend_saves() -> None:
    panel = space_panel(lifted(90.0))
    made, shorter = (creased(panel, [(1, 3)], lambda angle, by=by: by) for by in (0.0, 1.5))
    # Across the crease, from corner 1 to corner 3.
    across = math.dist(made.points[0], made.points[2]) - math.dist(shorter.points[0], shorter.points[2])
    assert 1.3 < across <= 1.5
    assert len(shorter.points) == 4


def test_parts_and_creases_that_cross() -> None:
    assert parts_between(6, [(0, 2), (2, 4)]) == [[0, 1, 2], [2, 3, 4], [4, 5, 0, 2]]
    with pytest.raises(OutlineError, match="crosses another"):
        parts_between(6, [(0, 3), (1, 4)])
    with pytest.raises(OutlineError, match="lies on an edge"):
        parts_between(4, [(0, 3)])
    hexagon = np.array([[math.cos(a), math.sin(a), 0.1 * (i % 2)] for i, a in enumerate(np.arange(6) * math.pi / 3)])
    with pytest.raises(OutlineError, match="is not flat, by"):
        creased(space_panel(hexagon * 300.0), [(0, 2)], lambda angle: 0.0)


def test_two_creases_in_one_corner() -> None:
    points = np.array([[0, 0, 0], [300, 0, 20], [420, 180, 60], [250, 330, 10], [-20, 250, 0]], dtype=float)
    panel = space_panel(points)
    made = creased(panel, [(0, 2), (0, 3)], lambda angle: 0.8)
    assert len(made.points) == 5
    assert len(made.bends) == 2

"""Arcs through points: within the tolerance of the curve, tangent where the curve is smooth, corners kept."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point

from fabgen.geometry.plane.arc_fit import TOLERANCE, arcs_through
from fabgen.geometry.plane.outline import Edge, Vertex, Xy


def edges(points: np.ndarray, tolerance: float = TOLERANCE) -> list[Edge]:
    made = [*arcs_through(points, tolerance), Vertex(*(float(v) for v in points[-1]))]
    return [Edge((a.x, a.y), (b.x, b.y), a.bulge) for a, b in pairwise(made)]


def chords(made: list[Edge]) -> LineString:
    points: list[Xy] = [p for edge in made for p in edge.points(1e-4)]
    return LineString([*points, made[-1].end])


@given(st.floats(5.0, 900.0), st.floats(0.05, 1.9), st.floats(0.3, 1.0))
def test_ellipse_keeps_the_tolerance_and_its_tangents(size: float, flat: float, share: float) -> None:
    turn = np.linspace(0.0, share * 2.0 * math.pi, 600)
    points = np.column_stack((size * np.cos(turn), size * flat * np.sin(turn)))
    made = edges(points)
    line = chords(made)
    assert max(line.distance(Point(p)) for p in points[::7]) <= TOLERANCE + 2e-4
    for before, after in pairwise(made):
        assert abs(math.remainder(after.heading_in - before.heading_out, 2.0 * math.pi)) < math.radians(1.0)
    assert len(made) < 120


def test_a_circle_stays_one_circle() -> None:
    turn = np.linspace(0.0, 1.2, 60)
    made = edges(np.column_stack((300.0 * np.cos(turn), 300.0 * np.sin(turn))))
    assert len(made) == 1
    assert made[0].radius == pytest.approx(300.0)


def test_a_line_stays_one_line() -> None:
    made = edges(np.column_stack((np.linspace(0.0, 90.0, 50), np.linspace(3.0, 30.0, 50))))
    assert [edge.bulge for edge in made] == [0.0]


def test_corners_stay_sharp() -> None:
    turn = np.linspace(0.0, 1.0, 80)
    arc = np.column_stack((100.0 * np.sin(turn), 100.0 - 100.0 * np.cos(turn)))
    back = arc[::-1] * [1.0, -1.0] + [0.0, 2.0 * arc[-1, 1]]
    made = edges(np.vstack((arc, back[1:])))
    corner = arc[-1]
    assert any(math.dist(edge.end, corner) < 1e-9 for edge in made)
    assert len(made) == 2


def test_few_points_are_lines() -> None:
    assert arcs_through([(0.0, 0.0), (5.0, 0.0)]) == [Vertex(0.0, 0.0)]

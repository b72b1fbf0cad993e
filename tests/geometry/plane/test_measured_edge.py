"""Edges through measured points: all points lie on them; arcs are arcs; a batten is the natural spline."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point

from fabgen.geometry.plane.measured_edge import FITTED, batten, bulge_of_bow, bulge_through, edge_through
from fabgen.geometry.plane.outline import Edge, OutlineError

STATIONS = [(0.0, 120.0), (200.0, 190.0), (500.0, 230.0), (700.0, 210.0), (900.0, 150.0)]


@given(st.floats(10, 500), st.floats(-3, 3), st.floats(0.2, 2.9), st.sampled_from([-1, 1]))
def test_arc_through_three_points(radius: float, start: float, half: float, way: int) -> None:
    at = [(radius * math.cos(start + way * half * s), radius * math.sin(start + way * half * s)) for s in (0, 1, 2)]
    edge = Edge(at[0], at[2], bulge_through(at[0], at[1], at[2]))
    assert edge.radius == pytest.approx(radius, rel=1e-6)
    assert edge.centre == pytest.approx((0.0, 0.0), abs=radius * 1e-6)
    assert math.copysign(1, edge.bulge) == way


def test_points_in_a_line_make_a_line() -> None:
    assert bulge_through((0, 0), (5, 5), (10, 10)) == 0.0


def test_bow_is_the_height_of_the_arc() -> None:
    edge = Edge((0.0, 0.0), (100.0, 0.0), bulge_of_bow((0.0, 0.0), (100.0, 0.0), 12.0))
    middle = edge.points(1e-6)
    assert min(y for _, y in middle) == pytest.approx(-12.0, abs=1e-4)


def test_edges_pass_through_their_stations() -> None:
    for between in ("straight", "spline", "arc"):
        made = [*edge_through(STATIONS, between), None]  # type: ignore[arg-type]
        ends = [(v.x, v.y) for v in made if v is not None] + [STATIONS[-1]]
        points = []
        for vertex, end in zip(made[:-1], ends[1:], strict=True):
            points += Edge((vertex.x, vertex.y), end, vertex.bulge).points(1e-4)  # type: ignore[union-attr]
        line = LineString([*points, STATIONS[-1]])
        assert max(line.distance(Point(p)) for p in STATIONS) < (FITTED + 1e-3 if between == "spline" else 1e-3)
    assert len(edge_through(STATIONS, "arc")) == 2
    assert len(edge_through(STATIONS, "spline")) < 20


def test_batten_is_straight_at_its_ends_and_smooth() -> None:
    curve = batten(STATIONS)
    assert np.allclose(curve[::40], STATIONS, atol=1e-9)
    # Free ends carry no bending: the curvature falls off to nothing there.
    steps = np.diff(curve, axis=0)
    bend = np.abs(np.diff(np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))))
    assert bend[:3].max() < 0.15 * bend.max()
    assert bend[-3:].max() < 0.15 * bend.max()
    assert bend.max() < 0.02


def test_repeated_stations() -> None:
    with pytest.raises(OutlineError, match="stations 2 and 3 are the same point"):
        edge_through([(0, 0), (5, 5), (5, 5)], "spline")

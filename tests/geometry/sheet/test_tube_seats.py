"""Edges that sit on tubes: against the tube's own equation, tried through the thickness of the sheet."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabgen.geometry.plane.outline import Edge, Vertex
from fabgen.geometry.sheet.tube_seats import PlateEdge, joined
from fabgen.geometry.space.frame import Frame
from fabgen.geometry.tube.solids import RoundBar, RoundedPrism

X, Y, Z = np.eye(3)


def direction(turn: float, slope: float) -> np.ndarray:
    t, s = math.radians(turn), math.radians(slope)
    return np.array([math.cos(t) * math.cos(s), math.sin(s), math.sin(t) * math.cos(s)])


def plate(thickness: float, tube: RoundBar | RoundedPrism) -> PlateEdge:
    return PlateEdge(Frame(np.array([0.0, 0.0, -thickness / 2]), X, Y, Z), thickness, tube)


def edges(vertices: list[Vertex], end: tuple[float, float]) -> list[Edge]:
    points = [*((v.x, v.y) for v in vertices), end]
    return [Edge(points[i], points[i + 1], v.bulge) for i, v in enumerate(vertices)]


@settings(max_examples=60)
@given(
    st.floats(1, 10), st.floats(-180, 180), st.floats(-50, 50), st.floats(-8, 8), st.floats(20, 40), st.floats(-10, 10)
)
def test_highest_point_of_a_round_tube_through_the_sheet(
    t: float, turn: float, slope: float, offset: float, radius: float, x: float
) -> None:
    """|p - o - ((p - o) . d) d| = R solved for y at 2001 depths: the greatest is the edge."""
    d, o = direction(turn, slope), np.array([0.0, 0.0, offset])
    z = np.linspace(-t / 2, t / 2, 2001)
    p = np.column_stack((np.full_like(z, x), np.zeros_like(z), z)) - o
    # With p + y Y: a y^2 + 2 b y + c = 0.
    across_p, across_y = p - (p @ d)[:, None] * d, Y - d[1] * d
    a, b, c = across_y @ across_y, across_p @ across_y, (across_p**2).sum(axis=1) - radius**2
    root = b * b - a * c
    wanted = (-b + np.sqrt(np.maximum(root, 0.0))) / a
    height = plate(t, RoundBar(o, d, radius)).height(x)
    if (root > 0).any():
        assert height == pytest.approx(wanted[root > 0].max(), abs=1e-3)
        assert height >= wanted[root > 0].max() - 1e-9
    else:
        assert math.isnan(height)


@pytest.mark.parametrize("offset", [0.0, 4.0])
def test_square_across_a_round_tube_it_is_one_true_arc(offset: float) -> None:
    edge = plate(6.0, RoundBar(np.array([0.0, 0.0, offset]), Z, 30.15))
    (arc,) = edges(edge.vertices(-20, 25), (25, edge.height(25)))
    assert arc.radius == pytest.approx(30.15, abs=1e-6)
    assert arc.centre == pytest.approx((0, 0), abs=1e-6)


def test_along_a_round_tube_it_is_straight() -> None:
    centred = plate(6.0, RoundBar(np.zeros(3), X, 30.0))
    assert centred.vertices(-50, 50) == [Vertex(-50, pytest.approx(30.0))]
    # 12 mm beside the axis the sheet's near skin, 9 mm off it, touches first.
    beside = plate(6.0, RoundBar(np.array([0.0, 0.0, 12.0]), X, 30.0))
    assert beside.height(0) == pytest.approx(math.sqrt(30**2 - 9**2))
    assert beside.vertices(-50, 50) == [Vertex(-50, pytest.approx(math.sqrt(30**2 - 9**2)))]


def test_across_a_rounded_rectangle_it_is_a_line_and_two_corners() -> None:
    edge = plate(4.0, RoundedPrism(Frame(np.zeros(3), Z, X, Y), 60.0, 40.0, 6.0))
    left, flat, right = edges(edge.vertices(-29.5, 29.5), (29.5, edge.height(29.5)))
    assert (left.radius, right.radius) == pytest.approx((6, 6), abs=1e-6)
    assert not flat.is_arc
    assert (flat.start, flat.end) == (pytest.approx((-24, 20)), pytest.approx((24, 20)))


@settings(max_examples=60)
@given(st.booleans(), st.floats(1, 8), st.floats(-180, 180), st.floats(-40, 40), st.floats(-5, 5), st.floats(0, 90))
def test_lines_and_arcs_keep_to_the_edge(
    is_round: bool, t: float, turn: float, slope: float, offset: float, roll: float
) -> None:
    """Along all of the path the edge lies within 0.01 mm, and no piece is too short to cut."""
    d, o = direction(turn, slope), np.array([0.0, 0.0, offset])
    frame = Frame.along(o, d, math.cos(math.radians(roll)) * Y + math.sin(math.radians(roll)) * np.cross(Y, d))
    tube = RoundBar(o, d, 30.0) if is_round else RoundedPrism(frame, 60.0, 40.0, 5.0)
    edge = plate(t, tube)
    if np.isnan(edge.heights(np.linspace(-14, 14, 99))).any():
        return
    path = edges(edge.vertices(-14, 14), (14, edge.height(14)))
    for each in path:
        assert each.length > 0.01
        for x, y in each.points(0.001):
            near = edge.heights(np.array([x - 0.01, x, x + 0.01]))
            assert np.nanmin(near) - 0.012 <= y <= np.nanmax(near) + 0.012


def test_joined_runs() -> None:
    quarter = math.tan(math.pi / 8)
    arcs = [Vertex(10, 0, quarter), Vertex(0, 10, quarter)]
    (half,) = joined(arcs, (-10, 0))
    assert half.bulge == pytest.approx(1.0)
    assert joined([Vertex(0, 0), Vertex(5, 0.0)], (9, 0)) == [Vertex(0, 0)]
    assert joined([Vertex(0, 0), Vertex(5, 0.0)], (9, 0), kept=[5]) == [Vertex(0, 0), Vertex(5, 0)]
    assert len(joined([Vertex(0, 0), Vertex(5, 0.0)], (9, 1))) == 2

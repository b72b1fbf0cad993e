"""Moves that keep shapes apart or inside: asked of shapely, move by move."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point, Polygon, affinity

from fabgen.geometry.plane.no_fit import convex_pieces, covering, inner_fit, no_fit
from fabgen.geometry.plane.outline import Circle, Corner, Loop, Outline, Vertex

radii = st.lists(st.floats(20.0, 100.0), min_size=3, max_size=12)
# To a millionth: of moves by 1e-212 the library that judges here makes overlaps of no area.
_along = st.floats(-220.0, 220.0).map(lambda by: round(by, 6))
moves = st.tuples(_along, _along)
CUT_OFF = Polygon([(0, 0), (600, 0), (500, 200), (300, 220), (250, 400), (0, 380)])


def star(reach: list[float]) -> Polygon:
    turns = np.arange(len(reach)) * 2.0 * math.pi / len(reach)
    return Polygon(np.column_stack((reach * np.cos(turns), reach * np.sin(turns))))


@given(radii, radii, moves)
def test_a_move_overlaps_just_where_the_no_fit_area_says(one: list[float], other: list[float], by: tuple) -> None:
    fixed, moving = star(one), star(other)
    area = no_fit(convex_pieces(fixed), convex_pieces(moving))
    overlap = fixed.intersection(affinity.translate(moving, *by)).area
    if area.boundary.distance(Point(by)) > 1e-6:
        assert area.contains(Point(by)) == (overlap > 0.0)


@given(radii, moves, st.sampled_from([CUT_OFF, Point(0, 0).buffer(150.0), shapely.box(-150, -90, 150, 90)]))
def test_a_move_stays_inside_just_where_the_inner_area_says(reach: list[float], by: tuple, room: Polygon) -> None:
    moving = star(reach)
    area = inner_fit(room, moving)
    if area.is_empty or area.boundary.distance(Point(by)) > 1e-6:
        assert area.contains(Point(by)) == room.contains(affinity.translate(moving, *by))


def test_a_room_with_a_hole_in_it() -> None:
    room = shapely.box(0, 0, 100, 100).difference(Point(50, 50).buffer(20.0))
    area = inner_fit(room, shapely.box(0, 0, 20, 20))
    assert area.contains(Point(5, 5))
    assert not area.contains(Point(40, 40))


@given(radii)
def test_convex_pieces_make_up_the_shape(reach: list[float]) -> None:
    shape = star(reach)
    pieces = [Polygon(piece) for piece in convex_pieces(shape)]
    assert sum(piece.area for piece in pieces) == pytest.approx(shape.area)
    assert all(piece.convex_hull.area == pytest.approx(piece.area) for piece in pieces)
    assert shapely.union_all(pieces).symmetric_difference(shape).area < 1e-6 * shape.area


@pytest.mark.parametrize("tolerance", [0.3, 0.02])
@pytest.mark.parametrize(
    "loop",
    [
        Circle(5, 5, 150),
        Outline.stadium(100, 30),
        Outline.rectangle(100, 60, 8),
        Outline((Vertex(0, 0), Vertex(100, 0, -0.4), Vertex(100, 100), Vertex(0, 100, 0.2))),
        Outline.from_corners([Corner(0, 0, 4), Corner(90, 0), Corner(20, 20, 6), Corner(0, 90)]),
    ],
    ids=["disc", "stadium", "rounded", "hollow", "notched"],
)
def test_a_covering_covers_and_stands_out_by_the_tolerance(loop: Loop, tolerance: float) -> None:
    cover, true = Polygon(covering(loop, tolerance)), Polygon(loop.points(1e-5))
    assert true.difference(cover).area < 1e-3
    assert cover.hausdorff_distance(true) <= tolerance + 1e-4


def test_straight_edges_are_covered_exactly() -> None:
    assert covering(Outline.rectangle(30, 20), 0.3).tolist() == [[0, 0], [30, 0], [30, 20], [0, 20]]

"""Outlines of lines and arcs: shapely is the reference for areas, ezdxf for the bulge."""

import itertools
import math

import pytest
from ezdxf.math import bulge_center, bulge_radius
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from fabgen.geometry.plane.outline import Circle, Corner, Edge, Outline, OutlineError, Vertex

BULGES = st.floats(-2.0, 2.0).filter(lambda b: abs(b) > 0.01)
SPOTS = st.tuples(st.floats(-100, 100), st.floats(-100, 100))


def convex(radius: float = 6.0) -> Outline:
    return Outline.from_corners(
        [Corner(0, 0, radius), Corner(90, -10, radius), Corner(120, 50, chamfer=9.0), Corner(40, 80, radius)]
    )


@given(SPOTS, SPOTS, BULGES)
def test_arcs_follow_the_dxf_bulge(start: tuple[float, float], end: tuple[float, float], bulge: float) -> None:
    if math.dist(start, end) < 1.0:
        return
    edge = Edge(start, end, bulge)
    assert edge.radius == pytest.approx(bulge_radius(start, end, bulge))
    assert edge.centre == pytest.approx(tuple(bulge_center(start, end, bulge))[:2], abs=1e-6)


@given(SPOTS, SPOTS, BULGES)
def test_headings_are_the_arc_s_tangents(start: tuple[float, float], end: tuple[float, float], bulge: float) -> None:
    if math.dist(start, end) < 1.0:
        return
    edge = Edge(start, end, bulge)
    step = 1e-4 * abs(edge.sweep)
    points = edge.points(edge.radius * (1.0 - math.cos(step)))
    first = math.atan2(points[1][1] - start[1], points[1][0] - start[0])
    last = math.atan2(end[1] - points[-1][1], end[0] - points[-1][0])
    assert abs(math.remainder(first - edge.heading_in, 2 * math.pi)) < 0.01
    assert abs(math.remainder(last - edge.heading_out, 2 * math.pi)) < 0.01


def test_area_perimeter_and_bounds_agree_with_a_fine_polygon() -> None:
    outline = convex()
    polygon = Polygon(outline.points(1e-5))
    assert outline.area == pytest.approx(polygon.area, rel=1e-6)
    assert outline.perimeter == pytest.approx(polygon.length, rel=1e-6)
    assert outline.bounds == pytest.approx(polygon.bounds, abs=1e-4)


def test_points_keep_within_the_tolerance() -> None:
    outline = Outline.stadium(100.0, 40.0)
    for edge in outline.edges():
        if edge.is_arc:
            run = [*edge.points(0.05), edge.end]
            for a, b in itertools.pairwise(run):
                middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
                assert edge.radius - math.dist(middle, edge.centre) <= 0.05 + 1e-9


def test_fillet_runs_smoothly_into_its_edges() -> None:
    edges = list(convex().edges())
    arcs = [i for i, edge in enumerate(edges) if edge.is_arc]
    assert len(arcs) == 3
    for i in arcs:
        assert edges[i].radius == pytest.approx(6.0)
        before, after = edges[i - 1], edges[(i + 1) % len(edges)]
        assert math.remainder(edges[i].heading_in - before.heading_out, 2 * math.pi) == pytest.approx(0.0, abs=1e-9)
        assert math.remainder(after.heading_in - edges[i].heading_out, 2 * math.pi) == pytest.approx(0.0, abs=1e-9)


def test_chamfer_takes_its_size_off_either_edge() -> None:
    outline = Outline.from_corners([Corner(0, 0), Corner(50, 0, chamfer=10), Corner(50, 40), Corner(0, 40)])
    assert [(v.x, v.y) for v in outline.vertices] == [(0, 0), (40, 0), (50, 10), (50, 40), (0, 40)]


def test_an_inside_corner_is_filleted_outward() -> None:
    corners = [(0, 0), (60, 0), (60, 30), (30, 30), (30, 60), (0, 60)]
    sharp = Outline.polygon(corners)
    worked = Outline.from_corners([Corner(x, y, radius=5.0 if (x, y) == (30, 30) else 0.0) for x, y in corners])
    # The fillet of an inside corner adds the square less the quarter disc.
    assert worked.area - sharp.area == pytest.approx(25.0 * (1.0 - math.pi / 4.0))


def test_a_full_radius_leaves_no_needless_vertex() -> None:
    assert len(Outline.rectangle(60.0, 20.0, 10.0).vertices) == 6  # four quarter arcs, two lines
    assert Outline.rectangle(60.0, 20.0, 10.0).area == pytest.approx(Outline.stadium(60.0, 20.0).area)


@pytest.mark.parametrize("angle", [0.3, 2.0, -1.1])
def test_moving_keeps_area_and_sense(angle: float) -> None:
    outline = convex()
    for moved in (outline.moved(3, -7), outline.turned(angle), outline.flipped()):
        assert moved.signed_area == pytest.approx(outline.signed_area)
        assert moved.perimeter == pytest.approx(outline.perimeter)
    assert outline.reversed().signed_area == pytest.approx(-outline.signed_area)
    assert outline.reversed().reversed().vertices == outline.vertices


def test_clockwise_corners_come_out_counter_clockwise() -> None:
    assert Outline.from_corners([Corner(0, 0, 2), Corner(0, 30), Corner(40, 30), Corner(40, 0)]).signed_area > 0


def test_circle() -> None:
    circle = Circle(10.0, 5.0, 40.0)
    assert circle.area == pytest.approx(400 * math.pi)
    assert circle.bounds == (-10.0, -15.0, 30.0, 25.0)
    assert circle.moved(1, 2) == Circle(11.0, 7.0, 40.0)
    assert circle.flipped() == Circle(-10.0, 5.0, 40.0)
    turned = circle.turned(math.pi / 2)
    assert (turned.x, turned.y) == pytest.approx((-5.0, 10.0))
    assert Polygon(circle.points(0.001)).area == pytest.approx(circle.area, rel=1e-3)


@pytest.mark.parametrize(
    ("corners", "words", "key"),
    [
        ([Corner(0, 0, 30), Corner(50, 0, 30), Corner(50, 80), Corner(0, 80)], "60.00 mm of an edge 50.00", (0,)),
        ([Corner(0, 0), Corner(50, 0), Corner(50, 0), Corner(0, 80)], "same point", (1,)),
        ([Corner(0, 0), Corner(50, 0)], "at least three", ()),
        ([Corner(0, 0), Corner(50, 0, 3), Corner(20, 0), Corner(0, 80)], "doubles back", ()),
    ],
)
def test_outlines_that_cannot_be(corners: list[Corner], words: str, key: tuple[int, ...]) -> None:
    with pytest.raises(OutlineError, match=words) as caught:
        Outline.from_corners(corners)
    assert caught.value.key == key


def test_other_faults() -> None:
    with pytest.raises(OutlineError, match="longer than it is wide"):
        Outline.stadium(20.0, 20.0)
    with pytest.raises(OutlineError, match="two vertices"):
        Outline((Vertex(0, 0),))
    with pytest.raises(OutlineError, match="no centre"):
        _ = Edge((0, 0), (1, 0), 0.0).centre

"""Fillets between lines and arcs, against plain cases and against morphological opening by shapely."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from fabgen.geometry.plane.measured_edge import bulge_of_bow
from fabgen.geometry.plane.outline import Corner, Outline, OutlineError, Vertex
from fabgen.geometry.plane.tangent_arcs import filleted


def test_between_lines_it_is_the_same_as_worked_corners() -> None:
    corners = [(0, 0), (120, 0), (120, 40), (60, 40), (60, 90), (0, 80)]
    sharp = Outline(tuple(Vertex(x, y) for x, y in corners))
    wanted = Outline.from_corners([Corner(x, y, 7.0) for x, y in corners])
    made = filleted(sharp, 7.0)
    assert made.area == pytest.approx(wanted.area)
    assert made.perimeter == pytest.approx(wanted.perimeter)
    assert len(made.vertices) == len(wanted.vertices)


def test_a_smooth_join_is_no_corner() -> None:
    slot = Outline.stadium(100.0, 40.0)
    assert filleted(slot, 5.0).area == pytest.approx(slot.area)
    assert len(filleted(slot, 5.0).vertices) == 4


@settings(max_examples=60)
@given(st.lists(st.integers(-400, 500).map(lambda n: n / 20.0), min_size=4, max_size=4), st.floats(2.0, 15.0))
def test_bowed_sides_keep_their_arcs_and_meet_the_fillets_smoothly(bows: list[float], radius: float) -> None:
    points = [(0.0, 0.0), (200.0, 10.0), (190.0, 150.0), (5.0, 140.0)]
    ends = [*points[1:], points[0]]
    bulges = [bulge_of_bow(a, b, bow) for a, b, bow in zip(points, ends, bows, strict=True)]
    sharp = Outline(tuple(Vertex(x, y, bulge) for (x, y), bulge in zip(points, bulges, strict=True)))
    made = filleted(sharp, radius)
    edges = list(made.edges())
    assert len(edges) == 8
    for before, after in zip([edges[-1], *edges[:-1]], edges, strict=True):
        assert abs(math.remainder(after.heading_in - before.heading_out, 2.0 * math.pi)) < 1e-6
    assert [edge.radius for edge in edges[::2]] == pytest.approx([radius] * 4)
    sides = [edge.radius for edge in sharp.edges()]
    assert [edge.radius for edge in edges[1::2]] == pytest.approx(sides, rel=1e-6)
    # Opening: what a disc of that radius can sweep inside the sharp outline.
    disc = {"quad_segs": 128}
    opened = Polygon(sharp.points(0.0005)).buffer(-radius, **disc).buffer(radius, **disc)
    assert opened.symmetric_difference(Polygon(made.points(0.0005))).area < 0.002 * sharp.perimeter


def test_too_large_a_radius_names_the_corner() -> None:
    arc = bulge_of_bow((0.0, 0.0), (60.0, 0.0), 8.0)
    outline = Outline((Vertex(0, 0, arc), Vertex(60, 0), Vertex(60, 40), Vertex(0, 40)))
    with pytest.raises(OutlineError, match="corner") as caught:
        filleted(outline, 25.0)
    assert caught.value.key

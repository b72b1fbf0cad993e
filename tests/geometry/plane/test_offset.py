"""Moving outlines in and out: shapely's buffer of the flattened outline is the reference."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from fabgen.geometry.plane.offset import offset
from fabgen.geometry.plane.outline import Circle, Corner, Outline, OutlineError, Vertex

L_SHAPE = [(0, 0), (120, 0), (120, 50), (50, 50), (50, 110), (0, 110)]


def filleted(radius: float) -> Outline:
    return Outline.from_corners([Corner(x, y, radius) for x, y in L_SHAPE])


@given(st.floats(4.0, 20.0), st.floats(-3.9, 15.0))
def test_filleted_outline_moves_like_a_buffer(radius: float, distance: float) -> None:
    if distance >= radius - 0.1:
        return
    outline = filleted(radius)
    moved = offset(outline, distance)
    reference = Polygon(outline.points(1e-4)).buffer(distance, quad_segs=400)
    assert Polygon(moved.points(1e-4)).symmetric_difference(reference).area < 0.002 * outline.perimeter


def test_arcs_stay_arcs_about_the_same_centre() -> None:
    before = [edge for edge in filleted(10.0).edges() if edge.is_arc]
    after = [edge for edge in offset(filleted(10.0), -2.0).edges() if edge.is_arc]
    assert len(after) == len(before) == 6
    for old, new in zip(before, after, strict=True):
        assert new.centre == pytest.approx(old.centre)
        assert new.radius == pytest.approx(old.radius + (-2.0 if old.bulge > 0 else 2.0))
        assert new.sweep == pytest.approx(old.sweep)


@pytest.mark.parametrize("distance", [-8.0, 8.0])
def test_sharp_corners_stay_sharp(distance: float) -> None:
    moved = offset(Outline.polygon(L_SHAPE), distance)
    d = distance
    wanted = [(-d, -d), (120 + d, -d), (120 + d, 50 + d), (50 + d, 50 + d), (50 + d, 110 + d), (-d, 110 + d)]
    assert np.array([(v.x, v.y) for v in moved.vertices]) == pytest.approx(np.array(wanted))


def test_a_very_sharp_point_is_rounded_outward() -> None:
    wedge = Outline.polygon([(0, 0), (200, -10), (200, 10)])
    moved = offset(wedge, 5.0)
    assert any(edge.is_arc and edge.radius == pytest.approx(5.0) for edge in moved.edges())
    assert moved.bounds[0] == pytest.approx(-5.0)


def test_a_line_that_meets_an_arc_at_a_corner() -> None:
    # A half disc: its corners are square; moved in, the arc and the chord are trimmed to where they meet.
    half = Outline((Vertex(-50, 0), Vertex(50, 0, 1.0)))
    moved = offset(half, -5.0)
    reference = Polygon(half.points(1e-5)).buffer(-5.0, join_style="mitre")
    assert moved.area == pytest.approx(reference.area, rel=1e-5)
    grown = offset(half, 5.0)
    assert grown.bounds[1] == pytest.approx(-5.0)
    assert grown.area > half.area + 5.0 * half.perimeter


def test_two_arcs_that_meet_at_a_corner() -> None:
    lens = Outline((Vertex(-40, 0, 0.5), Vertex(40, 0, 0.5)))
    reference = Polygon(lens.points(1e-5)).buffer(-4.0, join_style="mitre", mitre_limit=50)
    assert offset(lens, -4.0).area == pytest.approx(reference.area, rel=1e-4)


def test_a_fillet_that_comes_out_as_a_sharp_corner() -> None:
    assert offset(Outline.rectangle(60, 40, 3.0), -3.0).area == pytest.approx(54 * 34)


def test_circle_and_nothing() -> None:
    assert offset(Circle(1, 2, 60), -1.5) == Circle(1, 2, 57)
    outline = filleted(5)
    assert offset(outline, 0.0) == outline


@pytest.mark.parametrize(
    ("loop", "distance", "words"),
    [
        (Outline.rectangle(60, 40, 3.0), -4.0, r"radius of 3 mm near .* vanishes .* in by 4 mm"),
        (filleted(5.0), 6.0, "radius of 5 mm near .* vanishes .* out by 6 mm"),
        (Circle(0, 0, 10), -5.0, "nothing is left"),
        (Outline.polygon([(0, 0), (60, 0), (60, 40), (0, 40)]), -21.0, "vanishes"),
        (
            Outline.polygon(
                [
                    (0, 0),
                    (40, 0),
                    (40, 18),
                    (60, 18),
                    (60, 0),
                    (100, 0),
                    (100, 40),
                    (60, 40),
                    (60, 22),
                    (40, 22),
                    (40, 40),
                    (0, 40),
                ]
            ),
            -3.0,
            "vanishes|crosses itself",
        ),
    ],
)
def test_what_cannot_move_says_where(loop: Outline | Circle, distance: float, words: str) -> None:
    with pytest.raises(OutlineError, match=words):
        offset(loop, distance)


def test_moved_out_and_back() -> None:
    outline = filleted(12.0)
    back = offset(offset(outline, 3.0), -3.0)
    for a, b in zip(outline.vertices, back.vertices, strict=True):
        assert math.dist((a.x, a.y), (b.x, b.y)) < 1e-9
        assert a.bulge == pytest.approx(b.bulge)

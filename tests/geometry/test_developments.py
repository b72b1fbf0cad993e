"""Developments: lengths on the flat are lengths on the rolled sheet; arcs stay arcs; cut-outs clear the cutter."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon

from fabgen.geometry.developments import (
    CURVE_TOLERANCE,
    RoundCut,
    cone_flat,
    cut_curve,
    sampled,
    sector_end,
    sector_outline,
    strip,
)
from fabgen.geometry.outline import OutlineError


# -- cones --------------------------------------------------------------------
@given(st.floats(40, 400), st.floats(0.1, 0.9), st.floats(5, 500), st.floats(0.5, 2 * math.pi))
def test_cone_keeps_lengths(bottom: float, ratio: float, height: float, arc: float) -> None:
    top = bottom * ratio
    flat = cone_flat(bottom, top, height, arc)
    assert flat.outer * flat.sweep == pytest.approx(bottom / 2 * arc)
    assert flat.inner * flat.sweep == pytest.approx(top / 2 * arc)
    assert flat.slant == pytest.approx(math.hypot(height, (bottom - top) / 2))
    outline = sector_outline(flat)
    assert outline.area == pytest.approx(flat.sweep / 2 * (flat.outer**2 - flat.inner**2))
    assert all(
        edge.radius in (pytest.approx(flat.outer), pytest.approx(flat.inner)) for edge in outline.edges() if edge.is_arc
    )


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


def test_lap_of_a_cone_is_parallel_to_its_end() -> None:
    flat = cone_flat(180.0, 110.0, 80.0)
    outline = sector_outline(flat, seam=12.0)
    end = LineString(sector_end(flat))
    lap = [e for e in outline.edges() if not e.is_arc and min(e.start[0], e.end[0]) > 0]
    assert len(lap) == 1
    direction = np.subtract(*np.array(sector_end(flat)))
    normal = np.array([-direction[1], direction[0]]) / np.linalg.norm(direction)
    origin = np.array(end.coords[0])
    for point in (lap[0].start, lap[0].end):
        assert abs((np.array(point) - origin) @ normal) == pytest.approx(12.0)


def test_a_cone_that_opens_upward_is_the_mirror() -> None:
    flat = cone_flat(120.0, 260.0, 60.0, math.pi)
    low, high = sector_outline(flat, True, 5.0), sector_outline(flat, False, 5.0)
    assert high.area == pytest.approx(low.area)
    x0, y0, x1, y1 = low.bounds
    assert high.bounds == pytest.approx((x0, -y1, x1, -y0))
    for point in sector_end(flat, False):
        assert Polygon(high.points(1e-4)).distance(Point(point)) < 1e-3


def test_cones_that_cannot_be() -> None:
    with pytest.raises(OutlineError, match="cylinder"):
        cone_flat(100, 100, 50)
    with pytest.raises(OutlineError, match="wider than the small arc"):
        sector_outline(cone_flat(100, 4, 50), seam=10)


# -- curves -------------------------------------------------------------------
@given(st.floats(1.0, 500.0), st.floats(0.005, 0.5))
def test_sampled_curves_keep_within_the_tolerance(radius: float, tolerance: float) -> None:
    points = sampled(lambda a: (radius * math.cos(a), radius * math.sin(a)), 0.0, 3.0, tolerance)
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        assert radius - math.hypot((x0 + x1) / 2, (y0 + y1) / 2) <= tolerance
        assert math.hypot(x1, y1) == pytest.approx(radius)


# -- cylinders ----------------------------------------------------------------
@given(st.floats(60, 300), st.floats(0.1, 0.9), st.floats(-0.5, 0.5), st.floats(0.5, 6.0))
def test_nothing_of_the_wall_stays_in_the_cutter(outside: float, size: float, aside: float, thickness: float) -> None:
    """Every point of the cut edge, at every depth of the wall, is on or outside the cutter, and one touches."""
    inside, middle = outside - thickness, outside - thickness / 2
    cutter = RoundCut(size * inside * (1 - abs(aside)) * 0.95, 40.0, aside * inside * 0.9, 0.3)
    for x, z in cut_curve(cutter, inside, middle, outside):
        turn = x / middle - cutter.around
        clear = [
            math.hypot(r * math.sin(turn) - cutter.offset, z - cutter.height) - cutter.radius
            for r in np.linspace(inside, outside, 21)
        ]
        assert min(clear) >= -1e-3
        assert min(clear) <= 1e-2


def test_chords_of_the_cut_keep_within_a_hundredth() -> None:
    cutter, radius = RoundCut(90.0, 0.0), 100.0
    fine = LineString(
        [
            (radius * math.asin(90 * math.cos(a) / radius), 90 * math.sin(a))
            for a in np.linspace(-math.pi, math.pi, 20_001)
        ]
    )
    curve = cut_curve(cutter, radius, radius, radius)
    assert fine.hausdorff_distance(LineString([*curve, curve[0]])) < CURVE_TOLERANCE
    assert len(curve) < 320


def test_cutter_as_wide_as_the_skirt() -> None:
    with pytest.raises(OutlineError, match=r"reaches 100\.0 mm to the side, the skirt's inside only 99\.0"):
        cut_curve(RoundCut(80.0, 0.0, 20.0), 99, 100, 101)


ROUND = 2 * math.pi * 100


def window(height: float, around: float = 0.0) -> list[tuple[float, float]]:
    return cut_curve(RoundCut(30.0, height, 0.0, around), 100, 100, 100)


def test_closed_window() -> None:
    made = strip(ROUND, 120, 0.0, ROUND, window(60))
    assert len(made.windows) == 1
    assert made.outline.area == pytest.approx(ROUND * 120)
    x0, y0, x1, y1 = made.windows[0].bounds
    assert ((x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx((ROUND / 2, 60))
    assert y1 - y0 == pytest.approx(60, abs=1e-6)
    assert x1 - x0 == pytest.approx(2 * 100 * math.asin(0.3))


@pytest.mark.parametrize("height", [0.0, 120.0])
def test_arch_in_an_edge(height: float) -> None:
    made = strip(ROUND, 120, 0.0, ROUND, window(height))
    assert made.windows == ()
    assert made.outline.area == pytest.approx(ROUND * 120 - Polygon(window(height)).area / 2, abs=0.1)


def test_cut_across_the_seam_comes_at_both_ends_and_in_the_lap() -> None:
    made = strip(ROUND, 120, 0.0, ROUND, window(0, math.pi))
    assert made.outline.area == pytest.approx(ROUND * 120 - Polygon(window(0)).area / 2, abs=0.1)
    lapped = strip(ROUND, 120, 50.0, ROUND, window(0, math.pi))
    # The half that lies on the lap is cut there too: the notch is whole at the right-hand end.
    assert lapped.outline.area == pytest.approx((ROUND + 50) * 120 - Polygon(window(0)).area * 0.75, abs=0.1)


def test_part_of_a_round_with_the_cut_at_its_end() -> None:
    made = strip(ROUND / 2, 120, 0.0, ROUND, window(60, math.pi / 2))
    assert made.windows == ()
    assert made.outline.area == pytest.approx(ROUND / 2 * 120 - Polygon(window(0)).area / 2, abs=0.1)


def test_skirts_that_fall_apart() -> None:
    tall = cut_curve(RoundCut(70.0, 30.0), 100, 100, 100)
    with pytest.raises(OutlineError, match="in two"):
        strip(ROUND, 60, 0.0, ROUND, tall)
    with pytest.raises(OutlineError, match="nothing"):
        strip(40, 20, 0.0, ROUND, cut_curve(RoundCut(70.0, 10.0), 100, 100, 100))

"""Rolled sheets less their cut-outs: areas, windows, seams and laps; arcs stay arcs."""

import math
from itertools import pairwise

import numpy as np
import pytest
from shapely import LineString, Polygon

from fabgen.geometry.plane.outline import OutlineError
from fabgen.geometry.sheet.developments import cone_flat
from fabgen.geometry.sheet.rolled import RolledSheet, reaches, rolled_flat
from fabgen.geometry.sheet.wall_cuts import Cutter, Wall, cut_loops

WALL = Wall(100.0, 100.0, 120.0)
ROUND = 2.0 * math.pi * 100.0
FULL = 2.0 * math.pi


def window(height: float, around: float = 0.0, radius: float = 30.0) -> list[list[tuple[float, float]]]:
    return cut_loops(WALL, Cutter(radius, height, 0.0, around))


HOLE = Polygon(window(60.0)[0]).area


def test_closed_window() -> None:
    made = rolled_flat(RolledSheet(WALL, FULL), window(60.0))
    assert made.outline.area == pytest.approx(ROUND * 120.0)
    (hole,) = made.windows
    x0, y0, x1, y1 = hole.bounds
    assert ((x0 + x1) / 2.0, (y0 + y1) / 2.0) == pytest.approx((0.0, 60.0), abs=0.01)
    assert y1 - y0 == pytest.approx(60.0, abs=0.02)
    assert x1 - x0 == pytest.approx(2.0 * 100.0 * math.asin(0.3), abs=0.02)
    assert sum(not edge.is_arc for edge in hole.edges()) < 3
    assert len(hole.vertices) < 40


@pytest.mark.parametrize("height", [0.0, 120.0])
def test_arch_in_an_edge(height: float) -> None:
    made = rolled_flat(RolledSheet(WALL, FULL), window(height))
    assert made.windows == ()
    assert made.outline.area == pytest.approx(ROUND * 120.0 - HOLE / 2.0, abs=0.3)
    assert sum(not edge.is_arc for edge in made.outline.edges()) == 5


def test_cut_across_the_seam_comes_at_both_ends_and_in_the_lap() -> None:
    loops = window(0.0, math.pi)
    made = rolled_flat(RolledSheet(WALL, FULL), loops)
    assert made.outline.area == pytest.approx(ROUND * 120.0 - HOLE / 2.0, abs=0.3)
    lapped = rolled_flat(RolledSheet(WALL, FULL, lap=50.0), loops)
    assert lapped.outline.area == pytest.approx((ROUND + 50.0) * 120.0 - HOLE * 0.75, abs=0.4)


def test_gap_at_the_seam_takes_half_at_either_end() -> None:
    made = rolled_flat(RolledSheet(WALL, FULL, gap=3.0))
    assert made.outline.bounds == pytest.approx((-ROUND / 2.0 + 1.5, 0.0, ROUND / 2.0 - 1.5, 120.0))


def test_skirts_that_fall_apart() -> None:
    sheet = RolledSheet(Wall(100.0, 100.0, 60.0), FULL)
    with pytest.raises(OutlineError, match="in two"):
        rolled_flat(sheet, cut_loops(sheet.wall, Cutter(70.0, 30.0)))
    small = RolledSheet(Wall(100.0, 100.0, 20.0), 0.4)
    with pytest.raises(OutlineError, match="nothing"):
        rolled_flat(small, cut_loops(small.wall, Cutter(70.0, 10.0)))


# -- cones --------------------------------------------------------------------
@pytest.mark.parametrize(("bottom", "top"), [(90.0, 55.0), (60.0, 130.0)])
@pytest.mark.parametrize("arc", [FULL, 2.0])
def test_uncut_cone_is_the_sector(bottom: float, top: float, arc: float) -> None:
    flat = cone_flat(2.0 * bottom, 2.0 * top, 80.0, arc)
    outline = rolled_flat(RolledSheet(Wall(bottom, top, 80.0), arc)).outline
    assert outline.area == pytest.approx(flat.sweep / 2.0 * (flat.outer**2 - flat.inner**2))
    arcs = [edge for edge in outline.edges() if edge.is_arc]
    for radius in (flat.outer, flat.inner):
        swept = sum(abs(edge.sweep) for edge in arcs if edge.radius == pytest.approx(radius))
        assert swept == pytest.approx(flat.sweep)
    assert len(arcs) + 2 == len(outline.vertices)


def test_lap_and_gap_of_a_cone_are_parallel_to_its_end() -> None:
    sheet = RolledSheet(Wall(90.0, 55.0, 80.0), FULL, lap=12.0)
    outline = rolled_flat(sheet).outline
    at = math.pi * sheet.wall.largest
    end = LineString([sheet.on_flat((at, 0.0)), sheet.on_flat((at, sheet.wall.slant))])
    direction = np.subtract(end.coords[1], end.coords[0]) / end.length
    right = max((e for e in outline.edges() if not e.is_arc), key=lambda e: e.start[0] + e.end[0])
    for point in (right.start, right.end):
        step = np.subtract(point, end.coords[0])
        assert abs(step[0] * direction[1] - step[1] * direction[0]) == pytest.approx(12.0)
    with pytest.raises(OutlineError, match="wider than the small arc"):
        rolled_flat(RolledSheet(Wall(50.0, 2.0, 50.0), FULL, lap=10.0))


@pytest.mark.parametrize("up", [True, False])
def test_cut_cone_keeps_its_arcs_and_its_clearance(up: bool) -> None:
    wall = Wall(120.0, 60.0, 140.0, 2.0) if up else Wall(60.0, 120.0, 140.0, 2.0)
    sheet = RolledSheet(wall, FULL)
    loops = cut_loops(wall, Cutter(30.0, 10.0, 4.0, 0.5)) + cut_loops(wall, Cutter(15.0, 90.0, 0.0, -1.5))
    made = rolled_flat(sheet, loops)
    whole = rolled_flat(sheet)
    assert len(made.windows) == 1
    radii = {round(e.radius, 3) for e in whole.outline.edges() if e.is_arc}
    kept = [e for e in made.outline.edges() if e.is_arc and round(e.radius, 3) in radii]
    assert len(kept) >= 3
    lost = whole.outline.area - made.outline.area + made.windows[0].area
    shrunk = sum(_area_on_cone(sheet, loop) for loop in loops)
    assert lost == pytest.approx(shrunk, abs=0.5)


def _area_on_cone(sheet: RolledSheet, loop: list[tuple[float, float]]) -> float:
    """Area of a loop as far as it lies on the sheet, summed in thin strips of slant."""
    shape, total, slant = Polygon(loop), 0.0, sheet.wall.slant
    steps = np.linspace(0.0, slant, 4001)
    for low, high in pairwise(steps):
        middle = (low + high) / 2.0
        line = shape.intersection(LineString([(-1e4, middle), (1e4, middle)])).length
        radius = sheet.wall.bottom + (sheet.wall.top - sheet.wall.bottom) * middle / slant
        total += line / sheet.wall.largest * radius * (high - low)
    return total


def test_reaches() -> None:
    sheet = RolledSheet(WALL, 2.0)
    (here,), (behind,) = window(60.0), window(60.0, math.pi)
    assert reaches(sheet, here)
    assert not reaches(sheet, behind)

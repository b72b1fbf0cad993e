"""What is found on a flat part: patterns of holes, fillets, chamfers, corners, curved lines."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from fabgen.documents.drawing.flat_features import (
    BoltCircle,
    Lattice,
    as_slot,
    bolt_circle,
    hole_groups,
    hole_name,
    lattice,
    outline_features,
)
from fabgen.geometry.outline import Circle, Corner, Outline, Vertex
from fabgen.parts.piece import FlatPart, Hole


def on_circle(count: int, radius: float, start: float = 0.0) -> list[tuple[float, float]]:
    turns = [start + 2.0 * math.pi * i / count for i in range(count)]
    return [(50.0 + radius * math.cos(turn), 50.0 + radius * math.sin(turn)) for turn in turns]


@pytest.mark.parametrize("count", [3, 4, 5, 6, 8, 12])
def test_a_bolt_circle_is_found(count: int) -> None:
    found = bolt_circle(on_circle(count, 40.0))
    assert found is not None
    assert found.centre == pytest.approx((50.0, 50.0))
    assert found.diameter == pytest.approx(80.0)


def test_uneven_points_are_no_bolt_circle() -> None:
    points = on_circle(6, 40.0)
    assert bolt_circle(points[:5]) is None
    assert bolt_circle([*points[:5], (90.0, 51.0)]) is None


def test_four_corners_of_a_square_are_a_grid_except_on_a_disc() -> None:
    points = on_circle(4, 40.0, math.pi / 4.0)
    assert bolt_circle(points) is None
    assert bolt_circle(points, on_disc=True) is not None
    holes = tuple(Hole(Circle(x, y, 9.0), "9", "M8") for x, y in points)
    square = FlatPart(6.0, Outline.rectangle(100.0, 100.0), holes)
    disc = FlatPart(6.0, Circle(50.0, 50.0, 100.0), holes)
    assert isinstance(hole_groups(square)[0].pattern, Lattice)
    middle = Hole(Circle(50.0, 50.0, 40.0))
    around = hole_groups(replace(square, holes=(*holes, middle)))[0]
    assert isinstance(around.pattern, BoltCircle)
    assert isinstance(hole_groups(disc)[0].pattern, BoltCircle)
    assert hole_groups(disc)[0].callout == "4 x Ø9 for M8 on Ø80, one at 45°"


def test_rows_and_columns() -> None:
    found = lattice([(x, y) for y in (10.0, 40.0) for x in (5.0, 25.0, 45.0)])
    assert found == Lattice((5.0, 25.0, 45.0), (10.0, 40.0))
    assert lattice([(0.0, 0.0), (10.0, 0.0), (25.0, 0.0)]) is None
    assert lattice([(0.0, 0.0), (10.0, 0.0), (0.0, 10.0)]) is None


def test_hole_names() -> None:
    assert hole_name(Hole(Circle(0, 0, 13.5), "13.5 for M12", "M12")) == "Ø13.5 for M12"
    assert hole_name(Hole(Circle(0, 0, 8.0), "drain 8")) == "Ø8, drain"
    assert hole_name(Hole(Outline.stadium(30.0, 11.0), "", "M10")) == "slot 30 x 11 for M10"
    assert hole_name(Hole(Outline.stadium(30.0, 11.0).turned(math.radians(30.0)))) == "slot 30 x 11 at 30°"
    assert hole_name(Hole(Outline.rectangle(40.0, 25.0))) == "cut-out 40 x 25"


def test_a_slot_is_known_in_any_direction() -> None:
    slot = as_slot(Outline.stadium(30.0, 11.0).turned(math.radians(120.0)).moved(7.0, 9.0))
    assert slot is not None
    assert (slot.length, slot.width, math.degrees(slot.turn)) == pytest.approx((30.0, 11.0, 120.0))
    assert as_slot(Outline.rectangle(30.0, 11.0)) is None


def test_fillets_and_chamfers_stand_for_sharp_corners() -> None:
    corners = [Corner(0, 0, radius=10), Corner(100, 0, chamfer=12), Corner(100, 60), Corner(0, 60, radius=5)]
    found = outline_features(Outline.from_corners(corners))
    assert np.allclose(sorted(found.corners), [(0, 0), (0, 60), (100, 0), (100, 60)])
    assert sorted(f.radius for f in found.fillets) == pytest.approx([5.0, 10.0])
    assert all(f.convex for f in found.fillets)
    assert [c.size for c in found.chamfers] == pytest.approx([12.0])


def test_an_inner_fillet_is_hollow() -> None:
    corners = [Corner(0, 0), Corner(80, 0), Corner(80, 30), Corner(30, 30, radius=8), Corner(30, 90), Corner(0, 90)]
    (fillet,) = outline_features(Outline.from_corners(corners)).fillets
    assert not fillet.convex
    assert fillet.centre == pytest.approx((38.0, 38.0))


def test_a_rounded_end_is_placed_by_its_centre() -> None:
    found = outline_features(Outline.stadium(80.0, 30.0))
    assert np.allclose(sorted(found.corners), [(-25.0, 0.0), (25.0, 0.0)])


def test_a_curved_line_gives_its_ends_and_its_crown_only() -> None:
    along = [80.0 - 60.0 * i / 40.0 for i in range(41)]
    curve = [(x, 30.0 * math.sin(math.pi * (80.0 - x) / 60.0)) for x in along]
    outline = Outline.polygon([(0.0, 0.0), (0.0, 70.0), (100.0, 70.0), (100.0, 0.0), *curve])
    found = outline_features(outline)
    assert found.curved
    assert not [p for p in found.corners if 0.0 < p[0] < 100.0]
    (cut,) = found.cut_outs
    assert np.allclose([*cut.ends, cut.deepest], [(20.0, 0.0), (80.0, 0.0), (50.0, 30.0)], atol=0.1)


def test_a_cut_out_of_fitted_arcs_is_as_deep_as_its_arcs_reach() -> None:
    """The deepest point lies on an arc, between the points that the arcs were fitted through."""
    turns = [math.radians(d) for d in (180.0, 160.0, 125.0, 80.0, 40.0, 0.0)]
    points = [(60.0 + 30.0 * math.cos(t), 30.0 * math.sin(t)) for t in turns]
    bulges = [-math.tan((a - b) / 4.0) for a, b in pairwise(turns)]
    curve = [Vertex(x, y, bulge) for (x, y), bulge in zip(points, [*bulges, 0.0], strict=True)]
    rest = [Vertex(120.0, 0.0), Vertex(120.0, 70.0), Vertex(0.0, 70.0), Vertex(0.0, 0.0)]
    found = outline_features(Outline((*curve, *rest)))
    assert not found.fillets
    (cut,) = found.cut_outs
    assert cut.axis == 0
    assert np.allclose([*cut.ends, cut.deepest], [(30.0, 0.0), (90.0, 0.0), (60.0, 30.0)], atol=1e-6)

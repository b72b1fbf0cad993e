"""What is found on the outline of a flat part: fillets, chamfers, corners, curved lines."""

import math
from itertools import pairwise

import numpy as np
import pytest

from fabgen.documents.drawing.flat.outline_features import outline_features
from fabgen.geometry.plane.outline import Corner, Outline, Vertex


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

"""The tree of faces: laid flat, and folded up again.

References: areas and volumes by hand (flat faces, bend zones as sectors of a ring), closedness
of the surface by its area vectors, trees at random.
"""

import math
from collections.abc import Callable

import numpy as np
import pytest
from folded_holes import hole_axes
from hypothesis import given, settings
from hypothesis import strategies as st

from fabgen.geometry.plane.outline import Circle, Corner, Outline, OutlineError
from fabgen.geometry.sheet.folded import Facet, extent, fold_up, placed_faces
from fabgen.geometry.sheet.folds import Bend, Face, Flange, FoldTree, flat_pattern, hinge

RIGHT = math.pi / 2


def leaf(name: str, width: float, height: float, *holes: Circle) -> FoldTree:
    return FoldTree(Face(name, Outline.rectangle(width, height), holes))


def volume(facets: list[Facet]) -> float:
    """Enclosed volume by the divergence theorem, and a check that the surface is closed."""
    total, vector = 0.0, np.zeros(3)
    for facet in facets:
        # A hole runs against its polygon: turned about here, whatever way it was stored.
        outer = area_vector(facet.points)
        for hole in facet.holes:
            inner = area_vector(hole)
            outer = outer - inner * math.copysign(1.0, float(inner @ outer))
        total += float(outer @ facet.points[0]) / 3.0
        vector += outer
    assert np.abs(vector).max() < 1e-4  # mm2: ends that count as one point may lie 1e-7 mm apart
    return total


def area_vector(points: np.ndarray) -> np.ndarray:
    return np.cross(points, np.roll(points, -1, axis=0)).sum(axis=0) / 2.0


def test_bend_figures_by_hand() -> None:
    bend = Bend(2.0, 3.0, RIGHT, 0.4)
    assert bend.allowance == pytest.approx(RIGHT * 3.8)
    assert bend.setback == pytest.approx(5.0)
    assert bend.deduction == pytest.approx(10.0 - RIGHT * 3.8)


def test_angle_is_one_rectangle_with_one_line() -> None:
    bend = Bend(3.0, 3.0, RIGHT, 0.41)
    tree = FoldTree(Face("a", Outline.rectangle(100, 44)), (Flange(bend, 0, 44, 0.0, True, leaf("b", 100, 34)),))
    flat = flat_pattern(tree)
    assert len(flat.outline.vertices) == 4
    assert flat.outline.bounds == pytest.approx((0, 0, 100, 78 + bend.allowance))
    (line,) = flat.lines
    assert line.start == pytest.approx((0, 44 + bend.allowance / 2))
    assert line.end == pytest.approx((100, 44 + bend.allowance / 2))
    assert line.name == "a / b"
    assert extent(tree, 3.0) == pytest.approx((100, 50, 40))


def test_fillets_and_holes_of_a_flange_stay_true_arcs() -> None:
    bend = Bend(3.0, 3.0, RIGHT, 0.41)
    tab = Outline.from_corners([Corner(10, 0), Corner(50, 0), Corner(50, 30, 8), Corner(10, 30, 8)])
    flange = Flange(bend, 0, 60, 0.0, True, FoldTree(Face("tab", tab, (Circle(30, 15, 9),))))
    flat = flat_pattern(FoldTree(Face("base", Outline.rectangle(100, 60)), (flange,)))
    arcs = [edge for edge in flat.outline.edges() if edge.is_arc]
    assert [edge.radius for edge in arcs] == pytest.approx([8.0, 8.0])
    assert flat.outline.area == pytest.approx(100 * 60 + tab.area + 40 * bend.allowance)
    ((name, hole),) = flat.holes
    assert name == "tab"
    assert hole == Circle(30, 75 + bend.allowance, 9)
    assert (flat.lines[0].start[0], flat.lines[0].end[0]) == pytest.approx((10, 50))


def test_several_flanges_on_one_edge_in_any_order() -> None:
    bend = Bend(2.0, 2.0, RIGHT, 0.41)
    flanges = tuple(Flange(bend, x, 50, 0.0, True, leaf(f"tab {x}", 20, 15)) for x in (70, 5, 40))
    flat = flat_pattern(FoldTree(Face("base", Outline.rectangle(100, 50)), flanges))
    assert flat.outline.area == pytest.approx(100 * 50 + 3 * 20 * (15 + bend.allowance))
    assert len(flat.outline.vertices) == 4 + 3 * 4


@settings(max_examples=60)
@given(st.data())
def test_random_trees_keep_their_area_and_volume(data: st.DataObject) -> None:
    thickness = data.draw(st.sampled_from([1.0, 2.0, 4.0]))
    metal = {"flat": 0.0, "solid": 0.0}
    tree = draw_tree(data.draw, thickness, 120.0, 90.0, 3, metal, (0, 1, 2, 3))
    flat = flat_pattern(tree)
    assert flat.outline.area == pytest.approx(metal["flat"])
    assert sum(edge.is_arc for edge in flat.outline.edges()) == 0
    facets = fold_up(tree, thickness, 0.002)
    points = np.vstack([facet.points for facet in facets])
    assert extent(tree, thickness) == pytest.approx(points.max(axis=0) - points.min(axis=0), abs=0.005)
    assert volume(facets) == pytest.approx(metal["solid"], rel=5e-4)
    assert len(flat.lines) == sum(1 for _ in tree.all_faces()) - 1


@pytest.mark.parametrize("inset", [0.0, 3e-8, 9e-8, 1.1e-7, 1e-6, 1e-3])
def test_a_flange_that_ends_a_hair_from_the_corner(inset: float) -> None:
    """Whether its end counts as the corner or as a point of its own, the surface is closed."""
    bend = Bend(2.0, 1.0, 1.0, 0.4)
    flange = Flange(bend, 0.0, inset, RIGHT, True, leaf("tab", 45.0, 5.0))
    tree = FoldTree(Face("base", Outline.rectangle(120.0, 90.0)), (flange,))
    solid = (120 * 90 + 45 * 5) * 2.0 + 45 * 1.0 / 2.0 * (3.0**2 - 1.0)
    assert volume(fold_up(tree, 2.0, 0.0005)) == pytest.approx(solid, rel=1e-4)
    assert flat_pattern(tree).outline.area == pytest.approx(120 * 90 + 45 * (5 + bend.allowance))


def draw_tree(
    draw: Callable, thickness: float, width: float, height: float, depth: int, metal: dict[str, float], sides: tuple
) -> FoldTree:
    """A rectangle with flanges on some of its sides (0 bottom, 1 right, 2 top, 3 left)."""
    metal["flat"] += width * height
    metal["solid"] += width * height * thickness
    flanges = []
    for side in sides:
        if depth == 0 or not draw(st.booleans()):
            continue
        edge = width if side in (0, 2) else height
        inset, length = draw(st.floats(0.0, 0.3)) * edge, draw(st.floats(0.3, 0.7)) * edge
        bend = Bend(thickness, draw(st.floats(0.1, 6.0)), draw(st.floats(0.1, 2.4)), draw(st.floats(0.2, 0.5)))
        # Start of the tangent line so that outward is to the left of its direction.
        x, y, turn = {
            0: (width - inset, 0.0, math.pi),
            1: (width, height - inset, -RIGHT),
            2: (inset, height, 0.0),
            3: (0.0, inset, RIGHT),
        }[side]
        reach = draw(st.floats(5.0, 40.0))
        child = draw_tree(draw, thickness, length, reach, depth - 1, metal, (2,))
        flanges.append(Flange(bend, x, y, turn, draw(st.booleans()), child))
        metal["flat"] += length * bend.allowance
        outer = bend.radius + thickness
        metal["solid"] += length * bend.angle / 2.0 * (outer**2 - bend.radius**2)
    return FoldTree(Face(f"face {depth}", Outline.rectangle(width, height)), tuple(flanges))


def test_volume_counts_holes_and_fillets() -> None:
    bend = Bend(3.0, 2.0, 1.2, 0.41)
    tab = Outline.from_corners([Corner(0, 0), Corner(60, 0), Corner(60, 40, 10), Corner(0, 40, chamfer=8)])
    flange = Flange(bend, 100, 0, math.pi, False, FoldTree(Face("tab", tab, (Circle(30, 20, 12),))))
    tree = FoldTree(Face("base", Outline.rectangle(100, 60, 5.0), (Outline.stadium(40, 10).moved(50, 30),)), (flange,))
    with pytest.raises(OutlineError, match="lies on no edge"):  # the base's own fillet takes the edge's end
        flat_pattern(tree)
    square = FoldTree(Face("base", Outline.rectangle(100, 60), tree.face.holes), tree.flanges)
    metal = 6000 - Outline.stadium(40, 10).area + tab.area - Circle(0, 0, 12).area
    sector = 60 * 1.2 / 2 * (25 - 4)
    assert volume(fold_up(square, 3.0, 0.0005)) == pytest.approx(metal * 3 + sector, rel=1e-4)


@pytest.mark.parametrize("up", [True, False])
def test_a_flange_square_up_or_down(up: bool) -> None:
    bend = Bend(2.0, 3.0, RIGHT, 0.4)
    tree = FoldTree(
        Face("a", Outline.rectangle(60, 40)), (Flange(bend, 0, 40, 0.0, up, leaf("b", 60, 30, Circle(20, 10, 8))),)
    )
    (axis,) = hole_axes(tree, 2.0)
    # From the tangent line: 3 + half the sheet out, and 3 up (or down) from the skin, then 10 along the flange.
    assert axis.centre == pytest.approx((20, 44, 2 + 3 + 10) if up else (20, 44, -3 - 10))
    assert axis.direction == pytest.approx((0, -1, 0) if up else (0, 1, 0))
    frame = placed_faces(tree)[1].frame
    assert np.cross(frame.x, frame.y) == pytest.approx(frame.z)
    heights = np.vstack([facet.points for facet in fold_up(tree, 2.0)])[:, 2]
    assert (heights.min(), heights.max()) == pytest.approx((0, 35) if up else (-33, 2))


def test_a_hem_folds_back_flat() -> None:
    bend = Bend(1.0, 0.5, math.pi, 0.4)
    tree = FoldTree(Face("a", Outline.rectangle(60, 40)), (Flange(bend, 0, 40, 0.0, True, leaf("hem", 60, 10)),))
    assert flat_pattern(tree).outline.area == pytest.approx(60 * (50 + bend.allowance))
    assert extent(tree, 1.0) == pytest.approx((60, 41.5, 3))


def test_drawn_edges_leave_out_the_tangent_lines() -> None:
    bend = Bend(2.0, 3.0, RIGHT, 0.4)
    tree = FoldTree(Face("a", Outline.rectangle(60, 40)), (Flange(bend, 20, 40, 0.0, True, leaf("b", 30, 30)),))
    top = next(f for f in fold_up(tree, 2.0) if f.part == "top" and f.name == "a")
    hidden = [(top.points[i], top.points[(i + 1) % len(top.points)]) for i, drawn in enumerate(top.drawn) if not drawn]
    ((start, end),) = hidden
    assert sorted([start[0], end[0]]) == pytest.approx([20, 50])
    assert start[1] == end[1] == pytest.approx(40)
    for facet in fold_up(tree, 2.0):
        assert len(facet.drawn) == len(facet.points)


@pytest.mark.parametrize(
    ("flanges", "words"),
    [
        ([(0.0, 50.0, 0.1)], "lies on no edge"),
        ([(60.0, 50.0, 0.0)], "lies on no edge"),
        ([(0.0, 50.0, 0.0), (30.0, 50.0, 0.0)], "overlaps its neighbour"),
    ],
)
def test_flanges_that_do_not_fit(flanges: list[tuple[float, float, float]], words: str) -> None:
    bend = Bend(2.0, 2.0, RIGHT, 0.41)
    hung = tuple(Flange(bend, x, y, turn, True, leaf("tab", 50, 15)) for x, y, turn in flanges)
    with pytest.raises(OutlineError, match=words):
        flat_pattern(FoldTree(Face("base", Outline.rectangle(100, 50)), hung))


def test_flanges_that_overlap_in_the_flat() -> None:
    bend = Bend(2.0, 2.0, RIGHT, 0.41)
    corner = Outline.polygon([(0, 0), (40, 0), (100, 40), (-60, 40)])
    top = Flange(bend, 0, 40, 0.0, True, FoldTree(Face("top", corner)))
    right = Flange(bend, 40, 40, -RIGHT, True, FoldTree(Face("right", corner)))
    with pytest.raises(OutlineError, match="flanges overlap in the flat"):
        flat_pattern(FoldTree(Face("base", Outline.rectangle(40, 40)), (top, right)))


def test_a_face_needs_an_edge_on_its_bend() -> None:
    with pytest.raises(OutlineError, match="one straight edge along its bend"):
        hinge(Face("b", Outline.rectangle(40, 30).moved(0, 1)))
    with pytest.raises(OutlineError, match="nothing below it"):
        hinge(Face("b", Outline.polygon([(0, 0), (20, 0), (20, -5), (40, -5), (40, 30), (0, 30)])))

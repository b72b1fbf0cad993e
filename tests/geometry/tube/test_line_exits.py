"""Leaves become faces: hinges set back, notches cut, corners relieved.  References: by hand."""

import math

import pytest

from fabgen.geometry.plane.outline import Corner, Outline, OutlineError
from fabgen.geometry.sheet.flange_ends import EndLine, end_points
from fabgen.geometry.sheet.fold_tree_building import FaceSketch, Hinge, HungFace, Relief, fold_tree
from fabgen.geometry.sheet.folds import Bend, flat_pattern, hinge

BEND = Bend(2.0, 3.0, math.pi / 2, 0.4)
BOX = tuple(Corner(x, y) for x, y in ((0, 0), (100, 0), (100, 60), (0, 60)))
NARROW = tuple(Corner(x, y) for x, y in ((0, 0), (9, 0), (9, 60), (0, 60)))
ROUND, SQUARE = Relief("round", 4.0, 3.0), Relief("rectangular", 4.0, 3.0)


def tab(name: str = "tab", height: float = 25.0):  # type: ignore[no-untyped-def]
    return lambda hinge: FaceSketch(name, hinge.strip(height))


def hung(edge: int, name: str = "tab", **keys: object) -> HungFace:
    return HungFace(name, edge, BEND, BEND.setback, tab(name), **keys)  # type: ignore[arg-type]


def base(*flanges: HungFace, corners: tuple[Corner, ...] = BOX) -> Outline:
    return fold_tree(FaceSketch("base", corners, flanges)).face.outline


def test_an_edge_with_a_flange_is_set_back_to_the_tangent_line() -> None:
    assert base(hung(2)).bounds == pytest.approx((0, 0, 100, 55))
    assert len(base(hung(2)).vertices) == 4


def test_a_flange_within_an_edge_leaves_the_rest_as_drawn() -> None:
    outline = base(hung(2, start=20.0, end=70.0))
    # Edge 2 runs from right to left: the hinge lies from 80 to 30.
    assert [(v.x, v.y) for v in outline.vertices[2:]] == [
        pytest.approx(p) for p in [(100, 60), (80, 60), (80, 55), (30, 55), (30, 60), (0, 60)]
    ]
    tree = fold_tree(FaceSketch("base", BOX, (hung(2, start=20.0, end=70.0),)))
    assert hinge(tree.flanges[0].tree.face) == pytest.approx((30, 80))


@pytest.mark.parametrize("relief", [ROUND, SQUARE])
def test_notches_lie_beside_the_hinge(relief: Relief) -> None:
    outline = base(hung(2, start=20.0, end=70.0, relief=relief))
    assert outline.bounds == pytest.approx((0, 0, 100, 60))
    arcs = [edge for edge in outline.edges() if edge.is_arc]
    wells = sorted({round(v.x, 6) for v in outline.vertices if 0 < v.x < 100})
    assert wells == pytest.approx([26, 30, 80, 84])
    cut = 50 * 5 + 2 * 4 * 8  # what the hinge is set back by, and two notches 5 + 3 deep
    if relief is ROUND:
        assert [arc.radius for arc in arcs] == pytest.approx([2, 2])
        assert [arc.bulge for arc in arcs] == [-1.0, -1.0]
        cut -= 2 * (4 * 2 - math.pi * 2**2 / 2)
    assert 6000 - outline.area == pytest.approx(cut)


def test_two_flanges_near_one_another_share_a_notch() -> None:
    near = base(hung(2, "a", start=10.0, end=45.0, relief=SQUARE), hung(2, "b", start=54.0, end=90.0, relief=SQUARE))
    assert 6000 - near.area == pytest.approx((35 + 36) * 5 + 9 * 8 + 2 * 4 * 8)
    apart = base(hung(2, "a", start=10.0, end=45.0, relief=SQUARE), hung(2, "b", start=57.0, end=90.0, relief=SQUARE))
    assert 6000 - apart.area == pytest.approx((35 + 33) * 5 + 4 * 4 * 8)


def test_a_notch_that_runs_off_the_edge() -> None:
    outline = base(hung(2, end=93.0, relief=SQUARE))
    assert (0, 52) in [(round(v.x, 6), round(v.y, 6)) for v in outline.vertices]
    assert 6000 - outline.area == pytest.approx(93 * 5 + 7 * 8)
    rounded = base(hung(2, end=93.0, relief=ROUND))
    assert [edge.radius for edge in rounded.edges() if edge.is_arc] == pytest.approx([2.0])


@pytest.mark.parametrize(("relief", "lost"), [(Relief(), 0.0), (ROUND, math.pi), (SQUARE, 4.0)])
def test_the_corner_where_two_bends_meet(relief: Relief, lost: float) -> None:
    outline = base(hung(1, "a", relief=relief), hung(2, "b", relief=relief))
    assert outline.bounds == pytest.approx((0, 0, 95, 55))
    assert 95 * 55 - outline.area == pytest.approx(lost)  # a quarter disc or a square of half the width


def test_corners_off_the_square() -> None:
    """A hexagon keeps its angles when all its edges are set back; corner notches turn by its own angle."""
    points = [(50 * math.cos(a), 50 * math.sin(a)) for a in (i * math.pi / 3 for i in range(6))]
    six = tuple(hung(i, f"f{i}", relief=ROUND) for i in range(6))
    outline = base(*six, corners=tuple(Corner(*p) for p in points))
    arcs = [edge for edge in outline.edges() if edge.is_arc]
    assert [abs(arc.sweep) for arc in arcs] == pytest.approx([2 * math.pi / 3] * 6)
    inner = 50 - 5 / math.cos(math.pi / 6)
    full = 3 * math.sqrt(3) / 2 * inner**2
    assert full - outline.area == pytest.approx(6 * math.pi * 2**2 / 3)


def test_curves_stand_in_for_an_edge() -> None:
    from fabgen.geometry.plane.outline import Vertex

    outline = fold_tree(FaceSketch("ear", BOX, curves={2: (Vertex(100, 60, math.tan(math.pi / 8)),)})).face.outline
    assert outline.area == pytest.approx(6000 + (math.pi / 4 - 0.5) * 5000)  # a segment of a quarter turn over 100 mm


@pytest.mark.parametrize(
    ("flanges", "corners", "words"),
    [
        ((hung(4),), BOX, "no straight edge"),
        ((hung(2, start=60.0, end=60.0),), BOX, "runs from 60 to 60"),
        ((hung(2, "a", end=50.0), hung(2, "b", start=40.0)), BOX, 'flange "b" overlaps flange "a"'),
        ((hung(2),), (*BOX[:2], Corner(100, 60, 5), BOX[3]), "cannot be rounded or cut off"),
        ((hung(2, start=20.0, relief=ROUND),), (*BOX[:2], Corner(100, 60, 17), BOX[3]), "of which 16.00 mm are free"),
        ((hung(1, "a"), hung(3, "b")), NARROW, "by "),
        ((hung(1, "a"), hung(2, "c"), hung(3, "b")), NARROW, "by "),
    ],
)
def test_leaves_that_will_not_do(flanges: tuple[HungFace, ...], corners: tuple[Corner, ...], words: str) -> None:
    with pytest.raises(OutlineError, match=words):
        base(*flanges, corners=corners)


def test_metal_left_to_tear_leaves_no_slit_in_the_flat() -> None:
    """Beside a bend zone shorter than its setback the tab and the flange lie edge to edge."""
    tight = Bend(2.0, 0.0, math.pi / 2, 0.4)
    flange = HungFace("tab", 2, tight, tight.setback, tab(height=25.0), start=20.0, end=70.0)
    flat = flat_pattern(fold_tree(FaceSketch("base", BOX, (flange,))))
    assert len(flat.outline.vertices) == 8
    assert flat.outline.area == pytest.approx(6000 + 50 * (25 + tight.allowance - tight.setback))


# -- ends -----------------------------------------------------------------------
def test_ends_widen_cut_back_and_leave_alone() -> None:
    assert end_points(10, None, 30, 1.0) == [(10, 30)]
    assert end_points(10, EndLine(12, 0.1, 2, widens=True), 30, 1.0) == [(10, 2), (12.2, 2), (15, 30)]
    assert end_points(10, EndLine(12, 0.1, 2, widens=False), 30, 1.0) == [(10, 30)]
    assert end_points(10, EndLine(12, -0.1, 2, widens=False), 30, 1.0) == [(10, pytest.approx(20)), (9, 30)]
    assert end_points(-10, EndLine(-12, -0.1, 2, widens=True), 30, -1.0) == [(-10, 2), (-12.2, 2), (-15, 30)]
    assert end_points(10, EndLine(8, 0.0, 2, widens=True), 30, 1.0) == [(10, 0.1), (8, 0.1), (8, 30)]


def test_a_strip_follows_its_ends() -> None:
    bound = Hinge(0, 50, left=EndLine(-3, 0, 2, True), right=EndLine(55, 0, 2, True))
    corners = bound.strip(20, radius=4)
    assert [(c.x, c.y) for c in corners] == [(0, 0), (50, 0), (50, 2), (55, 2), (55, 20), (-3, 20), (-3, 2), (0, 2)]
    assert [c.radius for c in corners] == [0, 0, 0, 0, 4, 4, 0, 0]
    assert bound.far_edge(20) == 4
    with pytest.raises(OutlineError, match="ends cross"):
        Hinge(0, 10, left=EndLine(0, 0.6, 0.1, True), right=EndLine(10, -0.6, 0.1, True)).strip(20)

"""What is left of a sheet: inside it, clear of the parts, wide enough, whole millimetres."""

from __future__ import annotations

import math
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from fabgen.geometry.plane.outline import Outline
from fabgen.parts.piece import FlatPart, Piece
from fabgen.plan.plan import PlacedPart, Plan, SheetPlan
from fabgen.plan.rack.remnants import remnants_of


def plate(mark: str, width: float, height: float) -> Piece:
    return Piece(mark, "plate", 1, "S235", 1.0, FlatPart(3.0, Outline.rectangle(width, height)))


def sheet(*placed: PlacedPart, size: tuple[float, float] = (2000.0, 1000.0)) -> SheetPlan:
    return SheetPlan("S235", 3.0, size, placed, 0.1, False)


def test_beyond_one_part_an_angle_is_left() -> None:
    plan = Plan(sheets=(sheet(PlacedPart("P", 10.0, 10.0, 0.0)),))
    (left,) = remnants_of(plan, [plate("P", 490.0, 290.0)], 100.0)
    # Used: up to 500 + 5 along, 300 + 5 up; half a millimetre is lost all round.
    assert left.size is None
    assert abs(Polygon(left.outline).area - (2000 * 1000 - 505 * 305)) < 4000
    assert len(left.outline) == 6


def test_a_strip_across_leaves_a_rectangle() -> None:
    plan = Plan(sheets=(sheet(PlacedPart("P", 10.0, 10.0, 0.0)),))
    (left,) = remnants_of(plan, [plate("P", 600.0, 970.0)], 100.0)
    assert left.size is not None
    assert 1380.0 <= left.size[0] <= 1385.0
    assert 998.0 <= left.size[1] <= 1000.0


def test_what_is_narrow_is_scrap() -> None:
    plan = Plan(sheets=(sheet(PlacedPart("P", 10.0, 10.0, 0.0)),))
    assert remnants_of(plan, [plate("P", 1900.0, 900.0)], 100.0) == []
    assert len(remnants_of(plan, [plate("P", 1900.0, 900.0)], 60.0)) == 1


def test_the_rolling_direction_stays_along_x() -> None:
    """A sheet that stands upright is rolled along y: its remnant is laid over."""
    upright = sheet(PlacedPart("P", 10.0, 10.0, 0.0), size=(1000.0, 2000.0))
    (left,) = remnants_of(Plan(sheets=(upright,)), [plate("P", 980.0, 500.0)], 100.0)
    assert left.size is not None
    assert left.size[0] > left.size[1]


def test_a_remnant_of_a_remnant_keeps_its_shape() -> None:
    outline = Outline.polygon([(0, 0), (800, 0), (800, 300), (400, 600), (0, 600)])
    old = replace(sheet(PlacedPart("P", 10.0, 10.0, 0.0), size=(800.0, 600.0)), outline=outline)
    (left,) = remnants_of(Plan(sheets=(old,)), [plate("P", 190.0, 580.0)], 100.0)
    assert left.size is None
    shape = Polygon(left.outline)
    assert shape.is_valid
    assert Polygon(outline.points(0.1)).difference(box(0, 0, 205, 600)).area - shape.area < 2000


@given(
    st.lists(
        st.tuples(
            st.floats(20, 700), st.floats(20, 500), st.floats(0, 1200), st.floats(0, 450), st.sampled_from([0, 90])
        ),
        min_size=1,
        max_size=6,
    ),
    st.floats(40.0, 300.0),
)
def test_remnants_lie_apart_from_the_parts(parts: list[tuple[float, float, float, float, int]], least: float) -> None:
    pieces = [plate(f"P{i}", w, h) for i, (w, h, *_) in enumerate(parts)]
    placed = [
        PlacedPart(f"P{i}", x + (h if turn else 0.0), y, float(turn)) for i, (_, h, x, y, turn) in enumerate(parts)
    ]
    found = remnants_of(Plan(sheets=(sheet(*placed),)), pieces, least)
    taken = [
        Polygon(piece.shape.outline.turned(math.radians(at.turn)).moved(at.x, at.y).points(0.1))  # type: ignore[union-attr]
        for piece, at in zip(pieces, placed, strict=True)
    ]
    used = taken[0]
    for other in taken[1:]:
        used = used.union(other)
    free = box(0, 0, 2000, 1000).difference(used)
    assert sum(Polygon(left.outline).area for left in found) <= free.area
    for left in found:
        shape = Polygon(left.outline)
        assert shape.is_valid
        assert shape.bounds[:2] == (0.0, 0.0)
        assert all(v == round(v) for corner in left.outline for v in corner)
        assert not shape.buffer(-(least / 2.0 - 2.0)).is_empty

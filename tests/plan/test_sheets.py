"""Sheets: parts inside the margin, apart by the gap, checked with shapely on the true outlines."""

import math
from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box

from fabgen.geometry.outline import Outline
from fabgen.parts.piece import FlatPart, Piece
from fabgen.plan.sheets import SheetStock, blanks_of, plan_sheets

sizes = st.lists(st.tuples(st.floats(10, 700), st.floats(10, 480), st.integers(1, 3)), min_size=1, max_size=15)


def plate(mark: str, width: float, height: float, quantity: int = 1) -> Piece:
    shape = FlatPart(3.0, Outline.rectangle(width, height))
    return Piece(mark, "plate", quantity, "S235", 1.0, shape)


@given(sizes)
@settings(max_examples=40, deadline=None)
def test_parts_lie_inside_and_apart(rects: list[tuple[float, float, int]]) -> None:
    pieces = [plate(f"P{i}", w, h, n) for i, (w, h, n) in enumerate(rects)]
    blanks = blanks_of(pieces)["S235", 3.0]
    sheets, unplaced = plan_sheets(
        "S235", 3.0, blanks, [SheetStock((1000.0, 500.0)), SheetStock((1500.0, 750.0))], 5.0, 10.0
    )
    assert not unplaced
    outlines = {p.mark: p.shape.outline for p in pieces if isinstance(p.shape, FlatPart)}
    assert sum(len(s.placed) for s in sheets) == sum(n for *_, n in rects)
    for sheet in sheets:
        room = box(10, 10, sheet.size[0] - 10, sheet.size[1] - 10).buffer(1e-6)
        shapes = [Polygon(outlines[p.mark].turned(math.radians(p.turn)).moved(p.x, p.y).points()) for p in sheet.placed]
        assert all(room.covers(shape) for shape in shapes)
        assert all(a.distance(b) >= 5.0 - 1e-6 for a, b in combinations(shapes, 2))


def test_a_part_larger_than_any_sheet_is_named() -> None:
    blanks = blanks_of([plate("P1", 3000, 100), plate("P2", 50, 50)])["S235", 3.0]
    sheets, unplaced = plan_sheets("S235", 3.0, blanks, [SheetStock((1000.0, 500.0))], 5.0, 10.0)
    assert [mark for mark, _ in unplaced] == ["P1"]
    assert [p.mark for s in sheets for p in s.placed] == ["P2"]


def test_a_sheet_on_the_rack_goes_first() -> None:
    blanks = blanks_of([plate("P1", 300, 200, 2)])["S235", 3.0]
    stocks = [SheetStock((2000.0, 1000.0)), SheetStock((350.0, 250.0), on_hand=1)]
    sheets, _ = plan_sheets("S235", 3.0, blanks, stocks, 5.0, 10.0)
    assert [(s.size, s.spare) for s in sheets] == [((350.0, 250.0), True), ((2000.0, 1000.0), False)]

"""Sheets: parts inside the margin, apart by the gap, checked with shapely on the true outlines; what is bought."""

import math
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jobs import pieces_of, read
from shapely import Polygon, box

from fabgen.geometry.plane.outline import Circle, Outline
from fabgen.job.errors import JobError
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import FlatPart, Hole, Piece
from fabgen.plan.cut_plan import make_plan
from fabgen.plan.plan import Plan
from fabgen.plan.sheets.sheet_choice import cheaper_choices
from fabgen.plan.sheets.sheet_stock import Spacing, sheet_spacing, sheet_stocks, with_worth
from fabgen.plan.sheets.sheets import Effort, SheetStock, blanks_of, plan_sheets

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
        ("S235", 3.0),
        blanks,
        [SheetStock((1000.0, 500.0)), SheetStock((1500.0, 750.0))],
        Spacing(5.0, 10.0),
        Effort.QUICK,
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
    sheets, unplaced = plan_sheets(("S235", 3.0), blanks, [SheetStock((1000.0, 500.0))], Spacing(5.0, 10.0))
    assert [mark for mark, _ in unplaced] == ["P1"]
    assert [p.mark for s in sheets for p in s.placed] == ["P2"]


def test_a_sheet_on_the_rack_goes_first() -> None:
    blanks = blanks_of([plate("P1", 300, 200, 2)])["S235", 3.0]
    stocks = [SheetStock((2000.0, 1000.0)), SheetStock((350.0, 250.0), on_hand=1)]
    sheets, _ = plan_sheets(("S235", 3.0), blanks, stocks, Spacing(5.0, 10.0))
    assert [(s.size, s.spare) for s in sheets] == [((350.0, 250.0), True), ((2000.0, 1000.0), False)]


# -- effort -----------------------------------------------------------------------
SHEETS = [SheetStock((1000.0, 500.0)), SheetStock((1500.0, 750.0))]
GUSSET = FlatPart(3.0, Outline.polygon([(0.0, 0.0), (440.0, 0.0), (0.0, 440.0)]))
"""Two gussets make a square when laid long side to long side; as rectangles a sheet takes two."""


def test_true_shapes_save_a_sheet_that_rectangles_need() -> None:
    blanks = blanks_of([Piece("P1", "plate", 4, "S235", 1.0, GUSSET)])["S235", 3.0]
    quick, _ = plan_sheets(("S235", 3.0), blanks, SHEETS, Spacing(5.0, 10.0), Effort.QUICK)
    normal, _ = plan_sheets(("S235", 3.0), blanks, SHEETS, Spacing(5.0, 10.0), Effort.NORMAL)
    assert sum(sheet.size[0] * sheet.size[1] for sheet in quick) > 500_000.0
    assert [(sheet.size, len(sheet.placed)) for sheet in normal] == [((1000.0, 500.0), 4)]


def test_where_nothing_can_be_saved_normal_is_quick() -> None:
    blanks = blanks_of([Piece("P1", "plate", 2, "S235", 1.0, GUSSET)])["S235", 3.0]
    plans = [
        plan_sheets(("S235", 3.0), blanks, SHEETS, Spacing(5.0, 10.0), effort)
        for effort in (Effort.QUICK, Effort.NORMAL)
    ]
    assert plans[0] == plans[1]


def test_long_leaves_more_of_the_last_sheet_whole() -> None:
    blanks = blanks_of([Piece("P1", "plate", 2, "S235", 1.0, GUSSET)])["S235", 3.0]

    def reach(effort: Effort) -> float:
        (sheet,), _ = plan_sheets(("S235", 3.0), blanks, SHEETS, Spacing(5.0, 10.0), effort)
        return max(GUSSET.outline.turned(math.radians(p.turn)).moved(p.x, p.y).bounds[2] for p in sheet.placed)

    assert reach(Effort.LONG) < reach(Effort.QUICK) - 100.0


def test_progress_is_told() -> None:
    told: list[tuple[str, float]] = []
    blanks = blanks_of([Piece("P1", "plate", 4, "S235", 1.0, GUSSET)])["S235", 3.0]
    plan_sheets(
        ("S235", 3.0), blanks, SHEETS, Spacing(5.0, 10.0), progress=lambda what, share: told.append((what, share))
    )
    assert told[0] == ("3 mm S235: laying out", 0.0)
    assert told[-1] == ("3 mm S235: laid out", 1.0)
    assert all(0.0 <= share <= 1.0 for _, share in told)


# -- which sheets --------------------------------------------------------------------
def test_of_rack_pieces_that_take_all_the_smallest_is_used() -> None:
    blanks = blanks_of([plate("P1", 300, 200)])["S235", 3.0]
    stocks = [
        SheetStock((2000.0, 1000.0)),
        SheetStock((900.0, 900.0), on_hand=1),
        SheetStock((350.0, 250.0), on_hand=1),
    ]
    sheets, _ = plan_sheets(("S235", 3.0), blanks, stocks, Spacing(5.0, 10.0))
    assert [sheet.size for sheet in sheets] == [(350.0, 250.0)]


def test_a_remnant_takes_what_fits_its_outline() -> None:
    corner = Outline.polygon([(0.0, 0.0), (480.0, 0.0), (0.0, 480.0)])
    stocks = [SheetStock((1000.0, 500.0)), SheetStock((480.0, 480.0), on_hand=1, outline=corner, mark="R7")]
    pieces = [plate("P1", 400, 300), plate("P2", 220, 200)]
    sheets, _ = plan_sheets(("S235", 3.0), blanks_of(pieces)["S235", 3.0], stocks, Spacing(5.0, 10.0))
    assert [([p.mark for p in s.placed], s.rack_marks) for s in sheets] == [(["P2"], ("R7",)), (["P1"], ())]
    assert sheets[0].outline == corner
    assert sheets[0].used == pytest.approx(220 * 200 / corner.area)


def test_a_remnant_too_narrow_for_its_rim_is_no_stock() -> None:
    stocks = [SheetStock((1000.0, 500.0)), SheetStock((15.0, 400.0), on_hand=1)]
    sheets, _ = plan_sheets(("S235", 3.0), blanks_of([plate("P1", 5, 5)])["S235", 3.0], stocks, Spacing(5.0, 10.0))
    assert [sheet.spare for sheet in sheets] == [False]


def test_a_part_as_large_as_the_room_fits() -> None:
    pieces = [Piece("P1", "plate", 1, "S235", 1.0, FlatPart(3.0, Circle(0, 0, 480.0), (Hole(Circle(0, 0, 300.0)),)))]
    pieces += [plate("P2", 495, 480), Piece("P3", "plate", 1, "S235", 1.0, GUSSET)]
    for effort in (Effort.NORMAL, Effort.LONG):
        sheets, _ = plan_sheets(("S235", 3.0), blanks_of(pieces)["S235", 3.0], SHEETS[:1], Spacing(5.0, 10.0), effort)
        assert sum(len(sheet.placed) for sheet in sheets) == 3


def test_cheaper_choices_are_all_there_are() -> None:
    stocks = [SheetStock((1000.0, 500.0), price=20.0), SheetStock((1500.0, 750.0), price=38.0)]
    blanks = blanks_of([plate("P1", 300, 200)])["S235", 3.0]
    found = cheaper_choices(stocks, blanks, 10.0, below=77.0, area=1.2e6)
    assert [sorted(s.price or 0.0 for s in choice) for choice in found] == [
        [20.0, 38.0],
        [20.0, 20.0, 20.0],
        [38.0, 38.0],
    ]


def test_sheets_without_a_price_are_valued_at_the_dearest_given() -> None:
    stocks = with_worth([SheetStock((1000.0, 500.0), price=20.0), SheetStock((1500.0, 1000.0))])
    assert [stock.cost for stock in stocks] == pytest.approx([20.0, 60.0])


# -- from the job file ------------------------------------------------------------------
HEAD = """
[job]
title = "t"
number = "1"
units = "mm"
"""
LAST = """
[[plate]]
mark = "P9"
thickness = 8
disc = 50
"""


def definitions(text: str) -> Definitions:
    return read(HEAD + text + LAST)


def planned(text: str) -> Plan:
    job = definitions(text)
    return make_plan(job, pieces_of(job))


def test_a_remnant_of_the_job_file() -> None:
    job = definitions("""
[[stock]]
thickness = 3
mark = "R1"
outline = [[100, 50], [700, 50], [600, 250], [100, 430]]
on_hand = 2
margin = 4
gap = 7
[[stock]]
thickness = 3
outline = { rectangle = [300, 200], corner_radius = 20 }
on_hand = 1
""")
    first, second, *bought = sheet_stocks(job, "S235", 3.0)
    assert (first.size, first.mark, first.on_hand) == ((600.0, 380.0), "R1", 2)
    assert first.outline is not None
    assert first.outline.bounds == (0.0, 0.0, 600.0, 380.0)
    assert second.outline is not None
    assert second.outline.area == pytest.approx(300 * 200 - (4 - math.pi) * 20**2)
    assert first.room(10.0).bounds[:2] == (4.0, 4.0)
    assert second.room(10.0).bounds == pytest.approx((10.0, 10.0, 290.0, 190.0), abs=0.05)
    assert all(stock.assumed for stock in bought)
    assert sheet_spacing(job, "S235", 3.0) == (7.0, 10.0)
    assert sheet_spacing(job, "S235", 4.0) == (5.0, 10.0)


def test_a_torch_kerf_wider_than_the_gap_counts() -> None:
    job = definitions("[[stock]]\nthickness = 3\nsheets = [[1000, 500]]\nkerf = 9\n")
    assert sheet_spacing(job, "S235", 3.0) == (9.0, 10.0)


def test_an_outline_that_will_not_do_is_told_with_its_place() -> None:
    job = definitions("[[stock]]\nthickness = 3\noutline = [[0, 0], [9, 9], [9, 0], [0, 9]]\non_hand = 1\n")
    with pytest.raises(JobError) as caught:
        sheet_stocks(job, "S235", 3.0)
    assert caught.value.problems[0].path == ("stock", 0, "outline", "corners")


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("thickness = 3\noutline = [[0, 0], [9, 9], [9, 0]]", "say how many there are"),
        (
            "thickness = 3\nsheets = [[9, 9]]\noutline = [[0, 0], [9, 9], [9, 0]]\non_hand = 1",
            "sheets has no meaning here",
        ),
        ('section = "20 x 2"\nlengths = [600]\ngap = 3', "gap has no meaning here"),
        ("thickness = 3\nsheets = [[9, 9]]\ngap = 0", "not above zero"),
    ],
)
def test_faults_of_stock(text: str, what: str) -> None:
    with pytest.raises(JobError) as caught:
        definitions(f"[[stock]]\n{text}\n")
    assert what in " ".join(problem.what for problem in caught.value.problems)


PLATE = "[[plate]]\nmark = 'P1'\nthickness = 3\nrectangle = [400, 90]\nquantity = 4\n"


@pytest.mark.parametrize(
    ("grain", "turns"), [("true", {0.0}), ("'along'", {0.0}), ("'across'", {90.0}), ("false", {0.0, 90.0})]
)
@pytest.mark.parametrize("size", [[1000, 500], [500, 1000]])
def test_grain(grain: str, turns: set, size: list) -> None:
    """The rolling direction runs along the longer side of the sheet, however the job writes its size."""
    plan = planned(f"{PLATE}grain = {grain}\n[[stock]]\nthickness = 3\nsheets = [{size}]\n")
    found = {place.turn for sheet in plan.sheets for place in sheet.placed if place.mark == "P1"}
    if size[1] > size[0] and grain != "false":
        found = {90.0 - turn for turn in found}
    assert found <= turns
    assert not plan.unplaced


def test_a_part_that_fits_one_way_only_against_the_grain_fits_no_sheet() -> None:
    plan = planned(f"{PLATE}grain = 'across'\n[[stock]]\nthickness = 3\nsheets = [[1000, 300]]\n")
    assert [mark for mark, _ in plan.unplaced] == ["P1"]


def test_a_grain_that_cannot_be_read() -> None:
    with pytest.raises(JobError) as caught:
        definitions(f"{PLATE}grain = 'up'\n")
    assert "grain" in caught.value.problems[0].what

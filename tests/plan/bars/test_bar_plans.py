"""Bars: nothing lost, nothing too long, never worse than first-fit decreasing."""

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jobs import definitions, pieces_of, tube

from fabgen.plan.bars.bars import BarStock, plan_bars
from fabgen.plan.bars.shared_cuts import slanted_ends
from fabgen.plan.cut_plan import make_plan
from fabgen.plan.plan import BarPlan, Cut
from fabgen.shop.section import Section

TUBE = Section("round", 48.3, 48.3, 3.2)

lengths = st.lists(st.floats(20.0, 2900.0).map(lambda x: round(x, 1)), min_size=1, max_size=40)


def cuts_from(sizes: list[float]) -> list[Cut]:
    return sorted((Cut(f"T{i}", size) for i, size in enumerate(sizes)), key=lambda c: (-c.length, c.mark))


def cut_count(bars: list[BarPlan]) -> Counter[Cut]:
    return Counter(dict.fromkeys((), 0)) + sum((Counter({c: b.count}) for b in bars for c in b.cuts), Counter())


def first_fit_decreasing(sizes: list[float], stock: float, kerf: float) -> int:
    """The textbook heuristic (Johnson, D. S., 'Near-optimal bin packing algorithms', MIT, 1973)."""
    rooms: list[float] = []
    for size in sorted(sizes, reverse=True):
        for i, room in enumerate(rooms):
            if room >= size:
                rooms[i] -= size + kerf
                break
        else:
            rooms.append(stock - size - kerf)
    return len(rooms)


@given(lengths)
def test_every_piece_is_cut_once_and_every_bar_holds_its_cuts(sizes: list[float]) -> None:
    cuts = cuts_from(sizes)
    bars, _, unplaced = plan_bars(TUBE, "S235", cuts, [BarStock(3000.0)])
    assert not unplaced
    assert cut_count(bars) == Counter(cuts)
    for bar in bars:
        needed = sum(cut.length for cut in bar.cuts) + bar.kerf * (len(bar.cuts) - 1)
        assert needed <= bar.stock + 1e-6
        assert bar.offcut == pytest.approx(max(0.0, bar.stock - needed - bar.kerf), abs=1e-6)


@given(lengths)
def test_never_more_bars_than_first_fit_decreasing(sizes: list[float]) -> None:
    bars, _, _ = plan_bars(TUBE, "S235", cuts_from(sizes), [BarStock(3000.0, kerf=2.0)])
    assert sum(bar.count for bar in bars) <= first_fit_decreasing(sizes, 3000.0, 2.0)


def test_the_last_cut_needs_no_kerf() -> None:
    bars, _, _ = plan_bars(TUBE, "S235", cuts_from([1000.0, 998.0, 998.0]), [BarStock(3000.0, kerf=2.0)])
    assert [bar.count for bar in bars] == [1]


def test_the_rack_is_used_before_anything_is_bought() -> None:
    stocks = [BarStock(6000.0, price=50.0), BarStock(1250.0, on_hand=1)]
    bars, _, _ = plan_bars(TUBE, "S235", cuts_from([1200.0, 1200.0]), stocks)
    assert {(bar.stock, bar.count, bar.spare) for bar in bars} == {(1250.0, 1, True), (6000.0, 1, False)}


def test_a_piece_longer_than_any_bar_is_named() -> None:
    bars, _, unplaced = plan_bars(TUBE, "S235", cuts_from([7000.0, 100.0]), [BarStock(6000.0)])
    assert [mark for mark, _ in unplaced] == ["T0"]
    assert cut_count(bars) == Counter([Cut("T1", 100.0)])


def test_the_cheaper_length_is_bought() -> None:
    stocks = [BarStock(6000.0, price=100.0), BarStock(3000.0, price=40.0)]
    bars, _, _ = plan_bars(TUBE, "S235", cuts_from([2900.0, 2900.0]), stocks)
    bought = Counter(stock for bar in bars for stock in [bar.stock] * bar.count)
    assert bought == Counter({3000.0: 2})


def test_a_section_is_one_stock_whichever_of_its_sides_stands_upright() -> None:
    """The larger size is named first, as it is bought; two lengths of 2.9 m come from one bar."""
    job = definitions(
        tube=[
            tube("T1", (0, 0, 0), (2900, 0, 0), section="60 x 40 x 3"),
            tube("T2", (0, 900, 0), (2900, 900, 0), section="40 x 60 x 3"),
        ]
    )
    (bar,) = make_plan(job, pieces_of(job)).bars
    assert (str(bar.section), bar.count, len(bar.cuts)) == ("60 x 40 x 3", 1, 2)


def test_mitres_share_a_cut_by_the_side_that_it_slants_across() -> None:
    """A frame that lies flat: its 40 mm stand up in two tubes that are turned, so the saw swings in one and tilts in
    the other, and both slants run across the 60 mm."""
    mitre = {"cut": "mitre"}
    level = tube("T1", (0, 0, 0), (900, 0, 0), section="40 x 60 x 3", finish=mitre)
    turned = tube("T2", (900, 0, 0), (900, 700, 0), section="60 x 40 x 3", turn=90, start=mitre)
    job = definitions(tube=[level, turned], saw={"pair_mitres": True})
    ends = slanted_ends(pieces_of(job))
    assert ends["T1"][1] is not None
    assert ends["T2"][0] is not None
    assert ends["T1"][1].kind == ends["T2"][0].kind == ("across 60", 45.0)

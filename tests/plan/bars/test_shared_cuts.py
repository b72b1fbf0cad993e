"""Slanted ends that share saw cuts: as many as trying every order gives, and bars that really hold their pieces."""

from __future__ import annotations

import itertools
import math
import random
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache

import pytest
from jobs import pieces_of, read
from random_seeds import first_seed, how_many

from fabgen.plan.bars.bars import BarStock, plan_bars
from fabgen.plan.bars.shared_cuts import Ends, SlantedEnd, arranged, least_taken, slanted_ends, taken
from fabgen.plan.job_plan import plan_job
from fabgen.plan.plan import BarBill, BarPlan, Cut, Plan
from fabgen.shop.section import Section

TUBE = Section("round", 40.0, 40.0, 3.0)

KERF = 2.0
KINDS = [
    None,
    SlantedEnd(("slanted", 45.0), 45.0, 40.0),
    SlantedEnd(("slanted", 30.0), 30.0, 23.0),
    SlantedEnd(("slanted", 10.0), 10.0, 7.0),
]


def by_trying_every_order(ends: Sequence[Ends]) -> float:
    """The most saved over all orders of the pieces, each lying either way."""
    best = 0.0
    for order in itertools.permutations(range(len(ends))):
        saved = {0: 0.0, 1: 0.0}
        for before, piece in itertools.pairwise(order):
            saved = {
                turned: max(
                    so_far + _saved(ends[before][1 - turned_before], ends[piece][turned])
                    for turned_before, so_far in saved.items()
                )
                for turned in (0, 1)
            }
        best = max(best, *saved.values())
    return best


def _saved(one: SlantedEnd | None, other: SlantedEnd | None) -> float:
    return max(0.0, one.saved(KERF)) if one and other and one.kind == other.kind else 0.0


def least_by_trying(ends: Sequence[Ends]) -> float:
    """The least that cuts between the pieces take beyond a square kerf each, over all orders, each lying either way:
    a cut that is not shared is as wide along the bar as the more slanted of the two it makes."""
    least = float("inf")
    for order in itertools.permutations(range(len(ends))):
        costs = {0: 0.0, 1: 0.0}
        for before, piece in itertools.pairwise(order):
            costs = {
                turned: min(
                    cost + _between(ends[before][1 - turned_before], ends[piece][turned])
                    for turned_before, cost in costs.items()
                )
                for turned in (0, 1)
            }
        least = min(least, *costs.values())
    return least


def _between(one: SlantedEnd | None, other: SlantedEnd | None) -> float:
    if saved := _saved(one, other):
        return -saved
    return max(KERF / math.cos(math.radians(end.angle)) - KERF if end else 0.0 for end in (one, other))


@pytest.mark.parametrize("seed", range(150))
def test_slanted_cuts_that_are_not_shared(seed: int) -> None:
    """What is said to be the least in any order is no more than that; what is laid comes within a kerf of it."""
    ends = random_ends(seed)
    least = least_by_trying(ends)
    assert least_taken(ends, KERF) <= least + 1e-9
    assert least - 1e-9 <= taken(ends, KERF) <= least + KERF


def random_ends(seed: int) -> list[Ends]:
    dice = random.Random(seed)
    return [(dice.choice(KINDS), dice.choice(KINDS)) for _ in range(dice.randint(1, 6))]


@pytest.mark.parametrize("seed", range(150))
def test_as_much_is_saved_as_by_trying_every_order(seed: int) -> None:
    ends = random_ends(seed)
    order = arranged(ends, KERF)
    assert sorted(laid.number for laid in order) == list(range(len(ends)))
    for before, laid in itertools.pairwise(order):
        if laid.shared:
            last, first = ends[before.number][0 if before.turned else 1], ends[laid.number][1 if laid.turned else 0]
            assert last is not None
            assert first is not None
            assert last.kind == first.kind == laid.shared.kind
    saved = sum(laid.shared.saved(KERF) for laid in order if laid.shared)
    assert saved == pytest.approx(by_trying_every_order(ends))


def test_what_a_shared_cut_saves() -> None:
    """40 mm wide at 45 degrees, by drawing: pieces 1000 mm long over all, the blade's 2 mm lying across the
    slant, so 2 sqrt 2 along the bar.  The second's near point lies 40 - 2 sqrt 2 before the first's far one."""
    end = SlantedEnd(("slanted", 45.0), 45.0, 40.0)
    apart = KERF - end.saved(KERF)
    assert apart == pytest.approx(-(40.0 - 2.0 * 2.0**0.5))


def random_bars(seed: int) -> tuple[list[Cut], dict[str, Ends], list[BarStock]]:
    dice = random.Random(seed)
    marks = {f"T{i}": (dice.choice(KINDS), dice.choice(KINDS)) for i in range(dice.randint(1, 8))}
    cuts = [Cut(mark, dice.uniform(150.0, 900.0)) for mark in marks for _ in range(1)]
    cuts = [cut for cut in cuts for _ in range(dice.randint(1, 6))]
    stocks = [BarStock(2000.0, kerf=KERF, end_loss=dice.choice([0.0, 30.0]))]
    if dice.random() < 0.5:
        stocks.append(BarStock(1100.0, on_hand=2, kerf=KERF))
    return sorted(cuts, key=lambda c: (-c.length, c.mark)), marks, stocks


@pytest.mark.parametrize("seed", range(60))
def test_pieces_lie_clear_of_one_another_and_cost_no_more(seed: int) -> None:
    cuts, ends, stocks = random_bars(seed)
    bars, bill, left = plan_bars(TUBE, "S235", cuts, stocks, ends)
    alone = {mark: tuple(end and replace(end, shares=False) for end in pair) for mark, pair in ends.items()}
    apart, plain, _ = plan_bars(TUBE, "S235", cuts, stocks, alone)
    assert not left
    assert bill.bill <= plain.bill
    assert plain.bound <= plain.bill
    for bar in apart:
        assert not any(cut.shared for cut in bar.cuts)
        check(bar, ends)
    assert bill.bound <= bill.bill
    cut = Counter(c.mark for bar in bars for c in bar.cuts for _ in range(bar.count))
    assert cut == Counter(c.mark for c in cuts)
    for bar in bars:
        check(bar, ends)


def by_trying_every_grouping(cuts: Sequence[Cut], ends: dict[str, Ends], stocks: Sequence[BarStock]) -> int:
    """The least cost over all ways to share the pieces out over bars, the rack's included."""
    bought = [stock for stock in stocks if stock.on_hand is None]
    rack = [stock for stock in stocks for _ in range(stock.on_hand or 0)]

    @cache
    def fits(stock: BarStock, block: tuple[int, ...]) -> bool:
        used = sum(cuts[i].length for i in block) + (len(block) - 1) * KERF
        return used + least_by_trying([ends[cuts[i].mark] for i in block]) <= stock.usable + 1e-6

    def costs(blocks: list[list[int]], free: list[BarStock]) -> Iterator[int]:
        if not blocks:
            yield 0
            return
        block, rest = tuple(blocks[0]), blocks[1:]
        if cheapest := min((stock.cost for stock in bought if fits(stock, block)), default=None):
            yield from (cheapest + cost for cost in costs(rest, free))
        for k, stock in enumerate(free):
            if fits(stock, block):
                yield from costs(rest, free[:k] + free[k + 1 :])

    def groupings(i: int, blocks: list[list[int]]) -> Iterator[list[list[int]]]:
        if i == len(cuts):
            yield blocks
            return
        for block in blocks:
            block.append(i)
            yield from groupings(i + 1, blocks)
            block.pop()
        yield from groupings(i + 1, [*blocks, [i]])

    return min(cost for blocks in groupings(0, []) for cost in costs(blocks, rack))


def few_pieces(seed: int, most: int) -> tuple[list[Cut], dict[str, Ends], list[BarStock]]:
    dice = random.Random(seed)
    ends = {f"T{i}": (dice.choice(KINDS), dice.choice(KINDS)) for i in range(dice.randint(2, most))}
    cuts = [Cut(mark, float(dice.randint(150, 900))) for mark in ends]
    stocks = [BarStock(2000.0, kerf=KERF, end_loss=dice.choice([0.0, 30.0]))]
    stocks += [BarStock(1200.0, kerf=KERF)] if dice.random() < 0.5 else []
    stocks += [BarStock(float(dice.randint(500, 1300)), on_hand=1, kerf=KERF)] if dice.random() < 0.4 else []
    return sorted(cuts, key=lambda c: (-c.length, c.mark)), ends, stocks


def is_least(seed: int, most: int) -> None:
    cuts, ends, stocks = few_pieces(seed, most)
    bars, bill, _ = plan_bars(TUBE, "S235", cuts, stocks, ends)
    assert bill.proven
    assert bill.bill == pytest.approx(by_trying_every_grouping(cuts, ends, stocks) / 10.0)
    assert Counter(c.mark for bar in bars for c in bar.cuts for _ in range(bar.count)) == Counter(c.mark for c in cuts)
    for bar in bars:
        check(bar, ends)


@pytest.mark.parametrize("seed", range(60))
def test_few_pieces_cost_the_least(seed: int) -> None:
    is_least(seed, 6)


@pytest.mark.slow
@pytest.mark.parametrize("block", range(4))
def test_up_to_eight_pieces_cost_the_least(block: int) -> None:
    """400 jobs with --full."""
    first = first_seed(1000) + 100 * block
    for seed in range(first, first + how_many(100, 10)):
        is_least(seed, 8)


def check(bar: BarPlan, ends: dict[str, Ends]) -> None:
    """Worked out again from the slants: planes of neighbours a kerf apart or more, square to the planes."""
    for (before, span), (cut, next_span) in itertools.pairwise(zip(bar.cuts, bar.spans, strict=True)):
        room = next_span[0] - span[1]
        last = ends[before.mark][0 if before.turned else 1]
        first = ends[cut.mark][1 if cut.turned else 0]
        if not cut.shared:
            slants = (abs(end.slant / _width(end)) if end else 0.0 for end in (last, first))
            assert room == pytest.approx(bar.kerf * (1.0 + max(slants) ** 2) ** 0.5)
            continue
        assert last is not None
        assert first is not None
        assert last.kind == first.kind
        assert room + last.slant == pytest.approx(bar.kerf * (1.0 + (last.slant / _width(last)) ** 2) ** 0.5)
    assert bar.spans[0][0] == 0.0
    limit = bar.stock - (bar.end_loss + bar.kerf if bar.end_loss else 0.0)
    assert bar.spans[-1][1] <= limit + 1e-6
    end = ends[bar.cuts[-1].mark][0 if bar.cuts[-1].turned else 1]
    kerf = bar.kerf * (1.0 + (end.slant / _width(end)) ** 2) ** 0.5 if end else bar.kerf
    assert bar.offcut == pytest.approx(max(0.0, bar.stock - bar.spans[-1][1] - kerf))


def _width(end: SlantedEnd) -> float:
    return {45.0: 40.0, 30.0: 23.0 / 3.0**-0.5, 10.0: 7.0 / 0.17632698}[end.angle]


def test_shared_cuts_save_a_bar() -> None:
    """Six pieces of 1000 mm with 40 mm mitres at both ends: 6 x 1000 + 5 x 2 mm is more than 5.9 m, sharing
    five cuts it is 6000 - 5 x 37.2 = 5814 mm."""
    end = SlantedEnd(("slanted", 45.0), 45.0, 40.0)
    cuts = [Cut("T1", 1000.0)] * 6
    bars, bill, _ = plan_bars(TUBE, "S235", cuts, [BarStock(5900.0, kerf=KERF)], {"T1": (end, end)})
    assert [bar.count for bar in bars] == [1]
    assert bill.proven
    assert sum(bar.count for bar in plan_bars(TUBE, "S235", cuts, [BarStock(5900.0, kerf=KERF)])[0]) == 2


@pytest.mark.parametrize(("length", "bars"), [(4006.0, 2), (4008.4, 2), (4008.5, 1)])
def test_slanted_cuts_of_their_own_take_more_of_the_bar(length: float, bars: int) -> None:
    """Four pieces of 1000 mm with 45 degrees at both ends: three cuts between, each 2 mm / cos 45 along the bar,
    4000 + 3 x 2.83 = 4008.485 mm."""
    end = SlantedEnd(("slanted", 45.0), 45.0, 40.0, shares=False)
    stock = BarStock(length, kerf=KERF)
    planned, bill, _ = plan_bars(TUBE, "S235", [Cut("T1", 1000.0)] * 4, [stock], {"T1": (end, end)})
    assert sum(bar.count for bar in planned) == bars
    assert bill.proven
    starts = [at for at, _ in planned[0].spans]
    assert [b - a - 1000.0 for a, b in itertools.pairwise(starts)] == pytest.approx([8.0**0.5] * (len(starts) - 1))


# -- clamp, bills, rests ------------------------------------------------------------
def test_what_the_clamp_holds_gives_no_piece() -> None:
    cuts = [Cut("T1", 1000.0)] * 3
    assert [b.count for b in plan_bars(TUBE, "S235", cuts, [BarStock(3004.0, kerf=2.0)])[0]] == [1]
    # With 30 mm held, three pieces and three saw cuts need 3036 mm.
    held = [BarStock(length, kerf=2.0, end_loss=30.0) for length in (3035.9, 3036.0)]
    assert sum(b.count for b in plan_bars(TUBE, "S235", cuts, [held[0]])[0]) == 2
    (bar,) = plan_bars(TUBE, "S235", cuts, [held[1]])[0]
    assert bar.count == 1
    assert bar.offcut == pytest.approx(30.0)


def test_a_piece_that_only_the_clamped_part_would_give_is_named() -> None:
    _, _, left = plan_bars(TUBE, "S235", [Cut("T1", 2990.0)], [BarStock(3000.0, kerf=2.0, end_loss=30.0)])
    assert [mark for mark, _ in left] == ["T1"]


def test_the_rest_lies_together() -> None:
    """Two bars of 3000 mm for 5050 mm: the fullest either can be is 1900 and 1000."""
    cuts = [Cut(f"T{i}", length) for i, length in enumerate((1900.0, 1000.0, 950.0, 700.0, 500.0))]
    bars, _, _ = plan_bars(TUBE, "S235", cuts, [BarStock(3000.0, kerf=0.0)], least_offcut=300.0)
    assert sorted(bar.offcut for bar in bars) == pytest.approx([100.0, 850.0])


def test_a_clamp_that_holds_the_whole_bar() -> None:
    cuts = [Cut("T1", 900.0), Cut("T2", 80.0)]
    bars, _, left = plan_bars(TUBE, "S235", cuts, [BarStock(3000.0), BarStock(300.0, on_hand=2, end_loss=400.0)])
    assert [bar.stock for bar in bars] == [3000.0]
    assert not left
    _, _, left = plan_bars(TUBE, "S235", cuts, [BarStock(3000.0, end_loss=3500.0)])
    assert [mark for mark, _ in left] == ["T1", "T2"]
    assert "clamp" in left[0][1].words()


@pytest.mark.parametrize(("least", "rests"), [(0.0, [20.0, 260.0, 730.0]), (300.0, [20.0, 310.0, 680.0])])
def test_rests_too_short_to_keep_count_for_nothing(least: float, rests: list[float]) -> None:
    """Both plans need three bars; where 260 mm is scrap, 310 and 680 mm are more to keep than 730."""
    cuts = [Cut(f"T{i}", length) for i, length in enumerate((420.0, 360.0, 340.0, 320.0, 280.0, 270.0))]
    bars, _, _ = plan_bars(TUBE, "S235", cuts, [BarStock(1000.0, kerf=0.0)], least_offcut=least)
    assert sorted(bar.offcut for bar in bars) == pytest.approx(rests)


def test_a_length_without_a_price_is_valued_by_the_dearest_given() -> None:
    cuts = [Cut("T1", 900.0)] * 8
    stocks = [BarStock(2000.0, price=20.0, kerf=0.0), BarStock(3800.0, kerf=0.0)]
    _, bill, _ = plan_bars(TUBE, "S235", cuts, stocks)
    assert bill == BarBill(TUBE, "S235", 76.0, 76.0, True)


# -- from a job -----------------------------------------------------------------------
FRAME = """
[job]
title = "frame"
number = "F-1"
units = "mm"
[saw]
{saw}
[points]
A = [0, 0, 0]
B = [1200, 0, 0]
C = [1200, 800, 0]
D = [0, 800, 0]
"""
SIDE = """
[[tube]]
mark = "{mark}"
section = "{section}"
material = "S235"
route = ["{one}", "{other}"]
quantity = {quantity}
start = {{ cut = "mitre" }}
finish = {{ cut = "mitre" }}
"""


def frame(saw: str, section: str = "60 x 40 x 3", quantity: int = 1) -> Plan:
    sides = [
        SIDE.format(mark=a + b, section=section, one=a, other=b, quantity=quantity) for a, b in ("AB", "BC", "CD", "DA")
    ]
    job = read(FRAME.format(saw=saw) + "".join(sides))
    return plan_job(job, pieces_of(job))


@pytest.mark.parametrize(("section", "across"), [("60 x 40 x 3", 40.0), ("50 x 50 x 3", 50.0), ("48.3 x 3.2", 48.3)])
def test_the_mitres_of_a_frame(section: str, across: float) -> None:
    (bar,) = frame("pair_mitres = true", section).bars
    assert [round(cut.shared, 1) for cut in bar.cuts] == [0.0, 45.0, 45.0, 45.0]
    assert bar.cuts[1].saved == pytest.approx(across - 2.0 * (2.0**0.5 - 1.0), abs=0.02)
    assert not any(cut.shared for bar in frame("pair_mitres = false", section).bars for cut in bar.cuts)


def test_sixteen_mitred_pieces_need_a_bar_less() -> None:
    plain, paired = frame("end_loss = 40", quantity=4), frame("end_loss = 40\npair_mitres = true", quantity=4)
    assert sum(bar.count for bar in paired.bars) <= sum(bar.count for bar in plain.bars)
    assert paired.bills[0].proven
    assert {bar.end_loss for bar in paired.bars} == {40.0}


def test_ends_that_need_two_angles_at_once_share_nothing() -> None:
    text = FRAME.format(saw="").replace("D = [0, 800, 0]", "D = [1900, 800, 500]")
    for mark, one, other in (("P", "A", "B"), ("Q", "B", "D")):
        text += SIDE.format(mark=mark, section="60 x 40 x 3", one=one, other=other, quantity=1)
    plain = '{ cut = "plain" }'
    first, _, second = text.partition('mark = "Q"')
    first = first.replace('start = { cut = "mitre" }', f"start = {plain}")
    second = second.replace('finish = { cut = "mitre" }', f"finish = {plain}")
    job = read(f'{first}mark = "Q"{second}')
    pieces = pieces_of(job)
    assert all(end.cut == "mitre" for end in (pieces[0].shape.ends[1], pieces[1].shape.ends[0]))
    assert not any(end.shares for pair in slanted_ends(pieces).values() for end in pair if end)
    assert sorted(slanted_ends(pieces)) == ["P", "Q"]


PROFILE_SIDE = """
[[profile]]
mark = "{mark}"
section = "{section}"
material = "S235"
route = ["{one}", "{other}"]
{lies}
start = {{ cut = "mitre" }}
finish = {{ cut = "mitre" }}
"""


def profile_frame(section: str, lies: tuple[str, str, str, str], saw: str = "pair_mitres = true") -> Plan:
    sides = [
        PROFILE_SIDE.format(mark=a + b, section=section, one=a, other=b, lies=way)
        for (a, b), way in zip(("AB", "BC", "CD", "DA"), lies, strict=True)
    ]
    job = read(FRAME.format(saw=saw) + "".join(sides))
    return plan_job(job, pieces_of(job))


INWARD = "left", "back", "right", "front"
ALIKE = ("",) * 4
FLAT_ON_EDGE = ('width = "top"',) * 4
FLAT_LYING = tuple(f'width = "{way}"' for way in INWARD)
WEB_FLAT = ('back = "top"',) * 4


@pytest.mark.parametrize(
    ("section", "lies", "across"),
    [
        ("flat 40 x 8", FLAT_LYING, 40.0),
        ("flat 40 x 8", FLAT_ON_EDGE, 8.0),
        ("square bar 20", ALIKE, 20.0),
        ("UPN 80", WEB_FLAT, 80.0),
        ("channel 80 x 40 x 5", WEB_FLAT, 80.0),
    ],
)
def test_the_mitres_of_a_frame_of_profiles(section: str, lies: tuple[str, str, str, str], across: float) -> None:
    (bar,) = profile_frame(section, lies).bars
    assert [round(cut.shared, 1) for cut in bar.cuts] == [0.0, 45.0, 45.0, 45.0]
    assert bar.cuts[1].saved == pytest.approx(across - 2.0 * (2.0**0.5 - 1.0), abs=0.02)
    assert not any(cut.shared for cut in profile_frame(section, lies, "pair_mitres = false").bars[0].cuts)


@pytest.mark.parametrize(
    ("section", "lies"),
    [
        ("angle 40 x 40 x 4", tuple(f'legs = ["top", "{way}"]' for way in INWARD)),
        ("angle 60 x 40 x 5", tuple(f'legs = ["top", "{way}"]' for way in INWARD)),
        ("UPN 80", tuple(f'back = "{way}"' for way in ("right", "front", "left", "back"))),
    ],
)
def test_the_next_piece_of_angle_or_of_channel_on_edge_slants_the_other_way(
    section: str, lies: tuple[str, str, str, str]
) -> None:
    """The bar shows no side that its next piece, however it is turned, would show too."""
    plan = profile_frame(section, lies)
    assert not any(cut.shared for bar in plan.bars for cut in bar.cuts)
    assert sum(cut.extra for bar in plan.bars for cut in bar.cuts) > 0.0

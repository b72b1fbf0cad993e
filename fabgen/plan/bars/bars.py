"""Bars: which pieces are sawn from which bar.

The cheapest plan is found, and proven where that can be done, by `cutting_stock`; here lengths,
kerf, clamp, prices and marks are put into its whole numbers and back.  A saw cut costs its kerf, a
slanted one kerf / cos(its angle) along the bar;
the last cut of a bar is free when the piece ends with the bar.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace

from fabgen.parts.piece import Piece
from fabgen.plan.bars.bar_filling import Filled, cheapest_bars
from fabgen.plan.bars.bar_stock import BarStock, valued
from fabgen.plan.bars.shared_cuts import SQUARE, Ends, arranged, extra_of
from fabgen.plan.plan import BarBill, BarPlan, Cut
from fabgen.shop.profiles.profile_section import StockSection
from fabgen.wording.sentence import Sentence, mm, sentence

__all__ = ["BarStock", "cuts_of", "plan_bars"]

Reasons = list[tuple[str, Sentence]]


def cuts_of(pieces: Sequence[Piece]) -> dict[tuple[StockSection, str], list[Cut]]:
    """Every length to saw, by (section, material), longest first and by mark.

    Args:
        pieces: of the whole job.
    """
    wanted: dict[tuple[StockSection, str], list[Cut]] = defaultdict(list)
    for piece in pieces:
        if sawn := piece.sawn:
            cut = Cut(piece.mark, sawn.length, over=_over(piece))
            wanted[sawn.section.nominal, piece.material] += [cut] * piece.quantity
    return {key: sorted(cuts, key=_longest_first) for key, cuts in sorted(wanted.items(), key=_by_name)}


def _longest_first(cut: Cut) -> tuple[float, str]:
    return -cut.blank, cut.mark


def _over(piece: Piece) -> tuple[float, float]:
    """How much longer the blank must be at either end where a hole saw is to cope it, mm."""
    part = piece.length_part
    if part is None:
        return 0.0, 0.0
    start, finish = (0.0 if end.saw is None else end.saw.hole_saw_longer_mm or 0.0 for end in part.ends)
    return start, finish


def _by_name(wanted: tuple[tuple[StockSection, str], list[Cut]]) -> tuple[str, str]:
    (section, material), _ = wanted
    return str(section), material


def plan_bars(
    section: StockSection,
    material: str,
    cuts: Sequence[Cut],
    stocks: Sequence[BarStock],
    ends: Mapping[str, Ends] | None = None,
    least_offcut: float = 0.0,
) -> tuple[list[BarPlan], BarBill, Reasons]:
    """Bars for one section and material.

    Of plans that cost the same, one with few and long rests is taken.

    Args:
        section: of the bars.
        material: of the bars.
        cuts: lengths to saw, each with what its blank is longer by.
        stocks: what they can be sawn from; one of them must be to be had in any number.
        ends: the slanted ends, by marks, which may share a saw cut.
        least_offcut: rests shorter than this count for nothing, mm.
    Returns: the bars, what they come to, and the pieces no bar is long enough for, with the reason.
    """
    stocks, priced = valued(stocks)
    bought = max((stock for stock in stocks if stock.on_hand is None), key=lambda stock: stock.usable)
    # A piece that a bar just holds is coped by its template: no hole saw is worth a longer bar.
    cuts = [cut if bought.holds(cut.blank) else replace(cut, over=(0.0, 0.0)) for cut in cuts]
    fits = [cut for cut in cuts if bought.holds(cut.blank)]
    racked, left, unplaced = _rack_only([cut for cut in cuts if not bought.holds(cut.blank)], stocks)
    reasons = [(cut.mark, _too_long(cut, section, bought)) for cut in dict.fromkeys(unplaced)]
    known = ends or {}
    filled = cheapest_bars(fits, left, known, least_offcut) if fits else Filled((), 0, 0)
    scale = 100.0 if priced else 10.0
    bill = BarBill(section, material, filled.cost / scale, filled.bound / scale, priced)
    bars = [_planned(section, material, stock, held, known, bill.proven) for stock, held in (*racked, *filled.bars)]
    return _alike(bars), bill, reasons


def _too_long(cut: Cut, section: StockSection, longest: BarStock) -> Sentence:
    loss = mm(longest.end_loss, 0)
    if longest.usable <= 0.0:
        return sentence(section, ": the clamp's ", loss, " leave nothing of a bar of ", mm(longest.length, 0))
    clamp = sentence(" with ", loss, " in the clamp") if longest.end_loss else sentence()
    long = sentence(mm(cut.length, 0), " of ", section, " is longer than any bar gives, ", mm(longest.usable, 0))
    return sentence(long, clamp, ": order longer or splice")


def _rack_only(
    cuts: Sequence[Cut], stocks: Sequence[BarStock]
) -> tuple[list[tuple[BarStock, tuple[Cut, ...]]], list[BarStock], list[Cut]]:
    """Pieces too long for what can be bought, each onto the shortest bar of the rack that takes it; the stock left."""
    racks = {stock: stock.on_hand or 0 for stock in stocks if stock.on_hand is not None}
    bars: list[tuple[BarStock, tuple[Cut, ...]]] = []
    unplaced: list[Cut] = []
    for cut in cuts:
        room = [stock for stock, count in racks.items() if count and stock.holds(cut.blank)]
        if room:
            stock = min(room, key=lambda s: s.length)
            racks[stock] -= 1
            bars.append((stock, (cut,)))
        else:
            unplaced.append(cut)
    left = [stock if stock.on_hand is None else replace(stock, on_hand=racks[stock]) for stock in stocks]
    return bars, left, unplaced


def _planned(
    section: StockSection, material: str, stock: BarStock, cuts: Sequence[Cut], ends: Mapping[str, Ends], proven: bool
) -> BarPlan:
    """One bar with its cuts in the order to saw, slanted ends that share a cut side by side."""
    order = sorted(cuts, key=_longest_first)
    laid = arranged([ends.get(cut.mark, SQUARE) for cut in order], stock.kerf)
    sawn = tuple(
        replace(
            order[each.number],
            turned=each.turned,
            shared=each.shared.angle if each.shared else 0.0,
            saved=each.shared.saved(stock.kerf) if each.shared else 0.0,
            extra=each.extra,
        )
        for each in laid
    )
    last = ends.get(sawn[-1].mark, SQUARE)[0 if sawn[-1].turned else 1]
    used = sum(cut.blank + stock.kerf + cut.extra - cut.saved for cut in sawn) + extra_of(last, stock.kerf)
    return BarPlan(
        section=section,
        material=material,
        stock=stock.length,
        count=1,
        cuts=sawn,
        offcut=max(0.0, stock.length - used),
        kerf=stock.kerf,
        assumed=stock.assumed,
        spare=stock.on_hand is not None,
        proven=proven,
        end_loss=stock.end_loss,
    )


def _alike(bars: Sequence[BarPlan]) -> list[BarPlan]:
    """Like bars as one, counted."""
    return [replace(bar, count=count) for bar, count in Counter(bars).items()]

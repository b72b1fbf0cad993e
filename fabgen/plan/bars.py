"""Bars: which pieces are sawn from which bar.

The cheapest plan is found, and proven where that can be done, by `cutting_stock`; here lengths,
kerf, prices and marks are put into its whole numbers and back.  A saw cut costs its kerf; the
last cut of a bar is free when the piece ends with the bar.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from fabgen.parts.piece import Piece
from fabgen.plan.cutting_stock import Bar, Kind, Problem, cheapest, tidied
from fabgen.plan.cutting_stock.fill import fullest
from fabgen.plan.plan import BarPlan, Cut

_PER_MM = 10
"""Lengths are planned in tenths of a millimetre, pieces rounded up."""


@dataclass(frozen=True, slots=True)
class BarStock:
    """Bars of one section and material: length mm, price each, how many there are (None = any)."""

    length: float
    price: float | None = None
    on_hand: int | None = None
    kerf: float = 2.0
    assumed: bool = False

    @property
    def cost(self) -> int:
        """What the plan keeps low: the price in hundredths, or the length where there is none; the rack is free."""
        if self.on_hand is not None:
            return 0
        return max(1, round(self.price * 100 if self.price is not None else self.length * _PER_MM))


def cuts_of(pieces: Sequence[Piece]) -> dict[tuple[str, str], list[Cut]]:
    """Every length to saw, by (section, material), longest first and by mark."""
    wanted: dict[tuple[str, str], list[Cut]] = defaultdict(list)
    for piece in pieces:
        if part := piece.length_part:
            wanted[str(part.section), piece.material] += [Cut(piece.mark, part.length)] * piece.quantity
    return {key: sorted(cuts, key=lambda c: (-c.length, c.mark)) for key, cuts in sorted(wanted.items())}


def plan_bars(
    section: str, material: str, cuts: Sequence[Cut], stocks: Sequence[BarStock]
) -> tuple[list[BarPlan], list[tuple[str, str]]]:
    """Bars for one section and material, and the pieces no bar is long enough for with the reason.

    Some of `stocks` must be to be had in any number.
    """
    bought = max(stock.length for stock in stocks if stock.on_hand is None)
    fits = [cut for cut in cuts if cut.length <= bought]
    bars, left, unplaced = _rack_only([cut for cut in cuts if cut.length > bought], stocks)
    reasons = [
        (cut.mark, f"{cut.length:.0f} mm of {section} is longer than any bar, {bought:.0f} mm: order longer or splice")
        for cut in dict.fromkeys(unplaced)
    ]
    proven = True
    if fits:
        lengths = sorted({cut.length for cut in fits}, reverse=True)
        wanted = Counter(cut.length for cut in fits)
        problem = Problem(tuple(wanted[length] for length in lengths), tuple(_kind(stock, lengths) for stock in left))
        found = cheapest(problem)
        proven = found.proven
        bars += _marked(_rack_first(problem, tidied(problem, found.bars)), fits, lengths, left)
    return _grouped(section, material, bars, proven), reasons


def _rack_only(
    cuts: Sequence[Cut], stocks: Sequence[BarStock]
) -> tuple[list[tuple[BarStock, list[Cut]]], list[BarStock], list[Cut]]:
    """Pieces too long for what can be bought, each onto the shortest bar of the rack that takes it; the stock left."""
    racks = {stock: stock.on_hand or 0 for stock in stocks if stock.on_hand is not None}
    bars: list[tuple[BarStock, list[Cut]]] = []
    unplaced: list[Cut] = []
    for cut in cuts:
        room = [stock for stock, count in racks.items() if count and stock.length >= cut.length]
        if room:
            stock = min(room, key=lambda s: s.length)
            racks[stock] -= 1
            bars.append((stock, [cut]))
        else:
            unplaced.append(cut)
    left = [stock if stock.on_hand is None else replace(stock, on_hand=racks[stock]) for stock in stocks]
    return bars, left, unplaced


def _kind(stock: BarStock, lengths: Sequence[float]) -> Kind:
    kerf = round(stock.kerf * _PER_MM)
    takes = tuple(math.ceil(round(length * _PER_MM, 3)) + kerf for length in lengths)
    return Kind(round(stock.length * _PER_MM) + kerf, takes, stock.cost, stock.on_hand)


def _rack_first(problem: Problem, bars: Sequence[Bar]) -> list[Bar]:
    """The same bars with what pieces they may give filled onto bars of the rack that lie unused.

    It buys no more, often less, and leaves longer offcuts of what is bought.
    """
    done = [bar for bar in bars if problem.kinds[bar[0]].count is not None]
    open_bars = [(k, list(sizes)) for k, sizes in bars if problem.kinds[k].count is None]
    for k in (Counter(problem.rack) - Counter(k for k, _ in done)).elements():
        left = Counter(size for _, sizes in open_bars for size in sizes)
        kind = problem.kinds[k]
        chosen = fullest([left[size] for size in range(len(kind.takes))], kind.takes, kind.room)
        if not chosen:
            continue
        for size in chosen:
            # From the bar with the fewest pieces: it is the likeliest to go altogether.
            min((sizes for _, sizes in open_bars if size in sizes), key=len).remove(size)
        done.append((k, chosen))
    return done + [(k, tuple(sizes)) for k, sizes in open_bars if sizes]


def _marked(
    bars: Sequence[Bar], cuts: Sequence[Cut], lengths: Sequence[float], stocks: Sequence[BarStock]
) -> list[tuple[BarStock, list[Cut]]]:
    """Bars of sizes as bars of pieces, marks given out in their order."""
    waiting: dict[float, list[Cut]] = defaultdict(list)
    for cut in reversed(cuts):
        waiting[cut.length].append(cut)
    return [(stocks[k], [waiting[lengths[size]].pop() for size in sizes]) for k, sizes in bars]


def _grouped(section: str, material: str, bars: Sequence[tuple[BarStock, list[Cut]]], proven: bool) -> list[BarPlan]:
    alike = Counter((stock, tuple(sorted(cuts, key=lambda c: (-c.length, c.mark)))) for stock, cuts in bars)
    return [
        BarPlan(
            section=section,
            material=material,
            stock=stock.length,
            count=count,
            cuts=cuts,
            offcut=max(0.0, stock.length - sum(cut.length + stock.kerf for cut in cuts)),
            kerf=stock.kerf,
            assumed=stock.assumed,
            spare=stock.on_hand is not None,
            proven=proven,
        )
        for (stock, cuts), count in alike.items()
    ]

"""The least bars for a few pieces that may share saw cuts, by trying every way to group them.

Every set of pieces goes onto one bar or is split into one bar's share and the rest; what is best for
each set is worked out once, the smaller sets first.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from fabgen.plan.bars.bar_stock import BarStock
from fabgen.plan.plan import Cut

MOST = 10
"""Pieces and bars of the rack: with each the work grows threefold."""

Bars = tuple[tuple[BarStock, tuple[Cut, ...]], ...]
_Best = list[tuple[int, Bars] | None]


def least_bars(
    cuts: Sequence[Cut], stocks: Sequence[BarStock], holds: Callable[[BarStock, Sequence[Cut]], bool]
) -> Bars:
    """The cheapest bars that hold all the pieces; of the rack each at most as often as it is there."""
    everything = (1 << len(cuts)) - 1
    sets = [tuple(cut for i, cut in enumerate(cuts) if mask >> i & 1) for mask in range(everything + 1)]
    bought = sorted((stock for stock in stocks if stock.on_hand is None), key=lambda stock: stock.cost)
    on_bought = [next((stock for stock in bought if holds(stock, held)), None) for held in sets]
    best: _Best = [(0, ())] + [None] * everything
    for mask in range(1, everything + 1):
        # The first piece's bar is chosen, so that every way is met once.
        for share in _shares(mask, first=mask & -mask):
            stock, rest = on_bought[share], best[mask ^ share]
            if stock is not None and rest is not None and _is_less(rest[0] + stock.cost, best[mask]):
                best[mask] = (rest[0] + stock.cost, (*rest[1], (stock, sets[share])))
    rack = [stock for stock in stocks for _ in range(min(stock.on_hand or 0, len(cuts)))]
    for bar in rack:
        fits = [holds(bar, held) for held in sets]
        before = best
        best = list(before)
        for mask in range(1, everything + 1):
            for share in _shares(mask, first=0):
                rest = before[mask ^ share]
                if fits[share] and rest is not None and _is_less(rest[0] + bar.cost, best[mask]):
                    best[mask] = (rest[0] + bar.cost, (*rest[1], (bar, sets[share])))
    found = best[everything]
    assert found is not None, "every piece fits a bar that can be bought"
    return found[1]


def _shares(mask: int, first: int) -> list[int]:
    """The parts of a set that have `first` in them, not empty."""
    others = mask & ~first
    found, part = [], others
    while part:
        found.append(part | first)
        part = (part - 1) & others
    return [*found, first] if first else found


def _is_less(cost: int, known: tuple[int, Bars] | None) -> bool:
    return known is None or cost < known[0]

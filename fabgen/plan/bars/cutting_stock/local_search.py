"""A plan made better a few bars at a time: the worst bars and some others are cut anew together."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from random import Random

from fabgen.plan.bars.cutting_stock.bounds import cheap_bound
from fabgen.plan.bars.cutting_stock.problem import Allowance, Bar, StockProblem

_PIECES = (30, 60, 45, 90)
"""How many pieces are cut anew in one go, in turn."""
_FAILURES = 8
"""Goes without success before it ends."""
_KEEP = 0.3
"""Share of the worst bars passed over after a failure, so that the next go is another one."""
_WORK = 10_000
"""Steps one go takes beside its linear programmes."""


def improved(
    problem: StockProblem,
    bars: Sequence[Bar],
    bound: int,
    prices: Sequence[float],
    solve: Callable[[StockProblem], list[Bar]],
    goes: int,
    allowance: Allowance,
) -> list[Bar]:
    """A plan as cheap or cheaper, after so many goes at most; a bar is bad when it costs more than its pieces' prices.

    Ends at `bound`, after some goes without success, or when one go takes in all bars in vain.
    """
    random = Random(0)
    bars = list(bars)
    failures = 0
    for go in range(goes):
        if failures == _FAILURES or problem.cost(bars) <= bound or allowance.spent:
            break
        bars.sort(key=lambda bar: (sum(prices[size] for size in bar[1]) - problem.kinds[bar[0]].cost, bar))
        again, kept = _choice(bars, _PIECES[go % len(_PIECES)], random, failures > 0)
        part = problem.part(again)
        allowance.spend(_WORK)
        better = solve(part) if cheap_bound(part) < problem.cost(again) else again
        if problem.cost(better) < problem.cost(again):
            bars = kept + better
            failures = 0
        elif kept:
            failures += 1
        else:
            break
    return bars


def _choice(bars: Sequence[Bar], pieces: int, random: Random, varied: bool) -> tuple[list[Bar], list[Bar]]:
    """Bars to cut anew, by pieces half of them from the front, and the others; `varied` passes over some in front."""
    chosen: list[int] = []
    number = 0
    for j, (_, sizes) in enumerate(bars):
        if chosen and number + len(sizes) > pieces / 2:
            break
        if not varied or random.random() >= _KEEP:
            chosen.append(j)
            number += len(sizes)
    others = [j for j in range(len(bars)) if j not in set(chosen)]
    random.shuffle(others)
    for j in others:
        number += len(bars[j][1])
        if number > pieces:
            break
        chosen.append(j)
    again = set(chosen)
    return [bars[j] for j in sorted(again)], [bar for j, bar in enumerate(bars) if j not in again]

"""A plan made better a few bars at a time: the worst bars and some others are cut anew together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from random import Random

from fabgen.plan.cutting_bounds import cheap_bound
from fabgen.plan.cutting_problem import Bar, Problem

_PIECES = (30, 60, 45, 90)
"""How many pieces are cut anew in one go, in turn."""
_TRIES = 8
"""Goes without success before it ends."""


def improved(
    problem: Problem,
    bars: Sequence[Bar],
    bound: int,
    prices: Sequence[float],
    solve: Callable[[Problem], list[Bar]],
) -> list[Bar]:
    """A plan as cheap or cheaper; a bar is bad when it costs more than the `prices` of its pieces.

    Ends at `bound`, after some goes without success, or when one go takes in all bars.
    """
    random = Random(0)
    bars = list(bars)
    failed = turn = 0
    while failed < _TRIES and problem.cost(bars) > bound:
        bars.sort(key=lambda bar: (sum(prices[size] for size in bar[1]) - problem.kinds[bar[0]].cost, bar))
        again, kept = _choice(bars, _PIECES[turn % len(_PIECES)], random, failed > 0)
        turn += 1
        part = _part(problem, again)
        better = solve(part) if cheap_bound(part) < problem.cost(again) else again
        if problem.cost(better) < problem.cost(again):
            bars = kept + better
            failed = 0
        else:
            failed += 1
            if not kept:
                break
    return bars


def _choice(bars: Sequence[Bar], pieces: int, random: Random, varied: bool) -> tuple[list[Bar], list[Bar]]:
    """Bars to cut anew, half of them the worst, and the others; `varied` skips some of the worst."""
    order = list(range(len(bars)))
    worst: list[int] = []
    for j in order:
        if worst and sum(len(bars[i][1]) for i in worst) + len(bars[j][1]) > pieces / 2:
            break
        if not varied or random.random() < 0.7:
            worst.append(j)
    others = [j for j in order if j not in set(worst)]
    random.shuffle(others)
    chosen = list(worst)
    number = sum(len(bars[j][1]) for j in chosen)
    for j in others:
        number += len(bars[j][1])
        if number > pieces:
            break
        chosen.append(j)
    again = set(chosen)
    return [bars[j] for j in sorted(again)], [bars[j] for j in order if j not in again]


def _part(problem: Problem, bars: Sequence[Bar]) -> Problem:
    """The pieces of these bars as a problem of their own, with the bars of limited number they use."""
    wanted = Counter(size for _, sizes in bars for size in sizes)
    used = Counter(k for k, _ in bars)
    kinds = [kind if kind.count is None else replace(kind, count=used[k]) for k, kind in enumerate(problem.kinds)]
    return Problem(tuple(wanted[size] for size in range(len(problem.wanted))), tuple(kinds))

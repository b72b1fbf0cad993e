"""Diving: whole bars from the answer in real numbers, a few at a time."""

from __future__ import annotations

from collections.abc import Iterator

from fabgen.plan.bars.cutting_stock.column_generation import Columns
from fabgen.plan.bars.cutting_stock.fill import filled
from fabgen.plan.bars.cutting_stock.problem import Bar, StockProblem, trimmed

_SHARE = 0.2
"""Share of the bars still open that one step makes final."""
_ROUNDS = 3
"""Rounds of new patterns after each step."""
_TINY = 1e-6


def dive(columns: Columns) -> Iterator[list[Bar]]:
    """Plans: the patterns used most are made final, the linear programme goes on with the rest.

    After each step the rest is filled up quickly, so that every step ends in a plan.  Leaves
    `columns` narrowed to what was left at the last one.
    """
    full = columns.problem
    final: list[Bar] = []
    while step := _step(columns):
        final += step
        rest = full.without(final)
        yield final + filled(rest, rest.rack, rest.bought, force=True)
        if not any(rest.wanted):
            return
        columns.narrow(rest)
        columns.relax(1 << 62, _ROUNDS)


def _step(columns: Columns) -> list[Bar]:
    """The patterns used most; where none can be used whole, the first of them cut down to what is still wanted."""
    problem: StockProblem = columns.problem
    left = list(problem.wanted)
    counts = [kind.count for kind in problem.kinds]
    enough = max(1.0, _SHARE * sum(columns.shares))
    step: list[Bar] = []
    for share, j in sorted((-share, j) for j, share in enumerate(columns.shares) if share > _TINY):
        if len(step) >= enough and -share < 1.0 - _TINY:
            break
        k, sizes = columns.patterns[j]
        for _ in range(max(1, int(_TINY - share))):
            fitting = trimmed(sizes, left)
            if not fitting or counts[k] == 0 or (step and fitting != sizes):
                break
            step.append((k, fitting))
            for size in fitting:
                left[size] -= 1
            if (count := counts[k]) is not None:
                counts[k] = count - 1
    return step

"""From the answer in real numbers to whole bars: diving for a good plan, and closing the gap exactly."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

import highspy
import numpy as np

from fabgen.plan.cutting_columns import Columns, Prices, QuietHighs
from fabgen.plan.cutting_fill import downsized, filled
from fabgen.plan.cutting_problem import Bar, Problem

_SHARE = 0.2
"""Share of the bars still open that one step of the dive makes final."""
_ROUNDS = 3
"""Rounds of new patterns after each step."""
_TINY = 1e-6
_NODES = 500
_TABLE = 20_000_000
_STEPS = 300_000
_PATTERNS = 3_000
"""Where listing patterns gives up: figures in its table, steps, patterns."""


def dive(columns: Columns) -> Iterator[list[Bar]]:
    """Plans: the patterns used most are made final a few at a time, and the rest is filled up quickly.

    Leaves `columns` narrowed to nothing.
    """
    whole = columns.problem
    fixed: list[Bar] = []
    rest = whole
    while any(rest.wanted):
        step = _step(columns, rest)
        if not step:
            return
        fixed += step
        rest = whole.without(fixed)
        yield downsized(whole, fixed + quick_rest(rest))
        if any(rest.wanted):
            columns.narrow(rest)
            columns.relax(1 << 62, _ROUNDS)


def quick_rest(rest: Problem) -> list[Bar]:
    rack = [k for k, kind in enumerate(rest.kinds) for _ in range(min(kind.count or 0, sum(rest.wanted)))]
    bought = [k for k, kind in enumerate(rest.kinds) if kind.count is None]
    return filled(rest, rack, bought, True)


def _step(columns: Columns, rest: Problem) -> list[Bar]:
    """The patterns used most, trimmed to what is still wanted; one at least."""
    left = list(rest.wanted)
    counts = [kind.count for kind in rest.kinds]
    enough = max(1.0, _SHARE * sum(columns.shares))
    step: list[Bar] = []
    for j in sorted(range(len(columns.shares)), key=lambda j: (-columns.shares[j], j)):
        share = columns.shares[j]
        if share < _TINY or (len(step) >= enough and share < 1.0 - _TINY):
            break
        k, sizes = columns.patterns[j]
        for _ in range(max(1, int(share + _TINY))):
            trimmed = tuple(size for size, n in Counter(sizes).items() for _ in range(min(n, left[size])))
            if not trimmed or counts[k] == 0 or (step and trimmed != sizes):
                break
            step.append((k, trimmed))
            for size in trimmed:
                left[size] -= 1
            if (count := counts[k]) is not None:
                counts[k] = count - 1
    return step


def patterns_within(problem: Problem, prices: Prices, below: int) -> list[Bar] | None:
    """Every pattern a plan cheaper than `below` may use, by its reduced cost; None when they are too many.

    A pattern that has room for one more piece wanted is left out: the fuller one does as well.
    """
    scale = prices.scale
    values = list(prices.values)
    # Prices so small that no bar to be bought holds more than it costs.
    for k, kind in enumerate(problem.kinds):
        if kind.count is None and prices.most[k] > kind.cost * scale:
            values = [min(v, p * kind.cost * scale // prices.most[k]) for v, p in zip(values, prices.values, strict=True)]
    tables: dict[int, _Table] = {}
    for takes, alike in problem.groups.items():
        room = max(problem.kinds[k].room for k in alike)
        if len(takes) * room > _TABLE:
            return None
        table = _Table(values, takes, problem.wanted, room)
        tables.update(dict.fromkeys(alike, table))
    over = [max(0, tables[k].most(kind.room) - kind.cost * scale) for k, kind in enumerate(problem.kinds)]
    proven = sum(n * v for n, v in zip(problem.wanted, values, strict=True))
    proven -= sum((kind.count or 0) * over[k] for k, kind in enumerate(problem.kinds))
    slack = (below - problem.step) * scale - proven
    found: list[Bar] = []
    steps = _STEPS
    for k, kind in enumerate(problem.kinds):
        for sizes in tables[k].fillings(kind.room, kind.cost * scale + over[k] - slack):
            steps -= 1
            if steps < 0 or len(found) > _PATTERNS:
                return None
            if sizes is not None:
                found.append((k, sizes))
    return found


class _Table:
    """Best value of the sizes from each one on, for every room."""

    def __init__(self, values: Sequence[int], takes: Sequence[int], wanted: Sequence[int], room: int) -> None:
        # The smallest last: what may still be added to a filling is then found at once.
        self.order = sorted((size for size, n in enumerate(wanted) if n), key=lambda size: (-takes[size], size))
        self.values, self.takes, self.wanted = values, takes, wanted
        best = np.zeros(room + 1, np.int64)
        rows = [best]
        for size in reversed(self.order):
            best = best.copy()
            number, n = 1, min(wanted[size], room // takes[size])
            while n > 0:
                number = min(number, n)
                long = takes[size] * number
                if long <= room:
                    best[long:] = np.maximum(best[long:], best[: room + 1 - long] + values[size] * number)
                n -= number
                number *= 2
            rows.append(best)
        self.best = rows[::-1]

    def most(self, room: int) -> int:
        return int(self.best[0][room])

    def fillings(self, room: int, least: int) -> Iterator[tuple[int, ...] | None]:
        """Every filling worth `least` at least that no piece can be added to; None for each step between."""
        order, best = self.order, self.best

        def search(first: int, room: int, value: int, chosen: tuple[int, ...]) -> Iterator[tuple[int, ...] | None]:
            yield chosen if value >= least and self._full(room, chosen) else None
            for j in range(first, len(order)):
                if value + best[j][room] < least:
                    return
                size = order[j]
                take, worth = self.takes[size], self.values[size]
                for n in range(min(self.wanted[size], room // take), 0, -1):
                    left = room - n * take
                    if value + n * worth + best[j + 1][left] >= least:
                        yield from search(j + 1, left, value + n * worth, chosen + (size,) * n)

        for sizes in search(0, room, 0, ()):
            yield None if not sizes else tuple(sorted(sizes))

    def _full(self, room: int, chosen: tuple[int, ...]) -> bool:
        for size in reversed(self.order):
            if chosen.count(size) < self.wanted[size]:
                return self.takes[size] > room
        return True


def best_mix(problem: Problem, patterns: Sequence[Bar], below: int, bound: int) -> tuple[list[Bar] | None, bool]:
    """The cheapest plan below `below` made of these patterns, and whether the search was complete."""
    step = problem.step
    highs = QuietHighs()
    highs.setOptionValue("mip_rel_gap", 0.0)
    highs.setOptionValue("mip_abs_gap", 0.5)
    highs.setOptionValue("mip_max_nodes", _NODES)
    highs.setOptionValue("objective_target", bound / step + 0.25)
    sizes, kinds = len(problem.wanted), len(problem.kinds)
    none = np.empty(0, np.int32), np.empty(0)
    for n in problem.wanted:
        highs.addRow(float(n), highspy.kHighsInf, 0, *none)
    for kind in problem.kinds:
        highs.addRow(0.0, 0.0, 0, *none)
    highs.addRow(-highspy.kHighsInf, below / step - 1 + 0.25, 0, *none)
    for k, pattern in patterns:
        counted = Counter(pattern)
        rows = np.array([*counted, sizes + k], np.int32)
        highs.addCol(0.0, 0.0, highspy.kHighsInf, len(rows), rows, np.array([*map(float, counted.values()), 1.0]))
    for k, kind in enumerate(problem.kinds):
        upper = highspy.kHighsInf if kind.count is None else float(kind.count)
        cost = kind.cost / step
        highs.addCol(cost, 0.0, upper, 2, np.array([sizes + k, sizes + kinds], np.int32), np.array([-1.0, cost]))
    total = len(patterns) + kinds
    highs.changeColsIntegrality(total, np.arange(total, dtype=np.int32), np.full(total, highspy.HighsVarType.kInteger))
    highs.run()
    status = highs.getModelStatus()
    complete = status in (highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kInfeasible, highspy.HighsModelStatus.kObjectiveTarget)
    info = highs.getInfo()
    if info.primal_solution_status != int(highspy.SolutionStatus.kSolutionStatusFeasible):
        return None, complete
    shares = highs.getSolution().col_value
    left = list(problem.wanted)
    bars: list[Bar] = []
    for (k, pattern), share in zip(patterns, shares, strict=False):
        for _ in range(round(share)):
            trimmed = tuple(size for size, n in Counter(pattern).items() for _ in range(min(n, left[size])))
            for size in trimmed:
                left[size] -= 1
            if trimmed:
                bars.append((k, trimmed))
    return bars, complete

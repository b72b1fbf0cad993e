"""Closing the gap by exact search: how many bars of each kind a cheaper plan could buy, every pattern it could use, and
the best mix of these, searched to the end.

With bars of several lengths and prices there are often only a few numbers of each kind between plan and bound.  Each
is a problem of its own: so many bars and no more, and no piece may be left over.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

import highspy
import numpy as np

from fabgen.plan.bars.cutting_stock.bounds import Worth
from fabgen.plan.bars.cutting_stock.column_generation import Prices, QuietHighs
from fabgen.plan.bars.cutting_stock.knapsack import Fillings
from fabgen.plan.bars.cutting_stock.problem import Bar, Kind, StockProblem, trimmed

MOST_PATTERNS = 3_000
MOST_SIZES = 150
"""Patterns and sizes the search for the best mix takes on."""
_NODES = 500
"""Branches of that search."""
_TABLE = 20_000_000
_STEPS = 300_000
"""Where listing the patterns gives up: figures in its tables, and steps."""
_MIXES = 100_000
"""Numbers of bars tried before it gives up."""
_HALVES = 8
"""How often the reduced cost allowed is halved until the patterns are few enough."""
_BELOW_ONE = 0.75
"""Costs are counted in whole steps: half-way between two, so that rounding in the search cannot matter."""


# -- how many bars of each kind -------------------------------------------------------
def mixes(problem: StockProblem, below: int, worths: Sequence[Worth], most: int) -> list[dict[int, int]] | None:
    """The mixes (number by kind) that a plan cheaper than `below` can buy, the roomiest first; None when over `most`.

    A mix to which a bar can be added and still cost less than `below` is left out, and so is one
    that cannot hold all pieces by one of the valuations.
    """
    kinds = problem.kinds
    bought = sorted(problem.bought, key=lambda k: (-kinds[k].cost, k))
    needs = [worth.total - sum(worth.most[k] * (kind.count or 0) for k, kind in enumerate(kinds)) for worth in worths]
    found: list[tuple[int, tuple[int, ...]]] = []
    steps = 0

    def search(money: int, chosen: tuple[int, ...]) -> bool:
        """Go on with the next kind; False to give up."""
        nonlocal steps
        steps += 1
        cost = kinds[bought[len(chosen)]].cost
        if len(chosen) + 1 < len(bought):
            return all(search(money - n * cost, (*chosen, n)) for n in range(money // cost + 1))
        full = (*chosen, money // cost)
        room = [
            sum(n * worth.most[k] for n, k in zip(full, bought, strict=True)) - need
            for worth, need in zip(worths, needs, strict=True)
        ]
        if min(room) >= 0:
            found.append((-room[0], full))
        return len(found) <= most and steps <= _MIXES

    if not search(below - problem.step, ()):
        return None
    return [dict(zip(bought, full, strict=True)) for _, full in sorted(found)]


def packing(problem: StockProblem, mix: Mapping[int, int], below: int) -> StockProblem:
    """The problem with so many bars to buy; the kind added last takes a piece that finds no place, for `below`."""
    kinds = [replace(kind, count=mix.get(k, kind.count)) for k, kind in enumerate(problem.kinds)]
    return StockProblem(problem.wanted, (*kinds, Kind(1, (1,) * len(problem.wanted), below)))


# -- which patterns -------------------------------------------------------------------
def patterns_within(problem: StockProblem, prices: Prices, below: int) -> tuple[list[Bar], bool]:
    """Every pattern that a plan cheaper than `below` may use, by its reduced cost, and True.

    When they are too many, only those of less reduced cost, and False.  Patterns with room for one
    more piece wanted are left out: the fuller ones do as well.
    """
    scale = prices.scale
    values = _small_enough(problem, prices)
    tables: dict[int, Fillings] = {}
    for takes, alike in problem.groups.items():
        room = max(problem.kinds[k].room for k in alike)
        if len(takes) * room > _TABLE:
            return [], False
        tables |= dict.fromkeys(alike, Fillings(values, takes, problem.wanted, room))
    # What a bar of limited number holds above its cost is what one more of them would save.
    over = [max(0, tables[k].most(kind.room) - kind.cost * scale) for k, kind in enumerate(problem.kinds)]
    proven = problem.total(values) - sum((kind.count or 0) * over[k] for k, kind in enumerate(problem.kinds))
    slack = (below - problem.step) * scale - proven
    for halved in range(_HALVES):
        least = [kind.cost * scale + over[k] - (slack >> halved) for k, kind in enumerate(problem.kinds)]
        if (found := _listed(problem, tables, least)) is not None:
            return found, halved == 0
    return [], False


def _listed(problem: StockProblem, tables: Mapping[int, Fillings], least: Sequence[int]) -> list[Bar] | None:
    """The patterns worth so much at least, by kind; None when they are too many."""
    found: list[Bar] = []
    steps = 0
    for k, kind in enumerate(problem.kinds):
        for sizes in tables[k].worth(kind.room, least[k]):
            steps += 1
            if sizes:
                found.append((k, sizes))
            if steps > _STEPS or len(found) > MOST_PATTERNS:
                return None
    return found


def _small_enough(problem: StockProblem, prices: Prices) -> list[int]:
    """The prices made so small that no bar to be bought holds more than it costs."""
    values = list(prices.values)
    for k in problem.bought:
        cost, most = problem.kinds[k].cost * prices.scale, prices.worth.most[k]
        if most > cost:
            values = [min(v, p * cost // most) for v, p in zip(values, prices.values, strict=True)]
    return values


def best_mix(problem: StockProblem, patterns: Sequence[Bar], below: int, bound: int) -> tuple[list[Bar] | None, bool]:
    """The cheapest plan cheaper than `below` made of these patterns, None without; and whether the search was complete.

    Ends as soon as a plan costs `bound`.
    """
    step, sizes, kinds = problem.step, len(problem.wanted), len(problem.kinds)
    search = QuietHighs()
    search.setOptionValue("mip_rel_gap", 0.0)
    search.setOptionValue("mip_abs_gap", _BELOW_ONE)
    search.setOptionValue("mip_max_nodes", _NODES)
    search.setOptionValue("objective_target", bound / step + 1.0 - _BELOW_ONE)
    for n in problem.wanted:
        search.add_row(float(n), highspy.kHighsInf)
    for _ in range(kinds):
        search.add_row(0.0, 0.0)
    search.add_row(-highspy.kHighsInf, below / step - _BELOW_ONE)
    for k, pattern in patterns:
        entries = {size: float(n) for size, n in Counter(pattern).items()}
        search.add_column(0.0, highspy.kHighsInf, {**entries, sizes + k: 1.0})
    # The number of bars of each kind is a variable of its own: branching on it settles most.
    for k, kind in enumerate(problem.kinds):
        upper = highspy.kHighsInf if kind.count is None else float(kind.count)
        search.add_column(kind.cost / step, upper, {sizes + k: -1.0, sizes + kinds: kind.cost / step})
    columns = len(patterns) + kinds
    integers = np.full(columns, int(highspy.HighsVarType.kInteger), np.uint8)
    search.changeColsIntegrality(columns, np.arange(columns, dtype=np.int32), integers)
    search.run()
    ends = highspy.HighsModelStatus
    complete = search.getModelStatus() in (ends.kOptimal, ends.kInfeasible, ends.kObjectiveTarget)
    if search.getInfo().primal_solution_status != int(highspy.SolutionStatus.kSolutionStatusFeasible):
        return None, complete
    return _plan(problem, patterns, list(search.getSolution().col_value)), complete


def _plan(problem: StockProblem, patterns: Sequence[Bar], numbers: Sequence[float]) -> list[Bar]:
    """The bars, without the pieces of which the patterns cut too many."""
    left = list(problem.wanted)
    bars: list[Bar] = []
    for (k, pattern), number in zip(patterns, numbers, strict=False):
        for _ in range(round(number)):
            if sizes := trimmed(pattern, left):
                bars.append((k, sizes))
            for size in sizes:
                left[size] -= 1
    return bars

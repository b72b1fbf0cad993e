"""Column generation: the bound in real numbers, and the patterns good plans are made of.

Source: Gilmore, P. C. and Gomory, R. E., 'A linear programming approach to the cutting-stock
problem', Operations Research 9, 1961.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import highspy
import numpy as np
from numpy.typing import NDArray

from fabgen.plan.cutting_bounds import cheapest_cover, prices_by_length
from fabgen.plan.cutting_knapsack import Knapsack
from fabgen.plan.cutting_problem import Bar, Problem

Floats = NDArray[np.float64]

_SMOOTHING = 0.5
"""Share of the best prices so far in the prices tried next: keeps them from jumping about."""
_NEW = 100
"""Patterns added in one round at most."""
_TIMES = 3
"""Patterns of one round a size may be on before it counts as served."""
_EPS = 1e-9
_SIMPLEX = {"dual": 1, "primal": 4}
"""HiGHS's numbers of its methods: primal after new columns, dual after new demands, so that the last basis serves."""


class QuietHighs(highspy.Highs):
    """HiGHS as we always want it: silent, one thread, the same answer every time."""

    def __init__(self) -> None:
        super().__init__()
        for option, value in (("threads", 1), ("random_seed", 0)):
            self.setOptionValue(option, value)

    def enableCallbacks(self) -> None:  # noqa: N802, the library's name
        # Called as the very first thing, and would print the library's name to standard output.
        self.setOptionValue("output_flag", False)
        super().enableCallbacks()


@dataclass(frozen=True)
class Prices:
    """Whole-number prices of the sizes, in `scale` parts of a cost unit, and the bound they prove."""

    values: tuple[int, ...]
    most: tuple[int, ...]
    """Value of the best filling of a bar, by kind."""
    scale: int
    bound: int
    real: float
    """The bound before it is rounded up to a cost there can be."""


class Columns:
    """The linear programme over the patterns found so far, for `wanted` pieces of each size.

    `bound` is the best proven so far for the whole problem; `prices` belong to it.
    """

    def __init__(self, problem: Problem, patterns: Iterable[Bar], bound: int) -> None:
        self.problem = problem
        self.bound = bound
        self.patterns: list[Bar] = []
        self.value = 0.0
        self.shares: list[float] = []
        """How often each pattern is used in the answer in real numbers."""
        self._known: set[Bar] = set()
        self._limited = [k for k, kind in enumerate(problem.kinds) if kind.count is not None]
        self._unit = max(kind.cost for kind in problem.kinds) or 1
        self._scale = max(1 << 16, (1 << 40) // self._unit)
        self._lp = QuietHighs()
        self._lp.setOptionValue("presolve", "off")
        none = np.empty(0, np.int32), np.empty(0)
        for n in problem.wanted:
            self._lp.addRow(float(n), highspy.kHighsInf, 0, *none)
        for k in self._limited:
            self._lp.addRow(-highspy.kHighsInf, float(problem.kinds[k].count or 0), 0, *none)
        for pattern in patterns:
            self._add(pattern)
        self.prices = self._priced(np.array(prices_by_length(problem)), problem)[0]
        self.bound = max(self.bound, self.prices.bound)

    def narrow(self, problem: Problem) -> None:
        """Go on with what is left of the problem; patterns that cut more than is wanted serve as well."""
        self.problem = problem
        for size, n in enumerate(problem.wanted):
            # A row that asks for nothing is freed: left in, it makes every step degenerate.
            self._lp.changeRowBounds(size, float(n) if n else -highspy.kHighsInf, highspy.kHighsInf)
        for row, k in enumerate(self._limited, len(problem.wanted)):
            self._lp.changeRowBounds(row, -highspy.kHighsInf, float(problem.kinds[k].count or 0))
        self.prices = self._priced(np.array(prices_by_length(problem)), problem)[0]
        self.bound = self.prices.bound
        self._solve("dual")

    def relax(self, enough: int, rounds: int = 1_000_000, fully: bool = False) -> None:
        """Add patterns until the bound reaches `enough`, or none helps.

        Unless `fully`, end also when the answer in real numbers meets the bound, which then cannot rise.
        """
        for _ in range(rounds):
            duals, limits = self._solve()
            if self.bound >= enough or (self.value <= self.bound * (1 + _EPS) and not fully):
                return
            best = np.array(self.prices.values) / self.prices.scale
            if not (self._round(_SMOOTHING * best + (1 - _SMOOTHING) * duals, duals, limits) or self._round(duals, duals, limits)):
                return
        self._solve()

    def _solve(self, method: str = "primal") -> tuple[Floats, Floats]:
        """The answer in real numbers; the worth of a piece of each size, and of a bar more of each limited kind."""
        self._lp.setOptionValue("simplex_strategy", _SIMPLEX[method])
        self._lp.run()
        solution = self._lp.getSolution()
        self.value = self._lp.getObjectiveValue() * self._unit
        self.shares = list(solution.col_value)
        duals = np.array(solution.row_dual) * self._unit
        sizes = len(self.problem.wanted)
        limits = np.zeros(len(self.problem.kinds))
        limits[self._limited] = np.minimum(duals[sizes:], 0.0)
        return np.maximum(duals[:sizes], 0.0), limits

    def _round(self, tried: Floats, duals: Floats, limits: Floats) -> bool:
        """Price patterns by `tried`; add those that help by `duals`.  False when there are none."""
        prices, packs = self._priced(tried, self.problem)
        self.bound = max(self.bound, prices.bound)
        if prices.real > self.prices.real:
            self.prices = prices
        found: list[tuple[float, Bar]] = []
        for k, pack, at in packs:
            worth = self.problem.kinds[k].cost - limits[k]
            for sizes in pack.fillings(at, int(0.9 * worth * prices.scale)):
                gain = float(duals[list(sizes)].sum()) - worth
                if gain > _EPS * self._unit:
                    found.append((gain / (worth + self._unit * _EPS), (k, sizes)))
        found.sort(key=lambda item: (-item[0], item[1]))
        served: Counter[int] = Counter()
        added = 0
        for _, pattern in found:
            if added < _NEW and any(served[size] < _TIMES for size in pattern[1]) and self._add(pattern):
                added += 1
                served.update(set(pattern[1]))
        return added > 0

    def _priced(self, tried: Floats, problem: Problem) -> tuple[Prices, list[tuple[int, Knapsack, int]]]:
        values = np.floor(tried * self._scale).astype(np.int64).tolist()
        most = [0] * len(problem.kinds)
        packs = []
        for takes, alike in problem.groups.items():
            pack = Knapsack.of(values, takes, problem.wanted, [problem.kinds[k].room for k in alike])
            for at, k in enumerate(alike):
                most[k] = pack.value(at)
                packs.append((k, pack, at))
        total = sum(n * value for n, value in zip(problem.wanted, values, strict=True))
        bound = cheapest_cover(problem, total, most)
        return Prices(tuple(values), tuple(most), self._scale, bound, self._real(total, most)), packs

    def _real(self, total: int, most: Sequence[int]) -> float:
        """Farley's bound: the prices made smaller until no bar to be bought holds more than it costs."""
        kinds = self.problem.kinds
        factor = max([1.0] + [most[k] / (kind.cost * self._scale) for k, kind in enumerate(kinds) if kind.count is None and kind.cost])
        over = sum((kind.count or 0) * max(0.0, most[k] / factor - kind.cost * self._scale) for k, kind in enumerate(kinds))
        return (total / factor - over) / self._scale

    def _add(self, pattern: Bar) -> bool:
        if pattern in self._known:
            return False
        self._known.add(pattern)
        self.patterns.append(pattern)
        k, sizes = pattern
        counted = Counter(sizes)
        rows, numbers = list(counted), [float(n) for n in counted.values()]
        if k in self._limited:
            rows.append(len(self.problem.wanted) + self._limited.index(k))
            numbers.append(1.0)
        cost = self.problem.kinds[k].cost / self._unit
        self._lp.addCol(cost, 0.0, highspy.kHighsInf, len(rows), np.array(rows, np.int32), np.array(numbers))
        return True

"""Column generation: the bound in real numbers, and the patterns good plans are made of.

Source: Gilmore, P. C. and Gomory, R. E., 'A linear programming approach to the cutting-stock
problem', Operations Research 9, 1961.  No bound rests on the linear programme's own rounding: its
prices are made whole numbers first, and what they prove is worked out exactly.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

import highspy
import numpy as np
from numpy.typing import NDArray

from fabgen.plan.bars.cutting_stock.bounds import Worth, cheapest_cover, prices_by_length
from fabgen.plan.bars.cutting_stock.knapsack import Knapsack
from fabgen.plan.bars.cutting_stock.problem import Allowance, Bar, StockProblem

Floats = NDArray[np.float64]

_SMOOTHING = 0.5
"""Share of the best prices so far in the prices tried next: keeps them from jumping about."""
_NEW = 100
"""Patterns added in one round at most."""
_TIMES = 3
"""Patterns of one round a size may be on before it counts as served."""
_EPS = 1e-9
_BITS = 40
_DUAL, _PRIMAL = 1, 4
"""HiGHS's numbers of its methods: dual after new demands, primal after new columns, so that the last basis serves."""


class QuietHighs(highspy.Highs):
    """HiGHS as we always want it: silent, one thread, the same answer every time."""

    def __init__(self) -> None:
        super().__init__()  # type: ignore[no-untyped-call]
        self.setOptionValue("threads", 1)
        self.setOptionValue("random_seed", 0)

    def enableCallbacks(self) -> None:  # noqa: N802, the library's name
        # Called first thing by the library's own constructor; it would print a banner to standard output.
        self.setOptionValue("output_flag", False)
        super().enableCallbacks()  # type: ignore[no-untyped-call]

    def add_row(self, lower: float, upper: float) -> None:
        """A row as yet without columns."""
        self.addRow(lower, upper, 0, np.empty(0, np.int32), np.empty(0))

    def add_column(self, cost: float, upper: float, entries: dict[int, float]) -> None:
        """A column from 0 to `upper`, with its entries by row."""
        rows, numbers = np.array(list(entries), np.int32), np.array(list(entries.values()))
        self.addCol(cost, 0.0, upper, len(entries), rows, numbers)


@dataclass(frozen=True, slots=True)
class Prices:
    """Prices of the sizes, in `scale` parts of a cost unit, and the bound they prove.

    `real` is the bound before it is rounded up to a cost that bars can add up to.
    """

    values: tuple[int, ...]
    worth: Worth
    scale: int
    bound: int
    real: float

    def each(self) -> list[float]:
        return [value / self.scale for value in self.values]


class Columns:
    """The linear programme over the patterns found so far.

    `value` is its cost, `shares` how often it uses each of `patterns`; `bound` is the best bound
    proven so far, `prices` are those that prove the best bound in real numbers.
    """

    def __init__(self, problem: StockProblem, patterns: Iterable[Bar], bound: int, allowance: Allowance) -> None:
        self.problem = problem
        self.bound = bound
        self.patterns: list[Bar] = []
        self.shares: list[float] = []
        self.value = 0.0
        self._allowance = allowance
        self._known: set[Bar] = set()
        self._limited = [k for k, kind in enumerate(problem.kinds) if kind.count is not None]
        self._unit = max(kind.cost for kind in problem.kinds)
        self._scale = max(1 << 16, (1 << _BITS) // self._unit)
        self._lp = QuietHighs()
        self._lp.setOptionValue("presolve", "off")
        for _ in range(len(problem.wanted) + len(self._limited)):
            self._lp.add_row(0.0, highspy.kHighsInf)
        for pattern in patterns:
            self._add(pattern)
        self._demand()

    def narrow(self, problem: StockProblem) -> None:
        """Go on with what is left of the problem; patterns that cut more than is wanted serve as well."""
        self.problem = problem
        self.bound = 0
        self._demand()
        self._solve(_DUAL)

    def relax(self, enough: int, rounds: int = 1_000_000, fully: bool = False) -> None:
        """Add patterns until the bound reaches `enough`, none helps, or the allowance is spent.

        Unless `fully`, end also when the answer in real numbers meets the bound, which then cannot rise.
        """
        duals, limits = self._solve(_PRIMAL)
        for _ in range(rounds):
            met = self.value <= self.bound * (1 + _EPS)
            if self.bound >= enough or (met and not fully) or self._allowance.spent:
                return
            smooth = _SMOOTHING * np.array(self.prices.each()) + (1 - _SMOOTHING) * duals
            if not (self._round(smooth, duals, limits) or self._round(duals, duals, limits)):
                return
            duals, limits = self._solve(_PRIMAL)

    def _demand(self) -> None:
        """Set the rows to what the problem wants and has, and start from prices by length."""
        for size, n in enumerate(self.problem.wanted):
            # A row that asks for nothing is freed: left in, it makes every step degenerate.
            self._lp.changeRowBounds(size, float(n) if n else -highspy.kHighsInf, highspy.kHighsInf)
        for row, k in enumerate(self._limited, len(self.problem.wanted)):
            self._lp.changeRowBounds(row, -highspy.kHighsInf, float(self.problem.kinds[k].count or 0))
        self.prices = self._priced(np.array(prices_by_length(self.problem)))[0]
        self.bound = max(self.bound, self.prices.bound)

    def _solve(self, method: int) -> tuple[Floats, Floats]:
        """The worth of a piece of each size, and of one bar more of each kind (0 or less: what it saves)."""
        self._lp.setOptionValue("simplex_strategy", method)
        self._lp.run()
        sizes = len(self.problem.wanted)
        self._allowance.spend(0.1 * sizes * self._lp.getInfo().simplex_iteration_count)
        solution = self._lp.getSolution()
        self.value = self._lp.getObjectiveValue() * self._unit
        self.shares = list(solution.col_value)
        duals = np.array(solution.row_dual) * self._unit
        limits = np.zeros(len(self.problem.kinds))
        limits[self._limited] = np.minimum(duals[sizes:], 0.0)
        return np.maximum(duals[:sizes], 0.0), limits

    def _round(self, tried: Floats, duals: Floats, limits: Floats) -> bool:
        """Look for patterns at the prices `tried`; add those that help at `duals`.  False when there are none."""
        prices, packs = self._priced(tried)
        self.bound = max(self.bound, prices.bound)
        if prices.real > self.prices.real:
            self.prices = prices
        found: list[tuple[float, Bar]] = []
        for k, pack, at in packs:
            worth = self.problem.kinds[k].cost - float(limits[k])
            for sizes in pack.fillings(at, int(0.9 * worth * prices.scale)):
                gain = float(duals[list(sizes)].sum()) - worth
                if gain > _EPS * self._unit:
                    found.append((gain / (worth + _EPS * self._unit), (k, sizes)))
        found.sort(key=lambda item: (-item[0], item[1]))
        served: Counter[int] = Counter()
        added = 0
        for _, pattern in found:
            if added < _NEW and any(served[size] < _TIMES for size in pattern[1]) and self._add(pattern):
                added += 1
                served.update(set(pattern[1]))
        return added > 0

    def _priced(self, tried: Floats) -> tuple[Prices, list[tuple[int, Knapsack, int]]]:
        """What the prices prove, and for each kind the table of its fillings and its place there."""
        problem = self.problem
        values = np.floor(tried * self._scale).astype(np.int64).tolist()
        most = [0] * len(problem.kinds)
        packs = []
        for takes, alike in problem.groups.items():
            pack = Knapsack.of(values, takes, problem.wanted, [problem.kinds[k].room for k in alike])
            self._allowance.spend(pack.work)
            for at, k in enumerate(alike):
                most[k] = pack.value(at)
                packs.append((k, pack, at))
        worth = Worth(problem.total(values), tuple(most))
        return Prices(tuple(values), worth, self._scale, cheapest_cover(problem, worth), self._real(worth)), packs

    def _real(self, worth: Worth) -> float:
        """The bound in real numbers: prices made smaller until no bar to be bought holds more than it costs.

        Source: Farley, A. A., 'A note on bounding a class of linear programming problems, including
        cutting stock problems', Operations Research 38, 1990.
        """
        kinds, scale = self.problem.kinds, self._scale
        factor = max(1.0, *(worth.most[k] / (kinds[k].cost * scale) for k in self.problem.bought))
        over = sum(
            (kind.count or 0) * max(0.0, most / factor - kind.cost * scale)
            for kind, most in zip(kinds, worth.most, strict=True)
        )
        return (worth.total / factor - over) / scale

    def _add(self, pattern: Bar) -> bool:
        if pattern in self._known:
            return False
        self._known.add(pattern)
        self.patterns.append(pattern)
        k, sizes = pattern
        entries = {size: float(n) for size, n in Counter(sizes).items()}
        if k in self._limited:
            entries[len(self.problem.wanted) + self._limited.index(k)] = 1.0
        self._lp.add_column(self.problem.kinds[k].cost / self._unit, highspy.kHighsInf, entries)
        return True

"""Column generation: the bound in real numbers, and the patterns good plans are made of."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import highspy
import numpy as np

from fabgen.plan.cutting_bounds import cheapest_cover
from fabgen.plan.cutting_knapsack import Knapsack
from fabgen.plan.cutting_problem import Bar, Problem

_SCALE_BITS = 40


def quiet_highs() -> highspy.Highs:
    """HiGHS as we always want it: silent, one thread, the same answer every time."""
    highs = highspy.Highs()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", 1)
    highs.setOptionValue("random_seed", 0)
    return highs


class Master:
    """The linear programme over the patterns found so far."""

    def __init__(self, problem: Problem, patterns: Iterable[Bar]) -> None:
        self.problem = problem
        self.unit = max(kind.cost for kind in problem.kinds) or 1
        self.patterns: list[Bar] = []
        self._known: set[Bar] = set()
        self._limited = [k for k, kind in enumerate(problem.kinds) if kind.count is not None]
        self._lp = quiet_highs()
        self._lp.setOptionValue("presolve", "off")
        for n in problem.wanted:
            self._lp.addRow(float(n), highspy.kHighsInf, 0, np.empty(0, np.int32), np.empty(0))
        for k in self._limited:
            self._lp.addRow(-highspy.kHighsInf, float(problem.kinds[k].count or 0), 0, np.empty(0, np.int32), np.empty(0))
        for pattern in patterns:
            self.add(pattern)

    def add(self, pattern: Bar) -> bool:
        if pattern in self._known:
            return False
        self._known.add(pattern)
        self.patterns.append(pattern)
        k, sizes = pattern
        counted = Counter(sizes)
        rows, numbers = list(counted), list(map(float, counted.values()))
        if k in self._limited:
            rows.append(len(self.problem.wanted) + self._limited.index(k))
            numbers.append(1.0)
        self._lp.addCol(
            self.problem.kinds[k].cost / self.unit, 0.0, highspy.kHighsInf, len(rows), np.array(rows, np.int32), np.array(numbers)
        )
        return True

    def solve(self):
        self._lp.run()
        s = self._lp.getSolution()
        m = len(self.problem.wanted)
        dual = np.array(s.row_dual)
        return self._lp.getObjectiveValue() * self.unit, np.maximum(dual[:m], 0), dual[m:], np.array(s.col_value)

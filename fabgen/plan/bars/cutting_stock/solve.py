"""The steps from quick to thorough, each taken only when the one before leaves a gap."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from fabgen.plan.bars.cutting_stock.bounds import Worth, cheap_bound, prices_by_length, worths
from fabgen.plan.bars.cutting_stock.fill import downsized, quick_plans
from fabgen.plan.bars.cutting_stock.local_search import improved
from fabgen.plan.bars.cutting_stock.problem import Allowance, Bar, CuttingPlan, StockProblem

WORK = 8_000_000
"""Steps allowed where the caller does not say: some ten seconds."""
_FEW_PIECES = 60
"""Up to here the whole problem is as quick to solve as a part of it."""
_GOES_AT_FIRST, _GOES = 6, 60
"""Goes at the worst bars, before and after there are good prices."""
_MIXES = 30_000
"""Mixes tried, times the pieces of the problem."""
_ANY = 1 << 62


@dataclass(slots=True)
class _State:
    """The best plan and bound so far, every pattern met on the way, and good prices with what they prove."""

    problem: StockProblem
    allowance: Allowance
    below: int
    """Only plans cheaper than this are of use; falls with the best plan."""
    best: list[Bar] = field(default_factory=list)
    bound: int = 0
    patterns: dict[Bar, None] = field(default_factory=dict)
    prices: Sequence[float] = ()
    worths: Sequence[Worth] = ()

    @property
    def closed(self) -> bool:
        """Whether the best plan is proven least, or it is proven that none is of use."""
        return self.below <= self.bound

    @property
    def cost(self) -> int:
        return self.problem.cost(self.best)

    def offer(self, plan: list[Bar]) -> None:
        self.patterns.update(dict.fromkeys(plan))
        if not self.best or self.problem.cost(plan) < self.cost:
            self.best = plan
        self.below = min(self.below, self.cost)

    def raise_bound(self, bound: int) -> None:
        self.bound = max(self.bound, bound)


_Step = Callable[[_State], None]


def cheapest(problem: StockProblem, work: float = WORK) -> CuttingPlan:
    """The cheapest plan found within so many steps, and its bound; most often the two meet.

    Args:
        problem: sizes wanted and kinds of bar.
        work: steps of about a microsecond.  The quick plans are always tried, so none is dearer than first-fit
            decreasing's.
    """
    state = _solved(problem, (_improve, _dive, _improve, _try_mixes, _close), Allowance(work))
    return CuttingPlan(tuple(state.best), state.cost, min(state.bound, state.cost))


def _solved(problem: StockProblem, steps: Sequence[_Step], allowance: Allowance, below: int = _ANY) -> _State:
    state = _State(problem, allowance, below)
    if not any(problem.wanted):
        state.below = 0
        return state
    state.raise_bound(cheap_bound(problem))
    for plan in quick_plans(problem):
        state.offer(plan)
        if state.closed:
            break
    for step in steps:
        if state.closed or allowance.spent:
            break
        step(state)
    return state


def _improve(state: _State) -> None:
    problem = state.problem
    if not state.prices and sum(problem.wanted) <= _FEW_PIECES:
        return

    def solve(part: StockProblem) -> list[Bar]:
        return _solved(part, (_dive,), state.allowance).best

    prices, goes = (state.prices, _GOES) if state.prices else (prices_by_length(problem), _GOES_AT_FIRST)
    state.offer(improved(problem, state.best, state.bound, prices, solve, goes, state.allowance))


def _dive(state: _State) -> None:
    # Loaded here, not at start-up: most jobs are done before.
    from fabgen.plan.bars.cutting_stock.column_generation import Columns
    from fabgen.plan.bars.cutting_stock.diving import dive

    columns = Columns(state.problem, state.patterns, state.bound, state.allowance)
    columns.relax(state.below)
    state.raise_bound(columns.bound)
    state.prices, state.worths = columns.prices.each(), [columns.prices.worth]
    if not state.closed:
        for plan in dive(columns):
            state.offer(downsized(state.problem, plan))
            if state.closed:
                break
    state.patterns.update(dict.fromkeys(columns.patterns))


def _try_mixes(state: _State) -> None:
    """Try the mixes of bars that a cheaper plan could buy, one by one, until one will do or all are ruled out."""
    from fabgen.plan.bars.cutting_stock.exact_search import mixes, packing

    problem = state.problem
    if len(problem.bought) < 2:
        return
    while not state.closed:
        found = mixes(problem, state.below, [*worths(problem), *state.worths], _MIXES // sum(problem.wanted))
        if found is None:
            return
        below = state.below
        ruled_out = True
        for mix in found:
            inner = _solved(packing(problem, mix, below), (_improve, _dive, _improve, _close), state.allowance, below)
            if inner.cost < below:
                state.offer(downsized(problem, inner.best))
                break
            ruled_out &= inner.bound >= below
            if state.allowance.spent:
                return
        else:
            if ruled_out:
                state.raise_bound(below)
            return


def _close(state: _State) -> None:
    from fabgen.plan.bars.cutting_stock.column_generation import Columns
    from fabgen.plan.bars.cutting_stock.exact_search import MOST_PATTERNS, MOST_SIZES, best_mix, patterns_within

    problem = state.problem
    if sum(n > 0 for n in problem.wanted) > MOST_SIZES:
        return
    columns = Columns(problem, state.patterns, state.bound, state.allowance)
    columns.relax(state.below, fully=True)
    state.raise_bound(columns.bound)
    if state.closed:
        return
    patterns, all_of_them = patterns_within(problem, columns.prices, state.below)
    if not all_of_them:
        patterns = list(dict.fromkeys([*patterns, *columns.patterns]))[:MOST_PATTERNS]
    plan, complete = best_mix(problem, patterns, state.below, state.bound)
    if plan is not None:
        state.offer(plan)
    if all_of_them and complete:
        state.raise_bound(state.below)

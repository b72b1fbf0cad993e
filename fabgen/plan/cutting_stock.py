"""Cutting stock: the cheapest bars for all pieces, with a bound that says how good the plan is.

From quick to thorough, each step only when the one before leaves a gap: bars filled one after
another and cheap bounds; a few bad bars cut anew, time and again; column generation, which gives
the bound, and dives into its answer; and last every pattern a cheaper plan could use, searched
to the end.  Nothing depends on the clock, so a job always gets the same plan.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from fabgen.plan.cutting_bounds import cheap_bound, prices_by_length, worths
from fabgen.plan.cutting_fill import downsized, quick_plans
from fabgen.plan.cutting_improve import improved
from fabgen.plan.cutting_mixes import mixes, packing
from fabgen.plan.cutting_problem import Bar, Cutting, Kind, Problem

LOG=[]
_MIXES = 100
_PATTERNS = 3000
_SIZES = 150
__all__ = ["Bar", "Cutting", "Kind", "Problem", "cheapest"]


@dataclass(slots=True)
class _State:
    """The best plan and bound so far, and every pattern met on the way."""

    problem: Problem
    best: list[Bar]
    bound: int
    below: int
    """Only plans cheaper than this are of use; falls with the best plan."""
    patterns: dict[Bar, None]

    @classmethod
    def start(cls, problem: Problem, below: int = 1 << 62) -> _State:
        plans = quick_plans(problem)
        state = cls(problem, next(plans), cheap_bound(problem), below, {})
        state.offer(state.best)
        for plan in plans:
            if state.closed:
                break
            state.offer(plan)
        return state

    @property
    def cost(self) -> int:
        return self.problem.cost(self.best)

    @property
    def closed(self) -> bool:
        """Whether the best plan is proven least, or it is proven that none is of use."""
        return self.below <= self.bound

    def offer(self, plan: list[Bar]) -> None:
        self.patterns.update(dict.fromkeys(plan))
        if self.problem.cost(plan) < self.cost:
            self.best = plan
        self.below = min(self.below, self.cost)

    def raise_bound(self, bound: int) -> None:
        self.bound = max(self.bound, bound)


def cheapest(problem: Problem) -> Cutting:
    """The cheapest plan that can be found, and the bound; most often the two meet."""
    state = _solved(problem, (_improve_by_length, _dive, _by_mixes, _close))
    return Cutting(tuple(state.best), state.cost, min(state.bound, state.cost))


def _solved(problem: Problem, steps: Iterable[Callable[[_State], None]], below: int = 1 << 62) -> _State:
    state = _State.start(problem, below)
    for step in steps:
        if state.closed:
            break
        step(state)
    return state


def _quick_but_good(problem: Problem) -> list[Bar]:
    """The best plan short of a search to the end."""
    return _solved(problem, (_dive,)).best


def _improve_by_length(state: _State) -> None:
    state.offer(improved(state.problem, state.best, state.bound, prices_by_length(state.problem), _quick_but_good))


def _dive(state: _State) -> None:
    # Loaded here, not at start-up: most jobs are done before.
    from fabgen.plan.cutting_columns import Columns
    from fabgen.plan.cutting_finish import dive

    columns = Columns(state.problem, state.patterns, state.bound)
    columns.relax(state.below)
    state.raise_bound(columns.bound)
    state.patterns.update(dict.fromkeys(columns.patterns))
    if not state.closed:
        for plan in dive(columns):
            state.offer(plan)
            if state.closed:
                return


def _by_mixes(state: _State) -> None:
    problem = state.problem
    if sum(kind.count is None for kind in problem.kinds) < 2:
        return
    while not state.closed:
        found = mixes(problem, state.cost, worths(problem), _MIXES)
        if found is None:
            return
        better = None
        ruled_out = True
        below = state.cost
        for mix in found:
            inner = _solved(packing(problem, mix, below), (_improve_by_length, _dive, _close), below)
            LOG.append((mix, inner.cost, inner.bound,below))
            if inner.cost < below:
                better = downsized(problem, inner.best)
                state.offer(better)
                break
            ruled_out &= inner.bound >= below
        if better is None:
            if ruled_out:
                state.raise_bound(state.cost)
            return


def _close(state: _State) -> None:
    from fabgen.plan.cutting_columns import Columns
    from fabgen.plan.cutting_finish import best_mix, patterns_within

    problem = state.problem
    columns = Columns(problem, state.patterns, state.bound)
    columns.relax(state.below, fully=True)
    state.raise_bound(columns.bound)
    if state.closed:
        return
    prices = [value / columns.prices.scale for value in columns.prices.values]
    state.offer(improved(problem, state.best, state.bound, prices, _quick_but_good))
    if state.closed:
        return
    patterns = patterns_within(problem, columns.prices, state.below)
    few = [*columns.patterns, *state.patterns] if patterns is None else patterns
    if len(few) > _PATTERNS or len(problem.wanted) > _SIZES:
        return
    plan, complete = best_mix(problem, list(dict.fromkeys(few)), state.below, state.bound)
    if plan is not None:
        state.offer(plan)
    if patterns is not None and complete:
        state.raise_bound(state.below)

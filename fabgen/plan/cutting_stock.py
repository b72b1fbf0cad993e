"""Cutting stock: the cheapest bars for all pieces, with a bound that says how good the plan is."""

from __future__ import annotations

from fabgen.plan.cutting_bounds import cheap_bound
from fabgen.plan.cutting_fill import quick_plans
from fabgen.plan.cutting_problem import Bar, Cutting, Kind, Problem

__all__ = ["Bar", "Cutting", "Kind", "Problem", "cheapest"]

_NODES = 2000


def cheapest(problem: Problem) -> Cutting:
    """The cheapest plan that can be found, proven least if the time allows."""
    bound = cheap_bound(problem)
    best: list[Bar] | None = None
    seen: dict[Bar, None] = {}
    for plan in quick_plans(problem):
        seen.update(dict.fromkeys(plan))
        if best is None or problem.cost(plan) < problem.cost(best):
            best = plan
        if problem.cost(best) <= bound:
            break
    assert best is not None
    if problem.cost(best) > bound:
        best, bound = _exact(problem, best, bound, list(seen))
    return Cutting(tuple(best), problem.cost(best), min(bound, problem.cost(best)))


def _exact(problem: Problem, best: list[Bar], bound: int, seen: list[Bar]) -> tuple[list[Bar], int]:
    # Loaded here, not at start-up: most jobs are done before.
    from fabgen.plan.cutting_columns import Columns
    from fabgen.plan.cutting_finish import best_mix, dive, patterns_within

    columns = Columns(problem, seen, bound)
    columns.relax(problem.cost(best))
    bound = columns.bound
    if bound >= problem.cost(best):
        return best, bound
    for plan in dive(columns):
        if problem.cost(plan) < problem.cost(best):
            best = plan
        if problem.cost(best) <= bound:
            return best, bound
    columns = Columns(problem, dict.fromkeys([*columns.patterns, *best]), bound)
    columns.relax(problem.cost(best), fully=True)
    bound = columns.bound
    if bound >= problem.cost(best):
        return best, bound
    patterns = patterns_within(problem, columns.prices, problem.cost(best))
    plan, complete = best_mix(problem, patterns or columns.patterns, problem.cost(best), bound, _NODES)
    if plan is not None:
        best = plan
    if patterns is not None and complete:
        bound = problem.cost(best)
    return best, bound

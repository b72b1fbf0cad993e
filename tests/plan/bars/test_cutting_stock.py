"""The cheapest plan: equal to trying everything on small jobs, never worse than the textbook heuristic."""

from __future__ import annotations

import pytest
from cutting_jobs import by_trying_everything, every_job, first_fit_decreasing, plan_faults, random_problem
from random_seeds import first_seed, how_many

from fabgen.plan.bars.cutting_stock import StockProblem, cheapest, tidied


@pytest.mark.parametrize("seed", range(60))
def test_equal_to_trying_everything(seed: int) -> None:
    is_least(random_problem(seed, 8))


def is_least(problem: StockProblem) -> None:
    found = cheapest(problem)
    assert plan_faults(problem, found.bars) == []
    assert found.proven
    assert found.cost == problem.cost(found.bars) == by_trying_everything(problem)


def test_equal_to_trying_everything_on_all_jobs_of_few_pieces() -> None:
    for problem in every_job(4):
        is_least(problem)


@pytest.mark.slow
def test_equal_to_trying_everything_on_all_jobs_of_up_to_eight_pieces() -> None:
    for problem in every_job(8):
        is_least(problem)


@pytest.mark.slow
def test_equal_to_trying_everything_on_thousands_of_random_jobs() -> None:
    for seed in range(3_000):
        is_least(random_problem(first_seed(30_000) + seed, 8))


def never_worse(seeds: range) -> None:
    for seed in seeds:
        problem = random_problem(seed, 40)
        found = cheapest(problem)
        assert plan_faults(problem, found.bars) == []
        assert found.bound <= found.cost
        for k in problem.bought:
            heuristic = first_fit_decreasing(problem, k)
            assert heuristic is None or found.cost <= heuristic


def test_never_worse_than_first_fit_decreasing() -> None:
    never_worse(range(1000, 1200))


@pytest.mark.slow
@pytest.mark.parametrize("block", range(10))
def test_never_worse_than_first_fit_decreasing_in_thousands_of_jobs(block: int) -> None:
    """Ten thousand with --full."""
    first = first_seed(10_000) + 1000 * block
    never_worse(range(first, first + how_many(1000, 250)))


@pytest.mark.parametrize("seed", range(200, 230))
def test_tidying_costs_nothing(seed: int) -> None:
    problem = random_problem(seed, 20)
    found = cheapest(problem)
    tidy = tidied(problem, found.bars)
    assert plan_faults(problem, tidy) == []
    assert problem.cost(tidy) <= found.cost


def test_the_same_problem_gets_the_same_plan() -> None:
    problem = random_problem(5, 40)
    assert cheapest(problem) == cheapest(problem)

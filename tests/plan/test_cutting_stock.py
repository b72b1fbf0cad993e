"""The cheapest plan: equal to trying everything on small jobs, never worse than the textbook heuristic."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np
import pytest

from fabgen.plan.cutting_stock import Kind, Problem, cheapest, tidied


def random_problem(seed: int, most: int) -> Problem:
    rng = np.random.default_rng(seed)
    pieces = int(rng.integers(1, most + 1))
    lengths = sorted({int(n) for n in rng.integers(50, 600, pieces)}, reverse=True)
    wanted = tuple(int(n) for n in rng.multinomial(pieces - len(lengths), [1 / len(lengths)] * len(lengths)) + 1)
    kinds = []
    for room in sorted({int(n) for n in rng.integers(600, 1600, int(rng.integers(1, 4)))}):
        kerf = int(rng.integers(0, 6))
        kinds.append(Kind(room + kerf, tuple(n + kerf for n in lengths), int(room * rng.uniform(0.8, 1.3))))
    if rng.random() < 0.5:
        room = int(rng.integers(300, 900))
        kinds.append(Kind(room, tuple(lengths), 0, int(rng.integers(1, 3))))
    return Problem(wanted, tuple(kinds))


def by_trying_everything(problem: Problem) -> int:
    """Least cost over all ways to cut: a recursion over what is left, the first piece left always cut next."""

    @cache
    def least(left: tuple[int, ...], racks: tuple[int, ...]) -> float:
        first = next((size for size, n in enumerate(left) if n), None)
        if first is None:
            return 0
        best = float("inf")
        for k, kind in enumerate(problem.kinds):
            if racks[k] == 0 or not kind.holds(first):
                continue
            fewer = tuple(n - (i == k) if kind.count is not None else n for i, n in enumerate(racks))
            for rest in fillings(left, kind, first):
                best = min(best, kind.cost + least(rest, fewer))
        return best

    def fillings(left: tuple[int, ...], kind: Kind, first: int) -> Iterator[tuple[int, ...]]:
        def grow(size: int, rest: list[int], room: int) -> Iterator[tuple[int, ...]]:
            if size == len(rest):
                yield tuple(rest)
                return
            for n in range(min(rest[size], room // kind.takes[size]) + 1):
                rest[size] -= n
                yield from grow(size + 1, rest, room - n * kind.takes[size])
                rest[size] += n

        start = list(left)
        start[first] -= 1
        yield from grow(0, start, kind.room - kind.takes[first])

    return int(least(problem.wanted, tuple(-1 if k.count is None else k.count for k in problem.kinds)))


def first_fit_decreasing(problem: Problem, k: int) -> int | None:
    """Cost with one kind of bar only (Johnson, D. S., 'Near-optimal bin packing algorithms', MIT, 1973)."""
    kind = problem.kinds[k]
    if not all(kind.holds(size) for size in range(len(problem.wanted))):
        return None
    rooms: list[int] = []
    for size, n in enumerate(problem.wanted):
        for _ in range(n):
            at = next((i for i, room in enumerate(rooms) if room >= kind.takes[size]), None)
            if at is None:
                rooms.append(kind.room)
                at = len(rooms) - 1
            rooms[at] -= kind.takes[size]
    return kind.cost * len(rooms)


@pytest.mark.parametrize("seed", range(60))
def test_equal_to_trying_everything(seed: int) -> None:
    problem = random_problem(seed, 8)
    found = cheapest(problem)
    assert problem.faults(found.bars) == []
    assert found.proven
    assert found.cost == problem.cost(found.bars) == by_trying_everything(problem)


def never_worse(seeds: range) -> None:
    for seed in seeds:
        problem = random_problem(seed, 40)
        found = cheapest(problem)
        assert problem.faults(found.bars) == []
        assert found.bound <= found.cost
        for k in problem.bought:
            heuristic = first_fit_decreasing(problem, k)
            assert heuristic is None or found.cost <= heuristic


def test_never_worse_than_first_fit_decreasing() -> None:
    never_worse(range(1000, 1200))


@pytest.mark.slow
def test_never_worse_than_first_fit_decreasing_in_ten_thousand_jobs() -> None:
    never_worse(range(10_000, 20_000))


@pytest.mark.parametrize("seed", range(200, 230))
def test_tidying_costs_nothing(seed: int) -> None:
    problem = random_problem(seed, 20)
    found = cheapest(problem)
    tidy = tidied(problem, found.bars)
    assert problem.faults(tidy) == []
    assert problem.cost(tidy) <= found.cost


def test_the_same_problem_gets_the_same_plan() -> None:
    problem = random_problem(5, 40)
    assert cheapest(problem) == cheapest(problem)

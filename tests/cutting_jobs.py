"""Cutting-stock jobs for the tests and benches of bars, and the plans to judge ours by."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import combinations_with_replacement
from pathlib import Path

import numpy as np

from fabgen.plan.bars.cutting_stock import Bar, Kind, StockProblem

_U120 = Path(__file__).parent / "data" / "orlib_binpack1.txt"


def u120(number: int) -> tuple[StockProblem, int]:
    """One of the 20 instances of OR-Library's class u120, and the best number of bars the file knows of."""
    lines = _U120.read_text().split("\n")
    at = 1 + number * 122
    best = int(lines[at + 1].split()[2])
    wanted = Counter(int(line) for line in lines[at + 2 : at + 122])
    sizes = sorted(wanted, reverse=True)
    return StockProblem(tuple(wanted[s] for s in sizes), (Kind(150, tuple(sizes), 1),)), best


def a_thousand_mixed_pieces() -> StockProblem:
    """1,000 pieces of 60 lengths and bars of three lengths at prices of their own, 2 mm kerf."""
    rng = np.random.default_rng(1)
    lengths = sorted({int(n) for n in rng.integers(1500, 28000, 60)}, reverse=True)
    wanted = tuple(int(n) for n in rng.multinomial(1000, [1 / len(lengths)] * len(lengths)))
    takes = tuple(length + 20 for length in lengths)
    kinds = tuple(Kind(room + 20, takes, cost) for room, cost in ((60000, 6000), (75000, 7600), (40000, 4200)))
    return StockProblem(wanted, kinds)


def every_job(most: int) -> Iterator[StockProblem]:
    """All jobs of up to `most` pieces of six lengths, each with three choices of stock: one length; a long one and
    a dearer short one; one length with two short bars on the rack."""
    for count in range(1, most + 1):
        for pieces in combinations_with_replacement((7, 6, 5, 4, 3, 2), count):
            wanted = Counter(pieces)
            takes = tuple(wanted)
            for kinds in (
                (Kind(12, takes, 12),),
                (Kind(12, takes, 12), Kind(8, takes, 9)),
                (Kind(12, takes, 12), Kind(5, takes, 0, 2)),
            ):
                yield StockProblem(tuple(wanted.values()), kinds)


def random_problem(seed: int, most: int) -> StockProblem:
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
    return StockProblem(wanted, tuple(kinds))


def by_trying_everything(problem: StockProblem) -> int:
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


def first_fit_decreasing(problem: StockProblem, k: int) -> int | None:
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


def plan_faults(problem: StockProblem, bars: Sequence[Bar]) -> list[str]:
    """What is wrong with a plan, in words; empty when it can be sawn and gives every piece once."""
    found = []
    cut = Counter(size for _, sizes in bars for size in sizes)
    if any(cut[size] != n for size, n in enumerate(problem.wanted)):
        found.append("the pieces cut are not the pieces wanted")
    if any(problem.kinds[k].used(sizes) > problem.kinds[k].room for k, sizes in bars):
        found.append("a bar is cut longer than it is")
    for k, n in Counter(k for k, _ in bars).items():
        count = problem.kinds[k].count
        if count is not None and n > count:
            found.append(f"{n} bars of kind {k} are cut, {count} are there")
    return found

"""Which numbers of bars of each kind a cheaper plan could buy.

With bars of several lengths and prices there are often only a few such mixes between plan and
bound.  Each is a problem of its own: so many bars and no more, and no piece may be left over.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from fabgen.plan.bars.cutting_stock.bounds import Worth
from fabgen.plan.bars.cutting_stock.problem import Kind, StockProblem

_STEPS = 100_000
"""Mixes looked at before it gives up."""


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
        return len(found) <= most and steps <= _STEPS

    if not search(below - problem.step, ()):
        return None
    return [dict(zip(bought, full, strict=True)) for _, full in sorted(found)]


def packing(problem: StockProblem, mix: Mapping[int, int], below: int) -> StockProblem:
    """The problem with so many bars to buy; the kind added last takes a piece that finds no place, for `below`."""
    kinds = [replace(kind, count=mix.get(k, kind.count)) for k, kind in enumerate(problem.kinds)]
    return StockProblem(problem.wanted, (*kinds, Kind(1, (1,) * len(problem.wanted), below)))

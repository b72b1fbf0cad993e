"""Which numbers of bars of each kind a cheaper plan could buy, and whether the pieces go onto them.

With bars of several lengths and prices the bound often lies just where a few mixes are left.  Each
is a problem of its own: so many bars and no more, and no piece may be left over.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fabgen.plan.cutting_problem import Kind, Problem

Mix = dict[int, int]
"""How many bars of each kind that can be bought."""


def mixes(problem: Problem, below: int, worths: Sequence[tuple[int, Sequence[int]]], most: int) -> list[Mix] | None:
    """The mixes a plan cheaper than `below` can use, the roomiest first; None when they are more than `most`.

    `worths` are valuations as in the bounds: the value of all pieces, and what a bar of each kind
    holds at most.  A mix to which a bar can be added for less than `below` is left out.
    """
    kinds = problem.kinds
    bought = sorted((k for k, kind in enumerate(kinds) if kind.count is None), key=lambda k: (-kinds[k].cost, k))
    needs = [total - sum(holds[k] * (kind.count or 0) for k, kind in enumerate(kinds)) for total, holds in worths]
    found: list[tuple[float, list[int]]] = []

    def search(at: int, money: int, chosen: list[int]) -> bool:
        k = bought[at]
        if at + 1 < len(bought):
            return all(search(at + 1, money - n * kinds[k].cost, [*chosen, n]) for n in range(money // kinds[k].cost + 1))
        full = [*chosen, money // kinds[k].cost]
        slack = [
            sum(n * holds[k] for n, k in zip(full, bought, strict=True)) - need
            for need, (_, holds) in zip(needs, worths, strict=True)
        ]
        if min(slack) >= 0:
            found.append((slack[0], full))
        return len(found) <= most

    if not search(0, below - problem.step, []):
        return None
    found.sort(key=lambda item: (-item[0], item[1]))
    return [dict(zip(bought, full, strict=True)) for _, full in found]


def packing(problem: Problem, mix: Mix, below: int) -> Problem:
    """The pieces on the bars of the mix and of the rack; the last kind takes a piece that finds no place, for `below`."""
    kinds = [replace(kind, count=mix.get(k, kind.count)) for k, kind in enumerate(problem.kinds)]
    return Problem(problem.wanted, (*kinds, Kind(1, (1,) * len(problem.wanted), below)))

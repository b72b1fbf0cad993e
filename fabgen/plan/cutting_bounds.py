"""Costs no plan can go below, cheap ones.

Each bound values the sizes somehow, asks how much value a bar of each kind can hold at most,
and what the cheapest bars are that hold the value of all pieces wanted.  Any valuation gives a
true bound; good ones are the length itself and those of Martello, S. and Toth, P., 'Lower bounds
and reduction procedures for the bin packing problem', Discrete Applied Mathematics 28, 1990 (L2).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import prod

from fabgen.plan.cutting_fill import fullest
from fabgen.plan.cutting_problem import Kind, Problem

_NODES = 4000
"""Steps after which the cheapest cover is left at its bound in real numbers."""


def cheap_bound(problem: Problem) -> int:
    """The best of the bounds by length, by number of pieces and L2."""
    best = max(cheapest_cover(problem, total, most) for total, most in worths(problem))
    return max(best, _l2(problem)) if len(problem.groups) == 1 else best


def worths(problem: Problem) -> list[tuple[int, list[int]]]:
    """Valuations by length and by number: the value of all pieces, and what a bar of each kind holds at most."""
    found = []
    for takes, alike in problem.groups.items():
        most = [
            kind.used(fullest(problem.wanted, takes, kind.room)) if k in alike else _ratio(problem, takes, kind)
            for k, kind in enumerate(problem.kinds)
        ]
        found.append((_total(problem, takes), most))
    return [*found, (sum(problem.wanted), [_most_pieces(problem, kind) for kind in problem.kinds])]


def prices_by_length(problem: Problem) -> list[float]:
    """What each size is worth by its length, at the cheapest rate bars can be bought."""
    cheapest = min((kind for kind in problem.kinds if kind.cost), key=lambda kind: kind.cost / kind.room)
    return [take * cheapest.cost / cheapest.room for take in cheapest.takes]


def cheapest_cover(problem: Problem, total: int, most: Sequence[int]) -> int:
    """Least cost of bars that hold `total` of value, when a bar of kind k holds `most[k]` at most.

    Exact in whole numbers, or a little less when the search gets long.
    """
    counts = [kind.count for kind in problem.kinds]
    total -= sum(most[k] * (counts[k] or 0) for k, kind in enumerate(problem.kinds) if kind.cost == 0 and counts[k])
    if total <= 0 or any(kind.cost == 0 and counts[k] is None and most[k] for k, kind in enumerate(problem.kinds)):
        return 0
    useful = [k for k, kind in enumerate(problem.kinds) if kind.cost and most[k] > 0]
    # Whole-number rates: cost per value, all over one denominator.
    scale = prod(most[k] for k in useful)
    rate = {k: problem.kinds[k].cost * (scale // most[k]) for k in useful}
    useful.sort(key=lambda k: (rate[k], k))
    step = problem.step

    def floor_cost(left: int, first: int) -> int:
        """Bound in real numbers of covering `left` with the kinds from `first` on, times `scale`."""
        cost = 0
        for k in useful[first:]:
            count = counts[k]
            if count is None or left <= most[k] * count:
                return cost + left * rate[k]
            left -= most[k] * count
            cost += most[k] * count * rate[k]
        return -1

    least = -(-floor_cost(total, 0) // (scale * step)) * step
    best: int | None = None
    nodes = 0

    def search(left: int, first: int, cost: int) -> None:
        nonlocal best, nodes
        nodes += 1
        k = useful[first]
        enough = -(-left // most[k])
        count = counts[k]
        for n in range(enough if count is None else min(enough, count), -1, -1):
            rest, spent = left - n * most[k], cost + n * problem.kinds[k].cost
            if rest <= 0:
                best = spent if best is None else min(best, spent)
            elif first + 1 < len(useful):
                below = floor_cost(rest, first + 1)
                if below < 0 or (best is not None and spent * scale + below > (best - step) * scale):
                    return
                search(rest, first + 1, spent)
            else:
                return
            if (best is not None and best <= least) or nodes > _NODES:
                return

    search(total, 0, 0)
    return best if best is not None and (nodes <= _NODES or best <= least) else least


def _total(problem: Problem, values: Sequence[int]) -> int:
    return sum(n * value for n, value in zip(problem.wanted, values, strict=True))


def _ratio(problem: Problem, values: Sequence[int], kind: Kind) -> int:
    """Value a bar can hold at most, by the best value per room of the sizes that fit."""
    return max((kind.room * v // t for v, t in zip(values, kind.takes, strict=True) if t <= kind.room), default=0)


def _most_pieces(problem: Problem, kind: Kind) -> int:
    room, pieces = kind.room, 0
    for take, n in sorted(zip(kind.takes, problem.wanted, strict=True)):
        fit = min(n, room // take)
        pieces += fit
        room -= fit * take
        if fit < n:
            break
    return pieces


def _l2(problem: Problem) -> int:
    """L2 for bars of several rooms: above `large - small` a piece counts as a whole bar, below `small` as nothing."""
    takes = problem.kinds[0].takes
    large = max(kind.room for kind in problem.kinds)
    best = 0
    for small in sorted({0, *(t for t in takes if 2 * t <= large), *(large - t + 1 for t in takes if 2 * t > large)}):
        values = [large if t > large - small else t if t >= small else 0 for t in takes]
        most = [
            large if any(large - small < t <= kind.room for t in takes) else min(kind.room, large)
            for kind in problem.kinds
        ]
        best = max(best, cheapest_cover(problem, _total(problem, values), most))
    return best

"""Costs no plan can go below, the cheap ones.

Each bound values the sizes somehow, asks how much value a bar of each kind can hold at most,
and what the cheapest bars are that hold the value of all pieces wanted.  Any valuation gives a
true bound.  Good ones are the length itself, the bare number, and those of Martello, S. and
Toth, P., 'Lower bounds and reduction procedures for the bin packing problem', Discrete Applied
Mathematics 28, 1990, where a long piece counts as a whole bar and a short one as nothing (L2).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import prod

from fabgen.plan.bars.cutting_stock.fill import fullest
from fabgen.plan.bars.cutting_stock.problem import Kind, StockProblem

_NODES = 4000
"""Steps after which the cheapest cover is left at its bound in real numbers."""


@dataclass(frozen=True, slots=True)
class Worth:
    """A valuation of the sizes: the value of all pieces wanted, and what a bar of each kind can hold at most."""

    total: int
    most: tuple[int, ...]


def cheap_bound(problem: StockProblem) -> int:
    """The best of the bounds by length, by number of pieces and L2."""
    return max(cheapest_cover(problem, worth) for worth in (*worths(problem), *_l2(problem)))


def worths(problem: StockProblem) -> list[Worth]:
    """Valuations by length, one for each kerf, and by number."""
    found = []
    for takes, alike in problem.groups.items():
        most = [
            kind.used(fullest(problem.wanted, takes, kind.room)) if k in alike else _at_best_rate(takes, kind)
            for k, kind in enumerate(problem.kinds)
        ]
        found.append(Worth(problem.total(takes), tuple(most)))
    return [*found, Worth(sum(problem.wanted), tuple(_most_pieces(problem, kind) for kind in problem.kinds))]


def prices_by_length(problem: StockProblem) -> list[float]:
    """What each size is worth by its length, at the cheapest rate bars can be bought."""
    cheapest = min((kind for kind in problem.kinds if kind.cost), key=lambda kind: kind.cost / kind.room)
    return [take * cheapest.cost / cheapest.room for take in cheapest.takes]


def cheapest_cover(problem: StockProblem, worth: Worth) -> int:
    """Least cost of bars that can hold the value of all pieces.

    Exact in whole numbers, or a little less when the search gets long.
    """
    kinds, most, step = problem.kinds, worth.most, problem.step
    free = sum(most[k] * (kind.count or 0) for k, kind in enumerate(kinds) if kind.cost == 0)
    total = worth.total - free
    useful = [k for k, kind in enumerate(kinds) if kind.cost and most[k] > 0]
    if total <= 0:
        return 0
    # Whole-number rates: cost per value, all over one denominator.
    scale = prod(most[k] for k in useful)
    rate = {k: kinds[k].cost * (scale // most[k]) for k in useful}
    useful.sort(key=lambda k: (rate[k], k))

    def in_real_numbers(left: int, first: int) -> int | None:
        """Cost, times `scale`, of covering `left` with parts of bars of the kinds from `first` on."""
        cost = 0
        for k in useful[first:]:
            count = kinds[k].count
            if count is None or left <= most[k] * count:
                return cost + left * rate[k]
            left -= most[k] * count
            cost += most[k] * count * rate[k]
        return None

    floor = in_real_numbers(total, 0)
    assert floor is not None, "every size fits a kind of unlimited number"
    least = -(-floor // (scale * step)) * step
    best: int | None = None
    nodes = 0

    def search(left: int, first: int, cost: int) -> None:
        nonlocal best, nodes
        nodes += 1
        k = useful[first]
        enough, count = -(-left // most[k]), kinds[k].count
        for n in range(enough if count is None else min(enough, count), -1, -1):
            rest, spent = left - n * most[k], cost + n * kinds[k].cost
            if rest <= 0:
                best = spent if best is None else min(best, spent)
            else:
                below = in_real_numbers(rest, first + 1)
                if below is None or (best is not None and spent * scale + below > (best - step) * scale):
                    return
                search(rest, first + 1, spent)
            if best == least or nodes > _NODES:
                return

    search(total, 0, 0)
    return best if best is not None and (nodes <= _NODES or best == least) else least


def _at_best_rate(values: Sequence[int], kind: Kind) -> int:
    """Value a bar can hold at most, were it filled with the sizes of most value for the room they take."""
    return max((kind.room * v // t for v, t in zip(values, kind.takes, strict=True) if t <= kind.room), default=0)


def _most_pieces(problem: StockProblem, kind: Kind) -> int:
    room, pieces = kind.room, 0
    for take, n in sorted((t, n) for t, n in zip(kind.takes, problem.wanted, strict=True) if n):
        fit = min(n, room // take)
        pieces += fit
        room -= fit * take
        if fit < n:
            break
    return pieces


def _l2(problem: StockProblem) -> Iterator[Worth]:
    """L2's valuations, for bars of several rooms: what is longer than `large` less `small` counts as `large`."""
    if len(problem.groups) > 1:
        return
    takes = [take for take, n in zip(problem.kinds[0].takes, problem.wanted, strict=True) if n]
    large = max(kind.room for kind in problem.kinds)
    borders = {t for t in takes if 2 * t <= large} | {large - t + 1 for t in takes if 2 * t > large}
    for small in sorted(borders):
        values = [large if t > large - small else t if t >= small else 0 for t in problem.kinds[0].takes]
        most = [large if any(large - small < t <= kind.room for t in takes) else kind.room for kind in problem.kinds]
        yield Worth(problem.total(values), tuple(most))

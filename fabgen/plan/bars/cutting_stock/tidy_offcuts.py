"""Of plans that cost the same, one that leaves few and long offcuts.

What is wanted is the greatest sum of the squares of the offcuts that are long enough to keep, bars
left whole on the rack among them: one long offcut counts for more than two short ones of the same
length together.  Of plans alike in that, the scrap too is to be in few pieces.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from fabgen.plan.bars.cutting_stock.fill import fullest
from fabgen.plan.bars.cutting_stock.problem import Bar, StockProblem

_PASSES = 6
_KEEPERS = 4
"""Bars with the most left, in turn, onto which the others' waste is moved."""


def tidied(problem: StockProblem, bars: Sequence[Bar], least: Sequence[int] | None = None) -> list[Bar]:
    """A plan of the same cost or less, in fewer bars where that costs nothing, the offcuts few and long.

    `least`: what must be left of each kind of bar to be worth keeping.
    """
    least = least or [0] * len(problem.kinds)
    merged = _merged(problem, list(bars))
    # A bar of the rack that is not used is one whose offcut is the whole of it.
    spare = Counter(problem.rack) - Counter(k for k, _ in merged)
    plans = [[*plan, *((k, ()) for k in spare.elements())] for plan in (merged, _filled_anew(problem, merged)) if plan]
    best = max((_concentrated(problem, plan, least) for plan in plans), key=lambda plan: _worth(problem, plan, least))
    return [bar for bar in best if bar[1]]


def _left(problem: StockProblem, bar: Bar) -> int:
    kind = problem.kinds[bar[0]]
    return kind.room - kind.used(bar[1])


def _worth(problem: StockProblem, bars: Sequence[Bar], least: Sequence[int]) -> tuple[int, int]:
    """The more the better: the squares of what is worth keeping, and of all that is left."""
    rests = [(_left(problem, bar), least[bar[0]]) for bar in bars]
    return sum(left**2 for left, keep in rests if left >= keep), sum(left**2 for left, _ in rests)


def _merged(problem: StockProblem, bars: list[Bar]) -> list[Bar]:
    """Two bought bars made one wherever that costs no more."""
    order = sorted(bars, key=lambda bar: (_left(problem, bar) - problem.kinds[bar[0]].room, bar))
    for i in range(len(order) - 1, 0, -1):
        for j in range(i):
            if (one := _as_one(problem, order[j], order[i])) is not None:
                order[j] = one
                del order[i]
                break
    return order


def _as_one(problem: StockProblem, a: Bar, b: Bar) -> Bar | None:
    kinds = problem.kinds
    if kinds[a[0]].count is not None or kinds[b[0]].count is not None:
        return None
    sizes = tuple(sorted(a[1] + b[1]))
    most = kinds[a[0]].cost + kinds[b[0]].cost
    fits = [k for k in problem.bought if kinds[k].used(sizes) <= kinds[k].room and kinds[k].cost <= most]
    return (min(fits, key=lambda k: (kinds[k].cost, k)), sizes) if fits else None


def _filled_anew(problem: StockProblem, bars: Sequence[Bar]) -> list[Bar]:
    """The same bars filled to the fullest one after another; nothing when pieces are left over."""
    left = list(problem.wanted)
    plan: list[Bar] = []
    for k in sorted((k for k, _ in bars), key=lambda k: (problem.kinds[k].count is None, problem.kinds[k].room, k)):
        kind = problem.kinds[k]
        longest = next((size for size, n in enumerate(left) if n and kind.holds(size)), None)
        sizes = fullest(left, kind.takes, kind.room, longest)
        plan.append((k, sizes))
        for size in sizes:
            left[size] -= 1
    return [] if any(left) else plan


def _concentrated(problem: StockProblem, bars: list[Bar], least: Sequence[int]) -> list[Bar]:
    """Waste moved, bar by bar, onto the bars that have most left already."""
    bars = list(bars)
    for _ in range(_PASSES):
        before = _worth(problem, bars, least)
        for place in range(min(_KEEPERS, len(bars))):
            order = sorted(range(len(bars)), key=lambda j: (-_left(problem, bars[j]), bars[j]))
            keeper = order[place]
            for j in reversed(order):
                if j != keeper and _left(problem, bars[j]):
                    bars[j], bars[keeper] = _better(problem, bars[j], bars[keeper], least)
        if _worth(problem, bars, least) == before:
            break
    return bars


def _better(problem: StockProblem, a: Bar, b: Bar, least: Sequence[int]) -> tuple[Bar, Bar]:
    """The pieces of two bars shared out anew so that one of them is as full as can be, if that is better."""
    sizes = Counter(a[1] + b[1])
    left = [sizes[size] for size in range(len(problem.wanted))]
    best = a, b
    for full, other, swapped in ((a[0], b[0], False), (b[0], a[0], True)):
        kind = problem.kinds[full]
        on_full = fullest(left, kind.takes, kind.room)
        on_other = tuple(sorted((sizes - Counter(on_full)).elements()))
        if problem.kinds[other].used(on_other) > problem.kinds[other].room:
            continue
        pair = ((full, on_full), (other, on_other))
        pair = (pair[1], pair[0]) if swapped else pair
        if _worth(problem, pair, least) > _worth(problem, best, least):
            best = pair
    return best

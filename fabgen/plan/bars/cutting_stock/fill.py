"""Quick plans: bars filled one after another, and first-fit decreasing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fabgen.plan.bars.cutting_stock.problem import Bar, StockProblem


def quick_plans(problem: StockProblem) -> Iterator[list[Bar]]:
    """Plans, each as cheap to compute as the others; the rack's short bars first, then its long ones first."""
    rack, bought = problem.rack, problem.bought
    orders = [bought] if len(bought) == 1 else [[k, *(o for o in bought if o != k)] for k in bought]
    for sign in (1, -1) if rack else (1,):
        rack = sorted(rack, key=lambda k: sign * problem.kinds[k].room)
        for force in (True, False):
            yield filled(problem, rack, bought, force)
            if len(bought) > 1:
                for order in orders:
                    yield filled(problem, rack, order, force, first=True)
        for order in orders:
            yield downsized(problem, first_fit(problem, rack, order))


def fullest(left: Sequence[int], takes: Sequence[int], room: int, forced: int | None = None) -> tuple[int, ...]:
    """The sizes that fill one bar best, at most `left[size]` of each; `forced` is one that must be on it.

    An exact subset sum by bit sets: bit n of `reached[j]` says whether the first j lots can fill n
    exactly.  Among fillings equally full the one with the longest pieces is taken, so that small
    ones are kept for later bars.
    """
    left = list(left)
    chosen = []
    if forced is not None:
        left[forced] -= 1
        room -= takes[forced]
        chosen.append(forced)
    lots: list[tuple[int, int, int]] = []
    reached = [1]
    mask = (1 << room + 1) - 1
    for size, n in enumerate(left):
        take = takes[size]
        n = min(n, room // take)
        lot = 1
        while n > 0:
            lot = min(lot, n)
            reached.append((reached[-1] | reached[-1] << take * lot) & mask)
            lots.append((size, lot, take * lot))
            n -= lot
            lot *= 2
        if reached[-1] >> room:
            break
    total = reached[-1].bit_length() - 1
    for j in range(len(lots) - 1, -1, -1):
        if not reached[j] >> total & 1:
            size, lot, length = lots[j]
            chosen += [size] * lot
            total -= length
    return tuple(sorted(chosen))


def filled(
    problem: StockProblem, rack: Sequence[int], bought: Sequence[int], force: bool, first: bool = False
) -> list[Bar]:
    """Bars of the rack, then bought ones, each filled as full as can be, and those bought no longer than they need be.

    `force` puts the longest piece left on every bar; `first` buys the first kind of `bought` that
    holds anything, else the kind whose filling costs least by the length used.
    """
    left = list(problem.wanted)
    bars: list[Bar] = []

    def fill(k: int) -> tuple[int, ...]:
        kind = problem.kinds[k]
        longest = next((size for size, n in enumerate(left) if n and kind.holds(size)), None)
        if longest is None:
            return ()
        return fullest(left, kind.takes, kind.room, longest if force else None)

    def cut(k: int, sizes: tuple[int, ...]) -> None:
        bars.append((k, sizes))
        for size in sizes:
            left[size] -= 1

    for k in rack:
        if sizes := fill(k):
            cut(k, sizes)
    while any(left):
        offers: list[tuple[float, int, int, tuple[int, ...]]] = []
        for k in bought:
            if sizes := fill(k):
                offers.append((problem.kinds[k].cost / problem.kinds[k].used(sizes), len(offers), k, sizes))
                if first:
                    break
        *_, k, sizes = min(offers)
        cut(k, sizes)
    return downsized(problem, bars)


def first_fit(problem: StockProblem, rack: Sequence[int], bought: Sequence[int]) -> list[Bar]:
    """First-fit decreasing on the bars of the rack and on bars of the first of `bought` that holds the piece.

    Source: Johnson, D. S., 'Near-optimal bin packing algorithms', MIT, 1973.
    """
    bars: list[tuple[int, list[int]]] = [(k, []) for k in rack]
    rooms = [problem.kinds[k].room for k in rack]
    for size, n in enumerate(problem.wanted):
        at = 0
        for _ in range(n):
            while at < len(bars) and problem.kinds[bars[at][0]].takes[size] > rooms[at]:
                at += 1
            if at == len(bars):
                k = next(k for k in bought if problem.kinds[k].holds(size))
                bars.append((k, []))
                rooms.append(problem.kinds[k].room)
            rooms[at] -= problem.kinds[bars[at][0]].takes[size]
            bars[at][1].append(size)
    return [(k, tuple(sizes)) for k, sizes in bars if sizes]


def downsized(problem: StockProblem, bars: Sequence[Bar]) -> list[Bar]:
    """Every bought bar changed for the cheapest kind that holds its pieces."""
    kinds = problem.kinds
    bought = sorted(problem.bought, key=lambda k: (kinds[k].cost, k))

    def cheapest(sizes: tuple[int, ...]) -> int:
        return next(k for k in bought if kinds[k].used(sizes) <= kinds[k].room)

    return [(cheapest(sizes) if kinds[k].count is None else k, sizes) for k, sizes in bars]

"""Which pieces go on which bar, for the least money: `cutting_stock` in lengths, kerf and prices.

Where slanted ends may share saw cuts, a piece is taken to be shorter by half of what each of its
ends saves at best.  That is what it takes where both its ends are shared, so no plan can cost less
than the least for pieces so short; and a plan for them stands wherever the bars' pieces can be put
into an order (`shared_cuts`) that saves enough.  Bars where they cannot are filled anew with less
taken off.  A slanted cut that is not shared takes more than a square one: half of that is counted to
each of the two ends it may lie between, which no plan undercuts, and to be sure of a plan the whole of
it to every piece, as the greater of its ends has it.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from fabgen.plan.bars.bar_stock import PER_MM, BarStock, in_units
from fabgen.plan.bars.cutting_stock import Bar, Kind, StockProblem, cheapest, tidied
from fabgen.plan.bars.cutting_stock.fill import fullest
from fabgen.plan.bars.cutting_stock.solve import WORK
from fabgen.plan.bars.few_pieces import MOST, Bars, least_bars
from fabgen.plan.bars.shared_cuts import SQUARE, Ends, SlantedEnd, extra_of, least_taken, taken
from fabgen.plan.plan import Cut

_SHARES = (1.0, 0.95, 0.85, 0.7, 0.5)
"""Of what a piece's ends save at best, the shares taken off its length in turn."""
_PAIRED_WORK = WORK / 8
_ROUNDING = 1e-6


@dataclass(frozen=True, slots=True)
class Filled:
    """Bars with their pieces, what they cost, and a cost below which none can be."""

    bars: Bars
    cost: int
    bound: int


def cheapest_bars(
    cuts: Sequence[Cut], stocks: Sequence[BarStock], ends: Mapping[str, Ends], least_offcut: float
) -> Filled:
    """The cheapest bars for all the pieces.

    Args:
        cuts: lengths to saw, each of which must fit a bar that can be bought.
        stocks: what they can be sawn from.
        ends: the slanted ends, by marks.
        least_offcut: rests shorter than this count for nothing, mm.
    """
    ends = {cut.mark: ends[cut.mark] for cut in cuts if cut.mark in ends}
    best = _Filling(cuts, stocks, ends, 0.0).filled(least_offcut)
    if not ends:
        return best
    bound = min(best.bound, _Filling(cuts, stocks, ends, 1.0).bound())
    for share in _SHARES:
        if best.cost <= bound and share != _SHARES[0]:
            break
        found = _paired(cuts, stocks, ends, share, least_offcut)
        if found.cost < best.cost:
            best = found
    racked = sum(min(stock.on_hand or 0, len(cuts)) for stock in stocks)
    if best.cost > bound and len(cuts) + racked <= MOST:
        bars = least_bars(cuts, stocks, lambda stock, held: _holds(stock, held, ends))
        cost = sum(stock.cost for stock, _ in bars)
        if cost < best.cost:
            best = Filled(bars, cost, bound)
        # In another order they may lie closer by a share of the kerf: proven only where that would not do either.
        bars = least_bars(cuts, stocks, lambda stock, held: _may_hold(stock, held, ends))
        bound = max(bound, sum(stock.cost for stock, _ in bars))
    return replace(best, bound=min(bound, best.cost))


def _paired(
    cuts: Sequence[Cut], stocks: Sequence[BarStock], ends: Mapping[str, Ends], share: float, least_offcut: float
) -> Filled:
    """Bars for pieces taken `share` of the way to their shortest; those that do not hold them filled anew."""
    bars: list[tuple[BarStock, tuple[Cut, ...]]] = []
    rest, left = list(cuts), list(stocks)
    for part in (share, share / 2.0, 0.0):
        filled = _Filling(rest, left, ends, part).filled(least_offcut, _PAIRED_WORK)
        good = [bar for bar in filled.bars if _holds(*bar, ends)]
        bars += good
        rest = list((Counter(rest) - Counter(cut for _, held in good for cut in held)).elements())
        if not rest:
            break
        used = Counter(stock for stock, _ in good)
        left = [s if s.on_hand is None else replace(s, on_hand=s.on_hand - used[s]) for s in left]
    return Filled(tuple(bars), sum(stock.cost for stock, _ in bars), 0)


def _holds(stock: BarStock, cuts: Sequence[Cut], ends: Mapping[str, Ends]) -> bool:
    """Whether the bar gives the pieces, as many cuts shared as can be."""
    used = sum(cut.blank + stock.kerf for cut in cuts)
    used += taken([ends.get(cut.mark, SQUARE) for cut in cuts], stock.kerf)
    return used <= stock.usable + stock.kerf + _ROUNDING


def _may_hold(stock: BarStock, cuts: Sequence[Cut], ends: Mapping[str, Ends]) -> bool:
    """Whether no order of the pieces is known not to do; false only where none does."""
    used = sum(cut.blank + stock.kerf for cut in cuts)
    used += least_taken([ends.get(cut.mark, SQUARE) for cut in cuts], stock.kerf)
    return used <= stock.usable + stock.kerf + _ROUNDING


class _Filling:
    """The pieces in whole numbers, each shorter by `share` of what its ends save at best; with none of it every
    plan can be sawn."""

    def __init__(self, cuts: Sequence[Cut], stocks: Sequence[BarStock], ends: Mapping[str, Ends], share: float) -> None:
        self.cuts = cuts
        self.stocks = stocks
        self._ends = ends
        self._share = share
        by_size: dict[tuple[float, Ends], list[Cut]] = defaultdict(list)
        for cut in reversed(cuts):
            by_size[cut.blank, ends.get(cut.mark, SQUARE)].append(cut)
        kerf = max(stock.kerf for stock in stocks)
        self._sizes = sorted(by_size, key=lambda size: (-self._takes(size, kerf), str(size)))
        self._by_size = by_size
        wanted = tuple(len(by_size[size]) for size in self._sizes)
        self._problem = StockProblem(wanted, tuple(self._kind(stock) for stock in stocks))

    def _kind(self, stock: BarStock) -> Kind:
        kerf = in_units(stock.kerf)
        room = max(0, stock.room + kerf + self._spare(stock.kerf))
        # A piece that the bar gives when alone is never too long for it.
        takes = tuple(
            min(room, self._takes(size, stock.kerf)) if stock.holds(size[0]) else self._takes(size, stock.kerf)
            for size in self._sizes
        )
        return Kind(room, takes, stock.cost, stock.on_hand)

    def _spare(self, kerf: float) -> int:
        """What is counted for the slant of ends that lie at the bar's own, in tenths."""
        extras = [[extra_of(end, kerf) for end in pair] for _, pair in self._sizes]
        if self._share:
            return in_units(max(map(max, extras), default=0.0))
        return math.floor(round(PER_MM * min(map(max, extras), default=0.0), 3))

    def _takes(self, size: tuple[float, Ends], kerf: float) -> int:
        length, pair = size
        if not self._share:
            return in_units(length + max(extra_of(end, kerf) for end in pair)) + in_units(kerf)
        # Rounded down, so that what is said of all plans holds: whether a bar gives its pieces is seen by `_holds`.
        adds = math.floor(round(PER_MM * sum(self._adds(end, kerf) for end in pair), 3))
        return max(1, in_units(length) + adds) + in_units(kerf)

    def _adds(self, end: SlantedEnd | None, kerf: float) -> float:
        """What an end counts for, mm: its share of a cut at its slant, less what it saves."""
        if end is None:
            return 0.0
        return (end.extra(kerf) - (self._share * end.slant if end.can_save(kerf) else 0.0)) / 2.0

    def bound(self) -> int:
        return cheapest(self._problem, _PAIRED_WORK).bound

    def filled(self, least_offcut: float, work: float = WORK) -> Filled:
        """The cheapest bars, and of such those with few and long rests."""
        problem = self._problem
        found = cheapest(problem, work)
        least = [in_units(least_offcut + stock.kerf) for stock in self.stocks]
        tries = (_rack_first(problem, tidied(problem, found.bars, least)), found.bars)
        # Tidied bars are fuller, and may not be able to save enough.
        bars = next((plan for plan in map(self._marked, tries) if self._all_hold(plan)), self._marked(found.bars))
        return Filled(bars, sum(stock.cost for stock, _ in bars), found.bound)

    def _all_hold(self, bars: Sequence[tuple[BarStock, tuple[Cut, ...]]]) -> bool:
        return all(_holds(stock, cuts, self._ends) for stock, cuts in bars)

    def _marked(self, bars: Sequence[Bar]) -> Bars:
        """Bars of sizes as bars of pieces, marks given out in their order."""
        waiting = {size: list(there) for size, there in self._by_size.items()}
        return tuple((self.stocks[k], tuple(waiting[self._sizes[i]].pop() for i in sizes)) for k, sizes in bars)


def _rack_first(problem: StockProblem, bars: Sequence[Bar]) -> list[Bar]:
    """The same bars with what pieces they may give filled onto bars of the rack that lie unused.

    It buys no more, often less, and leaves longer offcuts of what is bought.
    """
    done = [bar for bar in bars if problem.kinds[bar[0]].count is not None]
    open_bars = [(k, list(sizes)) for k, sizes in bars if problem.kinds[k].count is None]
    for k in (Counter(problem.rack) - Counter(k for k, _ in done)).elements():
        left = Counter(size for _, sizes in open_bars for size in sizes)
        kind = problem.kinds[k]
        chosen = fullest([left[size] for size in range(len(kind.takes))], kind.takes, kind.room)
        if not chosen:
            continue
        for size in chosen:
            # From the bar with the fewest pieces: it is the likeliest to go altogether.
            min((sizes for _, sizes in open_bars if size in sizes), key=len).remove(size)
        done.append((k, chosen))
    return done + [(k, tuple(sizes)) for k, sizes in open_bars if sizes]

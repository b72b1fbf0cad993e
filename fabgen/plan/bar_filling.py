"""Which pieces go on which bar, for the least money: `cutting_stock` asked in lengths, kerf and prices.

Where slanted ends may share saw cuts, a piece is taken to be shorter by half of what each of its
ends saves at best.  That is what it takes where both its ends are shared, so no plan can cost less
than the least for pieces so short; and a plan for them stands wherever the bars' pieces can be put
into an order (`shared_cuts`) that saves enough.  Bars where they cannot are filled anew with less
taken off.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from fabgen.plan.cutting_stock import Bar, Kind, Problem, cheapest, tidied
from fabgen.plan.cutting_stock.fill import fullest
from fabgen.plan.cutting_stock.solve import WORK
from fabgen.plan.plan import Cut
from fabgen.plan.shared_cuts import SQUARE, Ends, most_saved

_PER_MM = 10
"""Lengths are planned in tenths of a millimetre, pieces rounded up."""
_SHARES = (1.0, 0.95, 0.85, 0.7, 0.5)
"""Of what a piece's ends save at best, the shares taken off its length in turn."""
_PAIRED_WORK = WORK / 8
_ROUNDING = 1e-6


@dataclass(frozen=True, slots=True)
class BarStock:
    """Bars of one section and material: length mm, price each, how many there are (None = any).

    `end_loss` mm of each give no piece.  `worth` is what one counts for in place of a price not given.
    """

    length: float
    price: float | None = None
    on_hand: int | None = None
    kerf: float = 2.0
    assumed: bool = False
    end_loss: float = 0.0
    worth: float | None = None

    @property
    def usable(self) -> float:
        """The longest piece it gives, mm: where the clamp holds the end, a saw cut parts the two."""
        return self.length - (self.end_loss + self.kerf if self.end_loss else 0.0)

    def holds(self, length: float) -> bool:
        return in_units(length) <= self.room

    @property
    def room(self) -> int:
        """The usable length in tenths."""
        return math.floor(round(self.usable * _PER_MM, 3))

    @property
    def cost(self) -> int:
        """What the plan keeps low: the price in hundredths, or the length where there is none; the rack is free."""
        if self.on_hand is not None:
            return 0
        price = self.worth if self.price is None else self.price
        return max(1, round(self.length * _PER_MM if price is None else price * 100))


@dataclass(frozen=True, slots=True)
class Filled:
    """Bars with their pieces, what they cost, and a cost below which none can be."""

    bars: tuple[tuple[BarStock, tuple[Cut, ...]], ...]
    cost: int
    bound: int


def in_units(length: float) -> int:
    """A length in tenths of a millimetre, rounded up."""
    return math.ceil(round(length * _PER_MM, 3))


def reckoned(stocks: Sequence[BarStock]) -> tuple[list[BarStock], bool]:
    """The stocks, and whether any has a price: those without are then valued by length at the dearest price given.

    Like bars of the rack are made one.
    """
    bought = [stock for stock in stocks if stock.on_hand is None]
    racked: Counter[BarStock] = Counter()
    for stock in stocks:
        if stock.on_hand is not None:
            racked[replace(stock, price=None, on_hand=0)] += stock.on_hand
    rack = [replace(stock, on_hand=count) for stock, count in racked.items()]
    rates = [stock.price / stock.length for stock in bought if stock.price is not None]
    if rates:
        bought = [replace(stock, worth=max(rates) * stock.length) for stock in bought]
    return [*bought, *rack], bool(rates)


def cheapest_bars(
    cuts: Sequence[Cut], stocks: Sequence[BarStock], ends: Mapping[str, Ends], least_offcut: float
) -> Filled:
    """The cheapest bars for all the pieces, each of which must fit a bar that can be bought."""
    ends = {cut.mark: ends[cut.mark] for cut in cuts if cut.mark in ends}
    best = _Filling(cuts, stocks, {}, 0.0).filled(least_offcut)
    if not ends:
        return best
    bound = min(best.bound, _Filling(cuts, stocks, ends, 1.0).bound())
    for share in _SHARES:
        if best.cost <= bound and share != _SHARES[0]:
            break
        found = _paired(cuts, stocks, ends, share, least_offcut)
        if found.cost < best.cost:
            best = found
    return replace(best, bound=bound)


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
    used = sum(cut.length + stock.kerf for cut in cuts)
    used -= most_saved([ends.get(cut.mark, SQUARE) for cut in cuts], stock.kerf)
    return used <= stock.usable + stock.kerf + _ROUNDING


class _Filling:
    """The pieces in whole numbers, each shorter by `share` of what its ends save at best."""

    def __init__(self, cuts: Sequence[Cut], stocks: Sequence[BarStock], ends: Mapping[str, Ends], share: float) -> None:
        self.cuts = cuts
        self.stocks = stocks
        self._ends = ends
        self._share = share
        by_size: dict[tuple[float, Ends], list[Cut]] = defaultdict(list)
        for cut in reversed(cuts):
            by_size[cut.length, ends.get(cut.mark, SQUARE)].append(cut)
        kerf = max(stock.kerf for stock in stocks)
        self._sizes = sorted(by_size, key=lambda size: (-self._takes(size, kerf), str(size)))
        self._by_size = by_size
        wanted = tuple(len(by_size[size]) for size in self._sizes)
        self._problem = Problem(wanted, tuple(self._kind(stock) for stock in stocks))

    def _kind(self, stock: BarStock) -> Kind:
        kerf = in_units(stock.kerf)
        takes = tuple(self._takes(size, stock.kerf) for size in self._sizes)
        return Kind(stock.room + kerf, takes, stock.cost, stock.on_hand)

    def _takes(self, size: tuple[float, Ends], kerf: float) -> int:
        length, pair = size
        saved = sum(max(0.0, end.saved(kerf)) for end in pair if end) / 2.0
        return max(1, in_units(length - self._share * saved)) + in_units(kerf)

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

    def _marked(self, bars: Sequence[Bar]) -> tuple[tuple[BarStock, tuple[Cut, ...]], ...]:
        """Bars of sizes as bars of pieces, marks given out in their order."""
        waiting = {size: list(there) for size, there in self._by_size.items()}
        return tuple((self.stocks[k], tuple(waiting[self._sizes[i]].pop() for i in sizes)) for k, sizes in bars)


def _rack_first(problem: Problem, bars: Sequence[Bar]) -> list[Bar]:
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

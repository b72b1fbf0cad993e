"""The search for the fewest, cheapest sheets: rectangles first, true shapes where they may save one."""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Callable, Iterator, Sequence

import shapely

from fabgen.plan.effort import Budget, Progress
from fabgen.plan.plan import PlacedPart
from fabgen.plan.sheets import rectangles
from fabgen.plan.sheets.blanks import Blank
from fabgen.plan.sheets.nesting import DOWN, LEFT, Nester, Toward
from fabgen.plan.sheets.sheet_choice import SAME, Choice, Layout, Nest, cheaper_choices, shares
from fabgen.plan.sheets.sheet_stock import Room, SheetStock
from fabgen.plan.sheets.strip import nest_all

Fill = Callable[[Room, Sequence[Blank]], tuple[list[PlacedPart], list[Blank]]]
_ORDERS: tuple[Callable[[Blank], float], ...] = (
    lambda blank: -blank.part.outline.area,
    lambda blank: -max(blank.size),
    lambda blank: -blank.size[0] * blank.size[1],
    lambda blank: -sum(blank.size),
)
"""What to place first; the largest, by four measures."""
_SEED = 1
_LEAST_DRAWING = 200
"""Steps that parts are drawn together with however many they are."""
_CORNERS = 2000
"""A search among parts that have more corners together takes fewer steps: each takes the longer."""
_FEW = 60
"""Up to so many parts are drawn together with all the steps there are."""


class SheetSearch:
    """Lays parts of one material and thickness on sheets, within a budget of work."""

    def __init__(
        self, stocks: Sequence[SheetStock], nester: Nester, margin: float, budget: Budget, progress: Progress
    ) -> None:
        self.stocks = stocks
        self.nester = nester
        self.gap = nester.gap
        self.margin = margin
        self.budget = budget
        self.progress = progress
        self.places_left = budget.places
        self.searches = self.choices = 0

    # -- one sheet after another ------------------------------------------------
    def by_rectangles(self, blanks: Sequence[Blank], stocks: Sequence[SheetStock] | None = None) -> Nest:
        """The nest by bounding rectangles; on remnants of other shapes by true shape."""
        return self._one_by_one(blanks, self.stocks if stocks is None else stocks, self._plainly)

    def by_shapes(self, blanks: Sequence[Blank]) -> Nest:
        """The best nest by true shapes, parts placed one after another, then by search."""
        offers = [s for s in self.stocks if s.on_hand is None]
        racks = [s for s in self.stocks if s.on_hand is not None]
        tries = [self._one_by_one(blanks, self.stocks, self._closely)]
        if len(offers) > 1:
            tries += [self._one_by_one(blanks, [*racks, offer], self._closely) for offer in offers]
        return self._fewer(min(tries, key=lambda nest: nest.rank))

    def _one_by_one(self, blanks: Sequence[Blank], stocks: Sequence[SheetStock], fill: Fill) -> Nest:
        """Fill the best sheet, then the best for the rest, and so on; the rack goes first."""
        rest = list(blanks)
        there = [stock.on_hand for stock in stocks]
        sheets: list[Layout] = []
        while rest:
            tries = []
            for i, stock in enumerate(stocks):
                if there[i] == 0 or stock.room(self.margin).region.is_empty:
                    continue
                placed, left = fill(stock.room(self.margin), rest)
                if placed:
                    filled = sum(blank.size[0] * blank.size[1] for blank in _without(rest, left))
                    tries.append((_preference(stock, bool(left), filled), i, placed, left))
            if not tries:
                break
            _, i, placed, rest = min(tries, key=lambda t: t[:2])
            if (count := there[i]) is not None:
                there[i] = count - 1
            sheets.append(Layout(stocks[i], tuple(placed)))
        return Nest(tuple(sheets), tuple(rest))

    def _plainly(self, room: Room, blanks: Sequence[Blank]) -> tuple[list[PlacedPart], list[Blank]]:
        if room.is_rectangle:
            return rectangles.pack(blanks, room, self.gap)
        return self.nester.fill(room, sorted(blanks, key=_ORDERS[0]))

    def _closely(self, room: Room, blanks: Sequence[Blank]) -> tuple[list[PlacedPart], list[Blank]]:
        """The fullest of several tries."""
        best: tuple[list[PlacedPart], list[Blank]] = ([], list(blanks))
        for placed, left in self._tries(room, blanks):
            if _area(left) < _area(best[1]) - SAME:
                best = (placed, left)
            if not left:
                break
        return best

    def _tries(self, room: Room, blanks: Sequence[Blank]) -> Iterator[tuple[list[PlacedPart], list[Blank]]]:
        if room.is_rectangle:
            yield rectangles.pack(blanks, room, self.gap)
        for i, order in enumerate(_ORDERS):
            if i and self.places_left < len(blanks):
                return
            self.places_left -= len(blanks)
            yield self.nester.fill(room, sorted(blanks, key=order), toward=_toward(room))

    # -- fewer, cheaper sheets -----------------------------------------------------
    def gains(self, blanks: Sequence[Blank], nest: Nest) -> list[Choice]:
        """Choices of sheets that would cost less than the nest's and are not hopelessly small."""
        racked = sum((s.on_hand or 0) * s.room(self.margin).region.area for s in self.stocks if s.on_hand is not None)
        need = sum(self._need(blank) for blank in blanks) - racked * self.budget.hopeless
        return cheaper_choices(self.stocks, blanks, self.margin, nest.bill, max(need / self.budget.hopeless, SAME))

    def _need(self, blank: Blank) -> float:
        """Area that a part takes up, half the gap round it, less that of its holes."""
        whole: float = self.nester.grown(blank.mark, 0.0).area
        return whole - sum(hole.shape.area for hole in blank.part.holes if hole.shape.area > self._least)

    @property
    def _least(self) -> float:
        return min(blank.area for blank in self.nester.blanks.values())

    def _fewer(self, nest: Nest) -> Nest:
        """The nest with its bought sheets exchanged for cheaper ones, as long as a search finds any that will do."""
        while True:
            racked = [layout for layout in nest.sheets if layout.stock.on_hand is not None]
            counts = Counter(p.mark for layout in nest.sheets if layout.stock.on_hand is None for p in layout.placed)
            blanks = [self.nester.blanks[mark] for mark in sorted(counts.elements())]
            need = sum(self.nester.grown(blank.mark, 0.0).area for blank in blanks) / self.budget.hopeless
            choices = cheaper_choices(self.stocks, blanks, self.margin, nest.bill, max(need, SAME))
            # Most room first: the likeliest to do.
            choices.sort(key=lambda c: (-sum(s.room(self.margin).region.area for s in c), sum(s.cost for s in c)))
            for choice in choices:
                if self.choices >= self.budget.choices:
                    return nest
                self.progress("trying cheaper sheets", self.choices / self.budget.choices)
                self.choices += 1
                if found := self._onto(choice, blanks):
                    nest = Nest((*racked, *found), nest.left)
                    break
            else:
                return nest

    def _onto(self, choice: Choice, blanks: Sequence[Blank]) -> list[Layout] | None:
        """All the parts on just these sheets, or None."""
        sheets: list[Layout] = []
        rest = list(blanks)
        for i, stock in enumerate(choice):
            room = stock.room(self.margin)
            share = shares(rest, choice[i:], self.margin)[0] if i + 1 < len(choice) else rest
            whole = self._all_in(room, share)
            if whole is None and i + 1 == len(choice):
                return None
            placed = whole if whole is not None else self._closely(room, share)[0]
            rest = _still_to_place(rest, placed)
            more, rest = self.nester.fill(room, sorted(rest, key=_ORDERS[0]), placed, _toward(room))
            sheets.append(Layout(stock, (*placed, *more)))
            if not rest:
                return sheets
        return None

    def _all_in(self, room: Room, blanks: Sequence[Blank]) -> list[PlacedPart] | None:
        """All the parts in one room, by every means there is; None when none will do."""
        need = sum(self.nester.grown(blank.mark, 0.0).area for blank in blanks)
        x0, y0, x1, y1 = room.bounds
        if need > (x1 - x0 + self.gap) * (y1 - y0 + self.gap) * self.budget.hopeless:
            return None
        for placed, left in self._tries(room, blanks):
            if not left:
                return placed
        found = self._by_reordering(room, blanks)
        return self._by_search(room, blanks) if found is None else found

    def _by_reordering(self, room: Room, blanks: Sequence[Blank]) -> list[PlacedPart] | None:
        """Orders of the parts, each a little other than the best so far, within the budget of places."""
        shuffle = random.Random(_SEED)
        toward = _toward(room)
        order = sorted(blanks, key=_ORDERS[0])
        least = _area(self.nester.fill(room, order, toward=toward)[1])
        # Not all at once: other sheets and choices have their turn too.
        for _ in range(self.places_left // 4 // max(1, len(blanks))):
            self.places_left -= len(blanks)
            other = list(order)
            for _ in range(shuffle.randint(1, 3)):
                other.insert(shuffle.randrange(len(other)), other.pop(shuffle.randrange(len(other))))
            placed, left = self.nester.fill(room, other, toward=toward)
            if not left:
                return placed
            if _area(left) <= least:
                least, order = _area(left), other
        return None

    def _by_search(self, room: Room, blanks: Sequence[Blank]) -> list[PlacedPart] | None:
        """What spyrrow finds."""
        if not room.is_rectangle or self.searches >= self.budget.searches:
            return None
        self.searches += 1
        done = self.choices - 1.0

        def report(share: float) -> None:
            self.progress("trying cheaper sheets", (done + share) / self.budget.choices)

        corners = sum(shapely.get_num_coordinates(self.nester.grown(blank.mark, 0.0)) for blank in blanks)
        steps = math.ceil(self.budget.steps * min(1.0, _CORNERS / corners))
        return nest_all(self.nester, room, blanks, steps, self.budget.failures, progress=report)

    # -- what is left in one piece --------------------------------------------------
    def tightened(self, nest: Nest, to_size: bool) -> Nest:
        """The nest with the emptiest sheet's parts drawn together at one end, so that most of it stays whole.

        With `to_size` assumed sheets are left as they are: the parts get a smaller one.
        """
        if not nest.sheets:
            return nest
        emptiest = min(range(len(nest.sheets)), key=lambda i: self._share(nest.sheets[i]))
        layout = nest.sheets[emptiest]
        room = layout.stock.room(self.margin)
        if not room.is_rectangle or (to_size and layout.stock.assumed):
            return nest
        blanks = [self.nester.blanks[place.mark] for place in layout.placed]
        tries = [list(layout.placed)]
        tries += [placed for placed, left in self._tries(room, blanks) if not left]
        if found := self.drawn_together(room, blanks):
            tries.append(found)
        best = min(tries, key=lambda placed: round(self._reach(room, placed), 3))
        sheets = [*nest.sheets]
        sheets[emptiest] = Layout(layout.stock, tuple(best))
        return Nest(tuple(sheets), nest.left)

    def drawn_together(self, room: Room, blanks: Sequence[Blank]) -> list[PlacedPart] | None:
        """Places of all the parts as near the beginning of the room's long side as a search brings them."""

        def report(share: float) -> None:
            self.progress("packing the emptiest sheet", share)

        report(0.0)
        # A step takes the longer the more parts there are.
        steps = min(self.budget.drawing, max(_LEAST_DRAWING, _FEW * self.budget.drawing // len(blanks)))
        return nest_all(self.nester, room, blanks, steps, None, tightest=True, progress=report)

    def _share(self, layout: Layout) -> float:
        return sum(self.nester.blanks[p.mark].area for p in layout.placed) / layout.stock.area

    def _reach(self, room: Room, placed: Sequence[PlacedPart]) -> float:
        """How far along the room's long side the parts reach, mm."""
        boxes = [(p, self.nester.bounds(p.mark, p.turn)) for p in placed]
        if _toward(room) == LEFT:
            return max(float(p.x + box[2]) for p, box in boxes)
        return max(float(p.y + box[3]) for p, box in boxes)


def _preference(stock: SheetStock, leaves_some: bool, filled: float) -> tuple[float, ...]:
    """The less the better: rack first; then what takes all, by cost; else the cost for what it takes."""
    if stock.on_hand is not None:
        # Of rack pieces that take all the smallest, else the one that is filled best.
        return (0.0, float(leaves_some), -filled / stock.area if leaves_some else stock.area)
    return (1.0, float(leaves_some), stock.cost / filled if leaves_some else stock.cost)


def _toward(room: Room) -> Toward:
    x0, y0, x1, y1 = room.bounds
    return LEFT if x1 - x0 >= y1 - y0 else DOWN


def _area(blanks: Sequence[Blank]) -> float:
    return sum(blank.part.outline.area for blank in blanks)


def _without(blanks: Sequence[Blank], left: Sequence[Blank]) -> list[Blank]:
    return list((Counter(blanks) - Counter(left)).elements())


def _still_to_place(blanks: Sequence[Blank], placed: Sequence[PlacedPart]) -> list[Blank]:
    done = Counter(place.mark for place in placed)
    rest = []
    for blank in blanks:
        if done[blank.mark]:
            done[blank.mark] -= 1
        else:
            rest.append(blank)
    return rest

"""Which sheets to take: what a choice costs, and the cheaper choices that could hold as much."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fabgen.plan.plan import PlacedPart
from fabgen.plan.sheets.blanks import Blank
from fabgen.plan.sheets.sheet_stock import SheetStock, fits_alone

_MOST_CHOICES = 5000
"""Choices looked through at most."""
SAME = 1e-6
Choice = tuple[SheetStock, ...]


@dataclass(frozen=True, eq=False)
class Layout:
    """One sheet and what lies on it."""

    stock: SheetStock
    placed: tuple[PlacedPart, ...]


@dataclass(frozen=True, eq=False)
class Nest:
    """Sheets with all parts but those `left`, for which no sheet is there."""

    sheets: tuple[Layout, ...]
    left: tuple[Blank, ...] = ()

    @property
    def bill(self) -> float:
        """What is bought costs this much."""
        return sum(layout.stock.cost for layout in self.sheets)

    @property
    def rank(self) -> tuple[float, ...]:
        """The less the better: parts left, the bill, metal taken off the rack, sheets."""
        racked = sum(layout.stock.area for layout in self.sheets if layout.stock.on_hand is not None)
        return (len(self.left), round(self.bill, 6), round(racked, 3), len(self.sheets))


def cheaper_choices(
    stocks: Sequence[SheetStock], blanks: Sequence[Blank], margin: float, below: float, area: float
) -> list[Choice]:
    """Choices of sheets to buy for less than `below` whose rooms come to `area` mm2 at least, cheapest first.

    No sheet in them is needless for the area, and each part fits some sheet by itself.
    """
    offers = sorted((s for s in stocks if s.on_hand is None), key=lambda s: (-s.room(margin).region.area, s.cost))
    found: list[Choice] = []

    def extend(first: int, taken: Choice, spent: float, room: float) -> None:
        if len(found) >= _MOST_CHOICES:
            return
        if room >= area - SAME:
            found.append(taken)
            return
        for i in range(first, len(offers)):
            cost = spent + offers[i].cost
            if cost < below - SAME and offers[i].room(margin).region.area > 0.0:
                extend(i, (*taken, offers[i]), cost, room + offers[i].room(margin).region.area)

    if area > 0.0:
        extend(0, (), 0.0, 0.0)
    kinds = list({blank.mark: blank for blank in blanks}.values())
    homes = [{i for i, s in enumerate(offers) if fits_alone(kind, s.room(margin))} for kind in kinds]
    places = {id(stock): i for i, stock in enumerate(offers)}
    fit = [c for c in found if all(home & {places[id(s)] for s in c} for home in homes)]
    return sorted(fit, key=lambda c: (sum(s.cost for s in c), len(c)))


def shares(blanks: Sequence[Blank], choice: Choice, margin: float) -> list[list[Blank]]:
    """The parts shared out over the sheets so that each is to be filled alike: largest first, to the emptiest."""
    rooms = [stock.room(margin) for stock in choice]
    filled = [0.0] * len(rooms)
    out: list[list[Blank]] = [[] for _ in rooms]
    for blank in sorted(blanks, key=lambda b: -b.part.outline.area):
        fitting = [i for i, room in enumerate(rooms) if fits_alone(blank, room)] or range(len(rooms))
        best = min(fitting, key=lambda i: (filled[i] + blank.part.outline.area) / rooms[i].region.area)
        filled[best] += blank.part.outline.area
        out[best].append(blank)
    return out

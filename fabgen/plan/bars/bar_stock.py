"""The bars that pieces can be sawn from, and what they count for."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

PER_MM = 10
"""Lengths are planned in tenths of a millimetre, pieces rounded up."""


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
        """Whether a bar gives a piece of that length.

        Args:
            length: mm.
        """
        return in_units(length) <= self.room

    @property
    def room(self) -> int:
        """The usable length in tenths."""
        return math.floor(round(self.usable * PER_MM, 3))

    @property
    def cost(self) -> int:
        """What the plan keeps low: the price in hundredths, or the length where there is none; the rack is free."""
        if self.on_hand is not None:
            return 0
        price = self.worth if self.price is None else self.price
        return max(1, round(self.length * PER_MM if price is None else price * 100))


def in_units(length: float) -> int:
    """A length in tenths of a millimetre, rounded up.

    Args:
        length: mm.
    """
    return math.ceil(round(length * PER_MM, 3))


def valued(stocks: Sequence[BarStock]) -> tuple[list[BarStock], bool]:
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

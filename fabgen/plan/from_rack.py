"""What a plan takes from the rack: bars and sheets by their entries, hardware off the shopping list."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from fabgen.job.definitions import Definitions, Stock
from fabgen.job.rack import Rack, RackBar, RackSheet
from fabgen.plan.plan import BarPlan, Plan, Purchase, SheetPlan, Take
from fabgen.plan.things import thing_key
from fabgen.shop.section import Section

_ALIKE = 1e-6


def rack_stock(job: Definitions, rack: Rack) -> list[Stock]:
    """Bars and sheets of the rack as [[stock]] entries on hand, pieces alike together.

    They are cut on the same saw as bought bars: the job's kerf for the section serves.
    """
    bars: dict[tuple[Section, str, float], int] = defaultdict(int)
    for bar in rack.contents.bar:
        bars[bar.section, bar.material, bar.length] += bar.count
    sheets: dict[tuple[float, str, float, float], int] = defaultdict(int)
    for sheet in rack.contents.sheet:
        sheets[sheet.thickness, sheet.material, sheet.size[0], sheet.size[1]] += sheet.count
    return [
        Stock(
            section=section, material=material, lengths=[length], on_hand=count, kerf=_kerf(job, str(section), material)
        )
        for (section, material, length), count in bars.items()
        if count
    ] + [
        Stock(thickness=thickness, material=material, sheets=[[width, height]], on_hand=count)
        for (thickness, material, width, height), count in sheets.items()
        if count
    ]


def _kerf(job: Definitions, section: str, material: str) -> float | None:
    fitting = (
        stock.kerf
        for stock in job.stock
        if stock.kerf is not None and str(stock.section) == section and stock.material in (None, material)
    )
    return next(fitting, None)


def use_rack(plan: Plan, rack: Rack) -> Plan:
    """The plan with the rack's marks on its bars and sheets, and hardware on hand off its list.

    Spare bars that the rack does not hold are the job's own, from its [[stock]].
    """
    left = _Left(rack)
    bars = tuple(_marked_bar(bar, left) if bar.spare else bar for bar in plan.bars)
    sheets = tuple(_marked_sheet(sheet, left) if sheet.spare else sheet for sheet in plan.sheets)
    shopping = [line for purchase in plan.shopping if (line := _still_bought(purchase, left)) is not None]
    return replace(
        plan,
        bars=bars,
        sheets=sheets,
        shopping=tuple(shopping),
        on_hand=tuple(left.used_lines),
        takes=tuple(left.takes()),
    )


@dataclass(frozen=True, slots=True)
class _Spot:
    table: Literal["bar", "sheet", "remnant", "hardware"]
    number: int
    mark: str


class _Left:
    """What is left on the rack while a plan is gone through, and what has been taken."""

    def __init__(self, rack: Rack) -> None:
        self.rack = rack
        self._taken: dict[_Spot, int] = {}
        self.used_lines: list[Purchase] = []

    def bars(self, wanted: BarPlan) -> Iterable[_Spot]:
        """One spot for each bar of `wanted` that the rack holds."""

        def fits(bar: RackBar) -> bool:
            return (
                str(bar.section) == wanted.section
                and bar.material == wanted.material
                and abs(bar.length - wanted.stock) < _ALIKE
            )

        entries = [
            (_Spot("bar", i, bar.mark or ""), bar.count) for i, bar in enumerate(self.rack.contents.bar) if fits(bar)
        ]
        return self._take(entries, wanted.count)

    def sheets(self, wanted: SheetPlan) -> Iterable[_Spot]:
        def fits(sheet: RackSheet) -> bool:
            return (
                sheet.material == wanted.material
                and abs(sheet.thickness - wanted.thickness) < _ALIKE
                and max(abs(a - b) for a, b in zip(sheet.size, wanted.size, strict=True)) < _ALIKE
            )

        entries = [
            (_Spot("sheet", i, sheet.mark or ""), sheet.count)
            for i, sheet in enumerate(self.rack.contents.sheet)
            if fits(sheet)
        ]
        return self._take(entries, 1)

    def hardware(self, purchase: Purchase) -> int:
        """How many of a line's pieces the rack holds."""
        key = thing_key(purchase.item, purchase.spec)
        entries = [
            (_Spot("hardware", i, ""), held.count)
            for i, held in enumerate(self.rack.contents.hardware)
            if thing_key(held.item, held.spec) == key
        ]
        return len(self._take(entries, int(purchase.quantity)))

    def takes(self) -> list[Take]:
        order = ("bar", "sheet", "remnant", "hardware")
        spots = sorted(self._taken, key=lambda spot: (order.index(spot.table), spot.number))
        return [Take(spot.table, spot.number, self._taken[spot]) for spot in spots]

    def _take(self, entries: Sequence[tuple[_Spot, int]], count: int) -> list[_Spot]:
        found: list[_Spot] = []
        for spot, held in entries:
            n = min(count - len(found), held - self._taken.get(spot, 0))
            if n > 0:
                self._taken[spot] = self._taken.get(spot, 0) + n
                found += [spot] * n
        return found


def _marked_bar(bar: BarPlan, left: _Left) -> BarPlan:
    marks = tuple(spot.mark for spot in left.bars(bar))
    if marks:
        left.used_lines.append(
            Purchase("tube", bar.spec, len(marks), "bar", _named(marks))
        )
    return replace(bar, rack_marks=marks)


def _marked_sheet(sheet: SheetPlan, left: _Left) -> SheetPlan:
    marks = tuple(spot.mark for spot in left.sheets(sheet))
    if marks:
        left.used_lines.append(Purchase("sheet", sheet.spec, len(marks), "sheet", _named(marks)))
    return replace(sheet, rack_marks=marks)


def _still_bought(purchase: Purchase, left: _Left) -> Purchase | None:
    """The line less what is on hand; None where nothing is left to buy."""
    if purchase.unit != "piece":
        return purchase
    held = left.hardware(purchase)
    if not held:
        return purchase
    left.used_lines.append(replace(purchase, quantity=held, price=None))
    rest = purchase.quantity - held
    note = f"{held} more on hand" + (f"; {purchase.note}" if purchase.note else "")
    return replace(purchase, quantity=rest, note=note) if rest > 0 else None


def _named(marks: Sequence[str]) -> str:
    named = [mark for mark in dict.fromkeys(marks) if mark]
    return f"marked {', '.join(named)}" if named else ""

"""What a plan takes from the rack: bars and sheets by their entries, hardware off the shopping list."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from fabgen.job.rack import Rack, RackRemnant, RackSheet
from fabgen.job.tables.definitions import Definitions, Stock
from fabgen.plan.buying.item_keys import item_key, purchase_key
from fabgen.plan.plan import BarPlan, Plan, Purchase, SheetPlan, Take
from fabgen.shop.profiles.profile_section import StockSection
from fabgen.wording.sentence import joined, sentence

Table = Literal["bar", "sheet", "remnant", "hardware"]
MOST = 10_000
_ALIKE = 1e-6


@dataclass(frozen=True, slots=True)
class Spot:
    """One entry of the rack file, and the mark it goes by."""

    table: Table
    number: int
    mark: str


def rack_stock(job: Definitions, rack: Rack) -> list[tuple[Stock, Spot]]:
    """Bars, sheets and remnants of the rack as [[stock]] entries on hand, each with (one of) its entries.

    Bars alike are one; they are cut on the same saw as bought bars: the job's kerf and end loss for
    the section serve.
    """
    bars: dict[tuple[StockSection, str, float], tuple[Stock, Spot]] = {}
    for i, bar in enumerate(rack.contents.bar):
        section = bar.section.nominal
        key = (section, bar.material, bar.length)
        on_hand = bar.count + ((bars[key][0].on_hand or 0) if key in bars else 0)
        stock = Stock(
            section=bar.section,
            material=bar.material,
            lengths=[bar.length],
            on_hand=min(on_hand, MOST),
            kerf=_kept(job, "kerf", section, bar.material),
            end_loss=_kept(job, "end_loss", section, bar.material),
        )
        bars[key] = stock, Spot("bar", i, bar.mark or "")
    found = list(bars.values())
    for spot, sheet in _sheets(rack):
        form: dict[str, Any] = {"sheets": [sheet.size]} if isinstance(sheet, RackSheet) else {"outline": sheet.outline}
        stock = Stock(thickness=sheet.thickness, material=sheet.material, on_hand=sheet.count, mark=spot.mark, **form)
        found.append((stock, spot))
    return [(stock, spot) for stock, spot in found if stock.on_hand]


def _sheets(rack: Rack) -> Iterator[tuple[Spot, RackSheet | RackRemnant]]:
    """Sheets, then remnants, by their own mark or by where they stand in the rack file."""
    tables: tuple[Table, Table] = ("sheet", "remnant")
    for table in tables:
        for i, entry in enumerate(getattr(rack.contents, table)):
            yield Spot(table, i, entry.mark or f"{table} {i + 1} of the rack file"), entry


def _kept(job: Definitions, key: Literal["kerf", "end_loss"], section: StockSection, material: str) -> float | None:
    """What the job's [[stock]] of the section says; None where it says nothing and [saw] serves."""
    fitting = (getattr(stock, key) for stock in job.stock if stock.is_bar_of(section, material))
    return next((value for value in fitting if value is not None), None)


def use_rack(plan: Plan, rack: Rack) -> Plan:
    """The plan with the rack's marks on its bars and sheets, and hardware on hand off its list.

    Args:
        plan: made with the rack's stock; spare bars that the rack does not hold are the job's own, from its [[stock]].
        rack: stock on hand.
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
        on_hand=tuple(_together(left.used_lines)),
        takes=tuple(left.takes()),
    )


def nearly_on_hand(plan: Plan, rack: Rack) -> list[tuple[str, str, str]]:
    """Remarks on hardware of the rack that only its short spec keeps from being used, as 'M12' for 'M12, 200 HV'."""
    found = []
    known = {purchase_key(line.item, line.spec) for line in plan.shopping}
    for i, held in enumerate(rack.contents.hardware):
        near = [
            line.spec
            for line in plan.shopping
            if item_key(line.item) == item_key(held.item)
            and line.spec.casefold().startswith(held.spec.strip().casefold())
        ]
        if held.count and near and purchase_key(held.item, held.spec) not in known:
            text = (
                f'{held.item} "{held.spec}" on the rack is not used: the shopping list has "{near[0]}". Where it is '
                "the same, give it that spec"
            )
            found.append((f"hardware {i + 1} of the rack", "rack-hardware", text))
    return found


class _Left:
    """What is left on the rack while a plan is gone through, and what has been taken."""

    def __init__(self, rack: Rack) -> None:
        self.rack = rack
        self._taken: dict[Spot, int] = {}
        self.used_lines: list[Purchase] = []

    def bars(self, wanted: BarPlan) -> Sequence[Spot]:
        """One spot for each bar of `wanted` that the rack holds."""
        metal = (wanted.section, wanted.material)
        entries = [
            (Spot("bar", i, bar.mark or ""), bar.count)
            for i, bar in enumerate(self.rack.contents.bar)
            if (bar.section.nominal, bar.material) == metal and abs(bar.length - wanted.stock) < _ALIKE
        ]
        return self._take(entries, wanted.count)

    def sheets(self, wanted: SheetPlan) -> Sequence[Spot]:
        """The spot of the sheet or remnant that `wanted` is cut from, if the rack holds it."""
        entries = [(spot, sheet.count) for spot, sheet in _sheets(self.rack) if spot.mark in wanted.rack_marks]
        return self._take(entries, 1)

    def hardware(self, purchase: Purchase) -> int:
        """How many of a line's pieces the rack holds."""
        key = purchase_key(purchase.item, purchase.spec)
        entries = [
            (Spot("hardware", i, ""), held.count)
            for i, held in enumerate(self.rack.contents.hardware)
            if purchase_key(held.item, held.spec) == key
        ]
        return len(self._take(entries, int(purchase.quantity)))

    def takes(self) -> list[Take]:
        order = ("bar", "sheet", "remnant", "hardware")
        spots = sorted(self._taken, key=lambda spot: (order.index(spot.table), spot.number))
        return [Take(spot.table, spot.number, self._taken[spot]) for spot in spots]

    def _take(self, entries: Sequence[tuple[Spot, int]], count: int) -> list[Spot]:
        found: list[Spot] = []
        for spot, held in entries:
            n = min(count - len(found), held - self._taken.get(spot, 0))
            if n > 0:
                self._taken[spot] = self._taken.get(spot, 0) + n
                found += [spot] * n
        return found


def _marked_bar(bar: BarPlan, left: _Left) -> BarPlan:
    marks = tuple(spot.mark for spot in left.bars(bar))
    if marks:
        left.used_lines.append(Purchase(bar.goods.item, bar.goods, len(marks), "bar", sentence(_named(marks))))
    return replace(bar, rack_marks=marks)


def _marked_sheet(sheet: SheetPlan, left: _Left) -> SheetPlan:
    spots = left.sheets(sheet)
    for spot in spots:
        item = "sheet" if spot.table == "sheet" else "remnant of sheet"
        left.used_lines.append(Purchase(item, sheet.goods, 1, "sheet", sentence(_named([spot.mark]))))
    return sheet


def _still_bought(purchase: Purchase, left: _Left) -> Purchase | None:
    """The line less what is on hand; None where nothing is left to buy."""
    if purchase.unit != "piece":
        return purchase
    held = left.hardware(purchase)
    if not held:
        return purchase
    left.used_lines.append(replace(purchase, quantity=held, price=None))
    rest = purchase.quantity - held
    note = joined("; ", [f"{held} more on hand", *([purchase.note] if purchase.note else [])])
    return replace(purchase, quantity=rest, note=note) if rest > 0 else None


def _together(lines: Sequence[Purchase]) -> list[Purchase]:
    """Like lines as one, with how many there are in all."""
    counts: dict[Purchase, float] = {}
    for line in lines:
        alike = replace(line, quantity=0)
        counts[alike] = counts.get(alike, 0) + line.quantity
    return [replace(line, quantity=count) for line, count in counts.items()]


def _named(marks: Sequence[str]) -> str:
    named = [mark for mark in dict.fromkeys(marks) if mark]
    return f"marked {', '.join(named)}" if named else ""

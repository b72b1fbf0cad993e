"""shopping-list.pdf: a page a supplier: tube and bar, sheet or cut parts, fasteners, gas and what is used up.

What only the maker reads (stacks of bolts, how consumables were calculated, masses of the job) is in the cut list.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, PageBreak, Spacer, Table

from fabgen.documents.render.flow import BODY, MARGIN, Across, Column, cell, flowing_pdf, listed, opening
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.prose import prose
from fabgen.documents.render.words import (
    counted,
    figure,
    in_mm,
    money,
    quantity_text,
    run_text,
    thickness_text,
)
from fabgen.job.tables.definitions import Header
from fabgen.parts.piece import Piece
from fabgen.parts.shape.profiles import mass_per_metre
from fabgen.plan.buying.consumables import CONSUMABLE_ITEMS
from fabgen.plan.buying.cut_orders import CutOrder, cut_orders
from fabgen.plan.cut_plan import rolling_note
from fabgen.plan.plan import Plan, Purchase, SheetPlan
from fabgen.shop import materials, trade_standards
from fabgen.shop.goods import StockBar, Threaded
from fabgen.shop.profiles.profile_section import ProfileSection
from fabgen.shop.threaded.coatings import coating
from fabgen.wording.sentence import as_made

TICK, TICKED = "\u2610", "\u2612"
TIMES = "\u00d7"


def shopping_pdf(header: Header, pieces: Sequence[Piece], plan: Plan, paper: Paper) -> bytes:
    """The whole document; the same input gives the same bytes."""
    width = paper.width - 2 * MARGIN
    metal, sheets, hardware, consumables = _groups(plan)
    pages: list[tuple[str, list[Flowable]]] = []
    if metal:
        pages.append(("Tube and bar", _bars(header, metal, pieces, width)))
    if sheets or cut_orders(pieces):
        pages.append(("Sheet, or parts cut from it", _flats(header, sheets, pieces, plan, width)))
    if hardware:
        pages.append(("Fasteners and fittings", _hardware(header, hardware, width)))
    if consumables:
        pages.append(("Gas and what is used up", [_consumables(header, consumables, width)]))
    story: list[Flowable] = []
    for name, blocks in pages or [("Nothing to buy", [])]:
        said = _totals(header, plan) if not story else ""
        story += [*([PageBreak()] if story else []), *opening(header, name, said, header.title, header.owner)]
        story += [Spacer(0, 2 * mm), *blocks]
    return flowing_pdf(story, paper, header, "shopping list")


def priced_total(lines: Sequence[Purchase]) -> tuple[float, int]:
    """The sum of the lines that have a price, and how many have none."""
    known = [line.price * line.quantity for line in lines if line.price is not None]
    return sum(known), len(lines) - len(known)


def _groups(plan: Plan) -> tuple[list[Purchase], list[Purchase], list[Purchase], list[Purchase]]:
    bars = [line for line in plan.shopping if line.unit == "bar"]
    sheets = [line for line in plan.shopping if line.unit in ("sheet", "blank")]
    consumables = [line for line in plan.shopping if line.item in CONSUMABLE_ITEMS]
    rest = [line for line in plan.shopping if line not in bars + sheets + consumables]
    return bars, sheets, rest, consumables


def _totals(header: Header, plan: Plan) -> str:
    total, open_lines = priced_total(plan.shopping)
    lines = counted(len(plan.shopping), "line")
    if open_lines == len(plan.shopping):
        return f"{lines} on all pages. No prices are given: [[stock]] and [[price]] in the job file take them."
    text = f"{lines} on all pages. Total of those with a price: {money(total, header.currency)}"
    return text + (f"; {open_lines} have none." if open_lines else ".")


_TICKS = Column("", lambda line: TICK)


def _purchases(header: Header, lines: Sequence[Purchase], columns: Sequence[Column], width: float) -> Table:
    """A row a purchase; where any has a price, what each costs and all of them."""
    own = [_TICKS, *columns]
    if all(line.price is None for line in lines):
        return listed(lines, own, width)
    total, open_lines = priced_total(lines)
    note = f"{open_lines} without a price" if open_lines else ""
    last = ["", f"total {header.currency}".rstrip(), note, *[""] * (len(columns) - 1), money(total)]
    return listed(lines, [*own, *_prices(lambda line: line)], width, last)


def _prices(bought: Callable[[Any], Purchase | None]) -> list[Column]:
    """The columns of what one costs and what all of a row do."""

    def text(row: object, of: Callable[[Purchase, float], float]) -> str:
        line = bought(row)
        return "" if line is None or line.price is None else money(of(line, line.price))

    return [
        Column("each", lambda row: text(row, lambda line, price: price), right=True),
        Column("price", lambda row: text(row, lambda line, price: price * line.quantity), right=True),
    ]


def _per_metre(bar: StockBar, pieces: Iterable[Piece]) -> float:
    """What a metre of a bar weighs, kg; of a material that the job has named itself as its heaviest piece has it."""
    if not materials.is_known(bar.material):
        alike = (piece for piece in pieces if piece.material == bar.material)
        known = [(p.mass, p.sawn) for p in alike if p.sawn is not None and p.sawn.section.nominal == bar.section]
        return max((mass / sawn.length * 1000.0 for mass, sawn in known if sawn.length > 0.0), default=0.0)
    density = materials.find(bar.material).density
    if isinstance(bar.section, ProfileSection):
        return mass_per_metre(bar.section, density)
    return bar.section.area * density * 1e-6


def _bars(header: Header, lines: Sequence[Purchase], pieces: Sequence[Piece], width: float) -> list[Flowable]:
    def bar(line: Purchase) -> StockBar:
        assert isinstance(line.goods, StockBar)
        return line.goods

    def mass(line: Purchase) -> float:
        return _per_metre(bar(line), pieces) * bar(line).length / 1000.0 * line.quantity

    columns = [
        Column("section", lambda line: bar(line).section.words(header.units)),
        Column("grade", lambda line: bar(line).material),
        Column("standard", lambda line: trade_standards.of_bar(bar(line).section, bar(line).material) or "-"),
        Column(in_mm("length", header.units), lambda line: _trade_size(header.units, bar(line).length), right=True),
        Column("bars", lambda line: figure(line.quantity), right=True, bold=True),
        Column("in all", lambda line: run_text(bar(line).length * line.quantity, header.units), right=True),
        Column("kg", lambda line: figure(mass(line), 1), right=True),
    ]
    remarks: dict[str, list[str]] = {}
    for line in lines:
        if said := line.note.words(header.units):
            remarks.setdefault(said, []).append(f"{bar(line).section.words(header.units)} {bar(line).material}")
    notes = [cell(f"{said[0].upper()}{said[1:]}: {', '.join(names)}.", BODY) for said, names in remarks.items()]
    return [_purchases(header, lines, columns, width), Spacer(0, 1.5 * mm), *notes]


# -- sheet ------------------------------------------------------------------------
_Way = tuple[str, str, str, str, str, Purchase | None]
"""A box, the way to get the parts, what that is, its mass, a note, and what is bought."""


def _flats(
    header: Header, lines: Sequence[Purchase], pieces: Sequence[Piece], plan: Plan, width: float
) -> list[Flowable]:
    """For each thickness the parts cut by a service, or the metal to cut them from: one of the two is ticked."""
    rows: list[Across | _Way] = []
    orders = cut_orders(pieces)
    grained = {piece.mark for piece in pieces if (part := piece.flat_part) is not None and part.grain}
    for order in orders:
        grain = any(mark in grained for mark, _ in order.marks)
        own = [line for line in lines if any(s.goods == line.goods for s in _sheets_of(plan, order))]
        # Where the parts fill little of a usual sheet the plan has blanks, and the service is most often the cheaper.
        cut = not own or any(sheet.instead_of for sheet in _sheets_of(plan, order))
        standard = trade_standards.of_grade(order.material, "sheet")
        named = ", ".join(filter(None, (f"{thickness_text(order.thickness, header.units)} {order.material}", standard)))
        ways = [_cut_way(order, header.units, TICKED if cut else TICK)]
        ways += [_buy_way(line, order, plan, header.units, TICK if cut else TICKED, grain) for line in own]
        if not own and any(sheet.spare for sheet in _sheets_of(plan, order)):
            ways[0] = (TICK, *ways[0][1:])
            ways.append((TICKED, "or cut it", "from the rack", "", "", None))
        rows += [Across.of(f"{named}:  {_counted_marks(order.marks)}"), *ways]
    columns = [
        Column("", lambda way: way[0]),
        Column("", lambda way: way[1], bold=True),
        Column(in_mm("what", header.units), lambda way: way[2]),
        Column("kg", lambda way: way[3], right=True),
        Column("note", lambda way: way[4]),
    ]
    if all(line.price is None for line in lines):
        body = listed(rows, columns, width)
    else:
        total, open_lines = priced_total(lines)
        note = f"{open_lines} without a price" if open_lines else ""
        last = ["", "total", f"{header.currency} {note}".strip(), "", "", "", money(total)]
        body = listed(rows, [*columns, *_prices(lambda way: way[5])], width, last)
    return [body, Spacer(0, 1.5 * mm), cell(prose("shopping_list", "sheet"), BODY)]


def _sheets_of(plan: Plan, order: CutOrder) -> list[SheetPlan]:
    return [s for s in plan.sheets if s.material == order.material and abs(s.thickness - order.thickness) < 1e-6]


def _cut_way(order: CutOrder, units: str, tick: str) -> _Way:
    parts = counted(order.parts, "part")
    bends = f", {counted(order.bends, 'bend')}" if order.bends else ""
    what = f"{parts}: {run_text(order.cut, units)} of cut, {counted(order.pierces, 'pierce')}{bends}"
    return tick, "have them cut", what, figure(order.mass, 2), "", None


def _buy_way(line: Purchase, order: CutOrder, plan: Plan, units: str, tick: str, grain: bool) -> _Way:
    found = [s for s in _sheets_of(plan, order) if s.goods == line.goods and not s.spare]
    one = found[0]
    used = sum(each.used for each in found) / len(found)
    kg = order.mass / order.area * one.size[0] * one.size[1] * line.quantity
    what = f"{quantity_text(line.quantity, line.unit)}, {_trade_size(units, *one.size)}"
    # Which parts a blank is for stands above.
    more = line.note.words(units) if line.unit == "sheet" else rolling_note(one) if grain else ""
    note = "; ".join(filter(None, (f"{figure(100.0 * used, 0)} % used", more)))
    return tick, "or buy", what, figure(kg, 2), note, line


def _trade_size(units: str, *sizes: float) -> str:
    """The size of a bar or a sheet, mm; in an inch job with its unit, that of what is metric in mm."""
    return as_made(*sizes).words(units) if units == "in" else f" {TIMES} ".join(map(figure, sizes))


def _counted_marks(marks: Iterable[tuple[str, int]]) -> str:
    return ", ".join(f"{mark} {TIMES}{count}" if count > 1 else mark for mark, count in marks)


# -- fasteners, consumables ----------------------------------------------------------
def _hardware(header: Header, lines: Sequence[Purchase], width: float) -> list[Flowable]:
    """What a standard names, and the rest with what it must be like."""

    def threaded(line: Purchase, text: Callable[[Threaded], str]) -> str:
        return text(line.goods) if isinstance(line.goods, Threaded) else ""

    def name(line: Purchase) -> str:
        return threaded(line, lambda goods: goods.name) or line.goods.words(header.units)

    def note(line: Purchase) -> str:
        """What the standard's own column does not say already."""
        words, standard = line.note.words(header.units), threaded(line, lambda goods: goods.standard)
        return "" if words == standard else words.removesuffix(f", {standard}") if standard else words

    def is_standard(line: Purchase) -> bool:
        return bool(threaded(line, lambda goods: goods.standard))

    often = [
        Column("item", lambda line: line.item),
        Column("what", name),
        Column("how many", lambda line: figure(line.quantity, 2), right=True, bold=True),
    ]
    standard = [
        Column("standard", lambda line: threaded(line, lambda goods: goods.standard)),
        Column("class", lambda line: threaded(line, lambda goods: goods.strength)),
        Column("finish", lambda line: threaded(line, lambda goods: coating(goods.strength))),
    ]
    own = [line for line in lines if is_standard(line)]
    others = [line for line in lines if not is_standard(line)]
    remark = Column("note", note)
    noted = [remark] if any(note(line) for line in own) else []
    tables = [_purchases(header, own, [*often, *standard, *noted], width)] if own else []
    tables += [_purchases(header, others, [*often, remark], width)] if others else []
    return [flowable for each in tables for flowable in (each, Spacer(0, 3 * mm))]


def _consumables(header: Header, lines: Sequence[Purchase], width: float) -> Table:
    columns = [
        Column("item", lambda line: line.item),
        Column("what", lambda line: line.goods.words(header.units)),
        Column("about", lambda line: quantity_text(line.quantity, line.unit), right=True, bold=True),
    ]
    return _purchases(header, lines, columns, width)

"""shopping-list.pdf: what to buy, what to order cut, stock on hand, and how the figures were calculated."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from reportlab.platypus import Flowable, Table

from fabgen.documents.render.flow import BODY, MARGIN, SMALL, Column, cell, flowing_pdf, listed, opening, section
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.prose import prose
from fabgen.documents.render.words import (
    counted,
    figure,
    in_mm,
    length_text,
    money,
    quantity_text,
    run_text,
    thickness_text,
)
from fabgen.job.tables.definitions import Header
from fabgen.parts.piece import Piece, taken_as_it_is
from fabgen.plan.buying.consumables import CONSUMABLE_ITEMS
from fabgen.plan.buying.cut_orders import CutOrder, cut_orders
from fabgen.plan.buying.hardware import NUT_NAMES
from fabgen.plan.mass_and_centre import MassAndCentre, mass_and_centre
from fabgen.plan.plan import BoltStack, Estimate, Plan, Purchase, SheetPlan
from fabgen.shop.goods import StockBar
from fabgen.wording.inches import inch_text
from fabgen.wording.sentence import as_made

TICK = "\u2610"
TIMES = "\u00d7"


def shopping_pdf(header: Header, pieces: Sequence[Piece], plan: Plan, paper: Paper) -> bytes:
    """The total document; the same input gives the same bytes."""
    width = paper.width - 2 * MARGIN
    metal, sheets, hardware, consumables = _groups(plan)
    orders = cut_orders(pieces)
    story: list[Flowable] = [
        *_opening(header, plan),
        *_bars(header, metal, plan, width),
        *_flats(header, sheets, orders, plan, width),
        *_hardware(header, hardware, width),
        *_bolts(header, plan.bolts, width),
        *_consumables(header, consumables, plan, width),
        *_rack(header, plan, width),
        *_total(header, mass_and_centre(pieces), " made here" if taken_as_it_is(pieces) else ""),
    ]
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


def _opening(header: Header, plan: Plan) -> list[Flowable]:
    total, open_lines = priced_total(plan.shopping)
    lines = len(plan.shopping)
    if open_lines == lines:
        text = f"{lines} lines. No prices are given: [[stock]] and [[price]] in the job file take them."
    else:
        text = f"{lines} lines. Total of those with a price: {money(total, header.currency)}"
        text += f"; {open_lines} have none." if open_lines else "."
    return opening(header, header.title, text, header.owner)


def _has_prices(lines: Sequence[Purchase]) -> bool:
    return any(line.price is not None for line in lines)


def _money_cells(line: Purchase) -> list[str]:
    return ["", ""] if line.price is None else [money(line.price), money(line.price * line.quantity)]


def _purchases(header: Header, lines: Sequence[Purchase], columns: Sequence[Column], width: float) -> Table:
    """A row a purchase, `width` mm wide; where any has a price, what each costs and all of them."""
    if not _has_prices(lines):
        return listed(lines, columns, width)
    total, open_lines = priced_total(lines)
    note = f"{open_lines} without a price" if open_lines else ""
    prices = [
        Column("each", 16, lambda line: _money_cells(line)[0], right=True),
        Column("price", 18, lambda line: _money_cells(line)[1], right=True),
    ]
    last = ["", f"total {header.currency}".rstrip(), *[""] * (len(columns) - 3), note, "", money(total)]
    return listed(lines, [*columns, *prices], width, last)


_TICKS = Column("", 6, lambda line: TICK)


def _how_many(share: float) -> Column:
    return Column("how many", share, lambda line: quantity_text(line.quantity, line.unit))


def _note(share: float, header: Header) -> Column:
    return Column("note", share, lambda line: line.note.words(header.units))


def _bars(header: Header, lines: list[Purchase], plan: Plan, width: float) -> list[Flowable]:
    def stock(bar: StockBar) -> str:
        return f"{bar.section.words(header.units)}  {bar.material}"

    columns = [
        _TICKS,
        Column("section, material", 42, lambda line: stock(line.goods)),
        Column(
            in_mm("length", header.units), 30, lambda line: _trade_size(header.units, line.goods.length), right=True
        ),
        _how_many(22),
        Column("in all", 20, lambda line: run_text(line.goods.length * line.quantity, header.units)),
        _note(44, header),
    ]
    return section("Tube and bar", _purchases(header, lines, columns, width)) if lines else []


def _flats(
    header: Header, lines: list[Purchase], orders: Sequence[CutOrder], plan: Plan, width: float
) -> list[Flowable]:
    """The metal for the flat parts, and the order that has them cut instead: that first
    where the parts fill little of a sheet."""
    metal = [_metal(header, lines, orders, plan, width)] if lines else []
    if any(sheet.instead_of for sheet in plan.sheets):
        note = cell(prose("shopping_list", "or_else"), SMALL)
        own = section("Or cut them yourself: the metal", note, *metal) if metal else []
        return [*_service("Flat parts: have them cut", "either", orders, header.units, width), *own]
    service = _service("Order for a cutting service", "instead", orders, header.units, width)
    return [*(section("Sheet", *metal) if metal else []), *service]


def _metal(header: Header, lines: list[Purchase], orders: Sequence[CutOrder], plan: Plan, width: float) -> Table:
    """Sheets and blanks."""
    heavy = {(order.material, order.thickness): order.mass / order.area for order in orders}

    def sheets(line: Purchase) -> list[SheetPlan]:
        return [sheet for sheet in plan.sheets if sheet.goods == line.goods and not sheet.spare]

    def mass(sheet: SheetPlan) -> float:
        return heavy[sheet.material, sheet.thickness] * sheet.size[0] * sheet.size[1]

    def used(line: Purchase) -> float:
        return sum(each.used for each in sheets(line)) / len(sheets(line))

    def metal(sheet: SheetPlan) -> str:
        return f"{thickness_text(sheet.thickness, header.units)} {sheet.material}"

    columns = [
        _TICKS,
        Column("thickness, material", 34, lambda line: metal(sheets(line)[0])),
        Column(in_mm("size", header.units), 32, lambda line: _trade_size(header.units, *sheets(line)[0].size)),
        _how_many(18),
        Column("kg each", 15, lambda line: figure(mass(sheets(line)[0]), 2), right=True),
        Column("used", 13, lambda line: f"{figure(100.0 * used(line), 0)} %", right=True),
        _note(62, header),
    ]
    return _purchases(header, lines, columns, width)


def _trade_size(units: str, *sizes: float) -> str:
    """The size of a bar or a sheet, mm; in an inch job with its unit, that of what is metric in mm."""
    return as_made(*sizes).words(units) if units == "in" else f" {TIMES} ".join(map(figure, sizes))


def _service(title: str, note: str, orders: Sequence[CutOrder], units: str, width: float) -> list[Flowable]:
    if not orders:
        return []
    columns = [
        _TICKS,
        Column("sheet", 32, lambda order: f"{thickness_text(order.thickness, units)} {order.material}"),
        Column("marks", 68, lambda order: _counted_marks(order.marks)),
        Column("parts", 13, lambda order: str(order.parts), right=True),
        Column("cut", 20, lambda order: run_text(order.cut, units), right=True),
        Column("pierces", 15, lambda order: str(order.pierces), right=True),
        Column("bends", 13, lambda order: str(order.bends) if order.bends else "-", right=True),
        Column("kg", 15, lambda order: figure(order.mass, 2), right=True),
    ]
    parts, mass = sum(order.parts for order in orders), sum(order.mass for order in orders)
    last = ["", "in all", "", str(parts), "", "", "", figure(mass, 2)]
    body = listed(orders, columns, width, *([last] if len(orders) > 1 else []))
    before, after = (cell(prose("shopping_list", name), SMALL) for name in (note, "service"))
    return section(title, before, body, after)


def _counted_marks(marks: Iterable[tuple[str, int]]) -> str:
    return ", ".join(f"{mark} {TIMES}{count}" if count > 1 else mark for mark, count in marks)


def _hardware(header: Header, lines: list[Purchase], width: float) -> list[Flowable]:
    columns = [
        _TICKS,
        Column("item", 36, lambda line: line.item),
        Column("what", 42, lambda line: line.goods.words(header.units)),
        _how_many(22),
        _note(56, header),
    ]
    return section("Hardware", _purchases(header, lines, columns, width)) if lines else []


def _bolts(header: Header, stacks: Sequence[BoltStack], width: float) -> list[Flowable]:
    if not stacks:
        return []
    units = header.units
    columns = [
        Column("qty", 14, lambda stack: f"{stack.quantity}"),
        Column("bolt", 40, _bolt_name),
        Column(in_mm("from head to nut", units), 46, lambda stack: _layers(stack, units)),
        Column("grip", 16, lambda stack: length_text(stack.choice.grip, units), right=True),
        Column(in_mm("on it", units), 34, lambda stack: _worn(stack, units)),
        Column(in_mm("shank, thread", units), 50, lambda stack: _shank(stack, units)),
    ]
    note = cell(prose("shopping_list", "bolts"), SMALL)
    return section("Bolts by their stacks", listed(stacks, columns, width), note)


def _bolt_name(stack: BoltStack) -> str:
    standard = stack.standard or f"sizes as {stack.choice.standard}"
    return "\n".join(filter(None, (f"{stack.choice.name}, {stack.property_class}", standard, stack.title)))


def _layers(stack: BoltStack, units: str) -> str:
    return " + ".join(f"{layer.name} {_thick(layer.thickness, units)}".strip() for layer in stack.layers)


def _thick(size: float, units: str) -> str:
    """A thickness to 0.01 mm, or in inches."""
    return inch_text(size) if units == "in" else figure(size, 2)


def _worn(stack: BoltStack, units: str) -> str:
    choice = stack.choice
    washers = [f"{counted(choice.washers, 'washer')} {_thick(choice.washer, units)}"] if choice.washers else []
    high = length_text(choice.nut_height, units)
    nut = f"{NUT_NAMES[choice.nut]} {high}, {stack.nut.strength}" if choice.nut != "none" else ""
    return "\n".join([*washers, nut] if nut else washers)


def _shank(stack: BoltStack, units: str) -> str:
    choice = stack.choice
    shank = f"plain to about {length_text(choice.shank, units)}" if choice.shank > 0.0 else "threaded to the head"
    if stack.thread_in_joint:
        shank += f"; thread lies across the last joint, at {length_text(stack.last_joint or 0.0, units)}"
    far = length_text(abs(choice.beyond), units)
    if choice.beyond < 0.0:
        beyond = f"{far} short of {'filling the nut' if choice.nut != 'none' else 'the tapped part'}"
    else:
        beyond = f"{far} {'out of the nut' if choice.nut != 'none' else 'into the tapped part'}"
    return f"{shank}\n{beyond}"


def _consumables(header: Header, lines: list[Purchase], plan: Plan, width: float) -> list[Flowable]:
    if not plan.estimates:
        return []
    prices = {(line.item, line.goods): line for line in lines}
    columns = [
        Column("item", 26, lambda one: one.item),
        Column("what", 30, lambda one: one.goods.words(header.units)),
        Column("about", 20, lambda one: quantity_text(one.quantity, one.unit)),
        Column("calculated from", 64, lambda one: one.how),
        Column("formula, source", 42, lambda one: one.source),
    ]
    last = []
    if _has_prices(lines):

        def price(one: Estimate) -> str:
            line = prices.get((one.item, one.goods))
            return _money_cells(line)[1] if line else ""

        columns.append(Column("price", 16, price, right=True))
        total, open_lines = priced_total(lines)
        note = f"{open_lines} without a price" if open_lines else ""
        last = [[f"total {header.currency}".rstrip(), "", "", "", note, money(total)]]
    body = listed(plan.estimates, columns, width, *last)
    notes = [cell(text, SMALL) for text in (prose("shopping_list", "estimate"), *plan.left_out)]
    return section("Consumables, an estimate", body, notes)


def _rack(header: Header, plan: Plan, width: float) -> list[Flowable]:
    columns = [
        _TICKS,
        Column("item", 36, lambda line: line.item),
        Column("what", 62, lambda line: line.spec),
        _how_many(22),
        _note(54, header),
    ]
    note = cell(prose("shopping_list", "rack"), SMALL)
    return section("From the rack", listed(plan.on_hand, columns, width), note) if plan.on_hand else []


def _total(header: Header, total: MassAndCentre, which: str) -> list[Flowable]:
    if total.mass <= 0.0:
        return []
    text = f"All pieces{which} weigh {figure(total.mass, 2)} kg; hardware, weld metal and paint are not counted."
    blocks: list[Flowable] = [cell(text, BODY)]
    if total.centre is not None:
        x, y, z = (length_text(value, header.units) for value in total.centre)
        where = (
            f"Centre of gravity of the {figure(total.placed_mass, 2)} kg that the job gives a place to: "
            f"x {x}, y {y}, z {z}, in the job's own coordinates."
        )
        blocks.append(cell(where, BODY))
    if total.unplaced:
        names = _counted_marks(total.unplaced)
        blocks.append(cell(f"Without a place in the job, so not counted in the centre: {names}.", SMALL))
    return section("Mass and centre of gravity", *blocks)

"""shopping-list.pdf: what to buy, what to order cut, stock on hand, and how the figures were calculated."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from reportlab.platypus import Flowable, Table

from fabgen.documents.render.flow import BODY, MARGIN, SMALL, cell, flowing_pdf, opening, section, shared, table
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.words import (
    figure,
    length_text,
    mm_text,
    money,
    quantity_text,
)
from fabgen.job.tables.definitions import Header
from fabgen.parts.piece import Piece
from fabgen.plan.buying.consumables import CONSUMABLE_ITEMS
from fabgen.plan.buying.cut_orders import CutOrder, cut_orders
from fabgen.plan.buying.hardware import NUT_NAMES
from fabgen.plan.mass_and_centre import MassAndCentre, mass_and_centre
from fabgen.plan.plan import BoltStack, Plan, Purchase
from fabgen.shop.goods import Bar
from fabgen.wording.inches import INCH

TICK = "\u2610"
TIMES = "\u00d7"

ESTIMATE_NOTE = (
    "An estimate for buying, not a weld procedure: actual use depends on the joint, the machine and the hand. "
    "The job's [consumables] table changes the figures."
)
BOLT_NOTE = (
    "Grip: the parts between head and nut, and what is left free between two ears. Length: the shortest of the "
    "standard's that leaves two threads out of the nut, or the next that brings its plain shank through the last joint "
    "and stands out by no more than its diameter. Lengths, nut heights and washers are from memory (ISO 4014, 4017, "
    "4032, 4033, 7040, 7041, 7089; ASME B18.2), check them against your part. Bolt strength has not been checked."
)
SERVICE_NOTE = "Pierces: one for each closed line, holes and outside. Kg: of the parts themselves."
SEND = "Send the files in flat/ with this list; the cutting service supplies the metal."
INSTEAD = "In place of the sheets above, where a service cuts its own metal. " + SEND
EITHER = "The parts fill little of a usual sheet, so having them cut is most often the cheaper way. " + SEND
OR_ELSE = (
    "In place of the order above. A blank cut to size is the rectangle that the nest in cut-list.pdf takes, rounded "
    "up: merchants and cutting services sell these from stock. Used: the share of it in parts."
)


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
        *_total(header, mass_and_centre(pieces)),
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


@dataclass(frozen=True)
class _PurchaseColumns:
    """Heads of a table of purchases, the columns' widths in proportion, and which of them are set flush right."""

    heads: tuple[str, ...]
    widths: tuple[float, ...]
    right: tuple[int, ...] = ()


def _purchases(
    header: Header,
    lines: Sequence[Purchase],
    columns: _PurchaseColumns,
    cells: Callable[[Purchase], list[str]],
    width: float,
) -> Table:
    """A row a purchase, `width` mm wide; where any has a price, what each costs and all of them."""
    if not _has_prices(lines):
        return table(columns.heads, [cells(line) for line in lines], shared(width, *columns.widths), columns.right)
    total, open_lines = priced_total(lines)
    note = f"{open_lines} without a price" if open_lines else ""
    count = len(columns.heads)
    rows = [cells(line) + _money_cells(line) for line in lines]
    rows.append(["", f"total {header.currency}".rstrip(), *[""] * (count - 3), note, "", money(total)])
    right = (*columns.right, count, count + 1)
    return table([*columns.heads, "each", "price"], rows, shared(width, *columns.widths, 16, 18), right)


def _bars(header: Header, lines: list[Purchase], plan: Plan, width: float) -> list[Flowable]:
    if not lines:
        return []

    def cells(line: Purchase) -> list[str]:
        bar = line.goods
        assert isinstance(bar, Bar)
        return [
            TICK,
            f"{bar.section.listed(header.units)}  {bar.material}",
            length_text(bar.length, header.units),
            quantity_text(line.quantity, line.unit),
            f"{figure(bar.length * line.quantity / 1000.0, 2)} m",
            line.note.words(header.units),
        ]

    heads = ("", "section, material", "length, mm", "how many", "in all", "note")
    columns = _PurchaseColumns(heads, (6, 42, 30, 22, 20, 44), (2,))
    return section("Tube and bar", _purchases(header, lines, columns, cells, width))


def _flats(
    header: Header, lines: list[Purchase], orders: Sequence[CutOrder], plan: Plan, width: float
) -> list[Flowable]:
    """The metal for the flat parts, and the order that has them cut instead: that first
    where the parts fill little of a sheet."""
    metal = [_metal(header, lines, orders, plan, width)] if lines else []
    if any(sheet.instead_of for sheet in plan.sheets):
        own = section("Or cut them yourself: the metal", cell(OR_ELSE, SMALL), *metal) if metal else []
        return [*_service("Flat parts: have them cut", EITHER, orders, width), *own]
    service = _service("Order for a cutting service", INSTEAD, orders, width)
    return [*(section("Sheet", *metal) if metal else []), *service]


def _metal(header: Header, lines: list[Purchase], orders: Sequence[CutOrder], plan: Plan, width: float) -> Table:
    """Sheets and blanks."""
    heavy = {(order.material, order.thickness): order.mass / order.area for order in orders}

    def cells(line: Purchase) -> list[str]:
        sheets = [sheet for sheet in plan.sheets if sheet.goods == line.goods and not sheet.spare]
        (sheet, *_), used = sheets, sum(each.used for each in sheets) / len(sheets)
        size = f" {TIMES} ".join(figure(side) for side in sheet.size)
        if header.units == "in":
            size += f"\n[{f' {TIMES} '.join(figure(side / INCH, 3) for side in sheet.size)} in]"
        return [
            TICK,
            f"{mm_text(sheet.thickness, header.units, 2)} {sheet.material}",
            size,
            quantity_text(line.quantity, line.unit),
            figure(heavy[sheet.material, sheet.thickness] * sheet.size[0] * sheet.size[1], 2),
            f"{figure(100.0 * used, 0)} %",
            line.note.words(header.units),
        ]

    heads = ("", "thickness, material", "size, mm", "how many", "kg each", "used", "note")
    return _purchases(header, lines, _PurchaseColumns(heads, (6, 34, 32, 18, 15, 13, 62), (4, 5)), cells, width)


def _service(title: str, note: str, orders: Sequence[CutOrder], width: float) -> list[Flowable]:
    if not orders:
        return []
    rows = [
        [
            TICK,
            f"{figure(order.thickness, 2)} mm {order.material}",
            ", ".join(f"{mark} {TIMES}{count}" if count > 1 else mark for mark, count in order.marks),
            str(order.parts),
            f"{figure(order.cut / 1000.0, 2)} m",
            str(order.pierces),
            str(order.bends) if order.bends else "-",
            figure(order.mass, 2),
        ]
        for order in orders
    ]
    if len(orders) > 1:
        parts, mass = sum(order.parts for order in orders), sum(order.mass for order in orders)
        rows.append(["", "in all", "", str(parts), "", "", "", figure(mass, 2)])
    heads = ["", "sheet", "marks", "parts", "cut", "pierces", "bends", "kg"]
    widths = shared(width, 6, 32, 68, 13, 20, 15, 13, 15)
    body = table(heads, rows, widths, (3, 4, 5, 6, 7))
    return section(title, cell(note, SMALL), body, cell(SERVICE_NOTE, SMALL))


def _hardware(header: Header, lines: list[Purchase], width: float) -> list[Flowable]:
    if not lines:
        return []

    def cells(line: Purchase) -> list[str]:
        what, note = line.goods.words(header.units), line.note.words(header.units)
        return [TICK, line.item, what, quantity_text(line.quantity, line.unit), note]

    columns = _PurchaseColumns(("", "item", "what", "how many", "note"), (6, 36, 42, 22, 56))
    return section("Hardware", _purchases(header, lines, columns, cells, width))


def _bolts(header: Header, stacks: Sequence[BoltStack], width: float) -> list[Flowable]:
    if not stacks:
        return []
    rows = [_bolt_row(header, stack) for stack in stacks]
    heads = ["qty", "bolt", "from head to nut, mm", "grip", "on it, mm", "shank, thread, mm"]
    widths = shared(width, 12, 40, 44, 24, 32, 48) if header.units == "in" else shared(width, 14, 40, 46, 16, 34, 50)
    return section("Bolts by their stacks", table(heads, rows, widths, (3,)), cell(BOLT_NOTE, SMALL))


def _bolt_row(header: Header, stack: BoltStack) -> list[str]:
    choice = stack.choice
    layers = " + ".join(f"{layer.name} {figure(layer.thickness, 2)}".strip() for layer in stack.layers)
    worn = [f"{choice.washers} washer{'s' if choice.washers != 1 else ''} {figure(choice.washer, 2)}"]
    worn = worn if choice.washers else []
    if choice.nut != "none":
        worn.append(f"{NUT_NAMES[choice.nut]} {figure(choice.nut_height)}, {stack.nut.strength}")
        out = f"{figure(choice.beyond)} out of the nut"
    else:
        out = f"{figure(choice.beyond)} into the tapped part"
    shank = f"plain to about {figure(choice.shank)}" if choice.shank > 0.0 else "threaded to the head"
    if stack.thread_in_joint:
        shank += f"; thread lies across the last joint, at {figure(stack.last_joint or 0.0)}"
    standard = stack.standard or f"sizes as {choice.standard}"
    return [
        f"{stack.quantity}",
        "\n".join(filter(None, (f"{choice.name}, {stack.property_class}", standard, stack.title))),
        layers,
        length_text(choice.grip, header.units),
        "\n".join(worn),
        f"{shank}\n{out}",
    ]


def _consumables(header: Header, lines: list[Purchase], plan: Plan, width: float) -> list[Flowable]:
    if not plan.estimates:
        return []
    prices = {(line.item, line.goods): line for line in lines}
    priced = _has_prices(lines)
    rows = []
    for one in plan.estimates:
        row = [one.item, one.goods.words(), quantity_text(one.quantity, one.unit), one.how, one.source]
        line = prices.get((one.item, one.goods))
        rows.append(row + ([_money_cells(line)[1] if line else ""] if priced else []))
    heads = ["item", "what", "about", "calculated from", "formula, source", *(["price"] if priced else [])]
    widths = shared(width, 26, 30, 20, 64, 42, *([16] if priced else []))
    if priced:
        total, open_lines = priced_total(lines)
        note = f"{open_lines} without a price" if open_lines else ""
        rows.append([f"total {header.currency}".rstrip(), "", "", "", note, money(total)])
    body = table(heads, rows, widths, (5,) if priced else ())
    notes = [cell(text, SMALL) for text in (ESTIMATE_NOTE, *plan.left_out)]
    return section("Consumables, an estimate", body, notes)


def _rack(header: Header, plan: Plan, width: float) -> list[Flowable]:
    if not plan.on_hand:
        return []
    rows = [
        [TICK, line.item, line.spec, quantity_text(line.quantity, line.unit), line.note.words(header.units)]
        for line in plan.on_hand
    ]
    widths = shared(width, 6, 36, 62, 22, 54)
    note = cell("Not to be bought. When the job is cut, `fabgen book` takes these off the rack file.", SMALL)
    return section("From the rack", table(["", "item", "what", "how many", "note"], rows, widths), note)


def _total(header: Header, total: MassAndCentre) -> list[Flowable]:
    if total.mass <= 0.0:
        return []
    text = f"All pieces weigh {figure(total.mass, 2)} kg; hardware, weld metal and paint are not counted."
    blocks: list[Flowable] = [cell(text, BODY)]
    if total.centre is not None:
        x, y, z = (length_text(value, header.units) for value in total.centre)
        where = (
            f"Centre of gravity of the {figure(total.placed_mass, 2)} kg that the job gives a place to: "
            f"x {x}, y {y}, z {z}, in the job's own coordinates."
        )
        blocks.append(cell(where, BODY))
    if total.unplaced:
        names = ", ".join(f"{mark} {TIMES}{count}" if count > 1 else mark for mark, count in total.unplaced)
        blocks.append(cell(f"Without a place in the job, so not counted in the centre: {names}.", SMALL))
    return section("Mass and centre of gravity", *blocks)

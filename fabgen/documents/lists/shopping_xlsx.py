"""shopping-list.xlsx: the shopping list as a workbook, its sums as formulas so that prices can be put in."""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from fabgen.job.tables.definitions import Header
from fabgen.parts.piece import Piece
from fabgen.plan.buying.cut_orders import cut_orders
from fabgen.plan.plan import Plan, Purchase
from fabgen.wording.figures import figure
from fabgen.wording.inches import INCH

_NO_DATE = datetime(2000, 1, 1)
"""A workbook must say when it was made; of a job without a date it says this, so that bytes repeat."""


def shopping_xlsx(header: Header, pieces: Sequence[Piece], plan: Plan) -> bytes:
    """The workbook; the same input gives the same bytes."""
    import xlsxwriter

    unit = INCH if header.units == "in" else 1.0
    buffer = io.BytesIO()
    book = xlsxwriter.Workbook(buffer, {"in_memory": True})
    made = datetime(header.date.year, header.date.month, header.date.day) if header.date else _NO_DATE
    book.set_properties(
        {"title": f"{header.number} shopping list", "author": header.owner, "created": made, "comments": header.title}
    )
    looks = {
        "head": book.add_format({"bold": True, "bottom": 2, "valign": "top"}),
        "text": book.add_format({"text_wrap": True, "valign": "top"}),
        "number": book.add_format({"valign": "top"}),
        "money": book.add_format({"num_format": "#,##0.00", "valign": "top"}),
        "total": book.add_format({"num_format": "#,##0.00", "bold": True, "top": 1}),
        "bold": book.add_format({"bold": True, "top": 1}),
    }
    _shopping(_Worksheet(book, "Shopping list", looks), header, plan.shopping)
    if orders := cut_orders(pieces):
        page = _Worksheet(book, "Cutting service", looks)
        page.heads(
            ("material", 14), (f"thickness, {header.units}", 14), ("marks", 50), ("parts", 8), ("cut, m", 10),
            ("pierces", 10), ("bends", 8), ("area, m2", 10), ("mass, kg", 10),
        )  # fmt: skip
        for order in orders:
            marks = ", ".join(f"{mark} x{count}" if count > 1 else mark for mark, count in order.marks)
            page.row(
                order.material, round(order.thickness / unit, 4), marks, order.parts, round(order.cut / 1000.0, 3),
                order.pierces, order.bends, round(order.area * 1e-6, 4), round(order.mass, 3),
            )  # fmt: skip
    if plan.bolts:
        page = _Worksheet(book, "Bolts", looks)
        page.heads(
            ("bolt", 22), ("class", 10), ("how many", 10), ("through", 44), (f"grip, {header.units}", 10),
            ("washers", 10), ("nut", 10), ("nut class", 10), ("standard", 16), ("for", 30),
        )  # fmt: skip
        for stack in plan.bolts:
            thick = (f"{layer.name} {figure(layer.thickness / unit, 3)}".strip() for layer in stack.layers)
            through = " + ".join(thick)
            page.row(
                stack.choice.name, stack.property_class, stack.quantity, through, round(stack.choice.grip / unit, 3),
                stack.choice.washers, stack.choice.nut, stack.nut.strength, stack.standard, stack.title,
            )  # fmt: skip
    if plan.estimates:
        page = _Worksheet(book, "Consumables", looks)
        page.heads(("item", 16), ("what", 22), ("about", 10), ("unit", 8), ("calculated from", 70), ("source", 40))
        for one in plan.estimates:
            page.row(one.item, one.goods.words(header.units), one.quantity, one.unit, one.how, one.source)
    if plan.on_hand:
        page = _Worksheet(book, "From the rack", looks)
        page.heads(("item", 16), ("what", 40), ("how many", 10), ("unit", 8), ("note", 50))
        for line in plan.on_hand:
            page.row(line.item, line.goods.words(header.units), line.quantity, line.unit, line.note.words(header.units))
    book.close()
    return buffer.getvalue()


class _Worksheet:
    """One sheet of the workbook, filled row by row; texts are never taken for formulas."""

    def __init__(self, book: Any, name: str, looks: dict[str, Any]) -> None:
        self.sheet = book.add_worksheet(name)
        self.looks = looks
        self.at = 0
        self.sheet.freeze_panes(1, 0)
        self.sheet.set_landscape()
        self.sheet.fit_to_pages(1, 0)
        self.sheet.repeat_rows(0)

    def heads(self, *columns: tuple[str, float]) -> None:
        for i, (name, width) in enumerate(columns):
            self.sheet.set_column(i, i, width)
            self.sheet.write_string(0, i, name, self.looks["head"])
        self.at = 1

    def row(self, *values: str | float) -> None:
        for i, value in enumerate(values):
            if isinstance(value, str):
                self.sheet.write_string(self.at, i, value, self.looks["text"])
            else:
                self.sheet.write_number(self.at, i, value, self.looks["number"])
        self.at += 1


def _shopping(page: _Worksheet, header: Header, lines: Sequence[Purchase]) -> None:
    currency = f", {header.currency}" if header.currency else ""
    page.heads(
        ("item", 22), ("what", 40), ("how many", 10), ("unit", 8), (f"each{currency}", 12), (f"price{currency}", 12),
        ("note", 50),
    )  # fmt: skip
    for line in lines:
        page.row(line.item, line.goods.words(header.units), line.quantity, line.unit)
        at = page.at - 1
        if line.price is not None:
            page.sheet.write_number(at, 4, line.price, page.looks["money"])
        else:
            page.sheet.write_blank(at, 4, None, page.looks["money"])
        price = "" if line.price is None else line.price * line.quantity
        formula = f'=IF(E{at + 1}="","",C{at + 1}*E{at + 1})'
        page.sheet.write_formula(at, 5, formula, page.looks["money"], price)
        page.sheet.write_string(at, 6, line.note.words(header.units), page.looks["text"])
    page.sheet.write_string(page.at, 0, "total", page.looks["bold"])
    for column in range(1, 5):
        page.sheet.write_blank(page.at, column, None, page.looks["bold"])
    total = sum(line.price * line.quantity for line in lines if line.price is not None)
    if lines:
        page.sheet.write_formula(page.at, 5, f"=SUM(F2:F{page.at})", page.looks["total"], total)
    page.at += 1

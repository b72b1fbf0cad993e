"""What is said of the cut plan in words."""

from __future__ import annotations

import math
from collections.abc import Iterator

from fabgen.documents.render.words import figure, money, section_text
from fabgen.job.tables.definitions import Header
from fabgen.plan.plan import BarBill, Plan, SheetPlan


def bill_texts(plan: Plan, header: Header) -> Iterator[str]:
    """What the bars of each section come to, and how that compares with the least there can be."""
    for bill in plan.bills:
        name = f"{section_text(bill.section, header.units)}  {bill.material}"
        if bill.bill <= 0.0:
            yield f"{name}: all from the rack, nothing to buy"
        else:
            bound = "" if bill.proven else f" (no plan needs less than {_sum(bill, bill.bound, header)})"
            yield f"{name}: {_sum(bill, bill.bill, header)} to buy, {gap_text(bill)}{bound if bill.bound else ''}"


def sheet_origin(sheet: SheetPlan) -> str:
    """Where a sheet comes from."""
    if sheet.spare:
        return "from the rack"
    if sheet.instead_of:
        return "a blank cut to size"
    return "usual trade size, assumed" if sheet.assumed else "stock size"


def gap_text(bill: BarBill) -> str:
    """'proven least', or how near the least the bill is."""
    if bill.proven:
        return "proven least"
    if bill.bound <= 0.0:
        return "not proven least"
    return f"within {figure(math.ceil(round(1000.0 * bill.gap, 6)) / 10.0, 1)} % of the least"


def _sum(bill: BarBill, value: float, header: Header) -> str:
    if bill.priced:
        return money(value, header.currency)
    return f"{figure(value / 304.8, 2)} ft of bar" if header.units == "in" else f"{figure(value / 1000.0, 2)} m of bar"

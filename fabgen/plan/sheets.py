"""Sheets: flat parts laid out on sheets and remnants, by rectangles and by true shape.

The rectangle packing is the floor: what else is tried counts only when it costs less, and only
when the parts' true outlines are found to lie inside and apart.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fabgen.plan import nest_check
from fabgen.plan.blanks import Blank, blanks_of
from fabgen.plan.effort import BUDGETS, Effort, Progress, silent
from fabgen.plan.hole_filling import Host, everywhere, fill_holes
from fabgen.plan.nesting import Nester
from fabgen.plan.plan import Placed, SheetPlan
from fabgen.plan.sheet_choice import Layout, Nest
from fabgen.plan.sheet_search import SheetSearch
from fabgen.plan.sheet_stock import SheetStock, fits_alone, with_worth

__all__ = ["Effort", "SheetStock", "blanks_of", "plan_sheets"]

_ROUNDED = 0.02
"""Bounding rectangles of round parts are exact and their flattened outlines are not: this much passes, mm."""
Reasons = list[tuple[str, str]]


def plan_sheets(
    material: str,
    thickness: float,
    blanks: Sequence[Blank],
    stocks: Sequence[SheetStock],
    gap: float,
    margin: float,
    effort: Effort = Effort.NORMAL,
    progress: Progress = silent,
) -> tuple[list[SheetPlan], Reasons]:
    """Sheets for one material and thickness, and the parts too large for any sheet, with the reason.

    Parts lie `gap` mm apart and `margin` mm off the edges.  The same input gives the same result,
    whatever the machine and however busy it is.
    """
    stocks = with_worth(stocks)
    fits = [blank for blank in blanks if any(fits_alone(blank, stock.room(margin)) for stock in stocks)]
    reasons = _reasons(blanks, fits, "is larger than any sheet: make it in two or order a larger sheet")
    if not fits:
        return [], reasons

    def told(what: str, share: float) -> None:
        progress(f"{thickness:g} mm {material}: {what}", share)

    nester = Nester(fits, gap)
    search = SheetSearch(stocks, nester, margin, BUDGETS[effort], told)
    nest, sheets = next(_sound(search, fits, effort, told))
    reasons += _reasons(fits, _taken(fits, nest), "finds no sheet left on hand")
    parts = {blank.mark: blank.part for blank in blanks}
    plans = []
    for layout, placed in zip(nest.sheets, sheets, strict=True):
        stock = layout.stock
        plans.append(
            SheetPlan(
                material,
                thickness,
                stock.size,
                tuple(placed),
                sum(parts[place.mark].net_area for place in placed) / stock.area,
                stock.assumed,
                stock.on_hand is not None,
                stock.outline,
                stock.mark,
            )
        )
    return plans, reasons


def _sound(
    search: SheetSearch, blanks: Sequence[Blank], effort: Effort, progress: Progress
) -> Iterator[tuple[Nest, list[list[Placed]]]]:
    """Nests from the best to the plainest, with all that lies on each sheet; only those that pass the check."""
    progress("laying out", 0.0)
    parts = {blank.mark: blank.part for blank in blanks}
    floor = search.by_rectangles(blanks)
    plain = [Host(blank) for blank in blanks]
    tries: list[tuple[Nest, list[Host], float]] = [(floor, plain, _ROUNDED)]
    if effort is not Effort.QUICK and (floor.left or search.gains(blanks, floor)):
        hosts = fill_holes(blanks, search.nester)
        nest = search.by_shapes([host.blank for host in hosts])
        if nest.rank < floor.rank:
            tries.insert(0, (nest, hosts, _ROUNDED))
    if effort is Effort.LONG:
        nest, hosts, allowance = tries[0]
        tries.insert(0, (search.tightened(nest), hosts, allowance))
    for nest, hosts, allowance in tries:
        sheets = _expanded(nest, hosts)
        if all(
            not nest_check.faults(placed, parts, layout.stock.room(search.margin), search.gap, allowance)
            for layout, placed in zip(nest.sheets, sheets, strict=True)
        ):
            progress("laid out", 1.0)
            yield nest, sheets
    # Nothing but rectangles on rectangles, which need no check.
    nest = search.by_rectangles(blanks, [stock for stock in search.stocks if stock.outline is None])
    yield nest, _expanded(nest, plain)


def _expanded(nest: Nest, hosts: Sequence[Host]) -> list[list[Placed]]:
    pass

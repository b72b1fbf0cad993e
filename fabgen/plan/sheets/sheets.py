"""Sheets: flat parts laid out on sheets and remnants, by rectangles and by true shape.

The rectangle packing is the floor: what else is tried counts only when it costs less, and only
when the parts' true outlines are found to lie inside and apart.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from fabgen.plan.effort import BUDGETS, Effort, Progress, silent
from fabgen.plan.plan import SheetPlan
from fabgen.plan.sheets import nest_check
from fabgen.plan.sheets.blanks import Blank, blanks_of
from fabgen.plan.sheets.cut_to_size import cut_to_size
from fabgen.plan.sheets.hole_filling import Host, fill_holes, waiting_hosts, with_guests
from fabgen.plan.sheets.nesting import Nester
from fabgen.plan.sheets.sheet_choice import Layout, Nest
from fabgen.plan.sheets.sheet_search import SheetSearch
from fabgen.plan.sheets.sheet_stock import SheetStock, Spacing, fits_alone, with_worth
from fabgen.wording.sentence import Sentence, sentence

__all__ = ["Effort", "SheetStock", "blanks_of", "plan_sheets"]

TOO_LARGE = sentence("is larger than any sheet: make it in two or order a larger sheet")
NONE_LEFT = sentence("finds no sheet left on hand")
Reasons = list[tuple[str, Sentence]]


def plan_sheets(
    metal: tuple[str, float],
    blanks: Sequence[Blank],
    stocks: Sequence[SheetStock],
    spacing: Spacing,
    effort: Effort = Effort.NORMAL,
    progress: Progress = silent,
    step: float | None = None,
) -> tuple[list[SheetPlan], Reasons]:
    """Sheets for one material and thickness; the same input gives the same result on any machine, busy or not.

    Args:
        metal: material and thickness, mm.
        blanks: the flat parts.
        stocks: sheets and remnants that they may be cut from.
        spacing: how far apart parts lie, and how far off the edges.
        effort: how much computing it may take.
        progress: called with what is being worked on.
        step: parts that fill little of a usual sheet, which nobody named, get a blank cut to size, its sides
            multiples of this, mm; None: they do not.
    Returns: the sheets, and the parts too large for any sheet, with the reason.
    """
    (material, thickness), (gap, margin) = metal, spacing
    stocks = with_worth(stocks)
    fits = [blank for blank in blanks if any(fits_alone(blank, stock.room(margin)) for stock in stocks)]
    too_large = [blank.mark for blank in blanks if blank not in fits]
    reasons = _reasons(too_large, TOO_LARGE)
    if not fits:
        return [], reasons

    def report(what: str, share: float) -> None:
        progress(f"{thickness:g} mm {material}: {what}", share)

    search = SheetSearch(stocks, Nester(fits, gap, BUDGETS[effort].moves), margin, BUDGETS[effort], report)
    sheets = next(_sound(search, fits, effort, step is not None))
    if step is not None:
        sheets = [_smaller(layout, search, step, effort) for layout in sheets]
    report("laid out", 1.0)
    placed = Counter(place.mark for layout in sheets for place in layout.placed)
    left = [mark for mark, count in Counter(blank.mark for blank in fits).items() if placed[mark] < count]
    reasons += _reasons(left, NONE_LEFT)
    return [_plan_of(layout, material, thickness, search.nester) for layout in sheets], reasons


def _sound(search: SheetSearch, blanks: Sequence[Blank], effort: Effort, to_size: bool) -> Iterator[list[Layout]]:
    """Nests from the best to the plainest, with all that lies on each sheet; only those that pass the check.

    `to_size`: what is bought of an assumed sheet is what the parts on it take.
    """
    search.progress("laying out", 0.0)
    plain = [Host(blank) for blank in blanks]
    tries = [(search.by_rectangles(blanks), plain)]
    floor = tries[0][0]
    racked = any(stock.on_hand for stock in search.stocks)
    if effort is Effort.LONG or (effort is Effort.NORMAL and (racked or floor.left or search.gains(blanks, floor))):
        hosts = fill_holes(blanks, search.nester)
        nest = search.by_shapes([host.blank for host in hosts])
        rank, least = _rank(nest, hosts, search), _rank(floor, plain, search)
        if effort is Effort.LONG and rank <= least:
            # As good as the floor is good enough where the parts are to lie close.
            tries.insert(0, (search.tightened(nest, to_size), hosts))
        elif rank < least:
            tries.insert(0, (nest, hosts))
    for nest, hosts in tries:
        sheets = with_all_guests(nest, hosts)
        if all(is_sound(layout, search) for layout in sheets):
            yield sheets
    # Rectangles on rectangles are sound by themselves.
    yield list(search.by_rectangles(blanks, [s for s in search.stocks if s.outline is None]).sheets)


def _rank(nest: Nest, hosts: Sequence[Host], search: SheetSearch) -> tuple[float, ...]:
    """The less the better: parts left, the bill, parts on metal that is bought, and the nest's own rank."""
    sheets = with_all_guests(nest, hosts)
    bought = [layout for layout in sheets if layout.stock.on_hand is None]
    area = sum(search.nester.blanks[place.mark].area for layout in bought for place in layout.placed)
    placed = sum(len(layout.placed) for layout in sheets)
    return (-placed, round(nest.bill, 6), round(area, 3), *nest.rank)


def _smaller(layout: Layout, search: SheetSearch, step: float, effort: Effort) -> Layout:
    """The parts of an assumed sheet on a blank cut to size, where that is worth while."""
    if not layout.stock.assumed:
        return layout
    blank = cut_to_size(layout, search, step, effort)
    return blank if blank is not None and is_sound(blank, search) else layout


def is_sound(layout: Layout, search: SheetSearch) -> bool:
    """Whether the parts' true outlines lie inside their sheet and apart.

    Args:
        layout: parts on one sheet.
        search: that it comes from, with its gap and margin.
    """
    parts = {mark: blank.part for mark, blank in search.nester.blanks.items()}
    return not nest_check.faults(layout.placed, parts, layout.stock.room(search.margin), search.gap)


def with_all_guests(nest: Nest, hosts: Sequence[Host]) -> list[Layout]:
    """The sheets with the parts that lie in holes of others.

    Args:
        nest: of the hosts.
        hosts: the parts with what lies in their holes.
    """
    waiting = waiting_hosts(hosts)
    return [Layout(layout.stock, tuple(with_guests(layout.placed, waiting))) for layout in nest.sheets]


def _plan_of(layout: Layout, material: str, thickness: float, nester: Nester) -> SheetPlan:
    stock = layout.stock
    used = sum(nester.blanks[place.mark].area for place in layout.placed) / stock.area
    return SheetPlan(
        material,
        thickness,
        stock.size,
        layout.placed,
        used,
        stock.assumed,
        spare=stock.on_hand is not None,
        outline=stock.outline,
        rack_marks=(stock.mark,) if stock.mark else (),
        instead_of=stock.instead_of,
        is_cut_short=nester.is_spent,
    )


def _reasons(marks: Sequence[str], reason: Sentence) -> Reasons:
    return [(mark, reason) for mark in dict.fromkeys(marks)]

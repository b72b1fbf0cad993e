"""The cut plan in pictures and words: a bar with its cuts, a sheet with its parts, their totals."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from fabgen.documents.render.lettering import CAPITAL, TEXT
from fabgen.documents.render.pdf import text_width
from fabgen.documents.render.picture import Fill, Item, Picture, Text, edge_item, loop_items, rectangle
from fabgen.documents.render.words import figure, length_text, money, run_text
from fabgen.geometry.plane.outline import Loop
from fabgen.job.tables.definitions import Header
from fabgen.parts.piece import FlatPart
from fabgen.plan.plan import BarBill, BarPlan, Cut, PlacedPart, Plan, SheetPlan

BAR_HEIGHT = 9.5
_LARGEST = 0.5
"""Scale of the picture of a small sheet."""


def bar_picture(bar: BarPlan, width: float, longest: float, units: str) -> Picture:
    """The bar `width` mm long at most, drawn to one scale with bars of `longest` mm; its lengths in the job's units."""
    scale = width / longest
    items: list[Item] = []
    x = 0.0
    for i, (cut, (begin, end_at)) in enumerate(zip(bar.cuts, bar.spans, strict=True)):
        after = bar.cuts[i + 1] if i + 1 < len(bar.cuts) else None
        sides = _slant(bar, cut), _slant(bar, after)
        items += _piece_box(begin * scale, end_at * scale, sides[0] * scale, sides[1] * scale, i % 2 == 1)
        clear = (begin + sides[0]) * scale, (end_at - sides[1]) * scale
        items += _bar_label(clear[0], clear[1] - clear[0], cut.mark, length_text(cut.blank, units))
        x = (end_at + bar.kerf) * scale
    end = bar.stock * scale
    if end - x > 0.05:
        items.append(Fill(((x, 0.0), (end, 0.0), (end, BAR_HEIGHT), (x, BAR_HEIGHT)), 0.82))
        items.append(rectangle(x, 0.0, end - x, BAR_HEIGHT, "thin"))
        rest = f"rest {length_text(bar.offcut, units) if units == 'in' else figure(bar.offcut, 0)}"
        if text_width(rest, TEXT) < end - x - 1.0:
            items.append(Text((x + end) / 2, BAR_HEIGHT / 2 - TEXT * 0.36, rest, TEXT, "middle"))
    return Picture.of(items)


def _slant(bar: BarPlan, cut: Cut | None) -> float:
    """How far the saw cut that a piece shares with the one before it runs along the bar, mm."""
    if cut is None or not cut.shared:
        return 0.0
    return cut.saved + bar.kerf * (1.0 / math.cos(math.radians(cut.shared)) - 1.0)


def _piece_box(begin: float, end: float, left: float, right: float, long_above: bool) -> Iterator[Item]:
    """A piece as it lies, its shared ends slanted; whether they lean alike is on its drawing."""
    corners = [(begin, 0.0), (end, 0.0), (end - right, BAR_HEIGHT), (begin + left, BAR_HEIGHT)]
    if long_above:
        corners = [(x, BAR_HEIGHT - y) for x, y in corners]
    for one, next_one in zip(corners, [*corners[1:], corners[0]], strict=True):
        yield edge_item(one, next_one, 0.0, "visible")


def _bar_label(x: float, long: float, mark: str, length: str) -> Iterator[Text]:
    """Mark over length inside the piece's box where it is wide enough, the mark alone, lying or upright, where not;
    none where it has no room: the table names all."""
    wide = text_width(mark, TEXT, True)
    if max(wide, text_width(length, TEXT)) < long - 1.0:
        yield Text(x + long / 2, BAR_HEIGHT / 2 + 0.9, mark, TEXT, "middle", bold=True)
        yield Text(x + long / 2, BAR_HEIGHT / 2 - 3.4, length, TEXT, "middle")
    elif wide < long - 1.0:
        yield Text(x + long / 2, BAR_HEIGHT / 2 - TEXT * 0.36, mark, TEXT, "middle", bold=True)
    elif long > TEXT and wide < BAR_HEIGHT - 0.6:
        yield Text(x + long / 2 + TEXT * 0.36, BAR_HEIGHT / 2, mark, TEXT, "middle", 90.0, True)


def drawn_width(sheet: SheetPlan, widest: float, highest: float) -> float:
    """How wide a sheet's picture is on paper, mm: in the room given, and at half its size at most."""
    width, height = sheet.size
    return min(widest, highest * width / height, width * _LARGEST)


def sheet_picture(sheet: SheetPlan, parts: Mapping[str, FlatPart], width: float) -> Picture:
    """The sheet with its parts' true outlines, `width` mm wide on paper."""
    scale = width / sheet.size[0]
    edge = rectangle(0.0, 0.0, *sheet.size, "visible")
    plain: list[Item] = [edge] if sheet.outline is None else [*loop_items(sheet.outline)]
    labels: list[Item] = []
    for placed in sheet.placed:
        part = parts[placed.mark]
        for loop in (part.outline, *(hole.shape for hole in part.holes)):
            moved = loop.turned(math.radians(placed.turn)).moved(placed.x, placed.y)
            plain += loop_items(moved, "thin")
        labels += _part_label(part, placed, scale)
    return Picture.of(plain).scaled(scale) + Picture.of(labels)


def _part_label(part: FlatPart, placed: PlacedPart, scale: float) -> Iterator[Item]:
    """The mark inside the part and clear of its holes, lying or upright; none where it has no room."""
    from shapely.geometry import Polygon
    from shapely.ops import polylabel

    def on_sheet(loop: Loop) -> Loop:
        return loop.turned(math.radians(placed.turn)).moved(placed.x, placed.y)

    outline = on_sheet(part.outline)
    metal = Polygon(outline.points(0.5), [on_sheet(hole.shape).points(0.5) for hole in part.holes])
    x0, y0, x1, y1 = outline.bounds
    wide, high = (x1 - x0) * scale, (y1 - y0) * scale
    upright = high > wide * 1.3
    spot = polylabel(metal, max(wide, high) / scale / 50.0)
    room = 2.0 * spot.distance(metal.boundary) * scale
    across = min(wide, high)
    wide_enough = max(room, 0.8 * (high if upright else wide) if room > TEXT else room)
    if text_width(placed.mark, TEXT, True) > wide_enough or min(across * 0.8, room) < TEXT * CAPITAL:
        return
    x, y = spot.x * scale, spot.y * scale
    if upright:
        yield Text(x + TEXT * 0.36, y, placed.mark, TEXT, "middle", 90.0, True)
    else:
        yield Text(x, y - TEXT * 0.36, placed.mark, TEXT, "middle", bold=True)


def bill_texts(plan: Plan, header: Header) -> Iterator[str]:
    """The total of the bars of each section, those that come to the same in one, and how it compares with the least
    there can be."""
    alike: dict[str, list[str]] = {}
    for bill in plan.bills:
        name = f"{bill.section.words(header.units)}  {bill.material}"
        if bill.bill <= 0.0:
            said = "all from the rack, nothing to buy"
        else:
            bound = "" if bill.proven else f" (no plan needs less than {_sum(bill, bill.bound, header)})"
            said = f"{_sum(bill, bill.bill, header)} to buy, {gap_text(bill)}{bound if bill.bound else ''}"
        alike.setdefault(said, []).append(name)
    for said, names in alike.items():
        yield f"{', '.join(names)}: {said}{' of each' if len(names) > 1 else ''}"


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
    return f"{run_text(value, header.units)} of bar"

"""Parts that fill little of a sheet, on a blank that a merchant cuts to size in its place.

Nobody buys two square metres for three small brackets: what they come to as a blank of its own is
what to ask for.  The blank is the smallest rectangle that a handful of nests of different heights
come to, rounded up.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from shapely import box

from fabgen.plan.effort import Effort
from fabgen.plan.plan import PlacedPart
from fabgen.plan.sheets import rectangles
from fabgen.plan.sheets.blanks import Blank
from fabgen.plan.sheets.hole_filling import Host, fill_holes, waiting_hosts, with_guests
from fabgen.plan.sheets.nesting import LEFT, Nester
from fabgen.plan.sheets.sheet_choice import Layout
from fabgen.plan.sheets.sheet_search import SheetSearch
from fabgen.plan.sheets.sheet_stock import Room, SheetStock

Size = tuple[float, float]
_WORTHWHILE = 0.5
"""A blank is ordered in place of a sheet where it takes up to so much of one (common practice, no source)."""
_HEIGHTS = (0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.25, 1.4)
"""Heights tried, by the side of a square of all the parts' areas."""
_PROMISING = 6
"""So many of the heights are tried with the parts' true shapes."""
_SQUARE = 0.97
"""A part that fills so much of its rectangle lies no closer by its shape."""
_FEW = 6
"""Of so few marks the parts' own widths and heights are tried too."""


def cut_to_size(layout: Layout, search: SheetSearch, step: float, effort: Effort) -> Layout | None:
    """The sheet's parts on a blank, its sides multiples of `step` mm; None where the sheet itself is as good.

    The blank's longer side lies along x, and the rolling direction is to run along it.
    """
    nester, margin = search.nester, search.margin
    blanks = [nester.blanks[place.mark] for place in layout.placed]
    hosts = [Host(blank) for blank in blanks] if effort is Effort.QUICK else fill_holes(blanks, nester)
    parts = sorted((host.blank for host in hosts), key=lambda blank: -blank.part.outline.area)
    long, short = max(layout.stock.size), min(layout.stock.size)

    def sized(nests: Iterable[list[PlacedPart]]) -> Iterator[tuple[Size, list[PlacedPart]]]:
        for placed in nests:
            width, height = (_up(reach + margin, step) for reach in _reach(nester, placed))
            if height <= width <= long and height <= short:
                yield (width, height), placed

    tries = list(sized(_nests(parts, nester, long - 2.0 * margin, short - 2.0 * margin, margin, effort)))
    if not tries:
        return None
    (_, height), _ = min(tries, key=_rank)
    if effort is Effort.LONG and len(parts) > 1:
        room = Room(box(margin, margin, long - margin, height - margin), "x")
        found = search.drawn_together(room, parts)
        tries += sized([found] if found else [])
    size, placed = min(tries, key=_rank)
    if size[0] * size[1] > _WORTHWHILE * layout.stock.area:
        return None
    stock = SheetStock(size, assumed=True, instead_of=layout.stock.size)
    return Layout(stock, tuple(with_guests(placed, waiting_hosts(hosts))))


def _rank(sized: tuple[Size, list[PlacedPart]]) -> tuple[float, float]:
    """The less the better: area, and of like areas the squarer."""
    (width, height), _ = sized
    return width * height, width


def _nests(
    parts: Sequence[Blank], nester: Nester, long: float, short: float, margin: float, effort: Effort
) -> Iterator[list[PlacedPart]]:
    """Nests of all the parts in rooms of different heights, each drawn to its left end."""
    side = math.sqrt(sum(nester.grown(part.mark, 0.0).area for part in parts))
    heights = {side * share for share in _HEIGHTS}
    if len({part.mark for part in parts}) <= _FEW:
        heights |= {size for part in parts for size in part.size}
    rooms = [
        Room(box(margin, margin, margin + long, margin + height), "x") for height in sorted(heights) if height <= short
    ]
    areas: list[float] = []
    for room in rooms:
        placed, left = rectangles.pack(parts, room, nester.gap)
        areas.append(math.inf if left else math.prod(_reach(nester, placed)))
        if not left:
            yield placed
    if effort is Effort.QUICK or all(part.part.outline.area > _SQUARE * math.prod(part.size) for part in parts):
        return
    # Shapes take long: only where rectangles did best already.
    for index in sorted(range(len(rooms)), key=areas.__getitem__)[:_PROMISING]:
        for order in (parts, sorted(parts, key=lambda part: -max(part.size))):
            placed, left = nester.fill(rooms[index], order, toward=LEFT)
            if not left:
                yield placed


def _reach(nester: Nester, placed: Sequence[PlacedPart]) -> tuple[float, float]:
    boxes = [(place, nester.bounds(place.mark, place.turn)) for place in placed]
    return max(p.x + b[2] for p, b in boxes), max(p.y + b[3] for p, b in boxes)


def _up(length: float, step: float) -> float:
    return math.ceil(round(length / step, 6)) * step

"""Drawings larger than the paper, divided over pages that overlap and are joined on a line.

Two neighbouring pages share a strip.  In its middle runs the join line: one page is cut along
it and laid on the same line of the other.  Crosses that sit on the line carry the same letter
on both pages; when their arms meet, the pages are true to one another.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import text_width
from fabgen.documents.render.picture import Fill, Item, Picture, Stroke, Text, cross, line, polyline, rectangle
from fabgen.documents.render.sketch import Panel, Sketch, grown, text_box
from fabgen.documents.render.true_size import TrueSizeSheet
from fabgen.geometry.plane.outline import Box, Xy

LAP = 15.0
"""Width of the strip that two neighbouring pages share, mm."""
_ARM = 4.0
_LEAST_NUMBER = 2.5
"""Letters of a page's number on the map, mm."""


@dataclass(frozen=True, slots=True)
class Cross:
    """A registration cross on a join; `upright` where the join runs upward."""

    at: Xy
    upright: bool

    def items(self, letter: str) -> list[Item]:
        """The cross and its letter on either side of the join."""
        x, y = self.at
        if self.upright:
            spots = ((x - 1.4, y + 1.2, "end"), (x + 1.4, y + 1.2, "start"))
        else:
            spots = ((x + 1.4, y + 1.2, "start"), (x + 1.4, y - 4.0, "start"))
        return [
            *cross(self.at, _ARM, _ARM, "register"),
            *(Text(tx, ty, letter, 3.6, "end" if anchor == "end" else "start", bold=True) for tx, ty, anchor in spots),
        ]

    @property
    def box(self) -> Box:
        x, y = self.at
        return (x - _ARM - 0.6, y - _ARM - 0.8, x + _ARM + 0.6, y + _ARM + 0.8)


@dataclass(frozen=True)
class Joins:
    """Where a drawing that fills `box` is divided: upright lines at `across`, level ones at `up`."""

    box: Box
    across: tuple[float, ...] = ()
    up: tuple[float, ...] = ()

    def lines(self, box: Box) -> list[tuple[Xy, Xy]]:
        """All join lines as they cross `box`."""
        return [((x, box[1]), (x, box[3])) for x in self.across] + [((box[0], y), (box[2], y)) for y in self.up]

    def columns(self, first: float, last: float) -> list[tuple[float, float]]:
        """The part of each column of pages between `first` and `last`; narrow ends are left out."""
        inner = [x for x in self.across if first < x < last]
        return [(a, b) for a, b in pairwise([first, *inner, last]) if b - a > 20.0 or not inner]

    def letters(self) -> Iterator[str]:
        """A, B, … Z, AA, AB, …"""
        for number in range(1, 10_000):
            letters, rest = "", number
            while rest:
                rest, place = divmod(rest - 1, 26)
                letters = chr(ord("A") + place) + letters
            yield letters

    def crosses(self, free: Callable[[Box], bool]) -> Iterator[Cross]:
        """Two crosses on each page's share of each join, moved along it to where they are free."""
        rows = list(pairwise((self.box[1], *self.up, self.box[3])))
        columns = list(pairwise((self.box[0], *self.across, self.box[2])))
        for x in self.across:
            for low, high in rows:
                yield from self._on_line(low, high, lambda y, x=x: Cross((x, y), True), free)  # type: ignore[misc]
        for y in self.up:
            for low, high in columns:
                yield from self._on_line(low, high, lambda x, y=y: Cross((x, y), False), free)  # type: ignore[misc]

    def _on_line(
        self, low: float, high: float, make: Callable[[float], Cross], free: Callable[[Box], bool]
    ) -> Iterator[Cross]:
        reach = LAP / 2.0 + _ARM if high - low > 4.0 * LAP else _ARM + 1.0
        places = [low + reach + i for i in range(max(0, int(high - low - 2.0 * reach)) + 1)]
        found: list[float] = []
        for wanted in (low + 0.2 * (high - low), low + 0.8 * (high - low)):
            for place in sorted(places, key=lambda p: abs(p - wanted)):
                if all(abs(place - other) > 12.0 for other in found) and free(make(place).box):
                    found.append(place)
                    yield make(place)
                    break

    def tiles(self) -> list[Tile]:
        """The pages, row by row from the upper left."""
        columns = list(pairwise((self.box[0], *self.across, self.box[2])))
        rows = list(pairwise((self.box[1], *self.up, self.box[3])))
        return [
            Tile(column, row, self._window(x0, y0, x1, y1), (x0, y0, x1, y1))
            for row, (y0, y1) in enumerate(reversed(rows))
            for column, (x0, x1) in enumerate(columns)
        ]

    def _window(self, x0: float, y0: float, x1: float, y1: float) -> Box:
        half = LAP / 2.0
        left, low, right, high = self.box
        return (
            x0 if x0 == left else x0 - half,
            y0 if y0 == low else y0 - half,
            x1 if x1 == right else x1 + half,
            y1 if y1 == high else y1 + half,
        )


@dataclass(frozen=True, slots=True)
class Tile:
    """One page's share: what it shows (`window`) and what it alone letters (`cell`)."""

    column: int
    row: int
    window: Box
    cell: Box

    def items(self, items: Sequence[Item]) -> list[Item]:
        """Strokes clipped to the window; texts and fills of the cell only."""
        shown: list[Item] = []
        for item in items:
            if isinstance(item, Stroke):
                shown += clipped(item, self.window)
            elif isinstance(item, Text | Fill):
                x, y = (item.x, item.y) if isinstance(item, Text) else item.points[0]
                if self.cell[0] <= x < self.cell[2] and self.cell[1] <= y < self.cell[3]:
                    shown.append(item)
        return shown

    def has(self, lines: Sequence[Stroke], spots: Sequence[Xy]) -> bool:
        """Whether a piece of a line, or a spot, lies in what the page alone has to show."""
        x0, y0, x1, y1 = self.cell
        if any(x0 <= x < x1 and y0 <= y < y1 for x, y in spots):
            return True
        return any(clipped(line, self.cell) for line in lines)


def count_pages(length: float, room: float) -> int:
    """How many pages of `room` mm a length takes, with shared strips between them."""
    if length <= room:
        return 1
    return max(2, math.ceil((length - LAP) / (room - LAP) - 1e-9))


def divided(low: float, high: float, room: float, landmarks: Sequence[float]) -> tuple[float, ...]:
    """Join lines between `low` and `high` so that no page needs more than `room` mm.

    As even as keeping off the `landmarks` allows; as few pages as there can be.
    """
    count = count_pages(high - low, room)
    half = LAP / 2.0
    joins: list[float] = []
    for index in range(1, count):
        before = joins[-1] - half if joins else low
        latest = before + room - half
        # What the pages after this one can take, at most.
        rest = count - index
        earliest = high - rest * room + (rest - 1) * LAP + half
        even = (joins[-1] if joins else low) + (high - (joins[-1] if joins else low)) / (rest + 1)
        places = [earliest + i * 0.5 for i in range(int((latest - earliest) / 0.5) + 1)] or [latest]
        clear = [min((abs(place - mark) for mark in landmarks), default=6.0) for place in places]
        joins.append(max(zip(places, clear, strict=True), key=lambda p: (min(p[1], 5.0), -abs(p[0] - even)))[0])
    return tuple(joins)


def clipped(stroke: Stroke, window: Box) -> list[Stroke]:
    """The parts of a stroke inside the window (Liang and Barsky's line clipping), in order."""
    points = (*stroke.points, stroke.points[0]) if stroke.closed else stroke.points
    if all(window[0] <= x <= window[2] and window[1] <= y <= window[3] for x, y in points):
        return [stroke]
    chains: list[list[Xy]] = []
    for a, b in pairwise(points):
        part = _clipped_line(a, b, window)
        if part is None:
            continue
        if chains and chains[-1][-1] == part[0]:
            chains[-1].append(part[1])
        else:
            chains.append(list(part))
    return [Stroke(tuple(chain), stroke.pen) for chain in chains]


def _clipped_line(a: Xy, b: Xy, window: Box) -> tuple[Xy, Xy] | None:
    dx, dy = b[0] - a[0], b[1] - a[1]
    first, last = 0.0, 1.0
    for step, room in (
        (-dx, a[0] - window[0]),
        (dx, window[2] - a[0]),
        (-dy, a[1] - window[1]),
        (dy, window[3] - a[1]),
    ):
        if step == 0.0:
            if room < 0.0:
                return None
        elif step < 0.0:
            first = max(first, room / step)
        else:
            last = min(last, room / step)
    if first >= last:
        return None
    start = a if first == 0.0 else (a[0] + first * dx, a[1] + first * dy)
    end = b if last == 1.0 else (a[0] + last * dx, a[1] + last * dy)
    return start, end


def arranged(box: Box, paper: Paper, landmarks: tuple[Sequence[float], Sequence[float]]) -> tuple[TrueSizeSheet, Joins]:
    """How paper lies for a drawing, and where it is divided: turned the way that takes fewer pages.

    Args:
        box: what the drawing covers, mm.
        paper: its size.
        landmarks: x and y at which it is better not divided.
    """
    sheets = (TrueSizeSheet(paper.upright), TrueSizeSheet(paper.landscape))
    wide, tall = box[2] - box[0], box[3] - box[1]
    sheet = min(sheets, key=lambda s: count_pages(wide, s.width) * count_pages(tall, s.height - HEAD))
    across = divided(box[0], box[2], sheet.width, landmarks[0])
    return sheet, Joins(box, across, divided(box[1], box[3], sheet.height - HEAD, landmarks[1]))


# -- a drawing over several pages ---------------------------------------------------
HEAD = 8.0
"""What a page's heading takes above its share of the drawing, mm."""


@dataclass(frozen=True)
class Tiled:
    """A drawing that is divided over pages like `sheet`."""

    sheet: TrueSizeSheet
    joins: Joins
    items: Sequence[Item]

    @staticmethod
    def of(
        box: Box,
        paper: Paper,
        landmarks: tuple[Sequence[float], Sequence[float]],
        draw: Callable[[Joins], Sequence[Item]],
    ) -> Tiled:
        """Paper turned the way that takes fewer pages.

        Args:
            box: what the drawing covers, mm.
            landmarks: x and y at which it is better not divided.
            draw: the drawing, whose texts keep off the joins.
        """
        sheet, joins = arranged(box, paper, landmarks)
        return Tiled(sheet, joins, draw(joins))

    def tiles(self, spots: Sequence[Xy] = ()) -> list[Tile]:
        """The pages that have a line of the drawing or one of its spots on them."""
        return [tile for tile in self.joins.tiles() if tile.has(self.lines, spots)]

    @cached_property
    def lines(self) -> list[Stroke]:
        """The drawing's own lines, without what is for joining the pages."""
        return [item for item in self.items if isinstance(item, Stroke) and item.pen != "register"]

    def page(self, tile: Tile, heading: str, numbers: Mapping[tuple[int, int], int]) -> list[Item]:
        """A page's items: its heading and, below that, its share of the drawing; `numbers` are the page numbers by
        column and row."""
        x0, _, x1, y1 = self.sheet.room
        share = Picture.of(tile_items(tile, self.items, numbers))
        return [
            Text(x0, y1 - 5.0, heading, 5.0, bold=True),
            Text(x1, y1 - 5.0, "crosses of one letter fall on one another", 3.4, "end"),
            *share.moved(x0 - tile.window[0], y1 - HEAD - tile.window[3]).items,
        ]


def tile_map(tiled: Tiled, numbers: Mapping[tuple[int, int], int], width: float, height: float) -> Panel:
    """The whole drawing, small, with the field of each page and its number; fields without one have no page.

    Args:
        tiled: the drawing.
        numbers: of the pages, by column and row.
        width, height: what it may take, mm.
    """
    from shapely import LineString, MultiPolygon
    from shapely import box as rectangle_of

    x0, y0, x1, y1 = tiled.joins.box
    scale = min(width / (x1 - x0), height / (y1 - y0))
    items: list[Item] = []
    names: list[Text] = []
    for tile in tiled.joins.tiles():
        a, b, c, d = ((value - low) * scale for value, low in zip(tile.cell, (x0, y0, x0, y0), strict=True))
        if number := numbers.get((tile.column, tile.row)):
            items.append(rectangle(a, b, c - a, d - b, "register"))
            size = max(_LEAST_NUMBER, min(5.0, 0.4 * (d - b)))
            name = Text((a + c) / 2.0, (b + d) / 2.0 - 0.36 * size, str(number), size, "middle", bold=True)
            if text_width(name.text, size, True) + 1.0 < c - a and size + 1.0 < d - b:
                names.append(name)
    # Lines stop before the numbers, so that these can be read.
    free = MultiPolygon([rectangle_of(*grown(text_box(name), 0.6)) for name in names])
    whole = Picture.of(tiled.lines).moved(-x0, -y0).scaled(scale)
    for stroke in whole.items:
        assert isinstance(stroke, Stroke)
        points = (*stroke.points, stroke.points[0]) if stroke.closed else stroke.points
        left = LineString(points).difference(free)
        items += [
            polyline([(x, y) for x, y, *_ in part.coords], "thin")
            for part in getattr(left, "geoms", [left])
            if not part.is_empty
        ]
    return Panel(Picture.of([*items, *names]), (0.0, 0.0, (x1 - x0) * scale, (y1 - y0) * scale))


# -- what to do at the joins --------------------------------------------------------
def tile_items(tile: Tile, items: Sequence[Item], pages: Mapping[tuple[int, int], int]) -> list[Item]:
    """The tile's share of the drawing with its join lines and what to do at them.

    `pages` is the page number of each (column, row).  Of two neighbours the one to the right,
    or below, is cut on the join and laid on the other.
    """
    sketch = Sketch()
    sketch.draw(*tile.items(items))
    x0, y0, x1, y1 = tile.cell
    low, high = tile.window[1], tile.window[3]
    left, right = tile.window[0], tile.window[2]
    quarter = LAP / 4.0
    up, across = _from_middle(low, high), _from_middle(left, right)

    def page(columns: int, rows: int) -> int | None:
        return pages.get((tile.column + columns, tile.row + rows))

    joins = [  # the neighbour's page, the join, whether this page is cut there, where its text may stand, its turn
        (page(-1, 0), line((x0, low), (x0, high), "register"), True, [(x0 - quarter + 1.0, v) for v in up], 90.0),
        (page(1, 0), line((x1, low), (x1, high), "register"), False, [(x1 + quarter + 1.0, v) for v in up], 90.0),
        (page(0, -1), line((left, y1), (right, y1), "register"), True, [(u, y1 + quarter - 1.0) for u in across], 0.0),
        (page(0, 1), line((left, y0), (right, y0), "register"), False, [(u, y0 - quarter - 1.0) for u in across], 0.0),
    ]
    # All lines before any text, so that no line runs through one.
    sketch.draw(*(stroke for number, stroke, _, _, _ in joins if number is not None))
    for number, _, cut, places, turn in joins:
        if number is not None:
            _write_join(sketch, number, cut, places, turn, tile.window)
    return sketch.items


def _from_middle(low: float, high: float) -> list[float]:
    middle = (low + high) / 2.0
    return sorted((low + 2.0 * i for i in range(1, int((high - low) / 2.0))), key=lambda v: abs(v - middle))


def _write_join(sketch: Sketch, page: int, cut: bool, places: Sequence[Xy], turn: float, window: Box) -> None:
    if cut:
        texts = (f"cut along this line, lay it on the line of page {page}", f"cut, lay on page {page}", f"page {page}")
    else:
        texts = (f"lay the cut edge of page {page} on this line", f"page {page} to this line", f"page {page}")
    tries = ([Text(u, v, text, size, "middle", turn) for u, v in places] for text in texts for size in (3.2, 2.6))
    any(sketch.write_free(items, window) for items in tries)

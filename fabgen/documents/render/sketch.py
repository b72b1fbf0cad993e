"""A drawing in the making: its items, and where ink and text already lie on the paper.

Everything is in millimetres of paper.  The :class:`Board` is a bitmap of 0.5 mm cells, one
Python integer a row, with one layer for lines and one for texts; testing whether a text would
fall on something is a few `and`s, so that hundreds of places can be tried for each text.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

from fabgen.documents.render.pdf import text_width
from fabgen.documents.render.picture import Arc, Fill, Item, Picture, Stroke, Text
from fabgen.geometry.plane.outline import Box, Xy, box_of

CELL = 0.5
_PER_MM = 2.0
_SHIFT = 2048
"""Rows and columns are counted from so far below and left of the origin, so that they are never negative."""
ASCENT, DESCENT = 0.78, 0.24
"""How far the letters of the two faces reach above and below the base line, share of the size."""

_width = lru_cache(maxsize=4096)(text_width)


def text_box(text: Text) -> Box:
    """The upright box that holds one printed text, mm."""
    width = _width(text.text, text.size, text.bold)
    left = {"start": 0.0, "middle": -width / 2.0, "end": -width}[text.anchor]
    low, high = -DESCENT * text.size, ASCENT * text.size
    if not text.turn:
        return (text.x + left, text.y + low, text.x + (left + width), text.y + high)
    c, s = math.cos(math.radians(text.turn)), math.sin(math.radians(text.turn))
    x0, y0, x1, y1 = box_of((x * c - y * s, x * s + y * c) for x in (left, left + width) for y in (low, high))
    return (text.x + x0, text.y + y0, text.x + x1, text.y + y1)


def grown(box: Box, by: float) -> Box:
    return (box[0] - by, box[1] - by, box[2] + by, box[3] + by)


def within(box: Box, limit: Box) -> bool:
    return box[0] >= limit[0] and box[1] >= limit[1] and box[2] <= limit[2] and box[3] <= limit[3]


def _column(x: float) -> int:
    return int(x * _PER_MM + _SHIFT)


def _bits(a: int, b: int) -> int:
    """Those of the columns from a to b, in either order."""
    if a > b:
        a, b = b, a
    return ((1 << (b - a + 1)) - 1) << a if a > 0 else (1 << max(b, 0) + 1) - 1


def _mask(x0: float, x1: float) -> int:
    """The bits of the columns from x0 to x1, in either order."""
    return _bits(_column(x0), _column(x1))


def _runs(a: Xy, b: Xy) -> list[tuple[int, int]]:
    """The cells a straight line touches: (row, mask) pairs."""
    (x0, y0), (x1, y1) = (a, b) if a[1] <= b[1] else (b, a)
    first, last = int(y0 * _PER_MM + _SHIFT), int(y1 * _PER_MM + _SHIFT)
    here, end = _column(x0), _column(x1)
    if first == last:
        return [(first, _bits(here, end))]
    slope = (x1 - x0) / (y1 - y0)
    found = []
    for row in range(first, last):
        after = int((x0 + ((row + 1 - _SHIFT) * CELL - y0) * slope) * _PER_MM + _SHIFT)
        found.append((row, 1 << here if here == after and here > 0 else _bits(here, after)))
        here = after
    found.append((last, _bits(here, end)))
    return found


def _rows(box: Box) -> range:
    return range(int(box[1] * _PER_MM + _SHIFT), int(box[3] * _PER_MM + _SHIFT) + 1)


class Board:
    """Which half-millimetre cells hold lines, and which hold text."""

    def __init__(self) -> None:
        self._ink: dict[int, int] = {}
        self._text: dict[int, int] = {}

    def copy(self) -> Board:
        other = Board()
        other._ink, other._text = dict(self._ink), dict(self._text)
        return other

    def add_line(self, a: Xy, b: Xy) -> None:
        ink = self._ink
        for row, mask in _runs(a, b):
            ink[row] = ink.get(row, 0) | mask

    def add_chain(self, points: Sequence[Xy]) -> None:
        """The line from point to point; points within a cell of the last are passed over, but for the end."""
        a = points[0]
        for b in points[1:-1]:
            if abs(b[0] - a[0]) > CELL or abs(b[1] - a[1]) > CELL:
                self.add_line(a, b)
                a = b
        self.add_line(a, points[-1])

    def add_text(self, box: Box) -> None:
        mask = _mask(box[0], box[2])
        for row in _rows(box):
            self._text[row] = self._text.get(row, 0) | mask

    def ink_under(self, box: Box) -> int:
        """How many inked cells the box covers."""
        mask, ink = _mask(box[0], box[2]), self._ink
        return sum([(ink[row] & mask).bit_count() for row in _rows(box) if row in ink])

    def is_inked(self, box: Box) -> bool:
        """Whether the box covers any inked cell."""
        mask, ink = _mask(box[0], box[2]), self._ink
        return any(row in ink and ink[row] & mask for row in _rows(box))

    def text_under(self, box: Box) -> bool:
        mask, text = _mask(box[0], box[2]), self._text
        return any(row in text and text[row] & mask for row in _rows(box))

    def text_on_line(self, a: Xy, b: Xy) -> bool:
        text = self._text
        return any(row in text and text[row] & mask for row, mask in _runs(a, b))

    def ink_on_line(self, a: Xy, b: Xy) -> int:
        ink = self._ink
        return sum([(ink[row] & mask).bit_count() for row, mask in _runs(a, b) if row in ink])


@dataclass(frozen=True)
class Panel:
    """A finished piece of a sheet and the box that holds it, texts included, mm.

    It is put in many places before it stays in one: what is drawn is moved only when it is asked for.
    """

    drawn: Picture
    box: Box
    shift: Xy = (0.0, 0.0)

    @cached_property
    def picture(self) -> Picture:
        """Where the box is."""
        return self.drawn.moved(*self.shift) if any(self.shift) else self.drawn

    @property
    def width(self) -> float:
        return self.box[2] - self.box[0]

    @property
    def height(self) -> float:
        return self.box[3] - self.box[1]

    def moved(self, dx: float, dy: float) -> Panel:
        x0, y0, x1, y1 = self.box
        shift = (self.shift[0] + dx, self.shift[1] + dy)
        return Panel(self.drawn, (x0 + dx, y0 + dy, x1 + dx, y1 + dy), shift)

    def at(self, x: float, y: float) -> Panel:
        """Moved so that the lower left corner of its box lies at (x, y)."""
        return self.moved(x - self.box[0], y - self.box[1])


class Sketch:
    """Collects items and keeps the board and the bounds up to date."""

    def __init__(self) -> None:
        self.items: list[Item] = []
        self.board = Board()
        self._x0 = self._y0 = math.inf
        self._x1 = self._y1 = -math.inf

    def copy(self) -> Sketch:
        """Another with the same items, to try on what else fits."""
        other = Sketch()
        other.items, other.board = list(self.items), self.board.copy()
        other._x0, other._y0, other._x1, other._y1 = self.box
        return other

    def take(self, other: Sketch) -> None:
        """Become what was tried on a copy."""
        self.items, self.board = other.items, other.board
        self._x0, self._y0, self._x1, self._y1 = other.box

    @property
    def box(self) -> Box:
        return (self._x0, self._y0, self._x1, self._y1)

    def draw(self, *items: Item) -> None:
        """Add strokes, arcs and fills; a text given here goes through `write`."""
        for item in items:
            if isinstance(item, Text):
                self.write(item)
                continue
            self.items.append(item)
            points = arc_points(item) if isinstance(item, Arc) else item.points
            self._grow(points)
            if not isinstance(item, Fill):
                closed = isinstance(item, Stroke) and item.closed
                self.board.add_chain(points + points[:1] if closed else points)

    def write(self, text: Text) -> None:
        self.items.append(text)
        box = text_box(text)
        self._grow(((box[0], box[1]), (box[2], box[3])))
        self.board.add_text(grown(box, 0.3))

    def write_free(self, candidates: Iterable[Text], limit: Box | None = None, clearance: float = 0.3) -> bool:
        """Write the first of the texts that lies on nothing, with `clearance` mm round it, inside `limit`; False when
        none does."""
        for text in candidates:
            box = grown(text_box(text), clearance)
            if (limit is None or within(box, limit)) and self.free(box):
                self.write(text)
                return True
        return False

    def free(self, box: Box) -> bool:
        """True when neither a line nor a text lies under the box."""
        return not self.board.text_under(box) and not self.board.is_inked(box)

    def panel(self, margin: float = 0.0) -> Panel:
        if not self.items:
            return Panel(Picture(), (0.0, 0.0, 0.0, 0.0))
        return Panel(Picture.of(self.items), grown(self.box, margin))

    def _grow(self, points: tuple[Xy, ...]) -> None:
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        self._x0, self._x1 = min(self._x0, *xs), max(self._x1, *xs)
        self._y0, self._y1 = min(self._y0, *ys), max(self._y1, *ys)


def arc_points(arc: Arc) -> tuple[Xy, ...]:
    """The arc as a chain of points with chords within 0.1 mm of it."""
    sweep = math.radians(arc.end - arc.start)
    step = 2.0 * math.acos(max(0.0, 1.0 - 0.1 / arc.radius)) if arc.radius > 0.1 else 1.0
    count = max(4, math.ceil(abs(sweep) / step))
    first = math.radians(arc.start)
    angles = (first + sweep * i / count for i in range(count + 1))
    return tuple((arc.x + arc.radius * math.cos(a), arc.y + arc.radius * math.sin(a)) for a in angles)


def joined(panels: Sequence[Panel]) -> Panel:
    """Several panels as one."""
    picture = Picture(tuple(item for panel in panels for item in panel.picture.items))
    return Panel(picture, box_of(corner for panel in panels for corner in (panel.box[:2], panel.box[2:])))

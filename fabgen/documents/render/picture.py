"""A small drawing layer: a picture is a list of strokes, arcs, fills and texts in mm.

A picture is described once and rendered to PDF (`pdf.py`) or SVG (`svg.py`).  y points up.
Line kinds are those of ISO 128-2 by use; their widths and dashes live in `PENS`, so that a
line is known by its type and width and never by colour alone.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from fabgen.geometry.plane.outline import Circle, Loop, Xy, box_of

Pen = Literal["visible", "thin", "hidden", "centre", "bend", "bend down", "cut", "mark", "frame", "register", "trim"]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class PenStyle:
    """Line width and dash pattern, mm; grey from 0 (black) to 1."""

    width: float
    dash: tuple[float, ...] = ()
    grey: float = 0.0


PENS: dict[str, PenStyle] = {
    # ISO 128-2: continuous wide 01.2, continuous narrow 01.1, dashed narrow 02.1, long-dashed
    # dotted narrow 04.1, long-dashed double-dotted narrow 05.1; group 0.35 (wide 0.35, narrow 0.18).
    "visible": PenStyle(0.35),
    "cut": PenStyle(0.35),
    "thin": PenStyle(0.18),
    "hidden": PenStyle(0.18, (2.2, 0.6)),
    "centre": PenStyle(0.18, (5.0, 0.6, 0.3, 0.6)),
    "bend": PenStyle(0.18, (5.0, 0.6, 0.3, 0.6, 0.3, 0.6)),
    "bend down": PenStyle(0.18, (1.5, 1.0)),  # what folds away is told from what folds up by the line alone
    "mark": PenStyle(0.18),
    "frame": PenStyle(0.7),
    "register": PenStyle(0.25),
    "trim": PenStyle(0.5),  # where a paper template is cut out
}


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line through `points`, closed back to the first if `closed`."""

    points: tuple[Xy, ...]
    pen: Pen = "visible"
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Arc:
    """Counter-clockwise arc from `start` to `end` degrees; a full circle when they differ by 360."""

    x: float
    y: float
    radius: float
    start: float = 0.0
    end: float = 360.0
    pen: Pen = "visible"


@dataclass(frozen=True, slots=True)
class Fill:
    """A filled polygon, grey from 0 (black) to 1 (white), with no edge of its own."""

    points: tuple[Xy, ...]
    grey: float = 0.0


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text; `size` is the letter height (cap height is 0.72 of it), mm."""

    x: float
    y: float
    text: str
    size: float = 3.0
    anchor: Anchor = "start"
    turn: float = 0.0
    bold: bool = False


Item = Stroke | Arc | Fill | Text


@dataclass(frozen=True)
class Picture:
    """Items in drawing order.  All methods return a new picture."""

    items: tuple[Item, ...] = field(default=())

    @staticmethod
    def of(items: Iterable[Item]) -> Picture:
        return Picture(tuple(items))

    def __add__(self, other: Picture) -> Picture:
        return Picture(self.items + other.items)

    def moved(self, dx: float, dy: float) -> Picture:
        return Picture(tuple(_moved(item, dx, dy) for item in self.items))

    def scaled(self, factor: float) -> Picture:
        """Geometry scaled about the origin; texts keep their size and pens their width."""
        return Picture(tuple(_scaled(item, factor) for item in self.items))

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """(xmin, ymin, xmax, ymax) of strokes, arcs and fills (full circle of each arc); texts are left out."""
        points: list[Xy] = []
        for item in self.items:
            if isinstance(item, Arc):
                points += [(item.x + way * item.radius, item.y + way * item.radius) for way in (-1.0, 1.0)]
            elif not isinstance(item, Text):
                points += item.points
        return box_of(points) if points else (0.0, 0.0, 0.0, 0.0)


def line(a: Xy, b: Xy, pen: Pen = "visible") -> Stroke:
    return Stroke((a, b), pen)


def polyline(points: Sequence[Xy], pen: Pen = "visible", closed: bool = False) -> Stroke:
    return Stroke(tuple((float(x), float(y)) for x, y in points), pen, closed)


def rectangle(x: float, y: float, width: float, height: float, pen: Pen = "visible") -> Stroke:
    return Stroke(((x, y), (x + width, y), (x + width, y + height), (x, y + height)), pen, True)


def cross(at: Xy, across: float, up: float, pen: Pen = "thin") -> tuple[Stroke, Stroke]:
    """A level and an upright line through a point, reaching so far from it each way."""
    x, y = at
    return line((x - across, y), (x + across, y), pen), line((x, y - up), (x, y + up), pen)


def _moved(item: Item, dx: float, dy: float) -> Item:
    # Written out: pictures are moved often, and `replace` takes three times as long.
    if isinstance(item, Stroke):
        return Stroke(tuple((x + dx, y + dy) for x, y in item.points), item.pen, item.closed)
    if isinstance(item, Fill):
        return Fill(tuple((x + dx, y + dy) for x, y in item.points), item.grey)
    if isinstance(item, Arc):
        return Arc(item.x + dx, item.y + dy, item.radius, item.start, item.end, item.pen)
    return Text(item.x + dx, item.y + dy, item.text, item.size, item.anchor, item.turn, item.bold)


def _scaled(item: Item, factor: float) -> Item:
    if isinstance(item, Stroke | Fill):
        return replace(item, points=tuple((x * factor, y * factor) for x, y in item.points))
    if isinstance(item, Arc):
        return replace(item, x=item.x * factor, y=item.y * factor, radius=item.radius * factor)
    return replace(item, x=item.x * factor, y=item.y * factor)


def edge_item(start: Xy, end: Xy, bulge: float, pen: Pen = "visible") -> Item:
    """A picture item for one outline edge (see geometry.outline for the bulge)."""
    if bulge == 0.0:
        return line(start, end, pen)
    chord = math.dist(start, end)
    radius = chord * (1.0 + bulge * bulge) / (4.0 * abs(bulge))
    apothem = (1.0 - bulge * bulge) / (4.0 * bulge)
    cx = (start[0] + end[0]) / 2.0 - (end[1] - start[1]) * apothem
    cy = (start[1] + end[1]) / 2.0 + (end[0] - start[0]) * apothem
    first, last = (start, end) if bulge > 0 else (end, start)
    a0 = math.degrees(math.atan2(first[1] - cy, first[0] - cx))
    a1 = math.degrees(math.atan2(last[1] - cy, last[0] - cx))
    return Arc(cx, cy, radius, a0, a1 if a1 > a0 else a1 + 360.0, pen)


def loop_items(loop: Loop, pen: Pen = "visible", scale: float = 1.0) -> Iterator[Item]:
    """An outline or circle at that scale as picture items, arcs kept as arcs."""
    if isinstance(loop, Circle):
        yield Arc(loop.x * scale, loop.y * scale, loop.diameter * scale / 2.0, pen=pen)
        return
    for edge in loop.edges():
        (xa, ya), (xb, yb) = edge.start, edge.end
        yield edge_item((xa * scale, ya * scale), (xb * scale, yb * scale), edge.bulge, pen)

"""The drawing sheet: frame and marks by ISO 5457, title block with the data fields of ISO 7200.

Frame: 20 mm from the left edge for filing, 10 mm from the others (ISO 5457:1999, 4.1).  The
title block is 180 mm wide and stands in the lower right corner (ISO 7200:2004, 4); the
projection symbol is that of ISO 5456-2.  Clauses and sizes are quoted from memory.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from fabgen.documents.render.lettering import CAPITAL, HEADING, TEXT
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import text_width, wrapped
from fabgen.documents.render.picture import Arc, Item, Picture, Text, cross, line, polyline, rectangle
from fabgen.geometry.plane.outline import Box, Xy
from fabgen.job.tables.definitions import Header

LEFT, OTHER = 20.0, 10.0
TITLE_WIDTH, ROW = 180.0, 8.5
TITLE_HEIGHT = 4.0 * ROW
_NAME_ROOM, _LEADING = 4.0, 1.2
"""What a field's name takes of its height, mm, and how far its lines are apart, share of their size."""
Projection = Literal["first", "third"]


@dataclass(frozen=True)
class TitleFields:
    """What the title block says of one sheet; texts ready to print."""

    title: str
    number: str
    document: str
    material: str = "-"
    stock: str = "-"
    finish: str = "-"
    mass: str = "-"
    quantity: str = "-"
    scale: str = "-"
    sheet: str = ""
    tolerance: str = ""
    """General tolerances, where they are not the job's."""
    projection: Projection = "first"
    height: float = TITLE_HEIGHT
    """Of the whole block, mm: rows grow where a value wraps."""


def frame_box(paper: Paper) -> Box:
    """The drawing frame of the sheet as it is turned, mm."""
    return (LEFT, OTHER, paper.width - OTHER, paper.height - OTHER)


def title_box(paper: Paper, height: float = TITLE_HEIGHT) -> Box:
    x0, y0, x1, _ = frame_box(paper)
    return (max(x0, x1 - TITLE_WIDTH), y0, x1, y0 + height)


def sheet_frame(paper: Paper, header: Header, fields: TitleFields) -> Picture:
    """Frame, centring marks, zones on A3 and larger, and the title block."""
    x0, y0, x1, y1 = frame_box(paper)
    items: list[Item] = [rectangle(x0, y0, x1 - x0, y1 - y0, "frame")]
    items += _centring_marks(paper)
    if min(paper.width, paper.height) > 260.0:
        items += _zones(paper)
    items.append(Text(x1, y0 - 3.2, paper.name, TEXT, "end"))
    x0, y0, x1, _ = title_box(paper)
    return Picture.of(items) + _title_block((x0, x1), y0, header, fields)


def _centring_marks(paper: Paper) -> Iterator[Item]:
    """From the frame 5 mm into the drawing, and out as far as a printer reaches."""
    x0, y0, x1, y1 = frame_box(paper)
    px0, py0, px1, py1 = paper.printable
    mx, my = paper.width / 2.0, paper.height / 2.0
    yield line((mx, py1), (mx, y1 - 5.0), "frame")
    yield line((px1, my), (x1 - 5.0, my), "frame")
    yield line((px0, my), (x0 + 5.0, my), "frame")
    yield line((mx, py0), (mx, y0), "frame")


def _zones(paper: Paper) -> Iterator[Item]:
    """Fields of 50 mm from the centring marks: letters down the sides, figures along (ISO 5457, 4.4)."""
    x0, y0, x1, y1 = frame_box(paper)
    for across in (True, False):
        low, high, middle = (x0, x1, paper.width / 2.0) if across else (y0, y1, paper.height / 2.0)
        count = 2 * math.ceil((paper.width if across else paper.height) / 100.0)
        limits = [middle + 50.0 * (i - count / 2) for i in range(count + 1)]
        limits = [low, *(t for t in limits if low + 15.0 < t < high - 15.0), high]
        for i, (a, b) in enumerate(pairwise(limits)):
            name = str(i + 1) if across else "ABCDEFGHJKLMNP"[len(limits) - 2 - i]
            at = (a + b) / 2.0
            for edge, way in ((y1, 1.0), (y0, -1.0)) if across else ((x1, 1.0), (x0, -1.0)):
                on = edge + way * 2.0
                if across:
                    if not (way < 0 and b > x1 - 5.0):
                        yield Text(at, on - 1.25, name, TEXT, "middle")
                    if i:
                        yield line((a, edge), (a, edge + way * 4.0), "thin")
                else:
                    yield Text(on, at - 1.25, name, TEXT, "middle")
                    if i:
                        yield line((edge, a), (edge + way * 4.0, a), "thin")


@dataclass(frozen=True)
class _Cell:
    """A field of the title block: how wide it is, mm, its name, and its value in lines, each with its size and
    whether it is bold."""

    width: float
    name: str
    rows: tuple[tuple[str, float, bool], ...]

    @property
    def height(self) -> float:
        return _NAME_ROOM + sum(size * _LEADING for _, size, _ in self.rows) + 0.3

    def items(self, x: float, top: float, height: float) -> Iterator[Item]:
        """Its name at the top left, its value below in the middle of what is left."""
        yield Text(x + 0.8, top - 0.9 - TEXT * CAPITAL, self.name, TEXT)
        spare = max(0.0, height - self.height) / 2.0
        y = top - _NAME_ROOM - spare
        for text, size, bold in self.rows:
            yield Text(x + 1.2, y - size * CAPITAL - 0.6, text, size, bold=bold)
            y -= size * _LEADING


def _cell(width: float, name: str, value: str, size: float = TEXT, bold: bool = False) -> _Cell:
    """A value in the given size where it fits on one line so, else wrapped in the least."""
    room = width - 2.4
    if text_width(value, size, bold) > room:
        size = TEXT
    return _Cell(width, name, tuple((row, size, bold) for row in wrapped(value, room, size, bold)))


@dataclass(frozen=True)
class _TitleBlock:
    """The fields of a title block, and how high each of its rows is."""

    made_of: list[_Cell]
    drawn_as: list[_Cell]
    owner: _Cell
    title: _Cell
    number: _Cell
    issue: list[_Cell]

    @staticmethod
    def of(header: Header, fields: TitleFields, share: float) -> _TitleBlock:
        """Narrower paper than A4 squeezes the block by `share`; its columns keep their shares."""

        def row(*cells: tuple[float, str, str]) -> list[_Cell]:
            return [_cell(width * share, name, value) for width, name, value in cells]

        made_of = row(
            (38.0, "Material", fields.material),
            (38.0, "Stock", fields.stock),
            (36.0, "Finish", fields.finish),
            (22.0, "Mass each", fields.mass),
            (18.0, "Quantity", fields.quantity),
            (28.0, f"{fields.projection} angle", ""),
        )
        drawn_as = row(
            (38.0, "General tolerances", fields.tolerance or header.tolerance),
            (20.0, "Scale", fields.scale),
            (18.0, "Units", header.units),
            (36.0, "Document type", fields.document),
            (34.0, "Created by", header.drawn_by),
            (34.0, "Approved by", header.checked_by),
        )
        title = _cell(80.0 * share, "Title", fields.title, HEADING, True)
        job = _cell(80.0 * share, "", header.title)
        issued = header.date.isoformat() if header.date else ""
        return _TitleBlock(
            made_of,
            drawn_as,
            _cell(46.0 * share, "Legal owner", header.owner),
            replace(title, rows=title.rows + job.rows),
            _cell(54.0 * share, "Identification number", fields.number, HEADING, True),
            row((11.0, "Rev.", header.revision), (25.0, "Date of issue", issued), (18.0, "Sheet", fields.sheet)),
        )

    @property
    def heights(self) -> tuple[float, float, float, float]:
        """Of its rows from the top: what it is made of, how drawn, the number, the issue."""
        made, drawn = (max([ROW, *(cell.height for cell in row)]) for row in (self.made_of, self.drawn_as))
        number, issue = max(ROW, self.number.height), max([ROW, *(cell.height for cell in self.issue)])
        number = max(number, self.title.height - issue, self.owner.height - issue)
        return made, drawn, number, issue


def title_height(header: Header, fields: TitleFields) -> float:
    """How high the title block is with what it has to say, mm."""
    return sum(_TitleBlock.of(header, fields, 1.0).heights)


def _title_block(across: Xy, y0: float, header: Header, fields: TitleFields) -> Picture:
    x0, x1 = across
    share = (x1 - x0) / TITLE_WIDTH
    block = _TitleBlock.of(header, fields, share)
    made, drawn, number, issue = block.heights
    whole = made + drawn + number + issue
    items: list[Item] = [rectangle(x0, y0, x1 - x0, whole, "visible")]
    for top, height, cells in ((y0 + whole, made, block.made_of), (y0 + whole - made, drawn, block.drawn_as)):
        items.append(line((x0, top - height), (x1, top - height), "thin"))
        items += _row((x0, x1), top, height, cells)
    items += _projection_symbol(x1 - 14.0 * share, y0 + whole - made + 2.4, fields.projection)
    a, b, low = x0 + 46.0 * share, x1 - 54.0 * share, number + issue
    items += [line((t, y0), (t, y0 + low), "thin") for t in (a, b)]
    items += block.owner.items(x0, y0 + low, low)
    items += block.title.items(a, y0 + low, low)
    items.append(line((b, y0 + issue), (x1, y0 + issue), "thin"))
    items += block.number.items(b, y0 + low, number)
    items += _row((b, x1), y0 + issue, issue, block.issue)
    return Picture.of(items)


def _row(across: Xy, top: float, height: float, cells: Sequence[_Cell]) -> Iterator[Item]:
    """Fields side by side, parted by lines."""
    x = across[0]
    for cell in cells:
        yield from cell.items(x, top, height)
        x += cell.width
        if x < across[1] - 1.0:
            yield line((x, top - height), (x, top), "thin")


def _projection_symbol(x: float, y: float, projection: Projection) -> Iterator[Item]:
    """A frustum and its end view about (x, y), 3.4 mm high (ISO 5456-2, figure for the chosen method)."""
    big, small, long, gap = 1.7, 0.85, 3.6, 3.0
    cone, end = (x - gap - long / 2.0 + 0.5, x + gap) if projection == "first" else (x + gap - long / 2.0, x - gap)
    yield polyline(
        [(cone, y - small), (cone + long, y - big), (cone + long, y + big), (cone, y + small)], "visible", True
    )
    yield Arc(end, y, big)
    yield Arc(end, y, small)
    yield line((cone - 1.0, y), (cone + long + 1.0, y), "centre")
    yield from cross((end, y), big + 0.4, big + 0.4)

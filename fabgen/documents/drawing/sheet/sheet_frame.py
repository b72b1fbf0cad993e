"""The drawing sheet: frame and marks by ISO 5457, title block with the data fields of ISO 7200.

Frame: 20 mm from the left edge for filing, 10 mm from the others (ISO 5457:1999, 4.1).  The
title block is 180 mm wide and stands in the lower right corner (ISO 7200:2004, 4); the
projection symbol is that of ISO 5456-2.  Clauses and sizes are quoted from memory.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import fitted
from fabgen.documents.render.picture import Arc, Item, Picture, Text, cross, line, polyline, rectangle
from fabgen.geometry.plane.outline import Box, Xy
from fabgen.job.tables.definitions import Header

LEFT, OTHER = 20.0, 10.0
TITLE_WIDTH, ROW = 180.0, 8.5
TITLE_HEIGHT = 4.0 * ROW
_LABEL = 1.8
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


def frame_box(paper: Paper) -> Box:
    """The drawing frame of the sheet as it is turned, mm."""
    return (LEFT, OTHER, paper.width - OTHER, paper.height - OTHER)


def title_box(paper: Paper) -> Box:
    x0, y0, x1, _ = frame_box(paper)
    return (max(x0, x1 - TITLE_WIDTH), y0, x1, y0 + TITLE_HEIGHT)


def sheet_frame(paper: Paper, header: Header, fields: TitleFields) -> Picture:
    """Frame, centring marks, zones on A3 and larger, and the title block."""
    x0, y0, x1, y1 = frame_box(paper)
    items: list[Item] = [rectangle(x0, y0, x1 - x0, y1 - y0, "frame")]
    items += _centring_marks(paper)
    if min(paper.width, paper.height) > 260.0:
        items += _zones(paper)
    items.append(Text(x1, y0 - 3.6, paper.name, 2.5, "end"))
    return Picture.of(items) + _title_block(title_box(paper), header, fields)


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
                        yield Text(at, on - 0.9, name, 2.5, "middle")
                    if i:
                        yield line((a, edge), (a, edge + way * 4.0), "thin")
                else:
                    yield Text(on, at - 0.9, name, 2.5, "middle")
                    if i:
                        yield line((edge, a), (edge + way * 4.0, a), "thin")


def _title_block(box: Box, header: Header, fields: TitleFields) -> Picture:
    x0, y0, x1, _ = box
    # Narrower paper than A4 (a Letter sheet upright) squeezes the block; its columns keep their shares.
    share = (x1 - x0) / TITLE_WIDTH
    issued = header.date.isoformat() if header.date else ""
    made_of = (
        (38.0, "Material", fields.material),
        (38.0, "Stock", fields.stock),
        (36.0, "Finish", fields.finish),
        (22.0, "Mass each", fields.mass),
        (18.0, "Quantity", fields.quantity),
        (28.0, f"Projection: {fields.projection} angle", ""),
    )
    drawn_as = (
        (38.0, "General tolerances", fields.tolerance or header.tolerance),
        (20.0, "Scale", fields.scale),
        (18.0, "Units", header.units),
        (36.0, "Document type", fields.document),
        (34.0, "Created by", header.drawn_by),
        (34.0, "Approved by", header.checked_by),
    )
    items: list[Item] = [rectangle(x0, y0, x1 - x0, TITLE_HEIGHT, "visible")]
    for level, cells in ((3.0, made_of), (2.0, drawn_as)):
        y = y0 + level * ROW
        items.append(line((x0, y), (x1, y), "thin"))
        items += _cells((x0, x1), y, share, cells)
    items += _projection_symbol(x1 - 14.0 * share, y0 + 3.0 * ROW + 2.9, fields.projection)
    a, b = x0 + 46.0 * share, x1 - 54.0 * share
    items += [line((t, y0), (t, y0 + 2.0 * ROW), "thin") for t in (a, b)]
    items += _cell((x0, y0, a, y0 + 2.0 * ROW), "Legal owner", header.owner)
    items += _cell((a, y0, b, y0 + 2.0 * ROW), "Title", fields.title, 4.2, True, 1.2)
    text, size = fitted(header.title, b - a - 2.4, 2.8)
    items.append(Text(a + 1.2, y0 + 2.6, text, size))
    items.append(line((b, y0 + ROW), (x1, y0 + ROW), "thin"))
    items += _cell((b, y0 + ROW, x1, y0 + 2.0 * ROW), "Identification number", fields.number, 4.0, True)
    issue = ((11.0, "Rev.", header.revision), (25.0, "Date of issue", issued), (18.0, "Sheet", fields.sheet))
    items += _cells((b, x1), y0, share, issue)
    return Picture.of(items)


def _cells(across: Xy, y: float, share: float, cells: Sequence[tuple[float, str, str]]) -> Iterator[Item]:
    """Fields side by side, parted by lines: the width of each before it is multiplied by `share`, name and value."""
    x = across[0]
    for width, label, value in cells:
        yield from _cell((x, y, x + width * share, y + ROW), label, value)
        x += width * share
        if x < across[1] - 1.0:
            yield line((x, y), (x, y + ROW), "thin")


def _cell(box: Box, label: str, value: str, size: float = 3.0, bold: bool = False, lift: float = 0.0) -> Iterator[Item]:
    """A field of the title block: its name small at the top left, its value below."""
    x, y, x1, y1 = box
    name, name_size = fitted(label, x1 - x - 1.6, _LABEL, least=1.4)
    yield Text(x + 0.8, y1 - 2.2, name, name_size)
    if value:
        text, letter = fitted(value, x1 - x - 2.4, size, bold)
        yield Text(x + 1.2, y + (y1 - y - 2.6 - letter * 0.72) / 2.0 + lift, text, letter, bold=bold)


def _projection_symbol(x: float, y: float, projection: Projection) -> Iterator[Item]:
    """A frustum and its end view about (x, y), 4.4 mm high (ISO 5456-2, figure for the chosen method)."""
    big, small, long, gap = 2.2, 1.1, 4.4, 3.4
    cone, end = (x - gap - long / 2.0 + 0.5, x + gap) if projection == "first" else (x + gap - long / 2.0, x - gap)
    yield polyline(
        [(cone, y - small), (cone + long, y - big), (cone + long, y + big), (cone, y + small)], "visible", True
    )
    yield Arc(end, y, big)
    yield Arc(end, y, small)
    yield line((cone - 1.0, y), (cone + long + 1.0, y), "centre")
    yield from cross((end, y), big + 0.8, big + 0.6)

"""One page with every flat of an order drawn to one scale, so that a cutting service sees at a glance what it gets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fabgen.documents.dxf.flat_dxf import bend_lines
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import Page, fitted, text_width
from fabgen.documents.render.picture import Item, Picture, Text, line, loop_items, polyline
from fabgen.documents.render.words import figure, flat_size
from fabgen.parts.piece import FlatPart, Piece

MARGIN = 12.0
_HEAD = 17.0
"""Room for the heading, mm."""
_GAP = 5.0
_CAPTION = 8.2
"""Room for a part's two lines of caption, mm."""
_SCALES = (1.0, 1 / 2, 1 / 2.5, 1 / 4, 1 / 5, 1 / 8, 1 / 10, 1 / 15, 1 / 20, 1 / 25, 1 / 30, 1 / 40, 1 / 50)
"""Scales that are tried; more of them than a drawing takes, so that the page is well filled."""
_SMALLEST = (1 / 75, 1 / 100, 1 / 150, 1 / 200, 1 / 500)


@dataclass(frozen=True)
class _Cell:
    """One part as it is drawn: its piece, its size in words and the size it takes, mm of paper."""

    piece: Piece
    part: FlatPart
    size: str
    width: float
    height: float


def overview_pages(pieces: Sequence[Piece], heading: str, paper: Paper, units: str = "mm") -> list[Page]:
    """The flats of `pieces` under a heading, on one page as large as they go; on more only where they are so many
    that their captions alone fill it."""
    flats = [(piece, piece.shape) for piece in pieces if isinstance(piece.shape, FlatPart)]
    sheets = (paper.landscape, paper.upright)
    for scale in (*_SCALES, *_SMALLEST):
        cells = [_cell(piece, part, scale, units) for piece, part in flats]
        for sheet in sheets:
            pages = _placed(cells, sheet)
            if len(pages) == 1:
                return _drawn(pages, heading, sheet, scale)
    smallest = [_cell(piece, part, _SMALLEST[0], units) for piece, part in flats]
    return _drawn(_placed(smallest, sheets[1]), heading, sheets[1], _SMALLEST[0])


def _cell(piece: Piece, part: FlatPart, scale: float, units: str) -> _Cell:
    x0, y0, x1, y1 = part.outline.bounds
    captions = max(text_width(_name(piece), 3.2, True), text_width(size := _size(part, units), 2.4))
    return _Cell(piece, part, size, max((x1 - x0) * scale, captions), (y1 - y0) * scale + _CAPTION)


def _name(piece: Piece) -> str:
    return f"{piece.mark}   qty {piece.quantity}"


def _size(part: FlatPart, units: str) -> str:
    return flat_size(part, units) + (", bends" if part.bends else ", rolled" if part.rolled else "")


_Placed = tuple[_Cell, float, float]


def _placed(cells: Sequence[_Cell], paper: Paper) -> list[list[_Placed]]:
    """The cells in rows from the upper left, the tallest first; lower left corners, page by page.

    More pages than one also where a cell is larger than the page.
    """
    room = (paper.width - 2.0 * MARGIN, paper.height - 2.0 * MARGIN - _HEAD)
    ordered = sorted(cells, key=lambda cell: -round(cell.height, 3))
    pages: list[list[_Placed]] = [[]]
    x, y, row = 0.0, 0.0, 0.0
    for cell in ordered:
        if x > 0.0 and x + cell.width > room[0]:
            x, y, row = 0.0, y + row + _GAP, 0.0
        if y + cell.height > room[1] or cell.width > room[0]:
            pages.append([])
            x, y, row = 0.0, 0.0, 0.0
        pages[-1].append((cell, MARGIN + x, paper.height - MARGIN - _HEAD - y - cell.height))
        x, row = x + cell.width + _GAP, max(row, cell.height)
    return pages


def _drawn(pages: Sequence[Sequence[_Placed]], heading: str, paper: Paper, scale: float) -> list[Page]:
    filled = [page for page in pages if page]
    made = []
    for number, page in enumerate(filled, 1):
        picture = Picture.of(_heading(heading, paper, scale, number, len(filled)))
        for cell, x, y in page:
            picture = picture + _drawing(cell, scale, x, y)
        made.append(Page(paper.width, paper.height, picture))
    return made


def _heading(heading: str, paper: Paper, scale: float, number: int, count: int) -> list[Item]:
    left, right, top = MARGIN, paper.width - MARGIN, paper.height - MARGIN
    ratio = f"{figure(scale)}:1" if scale >= 1.0 else f"1:{figure(1.0 / scale)}"
    note = (
        f"all to the scale {ratio}; the DXF files are in mm at full size: cut what is on the layers CUT and HOLE, etch "
    )
    note += "MARK, do not cut BEND"
    note += f"; page {number} of {count}" if count > 1 else ""
    title, size = fitted(heading, right - left, 5.0, True)
    small, small_size = fitted(note, right - left, 3.2)
    return [
        Text(left, top - 5.0, title, size, bold=True),
        Text(left, top - 10.0, small, small_size),
        line((left, top - 12.2), (right, top - 12.2), "thin"),
    ]


def _drawing(cell: _Cell, scale: float, x: float, y: float) -> Picture:
    part = cell.part
    x0, y0, x1, _ = part.outline.bounds
    items: list[Item] = [*loop_items(part.outline)]
    for hole in part.holes:
        items += loop_items(hole.shape, "thin")
    items += [polyline(bend, "bend") for bend in bend_lines(part, up=True)]
    items += [polyline(bend, "bend down") for bend in bend_lines(part, up=False)]
    aside = (cell.width - (x1 - x0) * scale) / 2.0
    shape = Picture.of(items).moved(-x0, -y0).scaled(scale).moved(x + aside, y + _CAPTION)
    middle = x + cell.width / 2.0
    return shape + Picture.of(
        [
            Text(middle, y + 4.2, _name(cell.piece), 3.2, "middle", bold=True),
            Text(middle, y + 0.8, cell.size, 2.4, "middle"),
        ]
    )

"""labels.pdf: one label a piece, with its mark, what it is cut from, and a code that opens it on the page.

The code is a QR code (ISO/IEC 18004), error correction M.  It holds the address of the part on
the page; where no address was given, the part's own link within page.html, which the page's
search takes as it is scanned.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from reportlab.graphics.barcode.qrencoder import QRCode, QRErrorCorrectLevel

from fabgen.documents.lists.label_stock import LabelStock
from fabgen.documents.page.part_sheet import anchor
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import Page, fitted
from fabgen.documents.render.picture import Fill, Item, Picture, Text
from fabgen.documents.render.sketch import ASCENT, DESCENT
from fabgen.documents.render.words import size_text, stock_text
from fabgen.geometry.plane.outline import Box
from fabgen.job.tables.definitions import Header
from fabgen.parts.piece import Piece
from fabgen.wording.input_error import InputError

PAD = 2.5
"""Bare edge of a label, mm: sheets feed a little askew."""
QUIET = 4
"""Bare modules round the code: ISO/IEC 18004:2015, 6.3.8 (clause from memory)."""
LARGEST_CODE, CODE_SHARE = 26.0, 0.42
MARK_SIZE, TEXT_SIZE, LEAST_TEXT = 8.0, 3.0, 2.0
_LEADING = 1.25


@dataclass(frozen=True, slots=True)
class LabelOptions:
    """The label stock, the sheet's first free label (1 = the first), and where the page will be found."""

    stock: LabelStock
    first: int = 1
    address: str = ""


def label_pages(pieces: Sequence[Piece], header: Header, paper: Paper, options: LabelOptions) -> list[Page]:
    """Labels in the order of the marks, as many of each as are made.  Raises InputError where they do not fit."""
    boxes = options.stock.boxes(paper)
    if not 1 <= options.first <= len(boxes):
        raise InputError(f"there is no label {options.first}", f"1 to {len(boxes)}")
    sheets: list[list[Item]] = []
    place = options.first - 1
    for piece in pieces:
        for number in range(1, piece.quantity + 1):
            if place == 0 or not sheets:
                sheets.append([])
            sheets[-1] += _label(piece, number, header, options.address, _printable(boxes[place], paper))
            place = (place + 1) % len(boxes)
    return [Page(paper.width, paper.height, Picture.of(items)) for items in sheets]


def _printable(box: Box, paper: Paper) -> Box:
    """The part of a label that a printer reaches, its own edge left bare."""
    x0, y0, x1, y1 = paper.printable
    return (max(box[0] + PAD, x0), max(box[1] + PAD, y0), min(box[2] - PAD, x1), min(box[3] - PAD, y1))


def link(mark: str, address: str) -> str:
    """The text of the code."""
    return f"{address.rstrip('#') or 'page.html'}#{anchor(mark)}"


def _label(piece: Piece, number: int, header: Header, address: str, box: Box) -> Iterator[Item]:
    x0, y0, x1, y1 = box
    side = min(y1 - y0, CODE_SHARE * (x1 - x0), LARGEST_CODE)
    yield from code(link(piece.mark, address), (x1 - side, (y0 + y1 - side) / 2.0), side)
    width = x1 - side - x0 - 1.0
    count = f"   {number} of {piece.quantity}" if piece.quantity > 1 else ""
    lines = [
        stock_text(piece, header.units),
        _size(piece, header.units),
        piece.title,
        f"{header.number} rev. {header.revision}{count}",
    ]
    mark, mark_size = fitted(piece.mark, width, min(MARK_SIZE, (y1 - y0) * 0.32), True)
    y = y1 - ASCENT * mark_size
    yield Text(x0, y, mark, mark_size, bold=True)
    room = y - DESCENT * mark_size - y0
    texts = [text for text in lines if text]
    size = min(TEXT_SIZE, max(LEAST_TEXT, room / (_LEADING * len(texts))))
    # The job's number stands last and stays; a small label goes without the title.
    if _LEADING * size * len(texts) > room + 0.01 and piece.title:
        texts.remove(piece.title)
    for text in texts[: int((room + 0.01) / (_LEADING * size))]:
        y -= _LEADING * size + (DESCENT * (mark_size - size) if text is texts[0] else 0.0)
        written, own = fitted(text, width, size)
        yield Text(x0, max(y, y0 + DESCENT * own), written, own)


def _size(piece: Piece, units: str) -> str:
    """Saw length or flat, with its unit."""
    return size_text(piece, units) + ("" if units == "in" else " mm")


def code(text: str, at: tuple[float, float], side: float) -> Iterator[Item]:
    """The QR code of a text, `side` mm wide with its bare edge, lower left corner at `at`."""
    rows = _modules(text)
    cell = side / (len(rows) + 2 * QUIET)
    for r, row in enumerate(rows):
        y = at[1] + side - (QUIET + r + 1) * cell
        start = None
        for c, dark in enumerate((*row, False)):
            if dark and start is None:
                start = c
            elif not dark and start is not None:
                # A run of dark modules is one strip: no hairs between them, and a smaller file.
                left, right = (at[0] + (QUIET + n) * cell for n in (start, c))
                yield Fill(((left, y), (right, y), (right, y + cell), (left, y + cell)))
                start = None


@lru_cache(maxsize=4096)
def _modules(text: str) -> tuple[tuple[bool, ...], ...]:
    made = QRCode(None, QRErrorCorrectLevel.M)
    made.addData(text)
    made.make()
    count = made.getModuleCount()
    return tuple(tuple(bool(made.isDark(r, c)) for c in range(count)) for r in range(count))

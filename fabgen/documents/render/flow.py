"""Flowing pages: tables, paragraphs and pictures that wrap from page to page, with page k of n."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, Literal

from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    Frame,
    KeepTogether,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
    TableStyle,
)

from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import BOLD, REGULAR, draw, fitted, text_width, use_fonts
from fabgen.documents.render.picture import Picture
from fabgen.job.tables.definitions import Header

MARGIN = 15.0
BODY = ParagraphStyle("body", fontName=REGULAR, fontSize=9, leading=11.5)
SMALL = ParagraphStyle("small", parent=BODY, fontSize=8, leading=10)
CELL = ParagraphStyle("cell", parent=BODY, fontSize=8.5, leading=10.5)
RIGHT = 2
"""The library's number for flush right."""
PADDING = (2.0, 4.0)
"""Room left and right of a cell's text, points."""
CELL_RIGHT = ParagraphStyle("right", parent=CELL, alignment=RIGHT)
CELL_BOLD = ParagraphStyle("bold", parent=CELL, fontName=BOLD)
HEAD = ParagraphStyle("head", parent=CELL, fontName=BOLD, fontSize=8, leading=9.5)
HEAD_RIGHT = ParagraphStyle("head-right", parent=HEAD, alignment=RIGHT)
TITLE = ParagraphStyle("title", fontName=BOLD, fontSize=17, leading=21)
SECTION = ParagraphStyle("section", fontName=BOLD, fontSize=12, leading=15, spaceBefore=9, spaceAfter=4)


def flowing_pdf(story: Sequence[Flowable], paper: Paper, header: Header, name: str) -> bytes:
    """Blocks that flow from page to page as a PDF.

    Args:
        header: its number and title are printed below each page, its owner is the author.
        name: of the document, e.g. 'cut list', printed below each page with page k of n.
    """
    use_fonts()
    buffer = io.BytesIO()
    document = BaseDocTemplate(
        buffer,
        pagesize=(paper.width * mm, paper.height * mm),
        title=f"{header.number} {name}",
        author=header.owner,
        creator="fabgen",
        invariant=1,
    )
    room = (paper.width - 2 * MARGIN, paper.height - 2 * MARGIN - 3)
    frame = Frame(MARGIN * mm, (MARGIN + 1) * mm, room[0] * mm, room[1] * mm, 0, 0, 0, 0)
    document.addPageTemplates([PageTemplate(frames=[frame])])
    document.build(
        list(story), canvasmaker=partial(_FootedCanvas, paper=paper, foot=(f"{header.number}   {header.title}", name))
    )
    return buffer.getvalue()


class _FootedCanvas(Canvas):  # type: ignore[misc]
    """A canvas that holds its pages back until their number is known, then writes the feet."""

    def __init__(self, *arguments: Any, paper: Paper, foot: tuple[str, str], **options: Any) -> None:
        super().__init__(*arguments, **options)
        self._paper, self._foot = paper, foot
        self._pages: list[dict[str, Any]] = []

    def showPage(self) -> None:  # noqa: N802 (the library's name)
        self._pages.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        pages = self._pages
        for number, page in enumerate(pages, 1):
            self.__dict__.update(page)
            self._draw_foot(number, len(pages))
            super().showPage()
        super().save()

    def _draw_foot(self, number: int, count: int) -> None:
        left, size = fitted(self._foot[0], self._paper.width - 2 * MARGIN - 50.0, 2.8)
        self.setFillGray(0.0)
        self.setFont(REGULAR, size * mm)
        self.drawString(MARGIN * mm, 8.5 * mm, left)
        self.setFont(REGULAR, 2.8 * mm)
        right = f"{self._foot[1]}   page {number} of {count}"
        self.drawRightString((self._paper.width - MARGIN) * mm, 8.5 * mm, right)


class PictureBlock(Flowable):  # type: ignore[misc]
    """A picture in the flow of a page."""

    def __init__(self, picture: Picture, width: float, height: float) -> None:
        super().__init__()
        self.picture, self.width, self.height = picture, width * mm, height * mm

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        draw(self.canv, self.picture)


def cell(text: str, style: ParagraphStyle = CELL) -> Paragraph:
    """A wrapping table cell; the text is taken as it is."""
    use_fonts()
    safe = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return Paragraph(safe.replace("\n", "<br/>"), style)


class Word(Flowable):  # type: ignore[misc]
    """A text that fits on one line of its cell: what most cells hold, and far cheaper than a paragraph."""

    def __init__(self, text: str, style: ParagraphStyle) -> None:
        super().__init__()
        self.text, self.style = text, style

    def wrap(self, width: float, _: float) -> tuple[float, float]:
        self.width, self.height = width, self.style.leading
        return self.width, self.height

    def draw(self) -> None:
        self.canv.setFont(self.style.fontName, self.style.fontSize)
        base = self.height - self.style.fontSize
        if self.style.alignment == RIGHT:
            self.canv.drawRightString(self.width, base, self.text)
        else:
            self.canv.drawString(0.0, base, self.text)


def _in_cell(text: str, style: ParagraphStyle, width: float) -> Flowable:
    """A cell of a column `width` mm wide, its padding included."""
    bold = style.fontName == BOLD
    if "\n" not in text and text_width(text, style.fontSize / mm, bold) * mm < width * mm - sum(PADDING) - 0.5:
        return Word(text, style)
    return cell(text, style)


def table(
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    widths: Sequence[float],
    right: Sequence[int] = (),
    bold: Sequence[int] = (0,),
) -> Table:
    """A ruled table.

    Args:
        heads: of the columns; they come again on every page.
        rows: as many texts each as there are heads; a line break in one is a line break on paper.
        widths: of the columns, mm.
        right: numbers of the columns that are set flush right, from 0.
        bold: of those that are bold where they are not flush right.
    """
    use_fonts()
    top = [_in_cell(head, HEAD_RIGHT if i in right else HEAD, widths[i]) for i, head in enumerate(heads)]
    styles = [CELL_RIGHT if i in right else CELL_BOLD if i in bold else CELL for i in range(len(widths))]
    body = [[_in_cell(*each) for each in zip(row, styles, widths, strict=True)] for row in rows]
    return ruled(top, body, widths, Rules())


@dataclass(frozen=True)
class Column:
    """A column of a list: its head, its width in proportion, what it says of an item, and whether it is set flush
    right."""

    head: str
    share: float
    text: Callable[[Any], str]
    right: bool = False


def listed(items: Iterable[object], columns: Sequence[Column], width: float, *last: Sequence[str]) -> Table:
    """A ruled table with a row an item and the rows `last` below them, `width` mm wide."""
    rows = [[column.text(item) for column in columns] for item in items]
    right = [i for i, column in enumerate(columns) if column.right]
    widths = shared(width, *(column.share for column in columns))
    return table([column.head for column in columns], [*rows, *last], widths, right)


@dataclass(frozen=True)
class Rules:
    """How a table is ruled: where texts stand in their rows, the rules' widths under the heads and between the rows,
    and the room about a cell's text (left and right; above and below, from row `first` on), points."""

    stand: Literal["TOP", "MIDDLE"] = "TOP"
    widths: tuple[float, float] = (1.0, 0.3)
    beside: tuple[float, float] = PADDING
    over_and_under: tuple[float, float] = (2.2, 2.6)
    first: int = 0


def ruled(heads: Sequence[Flowable], rows: Sequence[Sequence[Flowable]], widths: Sequence[float], look: Rules) -> Table:
    """A table of cells that are made already, in columns `widths` mm wide; its heads come again on every page."""
    style = [
        ("VALIGN", (0, 0), (-1, -1), look.stand),
        ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
        ("LINEBELOW", (0, 0), (-1, 0), look.widths[0], colors.black),
        ("LINEBELOW", (0, 1), (-1, -1), look.widths[1], colors.grey),
        ("LEFTPADDING", (0, 0), (-1, -1), look.beside[0]),
        ("RIGHTPADDING", (0, 0), (-1, -1), look.beside[1]),
        ("TOPPADDING", (0, look.first), (-1, -1), look.over_and_under[0]),
        ("BOTTOMPADDING", (0, look.first), (-1, -1), look.over_and_under[1]),
    ]
    columns = [width * mm for width in widths]
    return Table([heads, *rows], colWidths=columns, repeatRows=1, hAlign="LEFT", style=TableStyle(style))


def section(title: str, *blocks: Flowable | list[Flowable], room: float = 30.0) -> list[Flowable]:
    """A heading and what stands below it.

    Args:
        blocks: a list among them is kept whole on one page.
        room: the heading stays on one page with so much of what follows it, mm.
    """
    heading = cell(title, SECTION)
    first, rest = blocks[0], blocks[1:]
    opening: list[Flowable] = (
        [KeepTogether([heading, *first])] if isinstance(first, list) else [CondPageBreak(room * mm), heading, first]
    )
    return opening + [KeepTogether(block) if isinstance(block, list) else block for block in rest]


def opening(header: Header, title: str, text: str, *named: str) -> list[Flowable]:
    """The document's title, a line with the job's number, revision, date and who is `named`, and what it holds."""
    date = header.date.isoformat() if header.date else ""
    facts = (f"Job {header.number}", f"Revision {header.revision}", date, *named)
    line = "  \u00b7  ".join(fact for fact in facts if fact)
    return [cell(title, TITLE), cell(line, BODY), Spacer(0, 2 * mm), cell(text, BODY)]


def side_by_side(blocks: Sequence[Flowable | list[Flowable]], width: float) -> Table:
    """One or two blocks in columns that share `width` mm, their upper edges level."""
    style = [(f"{side}PADDING", (0, 0), (-1, -1), 0) for side in ("LEFT", "RIGHT", "TOP", "BOTTOM")]
    row = [*blocks, *[""] * (2 - len(blocks))]
    columns = [width / 2.0 * mm] * 2
    return Table([row], colWidths=columns, hAlign="LEFT", style=[*style, ("VALIGN", (0, 0), (-1, -1), "TOP")])


def shared(total: float, *parts: float) -> list[float]:
    """Column widths in the proportions of `parts` that fill `total` mm."""
    return [total * part / sum(parts) for part in parts]

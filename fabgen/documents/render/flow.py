"""Flowing pages: tables, paragraphs and pictures that wrap from page to page, with page k of n."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import permutations, zip_longest
from types import MappingProxyType
from typing import Any, Literal, TypeVar

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

from fabgen.documents.render import lettering
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import BOLD, REGULAR, draw, fitted, text_width, use_fonts
from fabgen.documents.render.picture import Picture
from fabgen.job.tables.definitions import Header

_Cell = TypeVar("_Cell")

MARGIN = 15.0
_POINTS = lettering.TEXT * mm
BODY = ParagraphStyle("body", fontName=REGULAR, fontSize=_POINTS, leading=_POINTS + 2.0)
SMALL = ParagraphStyle("small", parent=BODY, leading=_POINTS + 1.4)
"""Of notes: no smaller than other text, but closer."""
CELL = ParagraphStyle("cell", parent=SMALL)
RIGHT = 2
"""The library's number for flush right."""
GUTTER, WIDEST_GUTTER = 5.0, 9.0
"""Room between what two columns hold, mm, and the most of it where a table does not fill its width."""
TO_WRITE = 20.0
"""Least width of a column that is left empty to be written in, mm."""
CELL_RIGHT = ParagraphStyle("right", parent=CELL, alignment=RIGHT)
CELL_BOLD = ParagraphStyle("bold", parent=CELL, fontName=BOLD)
CELL_BOLD_RIGHT = ParagraphStyle("bold-right", parent=CELL_BOLD, alignment=RIGHT)
HEAD = ParagraphStyle("head", parent=CELL, fontName=BOLD, leading=_POINTS + 1.0)
HEAD_RIGHT = ParagraphStyle("head-right", parent=HEAD, alignment=RIGHT)
TITLE = ParagraphStyle("title", fontName=BOLD, fontSize=lettering.TITLE * mm, leading=lettering.TITLE * mm + 4.0)
SECTION = ParagraphStyle(
    "section",
    fontName=BOLD,
    fontSize=lettering.HEADING * mm,
    leading=lettering.HEADING * mm + 2.0,
    spaceBefore=8,
    spaceAfter=2,
)


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
    room = (paper.width - 2 * MARGIN, frame_height(paper))
    frame = Frame(MARGIN * mm, (MARGIN + 1) * mm, room[0] * mm, room[1] * mm, 0, 0, 0, 0)
    document.addPageTemplates([PageTemplate(frames=[frame])])
    document.build(
        list(story), canvasmaker=partial(_FootedCanvas, paper=paper, foot=(f"{header.number}   {header.title}", name))
    )
    return buffer.getvalue()


def frame_height(paper: Paper) -> float:
    """What a page holds from top to bottom, mm."""
    return paper.height - 2.0 * MARGIN - 3.0


class _End(Flowable):  # type: ignore[misc]
    """Takes no room; knows how far above the paper's lower edge it was drawn, points."""

    above: float = 0.0

    def wrap(self, *_: float) -> tuple[float, float]:
        return 0.0, 0.0

    def draw(self) -> None:
        self.above = float(self.canv.absolutePosition(0.0, 0.0)[1])


def height_used(story: Sequence[Flowable], paper: Paper, header: Header) -> float:
    """How much of its last page a story takes, mm; it cannot be used again."""
    end = _End()
    flowing_pdf([*story, end], paper, header, "")
    low: float = end.above / mm - MARGIN - 1.0
    return frame_height(paper) - low


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
        right = f"{self._foot[1]}   page {number} of {count}"
        room = self._paper.width - 2 * MARGIN - text_width(right, lettering.TEXT) - GUTTER
        left, _ = fitted(self._foot[0], room, lettering.TEXT, least=lettering.TEXT)
        self.setFillGray(0.0)
        self.setFont(REGULAR, lettering.TEXT * mm)
        self.drawString(MARGIN * mm, 8.5 * mm, left)
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


def cell(text: str, style: ParagraphStyle = CELL, about: str = "") -> Paragraph:
    """A wrapping table cell; the text is taken as it is, after what it is `about`, in bold."""
    use_fonts()
    lead = f'<font name="{BOLD}">{_escaped(about)}.</font> ' if about else ""
    return Paragraph(lead + _escaped(text), style)


def _escaped(text: str) -> str:
    safe = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return safe.replace("\n", "<br/>")


_WHOLE = re.compile(r"^(\D*\d+)(?![\d/])(.*)$")


def _at_the_point(text: str) -> tuple[str, str]:
    """A figure up to its decimal point and from it on: ('1055', '.2'), ('41', ' mm'), ('10', ' 3/4"'), ('-', '')."""
    found = _WHOLE.match(text)
    if found:
        return found.group(1), found.group(2)
    return ("", text) if text[:1].isdigit() else (text, "")


class Word(Flowable):  # type: ignore[misc]
    """Lines of text that fit their cell: what most cells hold, and far cheaper than a paragraph.

    Figures set flush right stand with their decimal points under one another, `after` mm from the cell's edge.
    """

    def __init__(self, lines: Sequence[str], style: ParagraphStyle, after: float = 0.0) -> None:
        super().__init__()
        self.lines, self.style, self.after = lines, style, after

    def wrap(self, width: float, _: float) -> tuple[float, float]:
        self.width, self.height = width, self.style.leading * len(self.lines)
        return self.width, self.height

    def draw(self) -> None:
        self.canv.setFont(self.style.fontName, self.style.fontSize)
        base = self.height - self.style.fontSize
        for text in self.lines:
            if self.style.alignment == RIGHT:
                # In one stroke, so that who copies or searches the page finds the figure whole.
                whole, _ = _at_the_point(text)
                self.canv.drawString(self.width - (self.after + _wide(whole, self.style)) * mm, base, text)
            else:
                self.canv.drawString(0.0, base, text)
            base -= self.style.leading


def _wide(text: str, style: ParagraphStyle) -> float:
    """Width of the longest line of a text, mm."""
    return max(text_width(line, style.fontSize / mm, style.fontName == BOLD) for line in text.split("\n"))


def _in_cell(text: str, style: ParagraphStyle, width: float, after: float) -> Flowable:
    """A cell with `width` mm for its text."""
    if _wide(text, style) <= width + 0.05:
        return Word(text.split("\n"), style, after)
    return cell(text, style)


_SLACK = 0.3
"""A paragraph breaks a word that just fits, mm."""


@dataclass(frozen=True)
class _Measured:
    """What a column of texts takes, mm: where only single words are kept whole, where its rows stay on one line, and
    where its head does too; `after` of it behind the decimal points."""

    least: float
    rows: float
    whole: float
    after: float
    words: tuple[tuple[tuple[float, ...], ...], ...] = ()
    """Of each of its texts, line by line, how wide the words are with the space before the next."""

    def lines(self, width: float) -> list[int]:
        """How many lines each text takes in a column of that width, mm."""
        return [sum(_lines_of(words, width) for words in text) for text in self.words]

    @staticmethod
    def of(head: str, texts: Sequence[str], style: ParagraphStyle, is_right: bool) -> _Measured:
        longest = max((_wide(word, HEAD) for word in head.split()), default=0.0)
        least = max((_wide(word, style) for text in texts for word in text.split()), default=0.0)
        rows, after = max((_wide(text, style) for text in texts), default=0.0), 0.0
        if is_right:
            halves = [_at_the_point(line) for text in texts for line in text.split("\n")]
            after = max((_wide(rest, style) for _, rest in halves), default=0.0)
            rows = after + max((_wide(whole, style) for whole, _ in halves), default=0.0)
        written = 0.0 if any(texts) or not texts else TO_WRITE
        least, rows = max(least, written), max(rows, longest, written)
        lines = [text.split("\n") for text in texts]
        words = tuple(tuple(tuple(_wide(f"{word} ", style) for word in line.split()) for line in of) for of in lines)
        return _Measured(
            max(least, longest) + _SLACK, rows + _SLACK, max(rows, _wide(head, HEAD)) + _SLACK, after, words
        )


def _lines_of(words: Sequence[float], width: float) -> int:
    """How many lines words take that are set one after another in a column `width` mm wide."""
    space = text_width(" ", lettering.TEXT)
    count, x = 1, 0.0
    for wide in words:
        if x and x + wide - space > width - _SLACK:
            count, x = count + 1, 0.0
        x += wide
    return count


def _shares(columns: Sequence[_Measured], room: float) -> list[float]:
    """Widths of the columns' texts, mm: whole lines where there is room for them, else the longest texts wrap first."""
    whole, rows = sum(each.whole for each in columns), sum(each.rows for each in columns)
    if whole <= room:
        return [each.whole for each in columns]
    if rows <= room:
        share = (room - rows) / (whole - rows)
        return [each.rows + share * (each.whole - each.rows) for each in columns]
    tried = [_wrapped_shares(columns, room, power) for power in (0.0, 0.35, 0.7, 1.0)]
    return min((_evened(columns, widths) for widths in tried), key=lambda widths: _lines(columns, widths))


_STEPS = (16.0, 12.0, 8.0, 4.0, 2.0, 1.0) * 2
"""What one column gives another at a time, mm."""
_MOST_EVENED = 400
"""Texts of a table beyond which its columns are not evened out: that would take too long."""


def _evened(columns: Sequence[_Measured], widths: list[float]) -> list[float]:
    """Widths that take fewer lines: one column gives the other room, as long as that saves any."""
    if sum(len(each.words) for each in columns) > _MOST_EVENED:
        return widths
    best = _lines(columns, widths)
    for step in _STEPS:
        for giver, taker in permutations(range(len(columns)), 2):
            moved = min(step, widths[giver] - columns[giver].least)
            if moved > 0.0 and widths[taker] < columns[taker].rows:
                tried = list(widths)
                tried[giver], tried[taker] = tried[giver] - moved, tried[taker] + moved
                if (lines := _lines(columns, tried)) < best:
                    best, widths = lines, tried
    return widths


def _wrapped_shares(columns: Sequence[_Measured], room: float, power: float) -> list[float]:
    """Widths that fill the room, each between a column's longest word and its longest line, in proportion to a power of
    that line."""
    least, most = 0.0, max(each.rows for each in columns) ** (1.0 - power) + 1.0
    for _ in range(30):
        share = (least + most) / 2.0
        if sum(max(each.least, min(each.rows, share * each.rows**power)) for each in columns) > room:
            most = share
        else:
            least = share
    widths = [max(each.least, min(each.rows, least * each.rows**power)) for each in columns]
    return widths if sum(widths) <= room else shared(room, *widths)


def _lines(columns: Sequence[_Measured], widths: Sequence[float]) -> int:
    """How many lines the rows take."""
    each = [column.lines(width) for column, width in zip(columns, widths, strict=True)]
    return sum(max(row) for row in zip(*each, strict=True))


@dataclass(frozen=True)
class Across:
    """What stands across the columns of a table, above the rows it is about; so many `rows` of them are kept on its
    page."""

    blocks: Sequence[Flowable]
    rows: int = 1

    @staticmethod
    def of(text: str) -> Across:
        return Across([cell(text, CELL_BOLD)])


Row = Sequence[str] | Across
"""The texts of a row, or what stands across the columns."""


def table(
    heads: Sequence[str],
    rows: Sequence[Row],
    width: float,
    right: Sequence[int] = (),
    bold: Sequence[int] = (0,),
    styles: Mapping[int, ParagraphStyle] = MappingProxyType({}),
    stand: Literal["TOP", "MIDDLE"] = "TOP",
    apart: Sequence[int] = (),
) -> Table:
    """A ruled table.

    Args:
        heads: of the columns; they come again on every page.
        rows: as many texts each as there are heads; a line break in one is a line break on paper.
        width: of the table at most, mm, shared by what the columns hold.
        right: numbers of the columns that are set flush right, from 0, decimal points under one another.
        bold: of those that are bold where they are not flush right.
        styles: of the columns that have one of their own, by number.
        stand: where texts stand in their rows.
        apart: numbers of the columns that stand further from what is left of them, as from boxes to write in.
    """
    use_fonts()
    usual = {i: CELL_RIGHT if i in right else CELL_BOLD if i in bold else CELL for i in range(len(heads))}
    chosen = list((usual | dict(styles)).values())
    full = [row for row in rows if not isinstance(row, Across)]
    measured = [_Measured.of(head, [row[i] for row in full], chosen[i], i in right) for i, head in enumerate(heads)]
    left = [GUTTER / 2.0 if i in apart else 0.0 for i in range(len(heads))]
    texts = _shares(measured, width - sum(left) - GUTTER * (len(heads) - 1))
    spare = (width - sum(left) - sum(texts)) / max(1, len(heads) - 1)
    gutter = max(GUTTER, min(WIDEST_GUTTER, spare))
    top = [_in_cell(head, HEAD_RIGHT if i in right else HEAD, texts[i], 0.0) for i, head in enumerate(heads)]
    after = [each.after for each in measured]
    body: list[list[Flowable | list[Flowable]]] = []
    across: dict[int, int] = {}
    for row in rows:
        if isinstance(row, Across):
            across[len(body)] = row.rows
            body.append([list(row.blocks), *[""] * (len(heads) - 1)])
        else:
            body.append([_in_cell(*each) for each in zip(row, chosen, texts, after, strict=True)])
    look = Rules((0.0, gutter), stand=stand)
    kept = {row: _few_enough(body[row + 1 : row + 1 + count], texts) for row, count in across.items()}
    columns = [sum(each) for each in zip(left, texts, [*[gutter] * (len(heads) - 1), 0.0], strict=True)]
    found = ruled(top, body, columns, look, kept)
    found.setStyle(TableStyle([("LEFTPADDING", (i, 0), (i, -1), left[i] * mm) for i in apart]))
    return found


_KEPT = 50.0
"""Rows stay with what stands across above them as long as they are no higher than this together, mm."""


def _few_enough(rows: Sequence[Sequence[Flowable | list[Flowable]]], widths: Sequence[float]) -> int:
    """How many of the first rows are no higher than `_KEPT` together, one at least."""
    high = 0.0
    for number, row in enumerate(rows):
        cells = [(each, width) for each, width in zip(row, widths, strict=True) if isinstance(each, Flowable)]
        high += max((float(each.wrap(width * mm, 1e6)[1]) for each, width in cells), default=0.0)
        if number and high > _KEPT * mm:
            return number
    return max(1, len(rows))


_FEW = 8
"""Rows that stand below one another in any case."""


def halves(rows: Sequence[Sequence[_Cell]], blank: Sequence[_Cell]) -> list[list[_Cell]]:
    """Rows that run down one half of a table and on in the other; a `blank` one at the end where they are odd."""
    half = (len(rows) + 1) // 2
    return [[*one, *other] for one, other in zip_longest(rows[:half], rows[half:], fillvalue=blank)]


def abreast(heads: Sequence[str], rows: Sequence[Sequence[str]], width: float, right: Sequence[int] = ()) -> Table:
    """A table as above, down one half of the width and on in the other where both keep their rows on one line."""
    use_fonts()
    count = len(heads)
    styles = [CELL_BOLD, *[CELL] * (count - 1)]
    each = [_Measured.of(head, [row[i] for row in rows], styles[i], i in right) for i, head in enumerate(heads)]
    wide = sum(one.rows for one in each) + GUTTER * (count - 1)
    if len(rows) <= _FEW or 2.0 * wide + 1.5 * GUTTER > width:
        return table(heads, rows, width, right)
    both = [*right, *(i + count for i in right)]
    return table([*heads, *heads], halves(rows, [""] * count), width, both, bold=(0, count), apart=(count,))


@dataclass(frozen=True)
class Column:
    """A column of a list: its head, what it says of an item, whether it is set flush right and whether it is bold, as
    the figure is to which one cuts."""

    head: str
    text: Callable[[Any], str]
    right: bool = False
    bold: bool = False


def listed(items: Iterable[object], columns: Sequence[Column], width: float, *last: Sequence[str]) -> Table:
    """A ruled table with a row an item and the rows `last` below them, `width` mm wide at most; what stands across the
    columns is left as it is."""
    rows: list[Row] = [item if isinstance(item, Across) else [each.text(item) for each in columns] for item in items]
    right = [i for i, column in enumerate(columns) if column.right]
    bold = {i: CELL_BOLD_RIGHT if column.right else CELL_BOLD for i, column in enumerate(columns) if column.bold}
    return table([column.head for column in columns], [*rows, *last], width, right, styles=bold)


@dataclass(frozen=True)
class Rules:
    """How a table is ruled: the room left and right of a cell's text, mm (none right of the last column), that above
    and below it, points, where texts stand in their rows, and the rules' widths under the heads and between the rows,
    points."""

    beside: tuple[float, float] = (0.0, GUTTER)
    over_and_under: tuple[float, float] = (1.5, 2.2)
    stand: Literal["TOP", "MIDDLE"] = "TOP"
    widths: tuple[float, float] = (1.0, 0.25)


def ruled(
    heads: Sequence[Flowable],
    rows: Sequence[Sequence[Flowable | list[Flowable]]],
    widths: Sequence[float],
    look: Rules,
    across: Mapping[int, int] = MappingProxyType({}),
) -> Table:
    """A table of cells that are made already, in columns `widths` mm wide; its heads come again on every page.

    Args:
        across: numbers of the rows, from 0, whose first cell stands across the columns, and how many rows below each
            stay on its page.
    """
    left, right = (each * mm for each in look.beside)
    style: list[tuple[Any, ...]] = [
        ("VALIGN", (0, 0), (-1, -1), look.stand),
        ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
        ("LINEBELOW", (0, 0), (-1, 0), look.widths[0], colors.black),
        ("LINEBELOW", (0, 1), (-1, -1), look.widths[1], colors.black),
        ("LEFTPADDING", (0, 0), (-1, -1), left),
        ("RIGHTPADDING", (0, 0), (-1, -1), right),
        ("RIGHTPADDING", (-1, 0), (-1, -1), 0.0),
        ("TOPPADDING", (0, 0), (-1, -1), look.over_and_under[0]),
        ("BOTTOMPADDING", (0, 0), (-1, -1), look.over_and_under[1]),
    ]
    for row, kept in across.items():
        style += [("SPAN", (0, row + 1), (-1, row + 1)), ("NOSPLIT", (0, row + 1), (-1, row + 1 + kept))]
    columns = [width * mm for width in widths]
    return Table([heads, *rows], colWidths=columns, repeatRows=1, hAlign="LEFT", style=TableStyle(style))


_OPENING_ROWS, _OPENING_ENOUGH = 4, 25.0
"""So many rows of a table, its heads counted, stay with its heading; of tall rows those that take so much, mm."""


def _opening_height(block: Flowable) -> float:
    """How much of a block must stand below its heading on the same page, points."""
    height = float(block.wrap(160.0 * mm, 1e6)[1])
    if not isinstance(block, Table):
        return height
    total = 0.0
    for number, row in enumerate(map(float, block._rowHeights[:_OPENING_ROWS])):
        if number > 1 and total >= _OPENING_ENOUGH * mm:
            break
        total += row
    return total


def section(title: str, *blocks: Flowable | list[Flowable], room: float = 0.0) -> list[Flowable]:
    """A heading and what stands below it.

    Args:
        blocks: a list among them is kept whole on one page.
        room: the heading stays on one page with so much of what follows it at least, mm; with a table's first rows and
            what stands before the table in any case.
    """
    heading = cell(title, SECTION)
    first, rest = blocks[0], blocks[1:]
    if isinstance(first, list):
        opening: list[Flowable] = [KeepTogether([heading, *first])]
    else:
        needed = SECTION.spaceBefore + SECTION.leading + SECTION.spaceAfter + _opening_height(first)
        if not isinstance(first, Table) and rest and isinstance(rest[0], Table):
            needed += _opening_height(rest[0])
        opening = [CondPageBreak(max(needed, room * mm)), heading, first]
    return opening + [KeepTogether(block) if isinstance(block, list) else block for block in rest]


@dataclass(frozen=True)
class Noted:
    """A section of a list, and what is said of it on the list's last sheet: what its words mean, and from where its
    figures come."""

    blocks: Sequence[Flowable] = ()
    about: str = ""
    note: str = ""


def back_sheet(sections: Sequence[Noted]) -> list[Flowable]:
    """The notes of all sections that have any, each after what it is about."""
    notes = [cell(each.note, SMALL, each.about) for each in sections if each.blocks and each.note]
    return section("Notes and sources", *notes) if notes else []


def opening(header: Header, title: str, text: str, *named: str) -> list[Flowable]:
    """The document's title, a line with the job's number, revision, date and who is `named`, and what it holds."""
    date = header.date.isoformat() if header.date else ""
    facts = (f"Job {header.number}", f"Revision {header.revision}", date, *named)
    line = "  \u00b7  ".join(fact for fact in facts if fact)
    return [cell(title, TITLE), cell(line, BODY), Spacer(0, 1.5 * mm), cell(text, BODY)]


def side_by_side(
    blocks: Sequence[Flowable | list[Flowable]], width: float, first: float | None = None, gutter: float = 0.0
) -> Table:
    """One or two blocks in columns, `width` mm in all, the first `first` mm or half of it with the `gutter` after it,
    their upper edges level."""
    style = [(f"{side}PADDING", (0, 0), (-1, -1), 0) for side in ("LEFT", "RIGHT", "TOP", "BOTTOM")]
    style.append(("RIGHTPADDING", (0, 0), (0, -1), gutter * mm))
    row = [*blocks, *[""] * (2 - len(blocks))]
    one = width / 2.0 if first is None else first
    columns = [one * mm, (width - one) * mm]
    return Table([row], colWidths=columns, hAlign="LEFT", style=[*style, ("VALIGN", (0, 0), (-1, -1), "TOP")])


def shared(total: float, *parts: float) -> list[float]:
    """Column widths in the proportions of `parts` that fill `total` mm."""
    return [total * part / sum(parts) for part in parts]

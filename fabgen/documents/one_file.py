"""one-file.pdf: all papers of a job as one, in the order of the work, for the wall of the shop.

It holds the pages of the other files as they are, behind a list of contents whose lines lead to their pages;
each page's number leads back to it, and a reader's list of bookmarks has the same sections and marks.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from pypdf import PageObject, PdfReader, PdfWriter
from pypdf.annotations import Link
from pypdf.generic import Fit, NameObject
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Spacer

from fabgen.documents.render.flow import (
    CELL,
    CELL_BOLD,
    CELL_RIGHT,
    HEAD,
    HEAD_RIGHT,
    MARGIN,
    Rules,
    cell,
    flowing_pdf,
    halves,
    opening,
    ruled,
    section,
    shared,
)
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import REGULAR, Page, text_width, use_fonts
from fabgen.documents.render.prose import prose
from fabgen.job.tables.definitions import Header
from fabgen.parts.piece import FlatPart, LengthPart, LinkPart, Piece, ProfilePart

NAME = "one-file.pdf"
_DRAWINGS = "drawings.pdf"
_NUMBER = 2.6
"""Height of a page's own number, mm; it stands outside the frame of a drawing, inside what a printer reaches."""
_FROM_EDGE, _BASE = 8.0, 7.0
"""Its end from the right and its base from the upper edge, mm: above what the pages have there."""


@dataclass(frozen=True)
class Sheet:
    """A page of one of the files, and the marks of the parts that it is for."""

    page: PageObject
    marks: tuple[str, ...] = ()


@dataclass(frozen=True)
class Section:
    """Pages that one step of the work needs, one after the other."""

    title: str
    file: str
    sheets: Sequence[Sheet]


def one_file_pdf(
    header: Header, paper: Paper, files: Mapping[str, bytes], pieces: Sequence[Piece], drawings: Sequence[Page]
) -> bytes:
    """All papers in the order of the work.

    Args:
        header: of the job.
        paper: of the list of contents.
        files: the papers, by their names.
        pieces: of the job.
        drawings: the pages of drawings.pdf, which say what they draw.
    """
    sections = _sections(files, pieces, drawings)
    named = {piece.mark: piece.title or piece.kind for piece in pieces}
    before = 0
    while True:
        # The list's own pages come before those that it counts.
        places: list[_Place] = []
        listed = _pages(_contents(header, paper, sections, named, before, places.append))
        if len(listed) == before:
            break
        before = len(listed)
    writer = PdfWriter()
    for page in [*listed, *(sheet.page for each in sections for sheet in each.sheets)]:
        writer.add_page(page)
    _number(writer)
    for place in places:
        writer.add_annotation(place.on, _link(place.box, place.to))
    for each, at in _with_starts(sections, before):
        parent = writer.add_outline_item(title=each.title, page_number=at)
        for number, sheet in enumerate(each.sheets, at):
            if sheet.marks:
                writer.add_outline_item(title=", ".join(sheet.marks), page_number=number, parent=parent)
    writer.add_metadata({"/Title": f"{header.number} papers", "/Author": header.owner, "/Creator": "fabgen"})
    # Printing dialogues honour this: no fitting to the page, so true size stays true.
    writer.create_viewer_preferences()[NameObject("/PrintScaling")] = NameObject("/None")
    writer.compress_identical_objects()
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def pages_of(pdf: bytes) -> int:
    """How many pages a file has."""
    return len(_pages(pdf))


def _pages(pdf: bytes) -> list[PageObject]:
    return list(PdfReader(io.BytesIO(pdf)).pages)


def _link(box: tuple[float, float, float, float], to: int) -> Link:
    return Link(rect=box, border=[0, 0, 0], target_page_index=to, fit=Fit.fit())


# -- what comes when ----------------------------------------------------------------------
def _sections(files: Mapping[str, bytes], pieces: Sequence[Piece], drawings: Sequence[Page]) -> list[Section]:
    """The sections that hold something."""
    shapes = {piece.mark: piece.shape for piece in pieces}
    drawn = _pages(files[_DRAWINGS]) if _DRAWINGS in files else []
    sheets = [Sheet(page, drawing.marks) for page, drawing in zip(drawn, drawings, strict=True)]

    def own(name: str) -> tuple[str, list[Sheet]]:
        return name, [Sheet(page) for page in _pages(files[name])] if name in files else []

    def of(kind: type) -> tuple[str, list[Sheet]]:
        return _DRAWINGS, [sheet for sheet in sheets if sheet.marks and type(shapes[sheet.marks[0]]) is kind]

    order = [
        ("The order of the work", *own("cut-list.pdf")),
        ("The whole", _DRAWINGS, [sheet for sheet in sheets if not sheet.marks]),
        ("Buy", *own("shopping-list.pdf")),
        ("Saw", *own("saw-sheets.pdf")),
        ("Cope, notch and drill", *own("tube-templates.pdf")),
        ("Tubes and bars", *of(LengthPart)),
        ("Profiles", *of(ProfilePart)),
        ("Cut, drill and fold the sheet", *of(FlatPart)),
        ("Patterns of the sheet parts", *own("patterns.pdf")),
        ("Link rods", *of(LinkPart)),
        ("Lay out on the floor", *own("floor-layout.pdf")),
        ("Fit and tack", *own("set-out.pdf")),
        ("Check with a tape, then weld", *own("check-table.pdf")),
        ("See what moves", *own("movement.pdf")),
    ]
    return [Section(*each) for each in order if each[2]]


def _with_starts(sections: Sequence[Section], before: int) -> Iterator[tuple[Section, int]]:
    """Each section and the number of its first page, from 0."""
    at = before
    for each in sections:
        yield each, at
        at += len(each.sheets)


# -- the list of contents -----------------------------------------------------------------
@dataclass(frozen=True)
class _Place:
    """A line of the list: on which of its pages, where there (points), and to which page it leads, from 0."""

    on: int
    box: tuple[float, float, float, float]
    to: int


class _Leading(Flowable):  # type: ignore[misc]
    """A cell that leads to a page: it tells where it came to stand."""

    def __init__(self, inner: Flowable, to: int, tell: Callable[[_Place], object]) -> None:
        super().__init__()
        self.inner, self.to, self.tell = inner, to, tell

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width, self.height = self.inner.wrap(width, height)
        return self.width, self.height

    def draw(self) -> None:
        self.inner.drawOn(self.canv, 0, 0)
        x, y = self.canv.absolutePosition(0, 0)
        self.tell(_Place(self.canv.getPageNumber() - 1, (x, y, x + self.width, y + self.height), self.to))


def _contents(
    header: Header,
    paper: Paper,
    sections: Sequence[Section],
    named: Mapping[str, str],
    before: int,
    tell: Callable[[_Place], object],
) -> bytes:
    """The list; `named` has what each mark is, `before` how many pages the list takes, `tell` gets its places."""
    use_fonts()
    width = paper.width - 2.0 * MARGIN
    count = before + sum(len(each.sheets) for each in sections)

    def row(texts: Sequence[str], to: int) -> list[Flowable]:
        styles = (CELL_BOLD, *[CELL] * (len(texts) - 2), CELL_RIGHT)
        return [_Leading(cell(text, style), to, tell) for text, style in zip(texts, styles, strict=True)]

    def listed(heads: Sequence[str], rows: Sequence[Sequence[Flowable]], *shares: float) -> Flowable:
        top = [cell(head, HEAD_RIGHT if head == "pages" else HEAD) for head in heads]
        return ruled(top, rows, shared(width, *shares), Rules())

    steps = [
        row((each.title, each.file, _span([*range(at, at + len(each.sheets))])), at)
        for each, at in _with_starts(sections, before)
    ]
    drawn: dict[str, list[int]] = {}
    for each, at in _with_starts(sections, before):
        for number, sheet in enumerate(each.sheets, at):
            for mark in sheet.marks:
                drawn.setdefault(mark, []).append(number)
    marks = [row((mark, named[mark], _span(drawn[mark])), drawn[mark][0]) for mark in named if mark in drawn]
    story = [
        *opening(header, f"{header.title}: all papers", prose("one_file", "intro").format(count=count)),
        Spacer(0, 3 * mm),
        listed(("work", "as in", "pages"), steps, 80, 60, 30),
    ]
    if marks:
        # Down one column and on in the next, as in an index.
        two = halves(marks, [Spacer(0, 0)] * 3)
        story += section("Drawings by mark", listed(("mark", "what", "pages") * 2, two, *(22, 58, 22) * 2))
    return flowing_pdf(story, paper, header, "all papers")


def _span(pages: Sequence[int]) -> str:
    """'12 to 14' of pages counted from 0 that follow one another."""
    first, last = pages[0] + 1, pages[-1] + 1
    return str(first) if first == last else f"{first} to {last}"


def _number(writer: PdfWriter) -> None:
    """Prints on each page its number among all, which leads back to the list of contents."""
    use_fonts()
    count = len(writer.pages)
    buffer = io.BytesIO()
    canvas = Canvas(buffer, invariant=1, pageCompression=1)
    boxes = []
    for number, page in enumerate(writer.pages, 1):
        width, height = float(page.mediabox.width), float(page.mediabox.height)
        canvas.setPageSize((width, height))
        canvas.setFont(REGULAR, _NUMBER * mm)
        text, x, y = f"{number} of {count}", width - _FROM_EDGE * mm, height - _BASE * mm
        canvas.drawRightString(x, y, text)
        boxes.append((x - text_width(text, _NUMBER) * mm, y, x, y + _NUMBER * mm))
        canvas.showPage()
    canvas.save()
    for number, (page, stamp, box) in enumerate(zip(writer.pages, _pages(buffer.getvalue()), boxes, strict=True)):
        page.merge_page(stamp)
        page.compress_content_streams()
        if number:
            writer.add_annotation(number, _link(box, 0))

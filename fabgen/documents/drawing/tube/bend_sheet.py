"""The bend sheet: for every bent tube what to mark, how far to bend and how to turn it between bends."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import partial

from fabgen.documents.drawing.sheet.blocks import notes_panel, table_panel
from fabgen.documents.drawing.sheet.sheet_frame import TitleFields, frame_box, sheet_frame, title_box
from fabgen.documents.drawing.tube import bend_table
from fabgen.documents.drawing.tube.bend_picture import bent_views, marked_bar
from fabgen.documents.render import cautions
from fabgen.documents.render.lettering import HEADING, TEXT
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import Page, wrapped
from fabgen.documents.render.picture import Item, Picture, Text, line
from fabgen.documents.render.prose import prose
from fabgen.documents.render.sketch import Panel
from fabgen.documents.render.words import with_unit
from fabgen.geometry.plane.outline import Box, Xy
from fabgen.job.tables.definitions import Header
from fabgen.parts.piece import LengthPart, Piece
from fabgen.wording.figures import Figures

INSIDE = 5.0
"""Bare paper between the frame and what is drawn, mm."""
BETWEEN = 4.0
_ROWS = 25
"""A table has no more, so that it stays on its page."""
VIEWS = 130.0
"""Room for the pictures of the bent tube, mm high, at most."""


class _Pages:
    """Pages filled from the top, panel by panel."""

    def __init__(self, room: Box) -> None:
        self.room = room
        self.done: list[list[Picture]] = []
        self.y = -math.inf

    @property
    def height(self) -> float:
        return self.room[3] - self.room[1]

    def add(self, panels: Sequence[Panel], kept: float = 0.0) -> None:
        """A block: on the page begun if it fits and leaves `kept` mm there, else from a new page on."""
        x0, low, x1, top = self.room
        whole = sum(panel.height for panel in panels) + BETWEEN * (len(panels) - 1)
        if self.y - whole < low + kept:
            self._turn()
        else:
            rule = self.y + 0.75 * BETWEEN
            self.done[-1].append(Picture((line((x0, rule), (x1, rule), "thin"),)))
        for panel in panels:
            if self.y - panel.height < low and self.y < top:
                self._turn()
            self.done[-1].append(panel.at(x0, self.y - panel.height).picture)
            self.y -= panel.height + BETWEEN
        self.y -= BETWEEN / 2.0

    def _turn(self) -> None:
        self.done.append([])
        self.y = self.room[3]


BendSheet = Callable[[int, int], Page]
"""A page, once it is known which sheet of how many it is."""


def bend_sheet_pages(pieces: Sequence[Piece], header: Header, paper: Paper) -> list[Page]:
    """The bend sheets by themselves."""
    sheets = bend_sheets(pieces, header, paper)
    return [sheet(number, len(sheets)) for number, sheet in enumerate(sheets, 1)]


def bend_sheets(pieces: Sequence[Piece], header: Header, paper: Paper) -> list[BendSheet]:
    """One block a bent tube, as many to a page as fit; none where no tube is bent.  Round bar that is bent in one plane
    has all that on its own drawing.

    The words that explain the figures stand at the foot of the first page, or after the last tube.

    Args:
        pieces: of the job.
        header: what the title block says of it.
        paper: its size.
    """
    tubes = [(piece, part) for piece, part in bend_table.bent_tubes(pieces) if not part.is_bent_bar]
    if not tubes:
        return []
    paper = paper.upright
    room = _room(paper)
    width = room[2] - room[0]
    notes = _notes([part for _, part in tubes], width)
    pages = _Pages(room)
    at_foot = False
    marks: dict[int, list[str]] = {}
    # The notes have their room at the foot of the first page, whatever is on it.
    tall = pages.height - notes.height - BETWEEN
    for piece, part in tubes:
        first = len(pages.done) <= 1
        block = _block(piece, part, header.units, (width, pages.height if pages.done else tall))
        pages.add(block, notes.height + BETWEEN if first and at_foot else 0.0)
        marks.setdefault(len(pages.done), []).append(piece.mark)
        if not at_foot and len(pages.done) == 1:
            at_foot = pages.y - notes.height - BETWEEN >= room[1]
    if at_foot:
        pages.done[0].append(notes.at(room[0], room[1]).picture)
    else:
        pages.add([notes])
    bars = {part.section.is_solid for _, part in tubes}
    stock = "tube and bar" if len(bars) > 1 else "bar" if True in bars else "tube"
    return [
        partial(_page, parts, header, paper, stock, tuple(marks.get(number, [tubes[-1][0].mark])))
        for number, parts in enumerate(pages.done, 1)
    ]


def _room(paper: Paper) -> Box:
    x0, _, x1, y1 = frame_box(paper)
    return x0 + INSIDE, title_box(paper)[3] + INSIDE, x1 - INSIDE, y1 - INSIDE


def _notes(parts: Sequence[LengthPart], width: float) -> Panel:
    lines = [(prose("bend_sheet", name), False) for name in bend_table.NOTES]
    if any(not part.section.is_solid for part in parts):
        lines.append((prose("bend_sheet", "wall"), False))
    return notes_panel([*lines, (cautions.DRAWING, True)], width)


# -- one tube ----------------------------------------------------------------------
def _block(piece: Piece, part: LengthPart, units: str, room: Xy) -> list[Panel]:
    width, height = room
    panels = [_heading(piece, part, units, width), marked_bar(part, width - 8.0, units)]
    rows = bend_table.bend_rows(part, units)
    for first in range(0, len(rows), _ROWS):
        title = "Bends, in order from the start" + (", continued" if first else "")
        panels.append(table_panel(title, bend_table.HEADS, rows[first : first + _ROWS]))
    panels.append(notes_panel([(text, False) for text in _remarks(part, units)], width))
    left = height - sum(panel.height + BETWEEN for panel in panels)
    views = bent_views(part, (width, min(VIEWS, left if left > 40.0 else VIEWS)), Figures(units == "in"))
    # The shape first: it is what one looks for.
    return [panels[0], views, *panels[1:]]


def _heading(piece: Piece, part: LengthPart, units: str, width: float) -> Panel:
    quantity = f"quantity {piece.quantity}, " if piece.quantity > 1 else ""
    section = part.section.words(units)
    facts = f"{quantity}{section}, {piece.material}, saw length {with_unit(part.length, units)}"
    name = [(row, HEADING) for row in wrapped(f"{piece.mark} {piece.title}".strip(), width, HEADING, True)]
    items: list[Item] = []
    y = 0.0
    for row, size in [*name, *((row, TEXT) for row in wrapped(facts, width, TEXT))]:
        y -= size * 1.2
        items.append(Text(0.0, y + 0.25 * size, row, size, bold=size > TEXT))
    return Panel(Picture.of(items).moved(0.0, -y), (0.0, 0.0, width, -y))


def _remarks(part: LengthPart, units: str) -> list[str]:
    last = with_unit(part.straights[-1], units)
    return [f"Straight after the last bend {last} to the finish's saw cut.", *bend_table.former_words(part, units)]


def _page(
    parts: Sequence[Picture],
    header: Header,
    paper: Paper,
    stock: str,
    marks: tuple[str, ...],
    number: int,
    count: int,
) -> Page:
    sheet = f"{number} of {count}"
    fields = TitleFields("Bend sheet", f"{header.number}-BEND", "bend sheet", stock=stock, sheet=sheet)
    picture = sheet_frame(paper, header, fields)
    for part in parts:
        picture = picture + part
    return Page(paper.width, paper.height, picture, marks)

"""Details that share a sheet: parts that read well in a share of its room stand side by side, each with its own head.

The room above the title block is a grid of equal fields; a part takes the fewest in which all that its drawing shows
fits at a scale at which it reads well.  What most parts of a kind have to say alike stands once, at the sheet's foot.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from itertools import product

from fabgen.documents.drawing.sheet.blocks import least_tall, notes_panel
from fabgen.documents.drawing.sheet.sheet_frame import TitleFields, frame_box, title_box
from fabgen.documents.drawing.sheet.views import SCALES, Content, View, arrange, scale_name, size_at, size_of
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import wrapped
from fabgen.documents.render.picture import Item, Picture, Text, line
from fabgen.documents.render.sketch import Panel
from fabgen.geometry.plane.outline import Box
from fabgen.parts.shape.alike import names

Note = tuple[str, bool]
"""A text, and whether it is bold."""

INSIDE = 6.0
"""Bare paper between the frame and what is drawn, mm."""
FIELD = (82.0, 56.0)
"""A field is about so wide and high, mm."""
MOST = 4
"""A part that takes more fields than this stands alone."""
READS = 30.0
"""A part drawn smaller than 1:1 still reads well where it is so long on paper, mm …"""
THIN = 6.0
"""… and so wide."""
_OF_EACH = "see each part"
_BARE = 3.0
"""Bare paper inside a field's edges, mm."""
_TITLE, _SMALL = 3.5, 2.6
"""Heights of letters in a part's head, mm."""


@dataclass(frozen=True)
class Detail:
    """What a part's drawing has to show: its views and tables, notes, fields of a title block, the marks of all that
    are made so, and of what kind they are."""

    content: Content
    notes: tuple[Note, ...]
    fields: TitleFields
    marks: tuple[str, ...]
    kind: str


@dataclass(frozen=True)
class SharedSheet:
    """A sheet of several parts; its panels are placed."""

    fields: TitleFields
    paper: Paper
    panels: tuple[Panel, ...]
    marks: tuple[str, ...]


@dataclass
class _Filling:
    """A sheet being filled: which fields are taken, and by what."""

    taken: set[tuple[int, int]] = field(default_factory=set)
    placed: list[tuple[Detail, Box, Panel]] = field(default_factory=list)


@dataclass(frozen=True)
class _Grid:
    """The fields of a sheet."""

    paper: Paper
    room: Box
    columns: int
    rows: int

    @staticmethod
    def of(paper: Paper, foot: float) -> _Grid:
        """Upright a sheet up to A4, else lying, with `foot` mm kept for notes above the title block."""
        paper = paper.upright if min(paper.width, paper.height) < 260.0 else paper.landscape
        x0, _, x1, y1 = frame_box(paper)
        room = (x0 + INSIDE, title_box(paper)[3] + INSIDE + foot, x1 - INSIDE, y1 - INSIDE)
        width, height = size_of(room)
        return _Grid(paper, room, max(1, round(width / FIELD[0])), max(1, round(height / FIELD[1])))

    def box(self, column: int, row: int, across: int, down: int) -> Box:
        """Of fields in a block, rows counted from the top, mm of the sheet."""
        width, height = size_of(self.room)
        x, y = width / self.columns, height / self.rows
        left, top = self.room[0] + column * x, self.room[3] - row * y
        return (left, top - down * y, left + across * x, top)

    def sizes(self) -> list[tuple[int, int]]:
        """Blocks of fields that a part may take, the fewest first, wide before high."""
        every = product(range(1, self.columns + 1), range(1, self.rows + 1))
        return sorted(
            (size for size in every if size[0] * size[1] <= MOST), key=lambda size: (size[0] * size[1], size[1])
        )

    def free(self, filling: _Filling, size: tuple[int, int]) -> tuple[int, int] | None:
        """The first place for a block of that size, from the top and from the left."""
        for row, column in product(range(self.rows - size[1] + 1), range(self.columns - size[0] + 1)):
            if not filling.taken & _cells(column, row, size):
                return column, row
        return None


def _cells(column: int, row: int, size: tuple[int, int]) -> set[tuple[int, int]]:
    return set(product(range(column, column + size[0]), range(row, row + size[1])))


def shared(details: Sequence[Detail], paper: Paper) -> tuple[list[SharedSheet], list[Detail]]:
    """Sheets of parts that share one, and the parts that are left: those that need a sheet of their own.

    Args:
        details: of all parts, in their order; parts of a kind share sheets.
        paper: its size; how it is turned follows from that.
    """
    sheets, alone = [], []
    for kind in dict.fromkeys(detail.kind for detail in details):
        own = [detail for detail in details if detail.kind == kind]
        said = Counter(note for detail in own for note in dict.fromkeys(detail.notes))
        alike = [note for note, count in said.items() if count > len(own) / 2.0]
        grid = _Grid.of(paper, _foot(alike, paper).height + 2.0 if alike else 0.0)
        fillings: list[_Filling] = []
        for detail in own:
            apart = tuple(note for note in detail.notes if note not in alike)
            if not _place(replace(detail, notes=apart), grid, fillings):
                alone.append(detail)
        for filling in fillings:
            marks = [each.marks[0] for each, _, _ in filling.placed]
            if len(marks) == 1:
                alone += [detail for detail in own if detail.marks[0] in marks]
                continue
            sheets.append(_sheet(filling, grid, alike))
    return sheets, alone


def _place(detail: Detail, grid: _Grid, fillings: list[_Filling]) -> bool:
    """Puts a part on the first sheet that has room for it, or on a new one; False where it takes too many fields."""
    for size in grid.sizes():
        box = grid.box(0, 0, *size)
        panels = _in_block(detail, box)
        if panels is None:
            continue
        filling = next((each for each in fillings if grid.free(each, size)), None)
        if filling is None:
            filling = _Filling()
            fillings.append(filling)
        column, row = grid.free(filling, size) or (0, 0)
        filling.taken |= _cells(column, row, size)
        there = grid.box(column, row, *size)
        moved = [
            panel.at(panel.box[0] + there[0] - box[0], panel.box[1] + there[1] - box[1]).picture for panel in panels
        ]
        corner = (there[2], there[1])
        rules = [line((there[0], there[1]), corner, "thin")]
        if column + size[0] < grid.columns:
            rules.append(line(corner, (there[2], there[3]), "thin"))
        picture = Picture.of(rules)
        for each in moved:
            picture = picture + each
        filling.placed.append((detail, there, Panel(picture, there)))
        return True
    return False


def _in_block(detail: Detail, box: Box) -> list[Panel] | None:
    """Head, views, tables and notes of a part in a block of fields; None where they do not fit so that they read."""
    x0, y0, x1, y1 = box[0] + _BARE, box[1] + _BARE, box[2] - _BARE, box[3] - _BARE
    notes = notes_panel(detail.notes, x1 - x0)
    below = y0 + notes.height + (_BARE if detail.notes else 0.0)
    head = _head(replace(detail.fields, scale="1:10"), x1 - x0)
    room = (x0, below, x1, y1 - head.height - _BARE)
    if detail.content.later or not _may_fit(detail.content, room):
        return None
    _, made = arrange(detail.content, [room])
    if made.left_over or made.left_views or not _reads(detail.content.main.view, made.scale):
        return None
    head = _head(replace(detail.fields, scale=scale_name(made.scale)), x1 - x0)
    return [head.at(x0, y1 - head.height), *made.panels, notes.at(x0, y0)]


def _may_fit(content: Content, room: Box) -> bool:
    """False where it is plain without a trial that not all fits: a trial costs far more."""
    width, height = size_of(room)
    view, tables = content.main.view, [table.panel() for table in content.tables]
    scale = next((scale for scale in reversed(SCALES) if _reads(view, scale)), SCALES[0])
    across, down = view.least(scale)
    area = across * down + sum(table.width * table.height for table in tables)
    return across <= width and down <= height and area <= width * height and all(t.width <= width for t in tables)


def _reads(view: View, scale: float) -> bool:
    """Whether a main view reads well at a scale."""
    long, short = sorted(size_at(view, scale), reverse=True)
    return (scale >= 1.0 or (long >= READS and short >= THIN)) and scale >= view.readable


def _head(fields: TitleFields, width: float) -> Panel:
    """What a title block would say of the part, in two lines or more."""
    items: list[Item] = []
    y = 0.0
    stock = f"{fields.stock}, {fields.material}"
    facts = " \u00b7 ".join((fields.number, f"make {fields.quantity}", stock, fields.finish, fields.mass, fields.scale))
    for text, size, bold in ((fields.title, _TITLE, True), (facts, _SMALL, False)):
        for row in wrapped(text, width, size, bold):
            y -= size * 1.15
            items.append(Text(0.0, y, row, size, bold=bold))
        y -= size * 0.35
    return Panel(Picture.of(items).moved(0.0, -y), (0.0, 0.0, width, -y))


def _foot(notes: Sequence[Note], paper: Paper) -> Panel:
    x0, _, x1, _ = frame_box(paper.upright if min(paper.width, paper.height) < 260.0 else paper.landscape)
    return least_tall(notes, x1 - x0 - 2.0 * INSIDE)


def _sheet(filling: _Filling, grid: _Grid, alike: Sequence[Note]) -> SharedSheet:
    details = [detail for detail, _, _ in filling.placed]
    foot = _foot(alike, grid.paper)
    panels = [panel for _, _, panel in filling.placed]
    if alike:
        panels.append(foot.at(grid.room[0], grid.room[1] - foot.height - 2.0))
    marks = tuple(mark for detail in details for mark in detail.marks)
    fields = TitleFields(
        title=f"{names([detail.marks[0] for detail in details])}",
        number=f"{details[0].fields.number} +{len(details) - 1}",
        document="detail drawings",
        material=_common(detail.fields.material for detail in details),
        stock=_common(detail.fields.stock for detail in details),
        finish=_common(detail.fields.finish for detail in details),
        mass=_common(detail.fields.mass for detail in details),
        quantity=_common(detail.fields.quantity for detail in details),
        scale=_OF_EACH,
        tolerance=_common(detail.fields.tolerance for detail in details),
    )
    return SharedSheet(fields, grid.paper, tuple(panels), marks)


def _common(values: Iterable[str]) -> str:
    """What all have, or where to look."""
    own = set(values)
    return own.pop() if len(own) == 1 else _OF_EACH

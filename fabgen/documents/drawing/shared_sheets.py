"""Details that share a sheet: parts that read well in a share of its room stand side by side, each with its own head.

The room above the title block is a grid of equal fields; a part takes the fewest in which all that its drawing shows
fits at a scale at which it reads well.  What most parts of a kind have to say alike stands once, at the sheet's foot.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import product

from fabgen.documents.drawing.sheet.blocks import least_tall, notes_panel
from fabgen.documents.drawing.sheet.sheet_frame import TitleFields, frame_box, title_box
from fabgen.documents.drawing.sheet.views import (
    FINER,
    SCALES,
    Content,
    View,
    arranged_whole,
    scale_name,
    size_at,
    size_of,
    without_spare,
)
from fabgen.documents.render.lettering import TEXT
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import wrapped
from fabgen.documents.render.picture import Item, Picture, Text, line
from fabgen.documents.render.sketch import Panel
from fabgen.geometry.plane.outline import Box
from fabgen.parts.shape.alike import names

Note = tuple[str, bool]
"""A text, and whether it is bold."""

INSIDE = 4.0
"""Bare paper between the frame and what is drawn, mm."""
FIELD = (82.0, 9.0)
"""A field is about so wide and high, mm."""
MOST = 0.8
"""A part that takes more than this share of a sheet's height stands alone."""
TALL = 0.5
"""A block higher than this share of a sheet has hardly another beside it."""
HALF_EMPTY = 0.6
"""A sheet of which less than this is taken is made anew with what else found no company."""
READS = 30.0
"""A part drawn smaller than 1:1 still reads well where it is so long on paper, mm …"""
THIN = 6.0
"""… and so wide."""
MOST_NAMED = 12
"""Marks in a sheet's title."""
_OF_EACH = "see each"
_BARE = 2.5
"""Bare paper inside a field's edges, mm."""
_TITLE = _SMALL = TEXT
"""Heights of letters in a part's head, mm."""


@dataclass(frozen=True)
class Detail:
    """What a part's drawing has to show: its views and tables, notes, fields of a title block, the marks of all that
    are made so, of what kind they are, and what they are called."""

    content: Content
    notes: tuple[Note, ...]
    fields: TitleFields
    marks: tuple[str, ...]
    kind: str
    called: str


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
    def of(paper: Paper, foot: float, height: float) -> _Grid:
        """Upright a sheet up to A4, else lying, with `foot` mm kept for notes above the title block, which is
        `height` mm high."""
        paper = paper.upright if min(paper.width, paper.height) < 260.0 else paper.landscape
        x0, _, x1, y1 = frame_box(paper)
        room = (x0 + INSIDE, title_box(paper, height)[3] + INSIDE + foot, x1 - INSIDE, y1 - INSIDE)
        width, height = size_of(room)
        return _Grid(paper, room, max(1, round(width / FIELD[0])), max(1, round(height / FIELD[1])))

    def box(self, column: int, row: int, across: int, down: int) -> Box:
        """Of fields in a block, rows counted from the top, mm of the sheet."""
        width, height = size_of(self.room)
        x, y = width / self.columns, height / self.rows
        left, top = self.room[0] + column * x, self.room[3] - row * y
        return (left, top - down * y, left + across * x, top)

    def taken_by(self, size: tuple[int, int]) -> int:
        """How many fields a block costs: one so high that little fits beside it, as many as the sheet is wide."""
        across, down = size
        return down * (self.columns if down > TALL * self.rows else across)

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
    sheets: list[SharedSheet] = []
    single: list[Detail] = []
    alone: list[Detail] = []
    for kind in dict.fromkeys(detail.kind for detail in details):
        made, left, large = _filled([detail for detail in details if detail.kind == kind], paper, HALF_EMPTY)
        sheets, single, alone = sheets + made, single + left, alone + large
    # What would have a sheet to itself, of whatever kind, shares one with the others of that sort.
    made, left, large = _filled(single, paper, 0.0)
    return sheets + made, alone + left + large


def _filled(
    details: Sequence[Detail], paper: Paper, full: float
) -> tuple[list[SharedSheet], list[Detail], list[Detail]]:
    """Sheets of several parts of which at least the share `full` is taken; those that found no company, and those that
    take a sheet of their own."""
    if not details:
        return [], [], []
    said = Counter(note for detail in details for note in dict.fromkeys(detail.notes))
    alike = [note for note, count in said.items() if count > len(details) / 2.0]
    foot = _foot(alike, paper).height + 2.0 if alike else 0.0
    grid = _Grid.of(paper, foot, max(detail.fields.height for detail in details))
    fillings: list[_Filling] = []
    large: list[Detail] = []
    for block in sorted(_blocks(details, alike, grid, large), key=lambda each: -each.size[0] * each.size[1]):
        _place(block, grid, fillings)
    several = [each for each in fillings if len(each.placed) > 1 and len(each.taken) >= full * grid.columns * grid.rows]
    single = [detail for filling in fillings if filling not in several for detail, _, _ in filling.placed]
    for filling in several:
        filling.placed.sort(key=lambda each: details.index(each[0]))
    return [_sheet(filling, grid, alike) for filling in several], single, large


@dataclass(frozen=True)
class _Block:
    """A part laid out in the fewest fields in which it reads well: across and down, at the grid's upper left."""

    detail: Detail
    size: tuple[int, int]
    panels: list[Panel]


def _blocks(details: Sequence[Detail], alike: Sequence[Note], grid: _Grid, alone: list[Detail]) -> Iterator[_Block]:
    """Of each part its block, without the notes that stand at the sheet's foot; those that take too many fields join
    `alone`."""
    for detail in details:
        apart = replace(detail, notes=_run_in([note for note in detail.notes if note not in alike]))
        bare = without_spare(detail.content)
        ways = [apart] if bare is None else [apart, replace(apart, content=bare)]
        found = min(
            (
                fewest
                for across in range(1, grid.columns + 1)
                for way in ways
                if (fewest := _fewest(way, grid, across)) is not None
            ),
            key=lambda each: (grid.taken_by(each[0]), each[0][1]),
            default=None,
        )
        if found is None:
            alone.append(detail)
        else:
            yield _Block(detail, *found)


def _fewest(detail: Detail, grid: _Grid, across: int) -> tuple[tuple[int, int], list[Panel]] | None:
    """The lowest block of so many fields across in which a part reads well; None where that leaves no room for
    another."""
    best = None
    low, high = 1, int(grid.rows * MOST)
    while low <= high:
        down = (low + high) // 2
        panels = _in_block(detail, grid.box(0, 0, across, down))
        if panels is None:
            low = down + 1
        else:
            best, high = ((across, down), panels), down - 1
    return best


def _run_in(notes: Sequence[Note]) -> tuple[Note, ...]:
    """Notes of one weight in one paragraph: each on lines of its own would take more room than a part's views."""
    plain, bold = ([text for text, is_bold in notes if is_bold is which] for which in (False, True))
    return tuple((" \u00b7 ".join(texts), which) for texts, which in ((plain, False), (bold, True)) if texts)


def _place(block: _Block, grid: _Grid, fillings: list[_Filling]) -> None:
    """Puts a part on the first sheet that has room for it, or on a new one."""
    size = block.size
    filling = next((each for each in fillings if grid.free(each, size)), None)
    if filling is None:
        filling = _Filling()
        fillings.append(filling)
    column, row = grid.free(filling, size) or (0, 0)
    filling.taken |= _cells(column, row, size)
    here, there = grid.box(0, 0, *size), grid.box(column, row, *size)
    corner = (there[2], there[1])
    rules = [line((there[0], there[1]), corner, "thin")]
    if column + size[0] < grid.columns:
        rules.append(line(corner, (there[2], there[3]), "thin"))
    picture = Picture.of(rules)
    for panel in block.panels:
        picture = picture + panel.moved(there[0] - here[0], there[3] - here[3]).picture
    filling.placed.append((block.detail, there, Panel(picture, there)))


def _in_block(detail: Detail, box: Box) -> list[Panel] | None:
    """Head, views, tables and notes of a part in a block of fields; None where they do not fit so that they read."""
    x0, y0, x1, y1 = box[0] + _BARE, box[1] + _BARE, box[2] - _BARE, box[3] - _BARE
    notes = notes_panel(detail.notes, x1 - x0)
    below = y0 + notes.height + (_BARE if detail.notes else 0.0)
    head = _head(replace(detail.fields, scale="1:10"), x1 - x0)
    room = (x0, below, x1, y1 - head.height - _BARE)
    if detail.content.later or not _may_fit(detail.content, room):
        return None
    made = arranged_whole(detail.content, room, _reads)
    if made is None:
        return None
    head = _head(replace(detail.fields, scale=scale_name(made.scale)), x1 - x0)
    return [head.at(x0, y1 - head.height), *made.panels, notes.at(x0, y0)]


def _may_fit(content: Content, room: Box) -> bool:
    """False where it is plain without a trial that not all fits: a trial costs far more."""
    width, height = size_of(room)
    view, tables = content.main.view, [table.panel() for table in content.tables]
    scale = min((scale for scale in (*SCALES, *FINER) if _reads(view, scale)), default=SCALES[0])
    across, down = view.least(scale)
    area = across * down + sum(table.width * table.height for table in tables)
    return across <= width and down <= height and area <= width * height and all(t.width <= width for t in tables)


def _reads(view: View, scale: float) -> bool:
    """Whether a main view reads well at a scale."""
    long, short = sorted(size_at(view, scale), reverse=True)
    if view.broken:
        return size_at(view, scale)[1] >= view.slim
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
        y -= size * 0.2
    return Panel(Picture.of(items).moved(0.0, -y), (0.0, 0.0, width, -y))


def _foot(notes: Sequence[Note], paper: Paper) -> Panel:
    x0, _, x1, _ = frame_box(paper.upright if min(paper.width, paper.height) < 260.0 else paper.landscape)
    return least_tall(_run_in(notes), x1 - x0 - 2.0 * INSIDE)


def _sheet(filling: _Filling, grid: _Grid, alike: Sequence[Note]) -> SharedSheet:
    details = [detail for detail, _, _ in filling.placed]
    foot = _foot(alike, grid.paper)
    panels = [panel for _, _, panel in filling.placed]
    if alike:
        panels.append(foot.at(grid.room[0], grid.room[1] - foot.height - 2.0))
    marks = tuple(mark for detail in details for mark in detail.marks)
    fields = TitleFields(
        title=names(marks, MOST_NAMED),
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

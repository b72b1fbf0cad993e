"""Laying templates out on true-size pages.

A template is a block: what it is, the drawing to cut out and its table of ordinates.  Blocks
share a page where they fit; a drawing larger than the paper is divided over several (`tiling.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import Page, fitted, text_width, wrapped
from fabgen.documents.render.picture import Item, Picture, Text, line
from fabgen.documents.render.sketch import Panel, Sketch
from fabgen.documents.render.tiling import HEAD, Joins, Tiled, tile_map
from fabgen.documents.render.true_size import TUBES, TrueSizeSheet
from fabgen.geometry.plane.outline import Box
from fabgen.job.tables.definitions import Header

_GAP = 2.5
_BETWEEN = 6.0
"""Between two blocks on a page, mm."""
_NARROWEST_TABLE = 34.0
_ASIDE = 6.0
_MAP = (60.0, 45.0)
"""What the map of a drawing over several pages takes at most, mm."""


class Template(Protocol):
    """What a block is made of; sizes in mm."""

    @property
    def name(self) -> str:
        """'T3 start', printed large."""

    @property
    def title(self) -> str:
        """What the part is called, or ''."""

    @property
    def quantity(self) -> str:
        """'3 tubes like this', or ''."""

    @property
    def box(self) -> Box:
        """What the drawing covers, lines' widths included."""

    def facts(self) -> Iterator[str]:
        """Short facts, as many to a line as fit."""

    def advice(self) -> tuple[str, str]:
        """A word and what it has to say, below the facts; the second '' where there is nothing to say."""

    def drawing(self, joins: Joins) -> Sketch:
        """The drawing; texts keep off the joins."""

    def table(self, width: float) -> Panel:
        """The ordinates, no wider than `width` where that can be."""

    def landmarks(self) -> tuple[Sequence[float], Sequence[float]]:
        """Upright and level lines at which the drawing is better not divided."""


# -- a block: heading, drawing, table --------------------------------------------
def _heading(template: Template, width: float) -> _PanelGroup:
    """Mark and end, large; then the facts, as many to a line as fit."""
    items: list[Item] = []
    base = -5.6
    name, name_size = fitted(template.name, width * 0.6, 7.0, True)
    items.append(Text(0.0, base, name, name_size, bold=True))
    x = text_width(name, name_size, True) + 4.0
    quantity = template.quantity
    room = width - x - text_width(quantity, 4.2, True) - 4.0
    if template.title and room > 12.0:
        title, size = fitted(template.title, room, 4.2)
        items.append(Text(x, base, title, size))
    if quantity:
        items.append(Text(width, base, quantity, 4.2, "end", bold=True))
    x, y = 0.0, base - 5.6
    for fact in template.facts():
        fact, size = fitted(fact, width, 3.5)
        long = text_width(fact, size)
        if x > 0.0 and x + long > width:
            x, y = 0.0, y - 5.0
        items.append(Text(x, y, fact, size))
        x += long + 5.0
    word, advice = template.advice()
    if advice:
        indent = text_width(word, 3.5, True) + 2.5
        items.append(Text(0.0, y - 5.0, word, 3.5, bold=True))
        for text in wrapped(advice, width - indent, 3.5):
            y -= 5.0
            items.append(Text(indent, y, text, 3.5))
    height = -y + 1.0
    return _PanelGroup.of(Panel(Picture.of(items), (0.0, -height, width, 0.0)))


def _drawing(template: Template) -> _PanelGroup:
    return _PanelGroup.of(Panel(Picture.of(template.drawing(Joins(template.box)).items), template.box))


def _table(template: Template, width: float) -> _PanelGroup:
    return _PanelGroup.of(template.table(width))


def _block(template: Template, width: float, height: float, drawing: _PanelGroup) -> _PanelGroup | None:
    """Heading, drawing and table in the lowest of three layouts; None where none fits.

    Table below the drawing, table beside it, or heading and table both beside it.
    """
    if drawing.width > width:
        return None
    heading = _heading(template, width)
    beside = width - drawing.width - _ASIDE
    stacks = [_stacked([heading, drawing, _table(template, width)], width)]
    if beside >= _NARROWEST_TABLE:
        table = _table(template, beside)
        if table.width <= beside:
            stacks.append(_stacked([heading, _side_by_side(drawing, table)], width))
            stacks.append(_side_by_side(drawing, _stacked([_heading(template, beside), table], beside)))
    lowest = min(stacks, key=lambda stack: stack.height)
    return lowest if lowest.height <= height else None


def _without_table(template: Template, width: float, height: float, drawing: _PanelGroup) -> _PanelGroup | None:
    """Heading and drawing; None where they do not fit."""
    group = _stacked([_heading(template, width), drawing], width)
    return group if drawing.width <= width and group.height <= height else None


def _named_table(template: Template, width: float, height: float) -> _PanelGroup | None:
    """The table under the template's name; None where it does not fit."""
    table = _table(template, width)
    name = Panel(
        Picture.of([Text(0.0, -5.6, *fitted(template.name, width, 7.0, True), bold=True)]), (0, -7.0, width, 0)
    )
    group = _stacked([_PanelGroup.of(name), table], width)
    return group if table.width <= width and group.height <= height else None


@dataclass(frozen=True)
class _PanelGroup:
    """Panels placed in a box `width` x `height` mm; moved only once, when they are drawn."""

    width: float
    height: float
    placed: tuple[tuple[Panel, float, float], ...]

    @staticmethod
    def of(panel: Panel) -> _PanelGroup:
        return _PanelGroup(panel.width, panel.height, ((panel, 0.0, 0.0),))

    def shifted(self, dx: float, dy: float) -> tuple[tuple[Panel, float, float], ...]:
        return tuple((panel, x + dx, y + dy) for panel, x, y in self.placed)

    def items_at(self, x: float, y: float) -> Iterator[Item]:
        """Everything in it, the box's lower left corner at (x, y)."""
        for panel, dx, dy in self.placed:
            yield from panel.at(x + dx, y + dy).picture.items


def _stacked(groups: Sequence[_PanelGroup], width: float) -> _PanelGroup:
    """One below the other, flush left, in a box `width` wide."""
    y = 0.0
    placed: tuple[tuple[Panel, float, float], ...] = ()
    for group in reversed(groups):
        placed = group.shifted(0.0, y) + placed
        y += group.height + _GAP
    return _PanelGroup(width, y - _GAP, placed)


def _side_by_side(left: _PanelGroup, right: _PanelGroup) -> _PanelGroup:
    """Beside one another, their upper edges level."""
    height = max(left.height, right.height)
    x = left.width + _ASIDE
    placed = left.shifted(0.0, height - left.height) + right.shifted(x, height - right.height)
    return _PanelGroup(x + right.width, height, placed)


# -- pages -----------------------------------------------------------------------
@dataclass
class _OpenPage:
    """A page being filled from the top; `left` mm of its height are free."""

    sheet: TrueSizeSheet
    left: float
    items: list[Item] = field(default_factory=list)

    def add(self, group: _PanelGroup) -> None:
        """Below what is there, with a rule between."""
        x0, y0, x1, _ = self.sheet.room
        if self.items:
            rule = y0 + self.left - _BETWEEN / 2.0
            self.items.append(line((x0, rule), (x1, rule), "thin"))
            self.left -= _BETWEEN
        self.left -= group.height
        self.items += group.items_at(x0, y0 + self.left)


class Book:
    """The pages, filled in order."""

    def __init__(self, header: Header, paper: Paper, what: str = TUBES) -> None:
        self._header, self._what = header, what
        self._sheets = (TrueSizeSheet(paper.upright), TrueSizeSheet(paper.landscape))
        self._pages: list[_OpenPage] = []

    def pages(self) -> list[Page]:
        count = len(self._pages)
        return [
            page.sheet.page(Picture.of(page.items), self._header, k, count, self._what)
            for k, page in enumerate(self._pages, 1)
        ]

    def add_page(self, items: Sequence[Item], sheet: TrueSizeSheet) -> None:
        """A page of its own, its items placed on the sheet."""
        self._pages.append(_OpenPage(sheet, 0.0, list(items)))

    def add(self, template: Template) -> None:
        box = template.box
        sheets = [s for s in self._sheets if box[2] - box[0] <= s.width and box[3] - box[1] <= s.height]
        if sheets:
            drawing = _drawing(template)
            blocks = [(s, block) for s in sheets if (block := _block(template, s.width, s.height, drawing))]
            if blocks:
                self._add_block(blocks)
                return
            apart = [(s, group) for s in sheets if (group := _without_table(template, s.width, s.height, drawing))]
            tables = [(s, table) for s in self._sheets if (table := _named_table(template, s.width, s.height))]
            if apart and tables:
                # The drawing whole, its table after it: no sheet holds both.
                self._add_block(apart)
                self._add_block(tables)
                return
        self._add_tiled(template)

    def _add_block(self, blocks: Sequence[tuple[TrueSizeSheet, _PanelGroup]]) -> None:
        """On the page begun, if it has room; else on a new one."""
        if self._pages:
            page = self._pages[-1]
            for sheet, block in blocks:
                if sheet == page.sheet and block.height + _BETWEEN <= page.left:
                    page.add(block)
                    return
        # Turned the way that takes more of its kind; upright where that is equal.
        sheet, block = max(blocks, key=lambda b: int((b[0].height + _BETWEEN) / (b[1].height + _BETWEEN)))
        self._pages.append(_OpenPage(sheet, sheet.height))
        self._pages[-1].add(block)

    def _add_tiled(self, template: Template) -> None:
        """Over several pages; heading and table on the first that has room for them, else after."""
        paper = self._sheets[0].paper
        tiled = Tiled.of(template.box, paper, template.landmarks(), lambda joins: template.drawing(joins).items)
        tiles = tiled.tiles()
        numbers = {(tile.column, tile.row): len(self._pages) + i for i, tile in enumerate(tiles, 1)}
        plan = tile_map(tiled, numbers, *_MAP)
        card_wanted = True
        for number, tile in enumerate(tiles, 1):
            x0, y0, x1, y1 = tile.window
            items = tiled.page(tile, f"{template.name}, part {number} of {len(tiles)}", numbers)
            page = _OpenPage(tiled.sheet, tiled.sheet.height - HEAD - (y1 - y0), items)
            if card_wanted:
                card_wanted = not _add_card(page, template, plan, x1 - x0)
            page.left = 0.0
            self._pages.append(page)
        if card_wanted:
            cards = [(s, card) for s in self._sheets if (card := _card(template, plan, s.width))]
            if fitting := [(s, card) for s, card in cards if card.height <= s.height]:
                self._add_block(fitting)
            else:  # heading and table are too much for one page
                self._add_block([(s, _card_head(template, plan, s.width)) for s in self._sheets])
                self._add_block([(s, _table(template, s.width)) for s in self._sheets])


def _card_head(template: Template, plan: Panel, width: float) -> _PanelGroup:
    """Heading and the map of the pages."""
    return _stacked([_heading(template, width), _PanelGroup.of(plan)], width)


def _card(template: Template, plan: Panel, width: float) -> _PanelGroup | None:
    """Heading, map of the pages and table without the drawing; None where the width is too small for them."""
    if width < 2.0 * _NARROWEST_TABLE:
        return None
    table = _table(template, width)
    return _stacked([_card_head(template, plan, width), table], width) if table.width <= width else None


def _add_card(page: _OpenPage, template: Template, plan: Panel, taken: float) -> bool:
    """Put heading and table below the page's share of the drawing, or beside it; False without room."""
    sheet = page.sheet
    below = _card(template, plan, sheet.width)
    if below is not None and below.height + _BETWEEN <= page.left:
        page.add(below)
        return True
    beside = _card(template, plan, sheet.width - taken - _ASIDE)
    if beside is not None and beside.height <= sheet.height - HEAD:
        _, _, right, top = sheet.room
        page.items += beside.items_at(right - beside.width, top - HEAD - beside.height)
        return True
    return False

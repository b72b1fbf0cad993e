"""Templates on true-size pages, as many on one as it takes.

A block goes on the earliest of the pages last begun that has room for it, either way round: with each block more the
page is laid out anew, in rows of up to three, and what all of its blocks would say stands once above them.  So the
pages follow the list as far as they can be filled with it.  A drawing larger than the paper is divided over several
(`tiling.py`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import Page
from fabgen.documents.render.picture import Item, Picture
from fabgen.documents.render.sketch import Panel
from fabgen.documents.render.tiling import HEAD, Tiled, tile_map
from fabgen.documents.render.true_size import TUBES, TrueSizeSheet
from fabgen.documents.templates.template_blocks import (
    ASIDE,
    Block,
    PanelGroup,
    Said,
    Template,
    block_without_table,
    card,
    card_head,
    lone_block,
    rule,
    said_above,
    side_by_side,
    stacked,
    table_block,
    whole_block,
)
from fabgen.job.tables.definitions import Header

_BETWEEN = 6.0
"""Between two rows of blocks, with a rule in its middle, mm."""
_GUTTER = 8.0
"""Between two blocks of a row, mm."""
_MOST_IN_A_ROW = 3
_OPEN = 12
"""So many of the pages last begun are tried: one far back is no page to look for a part of the list on."""
_MAP = (60.0, 45.0)
"""What the map of a drawing over several pages takes at most, mm."""


@dataclass
class _OpenPage:
    """A page being filled: its blocks as they are laid out, or `items` that fill it alone."""

    sheet: TrueSizeSheet
    blocks: list[Block] = field(default_factory=list)
    laid: PanelGroup | None = None
    items: Sequence[Item] = ()

    def content(self) -> Picture:
        if self.laid is None:
            return Picture.of(self.items)
        x0, _, _, y1 = self.sheet.room
        return Picture.of([*self.items, *self.laid.items_at(x0, y1 - self.laid.height)])


class Book:
    """The pages, filled in order."""

    def __init__(self, header: Header, paper: Paper, what: str = TUBES) -> None:
        self._header, self._what = header, what
        self._sheets = (TrueSizeSheet(paper.upright), TrueSizeSheet(paper.landscape))
        self._pages: list[_OpenPage] = []
        self.places: list[tuple[str, int]] = []
        """What was added, in order, and the number of the page where it is, or begins."""

    def pages(self) -> list[Page]:
        count = len(self._pages)
        return [
            page.sheet.page(page.content(), self._header, k, count, self._what) for k, page in enumerate(self._pages, 1)
        ]

    @property
    def in_order(self) -> bool:
        """Whether the pages follow the order in which templates were added."""
        numbers = [number for _, number in self.places]
        return numbers == sorted(numbers)

    def add_panel(self, panel: Panel) -> None:
        """What belongs to the end of the book, on its last page if it has room."""
        self._put([lone_block(lambda width: PanelGroup.of(panel) if panel.width <= width + 1e-6 else None)], last=1)

    def add(self, *templates: Template) -> None:
        """Templates that are wanted on one page, where one takes them all."""
        wholes = [self._as_one(template) for template in templates]
        blocks = [block for block in wholes if block is not None]
        if len(blocks) == len(wholes) > 1 and (self._put(blocks)):
            self.places += [(template.name, self._last) for template in templates]
            return
        for template, block in zip(templates, wholes, strict=True):
            if block is not None:
                self._put([block])
                self.places.append((template.name, self._last))
            else:
                self._add_in_parts(template)

    def _as_one(self, template: Template) -> Block | None:
        """The template whole, where there is a page that takes it so."""
        x0, y0, x1, y1 = template.box
        if not any(x1 - x0 <= sheet.width and y1 - y0 <= sheet.height for sheet in self._sheets):
            return None
        block = whole_block(template, self._sheets[0].width)
        return block if self._laid([block]) else None

    def _put(self, blocks: Sequence[Block], last: int = _OPEN) -> bool:
        """On that of the `last` pages which is fullest with them, else on a new one; False where no page takes them."""
        first = max(0, len(self._pages) - last)
        begun = [(number, page) for number, page in enumerate(self._pages[first:], first + 1) if page.blocks]
        tried = [(number, page, self._laid([*page.blocks, *blocks])) for number, page in begun]
        if fitting := [(number, page, found) for number, page, found in tried if found is not None]:
            number, page, found = max(fitting, key=lambda way: way[2][1].height / way[2][0].height)
            page.sheet, page.laid = found
            page.blocks += blocks
            self._last = number
            return True
        if (alone := self._laid(blocks)) is None:
            return False
        self._pages.append(_OpenPage(alone[0], [*blocks], alone[1]))
        self._last = len(self._pages)
        return True

    def _laid(self, blocks: Sequence[Block]) -> tuple[TrueSizeSheet, PanelGroup] | None:
        """The blocks on one page, upright where that can be; None where no page takes them."""
        for sheet in self._sheets:
            if sum(block.area for block in blocks) <= sheet.width * sheet.height:
                said, above = said_above(blocks, sheet.width)
                rows = _in_rows(blocks, sheet.width, said)
                if rows is not None and above is not None:
                    rows = stacked([above, rule(sheet.width), rows], sheet.width)
                if rows is not None and rows.height <= sheet.height:
                    return sheet, rows
        return None

    def _add_in_parts(self, template: Template) -> None:
        """The drawing whole and its table after it, or the drawing over several pages."""
        x0, y0, x1, y1 = template.box
        if any(x1 - x0 <= sheet.width and y1 - y0 <= sheet.height for sheet in self._sheets):
            apart, table = block_without_table(template), table_block(template)
            if self._laid([apart]) and self._laid([table]):
                self._put([apart])
                self.places.append((template.name, self._last))
                self._put([table])
                return
        self.places.append((template.name, len(self._pages) + 1))
        self._add_tiled(template)

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
            if card_wanted and (below := _card_items(tiled.sheet, template, plan, (x1 - x0, HEAD + y1 - y0))):
                items, card_wanted = [*items, *below], False
            self._pages.append(_OpenPage(tiled.sheet, items=items))
        if card_wanted and not self._put([lone_block(lambda width: card(template, plan, width))]):
            # Heading and table are too much for one page.
            self._put([lone_block(lambda width: card_head(template, plan, width))])
            self._put([table_block(template)])


def _in_rows(blocks: Sequence[Block], width: float, said: Said) -> PanelGroup | None:
    """The blocks in their order, in rows of up to three, as low as that can be; None where one is too wide."""
    lowest: list[tuple[float, list[PanelGroup]] | None] = [(0.0, [])]
    for last in range(1, len(blocks) + 1):
        ways = []
        for first in range(max(0, last - _MOST_IN_A_ROW), last):
            before, row = lowest[first], _row(blocks[first:last], width, said)
            if before is not None and row is not None:
                ways.append((before[0] + row.height, [*before[1], row]))
        lowest.append(min(ways, key=lambda way: way[0] + _BETWEEN * len(way[1]), default=None))
    if (found := lowest[-1]) is None:
        return None
    first_row, *more = found[1]
    ruled = [first_row, *(group for row in more for group in (rule(width), row))]
    return stacked(ruled, width, _BETWEEN / 2.0)


def _row(blocks: Sequence[Block], width: float, said: Said) -> PanelGroup | None:
    """The blocks side by side, each with its share of what room is left."""
    spare = (width - sum(block.least for block in blocks) - _GUTTER * (len(blocks) - 1)) / len(blocks)
    if spare < 0.0:
        return None
    row: PanelGroup | None = None
    for block in blocks:
        group = block.laid(block.least + spare, said)
        if group is None:
            return None
        row = group if row is None else side_by_side(row, group, _GUTTER)
    return row


def _card_items(sheet: TrueSizeSheet, template: Template, plan: Panel, taken: tuple[float, float]) -> list[Item]:
    """Heading and table below a page's share of the drawing, which takes so much of its width and height, mm, or beside
    it; none without room."""
    x0, y0, right, top = sheet.room
    left = sheet.height - taken[1] - _BETWEEN
    if (below := card(template, plan, sheet.width)) is not None and below.height <= left:
        return [
            *rule(sheet.width).items_at(x0, y0 + left + _BETWEEN / 2.0),
            *below.items_at(x0, y0 + left - below.height),
        ]
    beside = card(template, plan, sheet.width - taken[0] - ASIDE)
    if beside is not None and beside.height <= sheet.height - HEAD:
        return list(beside.items_at(right - beside.width, top - HEAD - beside.height))
    return []

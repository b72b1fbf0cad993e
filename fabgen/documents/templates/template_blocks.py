"""A template as a block of a page: what it is, the drawing to cut out and its table of ordinates.

A block is laid out anew for each width that it may get on a page, and for what that page says once of all its blocks
(`template_book.py` puts them there).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from fabgen.documents.render.pdf import fitted, text_width, wrapped
from fabgen.documents.render.picture import Item, Picture, Text, line
from fabgen.documents.render.sketch import Panel, Sketch
from fabgen.documents.render.tiling import Joins
from fabgen.geometry.plane.outline import Box

GAP = 2.0
"""Between the panels of a block, mm."""
ASIDE = 6.0
"""Between a drawing and what stands beside it, mm."""
NARROWEST_TABLE = 34.0
_PITCH = 4.6
"""From line to line of facts, mm."""

Said = frozenset[str]
"""Facts and advice that stand above all blocks of a page, so that none of them says them again."""
NOTHING: Said = frozenset()


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

    def table(self, width: float) -> Panel | None:
        """The ordinates, no wider than `width` where that can be; None where there is nothing to list."""

    def landmarks(self) -> tuple[Sequence[float], Sequence[float]]:
        """Upright and level lines at which the drawing is better not divided."""


# -- panels placed together ------------------------------------------------------
@dataclass(frozen=True)
class PanelGroup:
    """Panels placed in a box `width` x `height` mm; moved only once, when they are drawn."""

    width: float
    height: float
    placed: tuple[tuple[Panel, float, float], ...]

    @staticmethod
    def of(panel: Panel) -> PanelGroup:
        return PanelGroup(panel.width, panel.height, ((panel, 0.0, 0.0),))

    def shifted(self, dx: float, dy: float) -> tuple[tuple[Panel, float, float], ...]:
        return tuple((panel, x + dx, y + dy) for panel, x, y in self.placed)

    def items_at(self, x: float, y: float) -> Iterator[Item]:
        """Everything in it, the box's lower left corner at (x, y)."""
        for panel, dx, dy in self.placed:
            yield from panel.at(x + dx, y + dy).picture.items


def stacked(groups: Sequence[PanelGroup], width: float, gap: float = GAP) -> PanelGroup:
    """One below the other, flush left, in a box `width` wide."""
    y = 0.0
    placed: tuple[tuple[Panel, float, float], ...] = ()
    for group in reversed(groups):
        placed = group.shifted(0.0, y) + placed
        y += group.height + gap
    return PanelGroup(width, y - gap, placed)


def side_by_side(left: PanelGroup, right: PanelGroup, gap: float = ASIDE) -> PanelGroup:
    """Beside one another, their upper edges level."""
    height = max(left.height, right.height)
    x = left.width + gap
    placed = left.shifted(0.0, height - left.height) + right.shifted(x, height - right.height)
    return PanelGroup(x + right.width, height, placed)


def rule(width: float) -> PanelGroup:
    return PanelGroup.of(Panel(Picture.of([line((0.0, 0.0), (width, 0.0), "thin")]), (0.0, 0.0, width, 0.0)))


# -- heading, drawing, table -----------------------------------------------------
def heading(template: Template, width: float, said: Said = NOTHING) -> PanelGroup:
    """Mark and end, large; then the facts, as many to a line as fit, without those that are `said` above."""
    base = -5.6
    name, name_size = fitted(template.name, width * 0.6, 7.0, True)
    items: list[Item] = [Text(0.0, base, name, name_size, bold=True)]
    x = text_width(name, name_size, True) + 4.0
    quantity = template.quantity
    room = width - x - text_width(quantity, 4.2, True) - 4.0
    if template.title and room > 12.0:
        title, size = fitted(template.title, room, 4.2)
        items.append(Text(x, base, title, size))
    if quantity:
        items.append(Text(width, base, quantity, 4.2, "end", bold=True))
    word, advice = template.advice()
    facts = [fact for fact in template.facts() if fact not in said]
    below = _words(facts, (word, "" if advice in said else advice), width, base - 1.0)
    return _panel(items + below[0], below[1], width)


def said_above(blocks: Sequence[Block], width: float) -> tuple[Said, PanelGroup | None]:
    """What all of several templates would say, and that as a heading of their page; nothing of one alone."""
    speaking = [block for block in blocks if block.facts]
    if len(speaking) < 2:
        return NOTHING, None
    first, *more = speaking
    facts = [fact for fact in first.facts if all(fact in each.facts for each in more)]
    advice = first.advice if all(first.advice == each.advice for each in more) else ("", "")
    if not (facts or advice[1]):
        return NOTHING, None
    title = "All of this page:"
    items: list[Item] = [Text(0.0, -3.4, title, 3.5, bold=True)]
    below, y = _words(facts, advice, width, _PITCH - 3.4, text_width(title, 3.5, True) + 3.0)
    return frozenset([*facts, advice[1]]) - {""}, _panel(items + below, y, width)


def _words(
    facts: Sequence[str], advice: tuple[str, str], width: float, top: float, begin: float = 0.0
) -> tuple[list[Item], float]:
    """Facts, and the advice under them; and the last base line, mm, which is `top` where nothing is said.

    `begin`: how far along its line the first fact stands, mm.
    """
    items: list[Item] = []
    x, y = begin, top - _PITCH
    for fact in facts:
        if x > 0.0 and x + text_width(fact, 3.5) > width:
            x, y = 0.0, y - _PITCH
        for number, text in enumerate(wrapped(fact, width, 3.5)):
            y -= _PITCH if number else 0.0
            items.append(Text(x, y, text, 3.5))
        x += text_width(text, 3.5) + 5.0
    if x == 0.0:
        y = top
    word, said = advice
    if said:
        indent = text_width(word, 3.5, True) + 2.5
        items.append(Text(0.0, y - _PITCH, word, 3.5, bold=True))
        for text in wrapped(said, width - indent, 3.5):
            y -= _PITCH
            items.append(Text(indent, y, text, 3.5))
    return items, y


def _panel(items: Sequence[Item], base: float, width: float) -> PanelGroup:
    """Items of which the last base line is `base`."""
    return PanelGroup.of(Panel(Picture.of(items), (0.0, base - 1.0, width, 0.0)))


def drawn(template: Template) -> PanelGroup:
    return PanelGroup.of(Panel(Picture.of(template.drawing(Joins(template.box)).items), template.box))


def tables(template: Template, width: float) -> list[PanelGroup]:
    """The table; none where the template has nothing to list."""
    table = template.table(width)
    return [] if table is None else [PanelGroup.of(table)]


# -- blocks ----------------------------------------------------------------------
@dataclass(frozen=True, eq=False)
class Block:
    """What stands on a page as one: a template, or a part of one.

    `facts` and `advice` are what it says, none where it is no template; `least` is its least width and `area` the room
    it takes at least, mm and mm2.
    `lay` gives its panels in a width, None where it is too narrow.
    """

    facts: tuple[str, ...]
    advice: tuple[str, str]
    least: float
    area: float
    lay: Callable[[float, Said], PanelGroup | None]
    _laid: dict[tuple[float, Said], PanelGroup | None] = field(default_factory=dict)

    def laid(self, width: float, said: Said) -> PanelGroup | None:
        key = (round(width, 3), said)
        if key not in self._laid:
            self._laid[key] = self.lay(width, said)
        return self._laid[key]


def whole_block(template: Template, width: float) -> Block:
    """Heading, drawing and table of a template.

    Args:
        width: of a page's room, mm.
    """
    drawing = drawn(template)
    area = drawing.width * drawing.height + sum(table.width * table.height for table in tables(template, width))
    return _block(template, drawing.width, area, lambda wide, said: _whole(template, wide, drawing, said))


def block_without_table(template: Template) -> Block:
    """Heading and drawing."""
    drawing = drawn(template)
    return _block(
        template,
        drawing.width,
        drawing.width * drawing.height,
        lambda width, said: stacked([heading(template, width, said), drawing], width),
    )


def table_block(template: Template) -> Block:
    """The table under the template's name."""

    def lay(width: float, _said: Said) -> PanelGroup | None:
        name = Text(0.0, -5.6, *fitted(template.name, width, 7.0, True), bold=True)
        group = stacked([_panel([name], -6.0, width), *tables(template, width)], width)
        return group if all(table.width <= width for table in tables(template, width)) else None

    return Block((), ("", ""), 2.0 * NARROWEST_TABLE, 0.0, lay)


def card_head(template: Template, plan: Panel, width: float) -> PanelGroup:
    """Heading and the map of the pages of a drawing that is divided."""
    return stacked([heading(template, width), PanelGroup.of(plan)], width)


def card(template: Template, plan: Panel, width: float) -> PanelGroup | None:
    """Heading, map of the pages and table without the drawing; None where the width is too small for them."""
    if width < 2.0 * NARROWEST_TABLE:
        return None
    below = tables(template, width)
    if any(table.width > width for table in below):
        return None
    return stacked([card_head(template, plan, width), *below], width)


def lone_block(lay: Callable[[float], PanelGroup | None]) -> Block:
    """A block that says nothing that others may say too, as wide as its page."""
    return Block((), ("", ""), 2.0 * NARROWEST_TABLE, 0.0, lambda width, _said: lay(width))


def _block(template: Template, least: float, area: float, lay: Callable[[float, Said], PanelGroup | None]) -> Block:
    return Block(tuple(template.facts()), template.advice(), least, area, lay)


def _whole(template: Template, width: float, drawing: PanelGroup, said: Said) -> PanelGroup | None:
    """Heading, drawing and table in the lowest of three layouts; None where the drawing is too wide.

    Table below the drawing, table beside it, or heading and table both beside it.
    """
    if drawing.width > width:
        return None
    head = heading(template, width, said)
    below = tables(template, width)
    stacks = [stacked([head, drawing, *below], width)] if all(table.width <= width for table in below) else []
    beside = width - drawing.width - ASIDE
    if beside >= NARROWEST_TABLE:
        right = tables(template, beside)
        if all(table.width <= beside for table in right):
            stacks += [stacked([head, side_by_side(drawing, table)], width) for table in right]
            stacks.append(side_by_side(drawing, stacked([heading(template, beside, said), *right], beside)))
    return min(stacks, key=lambda stack: stack.height, default=None)

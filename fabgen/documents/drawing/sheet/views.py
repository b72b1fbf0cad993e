"""Views that can be drawn at any scale, the scales of ISO 5455, and how views share a sheet.

A sheet has one main view, drawn as large as it fits, side views and tables.  Side views and
tables stand in a column to the right of the main view or in rows below it, whichever lets the
main view be larger; those without room go to a further sheet.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache

from fabgen.documents.drawing.sheet.blocks import LONGEST, PITCH, table_panel, titled
from fabgen.documents.render.sketch import Panel
from fabgen.documents.render.words import figure
from fabgen.geometry.plane.outline import Box, Xy

SCALES = (10.0, 5.0, 2.0, 1.0, 1 / 2, 1 / 5, 1 / 10, 1 / 20, 1 / 50, 1 / 100, 1 / 200, 1 / 500)
"""ISO 5455:1979, recommended scales."""

FARTHEST = (1 / 1000, 1 / 2000, 1 / 5000, 1 / 10_000, 1 / 20_000, 1 / 50_000, 1 / 100_000)
"""ISO 5455:1979, for what fits at no other scale: a slip of some zeros, which is best seen drawn whole."""

FINER = (1 / 2.5, 1 / 3, 1 / 4, 1 / 6, 1 / 8, 1 / 15, 1 / 25, 1 / 30, 1 / 40, 1 / 75, 1 / 150, 1 / 250)
"""Intermediate scales, which ISO 5455:1979 lets one take by way of exception (clause from memory)."""

BETWEEN = 5.0
"""Bare paper between the blocks of a sheet, mm."""
HEAD = 6.5
"""What a view's title takes above it, mm."""
_SMALL_SIZE = 70.0
"""A part is enlarged only while its view, dimensions included, stays under this size at the scale
below, mm of paper."""


def scale_name(scale: float) -> str:
    """'1:2', '1:1', '5:1'."""
    return f"{round(scale)}:1" if scale >= 1.0 else f"1:{figure(1.0 / scale)}"


@dataclass(frozen=True)
class View:
    """A view: its title, `least(scale)` (width, height) it cannot do with less of, and how to draw
    it at a scale inside a room (width, height), mm of paper.  `scaled` False: not to scale;
    `wide` True: only for a sheet that lies landscape; `readable`: the least scale at which
    it still reads well; `spare`: where several parts share a sheet it may be left out;
    `broken`: broken so that it is as long as its room; `small`: as a main view lower (or narrower) than this, mm of
    paper without its dimensions, it takes a scale between the recommended ones; `slim`: it still reads well
    so low or narrow, mm of paper without its dimensions, and shares its sheet with all else while it is larger; 0 of
    one that would rather be large."""

    title: str
    least: Callable[[float], Xy]
    draw: Callable[[float, Xy], Panel]
    scaled: bool = True
    largest: float = 10.0
    wide: bool = False
    readable: float = 0.0
    spare: bool = False
    broken: bool = False
    small: float = 40.0
    slim: float = 0.0

    def __post_init__(self) -> None:
        # Asked for again and again, at few scales.
        object.__setattr__(self, "least", cache(self.least))


def least(width: float, height: float, extra: Xy) -> Callable[[float], Xy]:
    """What a view takes at a scale.

    Args:
        width, height: of what is drawn, mm.
        extra: for its dimensions, mm of paper.
    """
    return lambda scale: (width * scale + extra[0], height * scale + extra[1])


def steady(draw: Callable[[float], Panel]) -> Callable[[float, Xy], Panel]:
    """A view that looks the same in any room, so that it need be drawn only once at a scale.

    Args:
        draw: makes it at a scale.
    """
    kept = cache(draw)
    return lambda scale, room: kept(scale)


@dataclass(frozen=True)
class TableText:
    """A table before it is laid out, so that a long one can be parted."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    mirrored: tuple[tuple[str, ...], ...] = ()
    """Its rows as they read counted the other way round the part; () where that makes no difference."""
    longest: float = LONGEST
    """A longer cell takes more lines, mm."""

    def panel(self) -> Panel:
        return _laid_table(self)

    def parted(self, height: float) -> Iterator[Panel]:
        """Panels of at most `height` mm."""
        start, title = 0, self.title
        while start < len(self.rows):
            count = min(len(self.rows) - start, max(1, int(height / PITCH) - 2))
            panel = table_panel(title, self.heads, self.rows[start : start + count], longest=self.longest)
            while panel.height > height and count > 1:
                count -= 1
                panel = table_panel(title, self.heads, self.rows[start : start + count], longest=self.longest)
            yield panel
            start, title = start + count, f"{self.title} (continued)"


@lru_cache(maxsize=64)
def _laid_table(table: TableText) -> Panel:
    """Tried in many places, laid out once."""
    return table_panel(table.title, table.heads, table.rows, longest=table.longest)


class DrawnView:
    """A view's drawings so far: one that was drawn for another room serves again where it fits."""

    def __init__(self, view: View) -> None:
        self.view = view
        self._drawn: dict[float, list[tuple[Xy, Panel]]] = {}

    def fitted(self, scale: float, room: Xy) -> Panel | None:
        """The view with its title inside `room` at that scale; None when it does not fit."""
        need = self.view.least(scale)
        head = HEAD if self.view.title else 0.0
        if need[0] > room[0] or need[1] + head > room[1]:
            return None
        before = self._drawn.setdefault(scale, [])
        for _, panel in before:
            if panel.width <= room[0] and panel.height <= room[1]:
                return panel
        if any(room[0] <= given[0] and room[1] <= given[1] for given, _ in before):
            return None
        panel = self.view.draw(scale, (room[0], room[1] - head))
        if self.view.title:
            panel = titled(panel, self.view.title)
        before.append((room, panel))
        return panel if panel.width <= room[0] and panel.height <= room[1] else None


@dataclass(frozen=True, eq=False)
class Content:
    """What a piece's drawing shows.

    `drawn` are sizes (mm) that the views dimension and `shown` the keys of the piece's facts
    that they show, so that notes need not repeat them; `notes` are further ones.
    """

    main: DrawnView
    sides: tuple[View, ...] = ()
    tables: tuple[TableText, ...] = ()
    drawn: tuple[float, ...] = ()
    shown: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    later: tuple[TableText, ...] = ()
    """Tables that always go on a further sheet."""


def without_spare(content: Content) -> Content | None:
    """The content without the views that can be spared; None where it has none."""
    needed = tuple(view for view in content.sides if not view.spare)
    return replace(content, sides=needed) if len(needed) < len(content.sides) else None


@dataclass
class Arrangement:
    """Panels placed inside a room, and the scale of the main view; tables `left_over` found no place, nor did
    `left_views`, the side views, at a scale at which they can be read."""

    scale: float
    panels: list[Panel] = field(default_factory=list)
    left_over: list[TableText] = field(default_factory=list)
    left_views: tuple[View, ...] = ()


def arrange(content: Content, rooms: Sequence[Box]) -> tuple[int, Arrangement]:
    """The best arrangement of a drawing's views and tables.

    Args:
        rooms: (xmin, ymin, xmax, ymax) of the sheets to choose from, mm; on a tie the earlier one is taken.
    Returns: index of the room and the arrangement in it, at a scale of ISO 5455, or at one between where the next lower
        leaves the main view small.
    """
    return _arranged(content, rooms, _scales_for(content.main.view))


def arranged_whole(content: Content, room: Box, reads: Callable[[View, float], bool]) -> Arrangement | None:
    """All of a drawing's views and tables in a room; None where that leaves no scale at which the main view reads.

    Args:
        room: (xmin, ymin, xmax, ymax), mm.
        reads: whether a main view reads well at a scale.
    """
    scales = [scale for scale in SCALES if reads(content.main.view, scale)]
    even = _first_fit(content, [room], scales, EVEN)
    larger = [scale for scale in scales if even is None or scale > max(0.999, EVEN_WORTH * even[1].scale)]
    found = _first_fit(content, [room], larger, 0.0) or even
    return None if found is None else found[1]


def _scales_for(view: View) -> list[float]:
    """The scales to try for a main view, the largest first."""
    scales = list(SCALES)
    for scale in FINER:
        below = max(recommended for recommended in SCALES if recommended < scale)
        if min(size_at(view, below)) < view.small:
            scales.append(scale)
    return sorted(scales, reverse=True)


def _arranged(content: Content, rooms: Sequence[Box], scales: Sequence[float]) -> tuple[int, Arrangement]:
    """The best arrangement at one of the scales.

    Largest main view first; on a tie the earlier room, and a column before rows.  One step of
    scale is given up where only that lets the side views be of a like scale.
    """
    if slim := content.main.view.slim:
        seen = [scale for scale in scales if min(size_at(content.main.view, scale)) >= slim]
        if whole := _first_fit(content, rooms, seen, EVEN) or _first_fit(content, rooms, seen, 0.0):
            return whole
    even = _first_fit(content, rooms, scales, EVEN)
    if even is not None and even[1].scale >= 1.0:
        return even
    if even is None and content.sides and (bare := _without_tables(content, rooms, scales)):
        return bare
    larger = [scale for scale in scales if even is None or scale > EVEN_WORTH * even[1].scale]
    found = _first_fit(content, rooms, larger, 0.0) or even
    if found is not None:
        view, taken = content.main.view, found[1].scale
        least = taken if max(view.least(taken)) <= TOO_SMALL else APART_WORTH * taken
        if least > taken and min(size_at(view, taken)) >= THIN:
            return found
        larger = [scale for scale in scales if taken < scale <= 1.0 and scale >= least]
        return _without_tables(content, rooms, larger) or found
    # Nothing fits with all the tables: they go to a further sheet, or else the side views do.
    if content.tables:
        index, made = _arranged(replace(content, tables=()), rooms, scales)
        if not made.left_views:
            made.left_over += content.tables
            return index, made
    if content.sides:
        index, made = _arranged(replace(content, sides=()), rooms, scales)
        made.left_views = content.sides
        return index, made
    scale = last_scale(content.main.view, size_of(rooms[0]))
    panel = content.main.view.draw(scale, size_of(rooms[0]))
    return 0, Arrangement(scale, [_centred(panel, rooms[0])])


def last_scale(view: View, room: Xy) -> float:
    """The scale of a view that fits at none with its dimensions: the largest at which it does so without them.

    Args:
        view: drawn at `SCALES[-1]` or smaller.
        room: width and height of the paper for it, mm.
    """
    for scale in (SCALES[-1], *FARTHEST):
        width, height = size_at(view, scale)
        if width <= room[0] and height <= room[1]:
            return scale
    return FARTHEST[-1]


def _without_tables(content: Content, rooms: Sequence[Box], scales: Sequence[float]) -> tuple[int, Arrangement] | None:
    """The views at one of the scales, the tables under them if there happens to be room, else on a further sheet."""
    if not content.tables:
        return None
    found = _first_fit(replace(content, tables=()), rooms, scales, EVEN)
    if found is not None:
        index, made = found
        if not _tucked_under(made, content.tables, rooms[index]):
            made.left_over += content.tables
    return found


def _tucked_under(made: Arrangement, tables: Sequence[TableText], room: Box) -> bool:
    """Put tables along the bottom where the side views leave that free and the main view can move up; False, and
    nothing changed, where there is no room."""
    placed, top = _shelves([table.panel() for table in tables], room)
    main, *sides = made.panels
    crowded = any(_crowd(table.box, side.box) for table in placed for side in sides)
    if crowded or main.height > room[3] - top or max(table.box[2] for table in placed) > room[2]:
        return False
    made.panels = [_centred(main, (main.box[0], top, main.box[2], room[3])), *sides, *placed]
    return True


def _crowd(one: Box, other: Box) -> bool:
    """Whether two boxes come within half of BETWEEN of one another."""
    near = BETWEEN / 2.0
    return all(one[i] - near < other[i + 2] and other[i] - near < one[i + 2] for i in (0, 1))


TOO_SMALL = 55.0
"""A main view that takes no more than this, its dimensions included, is hard to read, mm of paper."""
THIN = 8.0
"""A main view that is lower or narrower than this without its dimensions is hard to read too, mm of paper …"""
APART_WORTH = 2.5
"""… which is worth a further sheet for the tables where it is so much larger without them."""
MODEST = 35.0
"""A view that is not to scale still reads well at this size, mm of paper."""
EVEN = 0.35
"""Side views are of a like scale when theirs is at least this share of the main view's."""
EVEN_WORTH = 2.6
"""The main view may be this much smaller for it."""
SMALLER = 0.39
"""A side view may be this much smaller than it reads well, so that all is on one sheet: a step of the scales."""


def _first_fit(
    content: Content, rooms: Sequence[Box], scales: Sequence[float], share: float
) -> tuple[int, Arrangement] | None:
    for scale in scales:
        if not worth(content.main.view, scale):
            continue
        for index, room in enumerate(rooms):
            # Side views as large as they can be; where that crowds the main view out, no larger than it.
            for most in (SCALES[0], scale) if share else (SCALES[0],):
                for stacked in (_column, _mixed, _rows):
                    made = stacked(content, scale, room, share, most)
                    if made is not None:
                        return index, made
    return None


def worth(view: View, scale: float) -> bool:
    """False for an enlargement of what is large enough already."""
    if scale > view.largest:
        return False
    below = next((s for s in SCALES if s < scale), scale)
    return scale <= 1.0 or max(view.least(below)) < _SMALL_SIZE


def size_at(view: View, scale: float) -> Xy:
    """A view's own size at a scale, without what its dimensions take, mm of paper."""
    once, twice = view.least(scale), view.least(2.0 * scale)
    return (twice[0] - once[0], twice[1] - once[1])


def size_of(room: Box) -> Xy:
    return (room[2] - room[0], room[3] - room[1])


def _column(content: Content, scale: float, room: Box, share: float, most: float) -> Arrangement | None:
    """Side views and tables in a column at the right."""
    width, height = size_of(room)
    tables = [table.panel() for table in content.tables]
    if not content.sides and not tables:
        return _with_main(content, scale, room, [])
    need = content.main.view.least(scale)
    widest = width - need[0] - BETWEEN
    tall = height - sum(t.height + BETWEEN for t in tables)
    if need[1] > height or any(t.width > widest for t in tables):
        return None
    sides = _side_panels(content.sides, scale, (min(widest, 0.5 * width), tall), share, most, upright=True)
    if sides is None:
        return None
    column = [*sides, *tables]
    if sum(p.height for p in column) + BETWEEN * (len(column) - 1) > height:
        return None
    across = max(p.width for p in column)
    x0, _, x1, y1 = room
    y = y1
    placed: list[Panel] = []
    for panel in column:
        placed.append(panel.at(x1 - across + (across - panel.width) / 2.0, y - panel.height))
        y -= panel.height + BETWEEN
    return _with_main(content, scale, (x0, room[1], x1 - across - BETWEEN, y1), placed)


def _mixed(content: Content, scale: float, room: Box, share: float, most: float) -> Arrangement | None:
    """Side views in a column at the right, tables side by side below."""
    if not content.sides or not content.tables:
        return None
    tables, top = _shelves([table.panel() for table in content.tables], room)
    if room[3] - top < content.main.view.least(scale)[1]:
        return None
    made = _column(replace(content, tables=()), scale, (room[0], top, room[2], room[3]), share, most)
    if made is not None:
        made.panels += tables
    return made


def _shelves(panels: Sequence[Panel], room: Box) -> tuple[list[Panel], float]:
    """Panels side by side along the bottom of a room, in as many rows as they need, and where the rest begins: in
    their order, or the tallest first where that takes less."""
    tallest_first = sorted(panels, key=lambda panel: -panel.height)
    return min((_in_rows(each, room) for each in (panels, tallest_first)), key=lambda made: round(made[1], 3))


def _in_rows(panels: Sequence[Panel], room: Box) -> tuple[list[Panel], float]:
    """Panels in that order in rows from the bottom up; low ones stand on one another beside a tall one."""
    x0, y0, x1, _ = room
    placed: list[Panel] = []
    x, y, row = x0, y0, 0.0
    across, top = 0.0, y0
    for panel in panels:
        # A row may grow for what stands so, but by less than a row of its own would take.
        if across and top + panel.height <= y + row + panel.height / 2.0 and x + panel.width <= x1:
            placed.append(panel.at(x, top))
            row = max(row, top + panel.height - y)
            across, top = max(across, panel.width), top + panel.height + BETWEEN
            continue
        x += across + BETWEEN if across else 0.0
        if x > x0 and x + panel.width > x1:
            x, y, row = x0, y + row + BETWEEN, 0.0
        placed.append(panel.at(x, y))
        across, top = panel.width, y + panel.height + BETWEEN
        row = max(row, panel.height)
    return placed, y + row + BETWEEN


def _rows(content: Content, scale: float, room: Box, share: float, most: float) -> Arrangement | None:
    """Side views and tables side by side below the main view."""
    width, height = size_of(room)
    tables = [table.panel() for table in content.tables]
    need = content.main.view.least(scale)
    tall = height - need[1] - BETWEEN
    if need[0] > width or tall < 20.0 or any(t.height > tall or t.width > width for t in tables):
        return None
    sides = _side_panels(content.sides, scale, (width, tall), share, most, upright=False)
    if sides is None:
        return None
    placed, top = _shelves([*sides, *tables], room)
    return _with_main(content, scale, (room[0], top, room[2], room[3]), placed)


def _side_panels(
    views: Sequence[View], main_scale: float, room: Xy, least_share: float, most: float, upright: bool
) -> list[Panel] | None:
    """The side views one under (or beside) the other in the room: at the main view's scale or a larger one
    (`most` at most, if that reads well) that fits, else at a smaller one; None when a view cannot be drawn at all."""
    panels: list[Panel] = []
    for i, view in enumerate(views):
        waiting = views[i + 1 :]
        used = sum((p.height if upright else p.width) + BETWEEN for p in panels)
        left = (room[1] if upright else room[0]) - used - BETWEEN * len(waiting)
        # An even share first; a view that does not do with it gets what the others can spare.
        spare = left - sum(_modest(each, upright) for each in waiting)
        shares = [left / (1 + len(waiting))]
        shares += [spare] if spare > shares[0] else []
        limits = ((room[0], share) if upright else (share, room[1]) for share in shares)
        tried = (_fitted(view, limit, main_scale, least_share, most) for limit in limits)
        panel = next((each for each in tried if each is not None), None)
        if panel is None:
            return None
        panels.append(panel)
    return panels


def _modest(view: View, upright: bool) -> float:
    """What a view can do with, mm of paper, its title included."""
    scale = view.readable or MODEST / max(view.least(1.0))
    need = view.least(scale)
    return need[1] + HEAD if upright else need[0]


def _fitted(view: View, room: Xy, main_scale: float, least_share: float, most: float) -> Panel | None:
    for scale in SCALES:
        if scale < (0.99 if least_share else SMALLER) * view.readable:
            return None
        if least_share and view.scaled and scale < least_share * main_scale:
            return None
        need = view.least(scale)
        if scale > max(1.0, main_scale) and not worth(view, scale):
            continue
        if scale > min(view.largest, max(most, view.readable)) or need[0] > room[0] or need[1] + 6.0 > room[1]:
            continue
        title = f"{view.title} {scale_name(scale)}" if view.scaled else view.title
        panel = titled(view.draw(scale, room), title)
        if panel.width <= room[0] and panel.height <= room[1]:
            return panel
    return None


def _with_main(content: Content, scale: float, room: Box, placed: list[Panel]) -> Arrangement | None:
    panel = content.main.fitted(scale, size_of(room))
    return None if panel is None else Arrangement(scale, [_centred(panel, room), *placed])


def _centred(panel: Panel, room: Box) -> Panel:
    width, height = size_of(room)
    return panel.at(room[0] + max(0.0, width - panel.width) / 2.0, room[1] + max(0.0, height - panel.height) * 0.5)


def _narrowed(table: TableText, width: float) -> TableText:
    """A table as wide as a room at most, its long cells in more lines."""
    tries = (replace(table, longest=longest) for longest in (table.longest, *_NARROWER) if longest <= table.longest)
    narrow = table
    for narrow in tries:
        if narrow.panel().width <= width:
            break
    return narrow


_NARROWER = (60.0, 45.0, 38.0, 32.0, 26.0, 20.0)
"""What a cell's lines may be long, mm, where a table would else be too wide."""


def further_pages(tables: Sequence[TableText], room: Box) -> list[list[Panel]]:
    """Tables that found no place, in columns over as many rooms as they need."""
    width, height = size_of(room)
    pages: list[list[Panel]] = [[]]
    x, y, across = room[0], room[3], 0.0
    for table in (_narrowed(table, width) for table in tables):
        for panel in table.parted(height):
            if y - panel.height < room[1]:
                x, y, across = x + across + BETWEEN, room[3], 0.0
            if x + panel.width > room[0] + width and pages[-1]:
                pages.append([])
                x, y, across = room[0], room[3], 0.0
            pages[-1].append(panel.at(x, y - panel.height))
            y, across = y - panel.height - BETWEEN, max(across, panel.width)
    return [page for page in pages if page]

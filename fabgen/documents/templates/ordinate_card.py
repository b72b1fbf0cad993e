"""The ordinates card: every worked end of a job in one row, for marking by hand.

Round tubes: twelve places round, as a tape folded in twelve gives them, from the top line, so that
the places of both ends lie on the same twelve lines along the tube.  Rectangular tubes: four
places a face, its two tangent points and two between.  Tubes of one section share their heads.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import fitted, wrapped
from fabgen.documents.render.picture import Item, Picture, Text, line
from fabgen.documents.render.prose import prose
from fabgen.documents.render.sketch import Panel
from fabgen.documents.render.true_size import TrueSizeSheet
from fabgen.documents.render.words import corners_by, length_text, mm_text, with_unit
from fabgen.documents.wrap.ordinates import figures, in_figures, turns_between
from fabgen.documents.wrap.wrap import FACES, Wrap
from fabgen.parts.piece import Array
from fabgen.shop.hole_saws import CUP_DEPTH, MEMORY
from fabgen.shop.section import Section

PLACES, ON_A_FACE = 12, 4
_SIZE, _PITCH = 3.1, 4.4
_LABEL, _LAST = 25.0, 14.0
"""Width of the column with the ends' names, and of the one with the heel's place, mm."""

Worked = tuple[str, Wrap]
"""What an end, or several alike, are called, and their wrap."""
Row = tuple[str, tuple[tuple[str, ...], ...], str]


@dataclass
class _CardSheet:
    """A page of the card, filled from the top; `y` is where the next row's upper edge goes."""

    sheet: TrueSizeSheet
    y: float
    items: list[Item] = field(default_factory=list)


@dataclass(frozen=True)
class _SectionRows:
    """The ends of one section: a title, names over some columns (x, text), rows of heads, and for
    each end its name, rows of cells, and what they miss."""

    title: str
    over: tuple[tuple[float, str], ...]
    heads: tuple[tuple[str, ...], ...]
    rows: tuple[Row, ...]
    columns: tuple[float, ...]
    """Right edges of the cells, mm from the left."""


def card_panels(worked: Sequence[Worked], units: str, paper: Paper) -> list[Panel]:
    """The card, in parts of which each goes on a page; none where no end is worked."""
    if not worked:
        return []
    sheet = TrueSizeSheet(paper.upright)
    pages = [_begun(sheet, units)]
    for group in _groups(worked, units, sheet.width):
        rows = list(group.rows)
        while rows:
            page = pages[-1]
            head = _PITCH * (1.6 + len(group.heads) + bool(group.over))
            deep = [_PITCH * (len(cells) + bool(turns)) for _, cells, turns in rows]
            room = page.y - sheet.room[1] - head
            fit = int(np.searchsorted(np.cumsum(deep), room, side="right"))
            if fit == 0 and page.items:
                pages.append(_begun(sheet, units))
                continue
            fit = max(fit, 1)
            _draw(page, group, rows[:fit])
            rows = rows[fit:]
    x0, _, x1, top = sheet.room
    return [Panel(Picture.of(page.items), (x0, page.y, x1, top)) for page in pages]


def _begun(sheet: TrueSizeSheet, units: str) -> _CardSheet:
    """A page with the card's name and what to do."""
    x0, _, _, top = sheet.room
    items: list[Item] = [Text(x0, top - 5.6, "Ordinates card", 6.0, bold=True)]
    heights = "Heights are inches to 1/32, below them mm." if units == "in" else "Heights are mm."
    saws = prose("ordinates_card", "saws").format(memory=MEMORY, depth=mm_text(CUP_DEPTH, units))
    note = f"{prose('ordinates_card', 'use')} {heights} {saws}"
    y = top - 6.4
    for text in wrapped(note, sheet.width, 3.0):
        y -= 4.0
        items.append(Text(x0, y, text, 3.0))
    return _CardSheet(sheet, y - 2.0, items)


# -- what goes into it ---------------------------------------------------------------
def _groups(worked: Sequence[Worked], units: str, width: float) -> Iterator[_SectionRows]:
    """By section, in the order in which the sections first come."""
    by_section: dict[Section, list[Worked]] = {}
    for name, wrap in worked:
        by_section.setdefault(wrap.girth.section, []).append((name, wrap))
    for section, ends in by_section.items():
        yield (_round_group if section.is_round else _face_group)(section, ends, units, width)


def _round_group(section: Section, ends: Sequence[Worked], units: str, width: float) -> _SectionRows:
    girth = section.perimeter
    steps = np.arange(PLACES) * girth / PLACES
    each = (width - _LABEL - _LAST) / PLACES
    columns = (*(_LABEL + each * (i + 1) for i in range(PLACES)), width)
    rows = []
    for name, wrap in ends:
        heel = float(np.mod(-wrap.top_station, girth)) if wrap.heel else math.nan
        turns = [
            f"{in_figures(up, units)} at {in_figures((at - wrap.top_station) % girth, units)}"
            for at, up in turns_between(wrap, wrap.top_station + steps)
        ]
        note = f"turns between: {', '.join(turns)} round" if turns else ""
        rows.append((name, _cells(wrap.rise(wrap.top_station + steps), units, heel), note))
    first, *below = _cells(steps[1:], units)
    heads = [("TOP", *first, "heel at"), *(("", *row, "") for row in below)]
    title = f"{section.words(units)}: {with_unit(girth, units)} round, in twelve"
    return _SectionRows(title, (), tuple(heads), tuple(rows), columns)


def _face_group(section: Section, ends: Sequence[Worked], units: str, width: float) -> _SectionRows:
    each = (width - _LABEL) / (len(FACES) * ON_A_FACE)
    columns = tuple(_LABEL + each * (i + 1) for i in range(len(FACES) * ON_A_FACE))
    over: list[tuple[float, str]] = []
    across: list[float] = []
    rows = []
    for name, wrap in ends:
        over, across = [], []
        ups: list[Array] = []
        for face in sorted(wrap.faces(), key=lambda face: FACES.index(face.name)):
            flat = face.finish - face.start
            shares = np.linspace(0.0, flat, ON_A_FACE)
            ups.append(wrap.rise(face.start + shares))
            over.append((_LABEL + each * len(across) + 1.5, f"{face.name}, {length_text(face.size, units)} wide"))
            across += (shares + (face.size - flat) / 2.0).tolist()
        rows.append((name, _cells(np.concatenate(ups), units), ""))
    heads = _cells(np.array(across), units)
    corner = f"corners {mm_text(section.corner, units)} radius{corners_by(section)}"
    return _SectionRows(
        f"{section.words(units)}: four places a face, {corner}", tuple(over), heads, tuple(rows), columns
    )


def _cells(heights: Array, units: str, *last: float) -> tuple[tuple[str, ...], ...]:
    """One row of mm; in an inch job one of inches and one of mm below it."""
    written = [figures(value, units == "in") for value in (*heights.tolist(), *last)]
    return tuple(zip(*written, strict=True))


# -- drawing it -------------------------------------------------------------------------
def _draw(page: _CardSheet, group: _SectionRows, rows: Sequence[Row]) -> None:
    x0, _, x1, _ = page.sheet.room
    items = page.items
    page.y -= 1.5 * _PITCH
    items.append(Text(x0, page.y + 1.2, *fitted(group.title, x1 - x0, 3.5, True), bold=True))
    if group.over:
        page.y -= _PITCH
        items += [Text(x0 + x, page.y + 1.2, text, 2.8, bold=True) for x, text in group.over]
    for cells in group.heads:
        page.y -= _PITCH
        _row(items, cells, group.columns, x0, page.y + 1.2, 2.8, True)
    rule = page.y + 0.2
    items.append(line((x0, rule), (x1, rule), "visible"))
    for name, lines, turns in rows:
        page.y -= _PITCH
        items.append(Text(x0, page.y + 1.0, *fitted(name, _LABEL - 2.0, _SIZE, True), bold=True))
        for number, cells in enumerate(lines):
            page.y -= _PITCH if number else 0.0
            _row(items, cells, group.columns, x0, page.y + 1.0, _SIZE if number == 0 else 2.8, False)
        if turns:
            page.y -= _PITCH
            items.append(Text(x0 + _LABEL, page.y + 1.0, *fitted(turns, x1 - x0 - _LABEL, 2.8)))
        items.append(line((x0, page.y), (x1, page.y), "thin"))
    # A thin line between faces.
    items += [line((x0 + x - 1.0, rule), (x0 + x - 1.0, page.y), "thin") for x, _ in group.over[1:]]
    page.y -= 1.0


def _row(
    items: list[Item], cells: Sequence[str], columns: Sequence[float], x0: float, base: float, size: float, bold: bool
) -> None:
    left = _LABEL
    for right, text in zip(columns, cells, strict=True):
        if text:
            shown, fit = fitted(text, right - left - 0.8, size, bold)
            items.append(Text(x0 + right - 0.4, base, shown, fit, "end", bold=bold))
        left = right

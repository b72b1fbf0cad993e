"""Blocks of text on a drawing sheet: ruled tables and wrapped notes, each a panel of known size."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate

from fabgen.documents.render.lettering import CAPITAL, TEXT
from fabgen.documents.render.pdf import text_width, wrapped
from fabgen.documents.render.picture import Anchor, Item, Picture, Text, line, rectangle
from fabgen.documents.render.sketch import ASCENT, DESCENT, Panel, joined

SIZE = TEXT
LEADING = 1.22
"""Distance from base line to base line, share of the letter height."""
PITCH = 1.36 * SIZE
"""Height of a table's row, mm."""
_PAD = 1.2
_WORTH = 4.0
"""A head takes a second line where that makes its column this much narrower, mm."""
LONGEST = 80.0
"""A cell longer than this takes more lines, mm."""
COLUMNS_APART, NARROWEST = 8.0, 80.0
"""Notes stand in two columns this far apart, neither narrower than this, mm."""


def notes_panel(paragraphs: Sequence[tuple[str, bool]], width: float) -> Panel:
    """Paragraphs below one another.

    Args:
        paragraphs: text, and whether it is bold.
        width: to which they are wrapped, mm.
    Returns: a panel whose lower left corner is the origin.
    """
    items: list[Item] = []
    y = 0.0
    for text, bold in paragraphs:
        for row in wrapped(text, width, SIZE, bold):
            items.append(Text(0.0, y - ASCENT * SIZE, row, SIZE, bold=bold))
            y -= LEADING * SIZE
        y -= 0.35 * SIZE
    height = -y - (LEADING - ASCENT - DESCENT + 0.35) * SIZE if items else 0.0
    return Panel(Picture.of(items).moved(0.0, height), (0.0, 0.0, width, max(0.0, height)))


def table_panel(
    title: str,
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    size: float = SIZE,
    least: Sequence[float] = (),
    pitch: float = PITCH,
    longest: float = LONGEST,
) -> Panel:
    """A ruled table as wide as its texts; columns of figures are set flush right.

    Args:
        size: height of the letters, mm.
        least: least widths of the columns, mm, for tables to write in.
        pitch: height of a row, mm.
        longest: a longer cell takes more lines, mm.
    """
    columns = [[row[i] for row in rows] for i in range(len(heads))]
    lines = [[wrapped(cell, longest, size) or [""] for cell in row] for row in rows]
    bodies = [max((text_width(each, size) for row in lines for each in row[i]), default=0.0) for i in range(len(heads))]
    over = [_in_lines(head, body, size) for head, body in zip(heads, bodies, strict=True)]
    widths = [
        max([body, *(text_width(each, size, True) for each in head)]) + 2.0 * _PAD
        for body, head in zip(bodies, over, strict=True)
    ]
    widths = [max(pair) for pair in zip(widths, least, strict=True)] if least else widths
    spare = max(0.0, text_width(title, size, True) + 2.0 * _PAD - sum(widths)) / len(widths)
    ends = list(accumulate(width + spare for width in widths))
    right = [bool(rows) and all(_is_figure(cell) for cell in column) for column in columns]
    places: list[tuple[float, Anchor]] = [
        (end - _PAD, "end") if flush else (start + _PAD, "start")
        for start, end, flush in zip([0.0, *ends], ends, right, strict=False)
    ]
    total, leading, lift = ends[-1], LEADING * size, (pitch - size * CAPITAL) / 2.0
    heights = [pitch + (max(map(len, row)) - 1) * leading for row in (over, *lines)]
    y = ruled = sum(heights)
    items: list[Item] = [rectangle(0.0, 0.0, total, ruled, "thin")]
    items.append(Text(_PAD * 0.2, ruled + 0.45 * (pitch - size * CAPITAL) + 0.3, title, size, bold=True))
    for number, (row, height) in enumerate(zip((over, *lines), heights, strict=True)):
        if number:
            items.append(line((0.0, y), (total, y), "visible" if number == 1 else "thin"))
        for (at, anchor), cell in zip(places, row, strict=True):
            # A head stands on its foot, a text hangs from its top.
            foot = y - height + lift if number == 0 else y - pitch + lift - (len(cell) - 1) * leading
            for up, text in enumerate(reversed(cell)):
                items.append(Text(at, foot + up * leading, text, size, anchor, bold=number == 0))
        y -= height
    items += [line((x, 0.0), (x, ruled), "thin") for x in ends[:-1]]
    return Panel(Picture.of(items), (0.0, 0.0, total, ruled + pitch))


def titled(panel: Panel, title: str, size: float = TEXT) -> Panel:
    """The panel with a title over it, centred."""
    x0, y0, x1, y1 = panel.box
    half = text_width(title, size, True) / 2.0
    middle = (x0 + x1) / 2.0
    text = Text(middle, y1 + 2.6 + DESCENT * size, title, size, "middle", bold=True)
    box = (min(x0, middle - half), y0, max(x1, middle + half), y1 + 2.6 + (ASCENT + DESCENT) * size)
    return Panel(panel.picture + Picture((text,)), box)


def _in_lines(head: str, body: float, size: float) -> list[str]:
    """A column's head in one line, or in two where that makes the column narrower."""
    words = head.split()
    ways = [[" ".join(words[:n]), " ".join(words[n:])] for n in range(1, len(words))]
    if not ways or text_width(head, size, True) <= body + _WORTH:
        return [head]
    return min(ways, key=lambda lines: max(text_width(each, size, True) for each in lines))


def _is_figure(cell: str) -> bool:
    try:
        float(cell.rstrip("°") or "0")
    except ValueError:
        return False
    return True


def least_tall(notes: Sequence[tuple[str, bool]], width: float) -> Panel:
    """The notes across a sheet, in two columns where that makes them lower."""
    best = notes_panel(notes, width)
    half = (width - COLUMNS_APART) / 2.0
    for split in range(1, len(notes)) if half > NARROWEST else ():
        left, right = notes_panel(notes[:split], half), notes_panel(notes[split:], half)
        tall = max(left.height, right.height)
        if tall < best.height - 0.1:
            best = joined([left.at(0.0, tall - left.height), right.at(half + COLUMNS_APART, tall - right.height)])
    return best

"""Blocks of text on a drawing sheet: ruled tables and wrapped notes, each a panel of known size."""

from __future__ import annotations

from collections.abc import Sequence

from fabgen.documents.render.pdf import text_width, wrapped
from fabgen.documents.render.picture import Item, Picture, Text, line, rectangle
from fabgen.documents.render.sketch import ASCENT, DESCENT, Panel, joined

SIZE = 2.6
LEADING = 1.42
"""Distance from base line to base line, share of the letter height."""
_PAD = 1.2
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
    pitch: float = 0.0,
) -> Panel:
    """A ruled table as wide as its texts; columns of figures are set flush right.

    Args:
        size: height of the letters, mm.
        least: least widths of the columns, mm, for tables to write in.
        pitch: height of a row, mm; left out, what the letters need.
    """
    columns = [[head, *(row[i] for row in rows)] for i, head in enumerate(heads)]
    widths = [
        max([text_width(column[0], size, True), *(text_width(cell, size) for cell in column[1:])]) + 2.0 * _PAD
        for column in columns
    ]
    widths = [max(pair) for pair in zip(widths, least, strict=True)] if least else widths
    spare = max(0.0, text_width(title, size, True) + 2.0 * _PAD - sum(widths)) / len(widths)
    widths = [width + spare for width in widths]
    right = [bool(rows) and all(_is_figure(cell) for cell in column[1:]) for column in columns]
    total, pitch = sum(widths), pitch or size * 1.62
    height = pitch * (len(rows) + 2)
    items: list[Item] = [rectangle(0.0, 0.0, total, height - pitch, "thin")]
    items.append(Text(_PAD * 0.2, height - pitch + 0.45 * (pitch - size * 0.72) + 0.3, title, size, bold=True))
    for r, row in enumerate([heads, *rows]):
        top = height - pitch * (r + 1)
        base = top - pitch + (pitch - size * 0.72) / 2.0
        if r:
            items.append(line((0.0, top), (total, top), "visible" if r == 1 else "thin"))
        x = 0.0
        for i, cell in enumerate(row):
            at = x + widths[i] - _PAD if right[i] else x + _PAD
            items.append(Text(at, base, cell, size, "end" if right[i] else "start", bold=r == 0))
            x += widths[i]
    x = 0.0
    for width in widths[:-1]:
        x += width
        items.append(line((x, 0.0), (x, height - pitch), "thin"))
    return Panel(Picture.of(items), (0.0, 0.0, total, height))


def titled(panel: Panel, title: str, size: float = 3.0) -> Panel:
    """The panel with a title over it, centred."""
    x0, y0, x1, y1 = panel.box
    half = text_width(title, size, True) / 2.0
    middle = (x0 + x1) / 2.0
    text = Text(middle, y1 + 2.6 + DESCENT * size, title, size, "middle", bold=True)
    box = (min(x0, middle - half), y0, max(x1, middle + half), y1 + 2.6 + (ASCENT + DESCENT) * size)
    return Panel(panel.picture + Picture((text,)), box)


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

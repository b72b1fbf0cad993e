"""Which template serves which tube end, where more ends share one than its own heading can name."""

from __future__ import annotations

from collections.abc import Sequence

from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import wrapped
from fabgen.documents.render.picture import Item, Text
from fabgen.documents.render.true_size import TrueSizeSheet

_SIZE, _PITCH = 2.8, 4.0
_INDENT = 6.0

Served = tuple[str, Sequence[str]]
"""A template's name, and the ends it serves."""


def index_pages(served: Sequence[Served], paper: Paper) -> list[tuple[list[Item], TrueSizeSheet]]:
    """The pages, their items placed on the sheet; none where nothing is to be told."""
    if not served:
        return []
    sheet = TrueSizeSheet(paper.upright)
    x0, y0, _, top = sheet.room
    lines: list[tuple[float, str, bool]] = []
    for name, ends in served:
        lines.append((0.0, f"{name} is the template for", True))
        lines += [(_INDENT, text, False) for text in wrapped(", ".join(ends), sheet.width - _INDENT, _SIZE)]
    pages: list[list[Item]] = []
    y = y0
    for indent, text, bold in lines:
        if y - _PITCH * (2.0 if bold else 1.0) < y0 or not pages:
            pages.append([Text(x0, top - 5.6, "Ends alike", 6.0, bold=True)])
            y = top - 8.0
        y -= _PITCH
        pages[-1].append(Text(x0 + indent, y, text, _SIZE, bold=bold))
    return [(items, sheet) for items in pages]

"""Tables that find no place beside the views of a drawing, on sheets of their own."""

from __future__ import annotations

from collections.abc import Sequence

from fabgen.documents.drawing.sheet.views import BETWEEN, TableText, size_of
from fabgen.documents.render.sketch import Panel
from fabgen.geometry.plane.outline import Box


def further_pages(tables: Sequence[TableText], room: Box) -> list[list[Panel]]:
    """Tables that found no place, in columns over as many rooms as they need."""
    width, height = size_of(room)
    pages: list[list[Panel]] = [[]]
    x, y, across = room[0], room[3], 0.0
    for table in tables:
        for panel in table.parted(height):
            if y - panel.height < room[1]:
                x, y, across = x + across + BETWEEN, room[3], 0.0
            if x + panel.width > room[0] + width and pages[-1]:
                pages.append([])
                x, y, across = room[0], room[3], 0.0
            pages[-1].append(panel.at(x, y - panel.height))
            y, across = y - panel.height - BETWEEN, max(across, panel.width)
    return [page for page in pages if page]

"""The index at the end of the templates: on which page each end is, and which template serves many ends alike."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import fitted, wrapped
from fabgen.documents.render.picture import Item, Picture, Text, line
from fabgen.documents.render.sketch import Panel
from fabgen.documents.render.true_size import TrueSizeSheet

_SIZE, _PITCH = 2.8, 4.0
_INDENT = 6.0
_COLUMNS = 4
_NUMBER = 8.0
"""Room for a page's number, mm."""
_APART = 5.0
"""Between two columns, mm."""
_HEAD = 8.0
"""Height of a panel's title, mm."""

Served = tuple[str, Sequence[str]]
"""A template's name, and the ends it serves."""


def where_panels(where: Sequence[tuple[str, int]], paper: Paper) -> Iterator[Panel]:
    """What each template is for and the number of its page, in columns that run down.

    Args:
        where: in the order of the list.
        paper: the panels are as wide as its pages' room.
    """
    sheet = TrueSizeSheet(paper.upright)
    wide = (sheet.width + _APART) / _COLUMNS
    most = _COLUMNS * int((sheet.height - _HEAD) / _PITCH)
    for first in range(0, len(where), most):
        listed = where[first : first + most]
        rows = -(-len(listed) // _COLUMNS)
        items = [_title("Where each template is: page")]
        for number, (name, page) in enumerate(listed):
            x, y = number // rows * wide, -_HEAD - _PITCH * (number % rows + 1) + 1.0
            shown, size = fitted(name, wide - _APART - _NUMBER, _SIZE)
            items.append(Text(x, y, shown, size))
            items.append(Text(x + wide - _APART, y, str(page), _SIZE, "end", bold=True))
            items.append(line((x, y - 1.0), (x + wide - _APART, y - 1.0), "thin"))
        yield Panel(Picture.of(items), (0.0, -_HEAD - _PITCH * rows, sheet.width, 0.0))


def alike_panels(served: Sequence[Served], paper: Paper) -> Iterator[Panel]:
    """Of each template all the ends it serves, so much at a time as goes on a page."""
    sheet = TrueSizeSheet(paper.upright)
    lines: list[tuple[float, str, bool]] = []
    for name, ends in served:
        lines.append((0.0, f"{name} is the template for", True))
        lines += [(_INDENT, text, False) for text in wrapped(", ".join(ends), sheet.width - _INDENT, _SIZE)]
    while lines:
        items = [_title("Ends alike")]
        y = -_HEAD
        # No name of a template at a page's foot.
        while lines and y - _PITCH * (2.0 if lines[0][2] else 1.0) >= 1.0 - sheet.height:
            indent, text, bold = lines.pop(0)
            y -= _PITCH
            items.append(Text(indent, y, text, _SIZE, bold=bold))
        yield Panel(Picture.of(items), (0.0, y - 1.0, sheet.width, 0.0))


def _title(text: str) -> Item:
    return Text(0.0, -5.6, text, 6.0, bold=True)

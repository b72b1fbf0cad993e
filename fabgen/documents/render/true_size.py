"""A page that is printed at true size: header, page k of n, and check lines both ways.

The check lines are what proves the print: a printer that fits pages to its paper shrinks them by
3 to 6 per cent, enough to spoil a wrap and too little to see.
"""

from __future__ import annotations

from dataclasses import dataclass

from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import Page, fitted, text_width
from fabgen.documents.render.picture import Item, Picture, Text, line
from fabgen.geometry.plane.outline import Box
from fabgen.job.tables.definitions import Header
from fabgen.wording.inches import INCH

MARGIN = 8.0
"""Bare edge of the paper, mm: wider than what any common printer leaves."""
_BAND = 12.0
"""Room for the check lines along the left and the lower edge, mm."""
_HEADER = 9.0
CHECK_MM, CHECK_IN = 100.0, 4.0
TUBES, PROFILES = "tube templates", "templates of tubes and profiles"
CAUTIONS = {
    TUBES: ". Check it on the real tube before you cut.",
    PROFILES: ". Check it on the real metal before you cut.",
}
PRINT_NOTE = "print at actual size, no scaling"


@dataclass(frozen=True, slots=True)
class TrueSizeSheet:
    """A paper as it is turned, and the room on it between the header and the check lines."""

    paper: Paper

    @property
    def room(self) -> Box:
        """(xmin, ymin, xmax, ymax) mm of the page."""
        paper = self.paper
        return (MARGIN + _BAND, MARGIN + _BAND, paper.width - MARGIN, paper.height - MARGIN - _HEADER)

    @property
    def width(self) -> float:
        x0, _, x1, _ = self.room
        return x1 - x0

    @property
    def height(self) -> float:
        _, y0, _, y1 = self.room
        return y1 - y0

    def page(self, content: Picture, header: Header, number: int, count: int, what: str = TUBES) -> Page:
        """The page with its header and check lines.

        Args:
            content: in mm of the page, inside `room`.
            number, count: page k of n.
            what: the document, e.g. 'tube templates'.
        """
        items = [
            *self._header(header, number, count, f"{what}, true size"),
            *self._check_lines(CAUTIONS.get(what, "")),
        ]
        return Page(self.paper.width, self.paper.height, Picture.of(items) + content)

    def map_page(self, content: Picture, header: Header, number: int, count: int, what: str) -> Page:
        """A page of the same document that is not at true size, and so has no check lines."""
        items = self._header(header, number, count, f"{what}, not to scale")
        return Page(self.paper.width, self.paper.height, Picture.of(items) + content)

    def _header(self, header: Header, number: int, count: int, document: str) -> list[Item]:
        right, base = self.paper.width - MARGIN, self.paper.height - MARGIN - 4.0
        page = f"page {number} of {count}"
        room = right - MARGIN - text_width(page, 4.2, True) - 6.0
        name, size = fitted(f"{header.number}  {header.title}", room * 0.62, 4.2, True)
        what, what_size = fitted(document, room * 0.34, 3.4)
        rule = base - 2.4
        return [
            Text(MARGIN, base, name, size, bold=True),
            Text(right - text_width(page, 4.2, True) - 6.0, base, what, what_size, "end"),
            Text(right, base, page, 4.2, "end", bold=True),
            line((MARGIN, rule), (right, rule), "thin"),
        ]

    def _check_lines(self, caution: str) -> list[Item]:
        """100 mm and 4 in along the lower edge and up the left one, with what to do about them."""
        x0, y0, x1, y1 = self.room
        millimetres = f"{PRINT_NOTE}; measure this line: {CHECK_MM:g} mm"
        inches = f"and this line: {CHECK_IN:g} in"
        items: list[Item] = []
        for text, length, ticks, off in ((millimetres, CHECK_MM, 10, _BAND - 4.6), (inches, CHECK_IN * INCH, 8, 1.8)):
            level = MARGIN + off
            items += _ruler(length, ticks, x0, level, upright=False)
            shown, size = fitted(text + (caution if text is inches else ""), x1 - x0 - length - 4.0, 3.2)
            items.append(Text(x0 + length + 3.0, level - 1.1, shown, size))
            items += _ruler(length, ticks, y0, level, upright=True)
            shown, size = fitted(text, y1 - y0 - length - 4.0, 3.2)
            items.append(Text(level + 1.1, y0 + length + 3.0, shown, size, turn=90.0))
        return items


def _ruler(length: float, ticks: int, start: float, level: float, upright: bool) -> list[Item]:
    """A line of `length` mm with end marks 3.2 mm long and `ticks` equal parts."""

    def at(along: float, across: float) -> tuple[float, float]:
        return (level + across, start + along) if upright else (start + along, level + across)

    items: list[Item] = [line(at(0.0, 0.0), at(length, 0.0), "thin")]
    for i in range(ticks + 1):
        half = 1.6 if i in (0, ticks) else 1.1 if 2 * i == ticks else 0.7
        items.append(line(at(length * i / ticks, -half), at(length * i / ticks, half), "thin"))
    return items

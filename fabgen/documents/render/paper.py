"""Paper sizes, and how much of a sheet a desktop printer reaches.

A series: ISO 216:2007, table 1.  Letter and Tabloid: sizes A and B of ANSI/ASME Y14.1.  From memory.
Legal: common practice, no source.
The printable edge is common practice, no source: most desktop printers leave 3 to 6 mm bare.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from fabgen.geometry.plane.outline import Box
from fabgen.wording.input_error import InputError
from fabgen.wording.nearest import nearest


@dataclass(frozen=True, slots=True)
class Margins:
    """Bare edges of a sheet, mm."""

    left: float
    right: float
    bottom: float
    top: float


PRINTER = Margins(6.0, 6.0, 6.0, 6.0)


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet, `width` x `height` mm as it is turned, and the edges a printer cannot reach."""

    name: str
    width: float
    height: float
    margins: Margins = PRINTER

    @property
    def upright(self) -> Paper:
        return self._sized(min(self.width, self.height), max(self.width, self.height))

    @property
    def landscape(self) -> Paper:
        return self._sized(max(self.width, self.height), min(self.width, self.height))

    @property
    def printable(self) -> Box:
        """(xmin, ymin, xmax, ymax) mm that print everywhere."""
        m = self.margins
        return (m.left, m.bottom, self.width - m.right, self.height - m.top)

    def _sized(self, width: float, height: float) -> Paper:
        return replace(self, width=width, height=height)


A4 = Paper("A4", 210.0, 297.0)
A3 = Paper("A3", 297.0, 420.0)
A2 = Paper("A2", 420.0, 594.0)
LETTER = Paper("Letter", 215.9, 279.4)
LEGAL = Paper("Legal", 215.9, 355.6)
TABLOID = Paper("Tabloid", 279.4, 431.8)

SIZES = (A4, A3, A2, LETTER, LEGAL, TABLOID)


def find(name: str) -> Paper:
    """The paper of that name, in any case, upright; raises InputError that names the nearest."""
    by_name = {paper.name.lower(): paper for paper in SIZES}
    paper = by_name.get(name.strip().lower())
    if paper is not None:
        return paper
    names = [paper.name for paper in SIZES]
    raise InputError(f"no paper is called {name!r}", ", ".join(names), nearest(name.strip(), names))

"""Sheets of labels: how many on a sheet, how large, how far apart.

Written as the packet says it: "3 x 8" (columns x rows that share the sheet), or with the
label's size and the gaps between labels, "3 x 8 of 63.5 x 33.9, gap 2.5 x 0".  Bare figures are
mm; any unit of a job file goes.  The block of labels lies in the middle of the sheet unless
`edge` says how far the first one stands from the left and from the top.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from fabgen.documents.render.paper import Paper
from fabgen.geometry.plane.outline import Box
from fabgen.job.errors import InputError
from fabgen.job.values.units import parse_length

USUAL = "3 x 8"
ACCEPTED = (
    'columns x rows, e.g. "3 x 8"; or with label size, gaps and edges, e.g. '
    '"3 x 8 of 63.5 x 33.9, gap 2.5 x 0" or "2 x 5 of 4 in x 2 in, gap 3/16 in x 0, edge 5/32 in x 1/2 in"'
)
LEAST = (25.0, 12.0)
"""Smaller labels do not take a mark, a size and a code one can scan, mm."""
_PART = re.compile(
    r"\s*(?P<columns>\d{1,2})\s*x\s*(?P<rows>\d{1,3})"
    r"(?:\s*of\s+(?P<size>[^,]+))?(?:,\s*gap\s+(?P<gap>[^,]+))?(?:,\s*edge\s+(?P<edge>[^,]+))?\s*"
)


@dataclass(frozen=True, slots=True)
class LabelStock:
    """A sheet of labels, mm; `size` None: they share the sheet; `edge` None: the block lies in the middle."""

    columns: int
    rows: int
    size: tuple[float, float] | None = None
    gap: tuple[float, float] = (0.0, 0.0)
    edge: tuple[float, float] | None = None

    def boxes(self, paper: Paper) -> list[Box]:
        """The labels of a sheet, row by row from the upper left.  Raises InputError where they do not fit on it."""
        free_x = paper.width - (self.columns - 1) * self.gap[0]
        free_y = paper.height - (self.rows - 1) * self.gap[1]
        width, height = self.size or (free_x / self.columns, free_y / self.rows)
        wide, tall = self.columns * width - free_x + paper.width, self.rows * height - free_y + paper.height
        left, top = self.edge or ((paper.width - wide) / 2.0, (paper.height - tall) / 2.0)
        if min(left, top) < -0.01 or left + wide > paper.width + 0.01 or top + tall > paper.height + 0.01:
            raise InputError(
                f"the labels take {wide:.1f} x {tall:.1f} mm and {paper.name} has "
                f"{paper.width:.1f} x {paper.height:.1f} mm",
                "labels that fit on the paper",
            )
        if width < LEAST[0] or height < LEAST[1]:
            raise InputError(
                f"labels of {width:.1f} x {height:.1f} mm are too small to print on",
                f"{LEAST[0]:g} x {LEAST[1]:g} mm or larger",
            )
        found = []
        for row in range(self.rows):
            y = paper.height - top - row * (height + self.gap[1]) - height
            for column in range(self.columns):
                x = left + column * (width + self.gap[0])
                found.append((x, y, x + width, y + height))
        return found


def read_label_stock(text: str) -> LabelStock:
    """Raises InputError that says what is accepted."""
    found = _PART.fullmatch(text)
    if found is None or int(found["columns"]) < 1 or int(found["rows"]) < 1:
        raise InputError(f"cannot read {text!r} as a sheet of labels", ACCEPTED)
    size, gap, edge = (_pair(text, found[name]) if found[name] else None for name in ("size", "gap", "edge"))
    return LabelStock(int(found["columns"]), int(found["rows"]), size, gap or (0.0, 0.0), edge)


def _pair(label: str, text: str) -> tuple[float, float]:
    """Two lengths parted by an x."""
    written = [part.strip() for part in text.split("x")]
    try:
        lengths = [parse_length(float(part) if _bare(part) else part) for part in written]
    except InputError as error:
        raise InputError(f"cannot read {text.strip()!r} in {label!r}", ACCEPTED) from error
    if len(lengths) != 2 or min(lengths) < 0.0:
        raise InputError(f"cannot read {text.strip()!r} in {label!r}", ACCEPTED)
    return (lengths[0], lengths[1])


def _bare(text: str) -> bool:
    return re.fullmatch(r"\d+(\.\d*)?", text) is not None

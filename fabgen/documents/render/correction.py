"""Correcting a printer that prints lengths a little too long or too short.

How nothing leaves the printable area: true-size pages are laid out on a sheet that is larger or
smaller than the real one by the reverse of the correction (`Correction.layout`), and then page and
drawing are scaled together (`corrected`), so the corrected page has exactly the real sheet's size
and its printable area is filled as before.  The printer undoes the scaling: on paper every
length, the check lines' too, is what was laid out.

Letters are scaled by the lesser of the two factors, so that on paper they come out no larger
than they were laid out, and fall on nothing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from fabgen.documents.render.paper import Margins, Paper
from fabgen.documents.render.picture import Arc, Fill, Item, Picture, Stroke
from fabgen.geometry.plane.outline import Xy

if TYPE_CHECKING:
    from fabgen.documents.render.pdf import Page

LEAST, GREATEST = 0.95, 1.05
"""A factor outside these is a page fitted to the paper or a slip of the tape, not a printer's
error (common practice, no source)."""

FINE = 0.005
"""A circle made a polyline leaves the ellipse it stands for by no more than this, mm."""


@dataclass(frozen=True, slots=True)
class Correction:
    """By what the printed lengths are to be multiplied: wanted / measured, `x` along the short
    side of the paper and `y` along the long one.  Raises ValueError outside 0.95 to 1.05."""

    x: float = 1.0
    y: float = 1.0

    def __post_init__(self) -> None:
        for name, factor in (("x", self.x), ("y", self.y)):
            if not LEAST <= factor <= GREATEST:
                raise ValueError(f"a printer's {name} of {factor:.4g} is no correction: {LEAST:g} to {GREATEST:g}")

    def layout(self, paper: Paper) -> Paper:
        """The sheet on which pages for `paper` are laid out before they are corrected."""
        fx, fy = self._along(paper.width, paper.height)
        m = paper.margins
        margins = Margins(m.left / fx, m.right / fx, m.bottom / fy, m.top / fy)
        return replace(paper, width=paper.width / fx, height=paper.height / fy, margins=margins)

    def _along(self, width: float, height: float) -> tuple[float, float]:
        """The factors along a page's own x and y, which change places on a page on its side."""
        return (self.x, self.y) if width <= height else (self.y, self.x)


NONE = Correction()


def corrected(pages: Sequence[Page], correction: Correction) -> list[Page]:
    """Pages laid out on `correction.layout(paper)`, scaled to the paper itself."""
    if correction == NONE:
        return list(pages)
    return [_corrected(page, *correction._along(page.width, page.height)) for page in pages]


def true_size_pages(lay_out: Callable[[Paper], list[Page]], paper: Paper, correction: Correction) -> list[Page]:
    """The pages that `lay_out` makes for a sheet, corrected for the printer."""
    return corrected(lay_out(correction.layout(paper)), correction)


def _corrected(page: Page, fx: float, fy: float) -> Page:
    picture = Picture.of(_stretched(item, fx, fy) for item in page.picture.items)
    # Rounded, so that a sheet of 210 mm comes back as 210 mm and not a hair beside it.
    return replace(page, width=round(page.width * fx, 6), height=round(page.height * fy, 6), picture=picture)


def _stretched(item: Item, fx: float, fy: float) -> Item:
    if isinstance(item, Arc):
        if fx == fy:
            return replace(item, x=item.x * fx, y=item.y * fy, radius=item.radius * fx)
        item = _polyline(item)
    if isinstance(item, Stroke | Fill):
        return replace(item, points=tuple((x * fx, y * fy) for x, y in item.points))
    return replace(item, x=item.x * fx, y=item.y * fy, size=item.size * min(fx, fy))


def _polyline(arc: Arc) -> Stroke:
    """The arc as straight pieces no more than `FINE` from it."""
    turn = math.radians(arc.end - arc.start)
    whole = math.isclose(arc.end - arc.start, 360.0)
    step = 2.0 * math.acos(1.0 - min(FINE / arc.radius, 0.5)) if arc.radius > 0.0 else math.pi
    count = max(2, math.ceil(abs(turn) / step))
    start = math.radians(arc.start)
    points: list[Xy] = []
    for i in range(count if whole else count + 1):
        angle = start + turn * i / count
        points.append((arc.x + arc.radius * math.cos(angle), arc.y + arc.radius * math.sin(angle)))
    return Stroke(tuple(points), arc.pen, whole)

"""patterns.pdf: every flat part at true size on paper, to glue to the sheet and cut out by hand.

Hole centres are crosses to punch; a part larger than the paper is divided over pages that are
joined on a line (`tiling.py`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fabgen.documents.drawing.tables_of_a_part import bend_groups
from fabgen.documents.dxf.flat_dxf import bend_lines, mark_strokes
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import Page
from fabgen.documents.render.picture import Picture, Stroke, Text, cross, polyline
from fabgen.documents.render.prose import prose
from fabgen.documents.render.sketch import Panel, Sketch, grown
from fabgen.documents.render.text_room import Lettering, beside_line, draw_joins
from fabgen.documents.render.tiling import Joins, arranged
from fabgen.documents.render.true_size import TrueSizeSheet
from fabgen.documents.render.words import degrees, mm_text
from fabgen.documents.templates.template_book import Book
from fabgen.documents.wrap.ordinates import OrdinateStrip, figures, table
from fabgen.geometry.plane.outline import Box, Loop, Xy
from fabgen.geometry.plane.regions import cut_region
from fabgen.job.tables.definitions import Header
from fabgen.parts.piece import FlatPart, Hole, Piece
from fabgen.parts.shape.hole_groups import hole_name
from fabgen.wording.figures import Figures
from fabgen.wording.sentence import lengths

CHORD = 0.02
"""Greatest distance between a drawn arc and its chords, mm: far under what a line is wide."""
_BESIDE = 5.0
"""No join runs nearer to a hole's centre, mm."""
_CARD = 45.0
"""What the heading and the table of a part usually take of a page's height, mm."""
_REACH = 3.0
"""How far the arms of a centre cross reach past the hole, mm."""


def pattern_page_count(pieces: Sequence[Piece], header: Header, paper: Paper) -> int:
    """About how many pages the patterns take, before any is drawn: parts larger than a page exactly, the others by
    what they and their tables take of one."""
    sheets = (TrueSizeSheet(paper.upright), TrueSizeSheet(paper.landscape))
    whole, shares = 0, 0.0
    for piece in pieces:
        if not isinstance(piece.shape, FlatPart):
            continue
        template = FlatTemplate(piece, piece.shape, header.units)
        x0, y0, x1, y1 = template.box
        fits = [s for s in sheets if x1 - x0 <= s.width and y1 - y0 <= s.height]
        if fits:
            shares += min(min(1.0, (y1 - y0 + _CARD) / sheet.height) for sheet in fits)
        else:
            _, joins = arranged(template.box, paper, template.landmarks())
            whole += sum(tile.has(template.lines(), ()) for tile in joins.tiles())
    return whole + math.ceil(shares)


def pattern_pages(pieces: Sequence[Piece], header: Header, paper: Paper) -> list[Page]:
    """The pages, in the order of the pieces; none where no piece is flat."""
    book = Book(header, paper, "sheet patterns")
    for piece in pieces:
        if isinstance(piece.shape, FlatPart):
            book.add(FlatTemplate(piece, piece.shape, header.units))
    return book.pages()


@dataclass(frozen=True)
class FlatTemplate:
    """One flat part, drawn as its DXF file has it."""

    piece: Piece
    part: FlatPart
    units: str

    @property
    def name(self) -> str:
        return self.piece.mark

    @property
    def title(self) -> str:
        return self.piece.title

    @property
    def quantity(self) -> str:
        return f"{self.piece.quantity} like this" if self.piece.quantity > 1 else ""

    @property
    def box(self) -> Box:
        return grown(self.part.outline.bounds, 0.5)

    @cached_property
    def centres(self) -> list[tuple[Xy, Hole]]:
        return [(_centre(hole.shape), hole) for hole in self.part.all_holes]

    def facts(self) -> Iterator[str]:
        yield f"{mm_text(self.part.thickness, self.units, 2)} {self.piece.material}"
        yield f"{lengths(self.part.size).words(self.units)} over all"
        for group in bend_groups(self.part.bends):
            way = "toward you" if group.bend.up else "away from you"
            times = f"{group.count} times " if group.count > 1 else ""
            yield f"bend {group.numbers}: {times}{degrees(group.bend.bend.angle)} {way}"
        if self.part.rolled is not None:
            yield "rolled: this side outside"

    def advice(self) -> tuple[str, str]:
        return "Use", prose("patterns", "use")

    def landmarks(self) -> tuple[Sequence[float], Sequence[float]]:
        xs = [x + off for (x, _), _ in self.centres for off in (-_BESIDE, 0.0, _BESIDE)]
        ys = [y + off for (_, y), _ in self.centres for off in (-_BESIDE, 0.0, _BESIDE)]
        return xs, ys

    def lines(self) -> list[Stroke]:
        """What is drawn of the part."""
        found = [_ring(self.part.outline, heavy=True)]
        for (x, y), hole in self.centres:
            x0, y0, x1, y1 = hole.shape.bounds
            across, up = (x1 - x0) / 2.0 + _REACH, (y1 - y0) / 2.0 + _REACH
            found += [_ring(hole.shape, heavy=False), *cross((x, y), across, up)]
        found += [polyline(bend, "bend") for bend in bend_lines(self.part, up=True)]
        found += [polyline(bend, "bend down") for bend in bend_lines(self.part, up=False)]
        found += [polyline(stroke, "mark") for mark in self.part.marks for stroke in mark_strokes(mark)]
        return found

    def table(self, width: float) -> Panel:
        """Hole centres from the lower left corner, to check the punch marks by."""
        if not self.centres:
            return Panel(Picture.of([Text(0.0, 0.8, "No holes.", 3.0)]), (0.0, 0.0, width, 3.6))
        inches = self.units == "in"
        x0, y0, _, _ = self.part.outline.bounds
        rows = [
            (hole_name(hole, Figures(inches)), *figures(x - x0, inches), *figures(y - y0, inches))
            for (x, y), hole in self.centres
        ]
        heads = ("hole", "x", "mm", "y", "mm") if inches else ("hole", "x", "y")
        note = f"Hole centres from the lower left corner, {'inches to 1/32, mm beside' if inches else 'mm'}."
        return table([OrdinateStrip("", heads, tuple(rows))], width, note, split=True)

    def drawing(self, joins: Joins) -> Sketch:
        return _Drawing(self, joins).sketch


def _centre(loop: Loop) -> Xy:
    x0, y0, x1, y1 = loop.bounds
    return (x0 + x1) / 2.0, (y0 + y1) / 2.0


def _ring(loop: Loop, heavy: bool) -> Stroke:
    return polyline(loop.points(CHORD).tolist(), "trim" if heavy else "visible", closed=True)


class _Drawing:
    """The drawing in the making."""

    def __init__(self, template: FlatTemplate, joins: Joins) -> None:
        self.template, self.part, self.joins = template, template.part, joins
        self.sketch = Sketch()
        self.put = Lettering(self.sketch, self.part.outline.bounds).put
        self._lines()
        self._texts()

    def _lines(self) -> None:
        self.sketch.draw(*self.template.lines())
        draw_joins(self.sketch, self.joins, self.template.box)

    # -- texts ----------------------------------------------------------------
    def _texts(self) -> None:
        spots = self._on_metal(self.part.outline.bounds, 6.0)
        for (x, y), hole in self.template.centres:
            self._hole_name(x, y, hole)
        for number, bend in enumerate(self.part.bends, 1):
            places = beside_line(bend.start, bend.end, f"bend {number}", 3.2, 1.0, (0.5, 0.3, 0.7, 0.2, 0.8))
            self.sketch.write_free(places)
        for columns in self.joins.columns(self.part.outline.bounds[0], self.part.outline.bounds[2]):
            middle = _middle(columns, self.part.outline.bounds)
            near = sorted((p for p in spots if columns[0] <= p[0] <= columns[1]), key=lambda p: math.dist(p, middle))
            text = f"{self.template.name}  {mm_text(self.part.thickness, self.template.units, 2)}"
            any(self.put(each, near, (6.0, 2.4), anchor="middle", bold=True) for each in (text, self.template.name))

    def _hole_name(self, x: float, y: float, hole: Hole) -> None:
        """What the hole is, beside its cross."""
        x0, y0, x1, y1 = hole.shape.bounds
        text = hole_name(hole, Figures(self.template.units == "in")).split(" for ")[0]
        right, top = (x1 - x0) / 2.0 + 1.0, (y1 - y0) / 2.0 + 1.0
        for px in (x + right, x - right):
            places = [(px, y + 1.0), (px, y - 3.4), (px, y + top), (px, y - top - 3.0)]
            if self.put(text, places, (3.2, 2.0), anchor="start" if px > x else "end"):
                return

    def _on_metal(self, box: Box, step: float) -> list[Xy]:
        """Points of a grid that lie on the part's metal."""
        from shapely import contains_xy

        metal = cut_region(self.part.outline, (hole.shape for hole in self.part.holes)).buffer(-3.0)
        step = max(step, (box[2] - box[0]) / 60.0, (box[3] - box[1]) / 60.0)
        grid: NDArray[np.float64] = np.array(
            [(u, v) for u in np.arange(box[0], box[2], step) for v in np.arange(box[1], box[3], step / 2.0)]
        )
        if not len(grid) or metal.is_empty:
            return []
        return [(float(u), float(v)) for u, v in grid[contains_xy(metal, grid)]]


def _middle(columns: tuple[float, float], box: Box) -> Xy:
    return (columns[0] + columns[1]) / 2.0, box[1] + (box[3] - box[1]) * 0.6

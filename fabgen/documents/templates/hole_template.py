"""The template of a hole in a main: a patch at true size to lay on the tube, and its figures.

The two centre lines go right across the patch.  They are laid on two lines scribed on the main:
one along it, at a distance round from its top line, and one round it, at a distance from its
start's saw cut.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fabgen.documents.render.picture import Anchor, Text, line, polyline, rectangle
from fabgen.documents.render.sketch import ASCENT, Panel, Sketch, grown, text_box
from fabgen.documents.render.text_room import Lettering, arrow, draw_joins
from fabgen.documents.render.tiling import Joins
from fabgen.documents.render.words import degrees, figure, mm_text, with_unit
from fabgen.documents.wrap.hole_patch import Patch, patch
from fabgen.documents.wrap.ordinates import OrdinateStrip, figures, table
from fabgen.geometry.plane.outline import Box, Xy
from fabgen.parts.piece import DrilledHole, Opening, Piece
from fabgen.shop.hole_saws import HOLE_SAW_ANGLE, SIZES, neighbours

_DRESSED = 2.0
"""More than this left all round by a hole saw, mm, is more than one files away (common practice, no source)."""

PAPER_THICKNESS = 0.1
"""Of printing paper, mm: 80 g/m2 (common practice, no source)."""
PRINTED_SIDE = "wrap it printed side out"
_BESIDE = 4.0
"""Half the width of a registration cross: no join runs nearer to a centre line, mm."""


class SkinTemplate(ABC):
    """A hole in the main `piece`, at true size to lay on it: what all have in common."""

    piece: Piece
    hole: Opening | DrilledHole
    units: str

    @property
    @abstractmethod
    def name(self) -> str:
        """What is printed large."""

    @property
    @abstractmethod
    def short(self) -> str:
        """Its name where there is little room."""

    @abstractmethod
    def facts(self) -> Iterator[str]:
        """Short facts."""

    @abstractmethod
    def advice(self) -> tuple[str, str]:
        """What to cut it with."""

    @property
    def along_words(self) -> tuple[str, ...]:
        """Where its centre line lies along the main, and from where that is, in words and in fewer."""
        return self.length(self.hole.edge.centre[1]), f"from {self.piece.mark}'s start", "from start"

    @property
    def title(self) -> str:
        return self.piece.title

    @property
    def quantity(self) -> str:
        return ""

    @property
    def box(self) -> Box:
        return grown(self.patch.box, 0.5)

    @cached_property
    def patch(self) -> Patch:
        return patch(self.hole, PAPER_THICKNESS)

    def landmarks(self) -> tuple[Sequence[float], Sequence[float]]:
        box = self.patch.hole
        top = [] if self.patch.top is None else [self.patch.top]
        centre = [-_BESIDE, 0.0, _BESIDE]
        return [*centre, box[0], box[2], *top, *self.patch.folds], [*centre, box[1], box[3]]

    def table(self, width: float) -> Panel | None:
        """The edge's ordinates from the two centre lines: every 15 degrees of a round bore, every 30 of a
        rectangular one and its corners' tangent points."""
        inches = self.units == "in"
        phi = np.degrees(self.hole.edge.phi)
        corners = set(np.degrees(self.hole.tangents).tolist())
        step = 15 if self.hole.bore.is_round else 30
        rows = []
        for angle, (right, up) in zip(phi.tolist(), self.hole.edge.points.tolist(), strict=True):
            if angle in corners or abs(angle / step - round(angle / step)) < 1e-9:
                rows.append((figure(angle), *_signed(right, inches), *_signed(up, inches)))
        heads = ("φ°", "right", "mm", "up", "mm") if inches else ("φ°", "right", "up")
        main = self.piece.mark
        note = f"From the centre: right round {main}, minus to the left; up to {main}'s finish, minus to its start."
        return table([OrdinateStrip("", heads, tuple(rows))], width, note, split=True)

    def drawing(self, joins: Joins) -> Sketch:
        return _HoleDrawing(self, joins).sketch

    # -- words ------------------------------------------------------------------
    def length(self, value: float) -> str:
        return with_unit(value, self.units)

    def round(self, station: float) -> str:
        """Where its centre line lies round the main."""
        if abs(station) < 0.05:
            return "on TOP"
        return f"{self.length(abs(station))} round from TOP, to the {'right' if station > 0.0 else 'left'}"


@dataclass(frozen=True)
class HoleTemplate(SkinTemplate):
    """The hole in the main `piece` for a branch's bore, or for a branch to pass."""

    piece: Piece
    hole: Opening
    units: str

    @property
    def name(self) -> str:
        return f"{self.piece.mark} hole for {self.hole.name}"

    @property
    def short(self) -> str:
        return f"for {self.hole.name}"

    def facts(self) -> Iterator[str]:
        hole, main = self.hole, self.piece.mark
        station, along = hole.edge.centre
        yield f"{hole.onto.words(self.units)}, {self.piece.material}; {PRINTED_SIDE}"
        size = hole.bore_size.words(self.units)
        if hole.passes:
            side = "goes in" if hole.at == "start" else "comes out"
            yield f"{size} for {hole.branch} to pass, where it {side} from its start, {degrees(hole.angle)} to {main}"
        else:
            yield f"bore {size} of {hole.branch} at its {hole.at}, {degrees(hole.angle)} to {main}"
        saw_cut = "" if self.piece.as_it_is else ", the saw cut"
        yield f"centre {self.length(along)} from {main}'s start{saw_cut}"
        yield f"its centre line {self.round(station)}"
        wide, long = hole.edge.size
        yield f"hole {self.length(long)} along the tube, {self.length(wide)} round it"
        yield f"cut along {hole.branch}, not square to the skin"

    def advice(self) -> tuple[str, str]:
        """A hole saw of the bore, held along the branch, makes a round bore's hole at one go."""
        hole = self.hole
        saw = neighbours(hole.bore.width)[0] if hole.bore.is_round else None
        if hole.bore.is_round and hole.bore.width < SIZES[0].diameter:
            return "Cut", f"drill {mm_text(hole.bore.width, self.units)} along {hole.branch}'s axis"
        if saw is None or hole.angle < HOLE_SAW_ANGLE or hole.bore.width - saw.diameter > 2.0 * _DRESSED:
            return "Cut", "drill inside the line and cut out, then file to the line"
        turned = 90.0 - math.degrees(hole.angle)
        held = "square to the tube" if turned < 0.05 else f"{figure(turned)}° from square"
        left = (hole.bore.width - saw.diameter) / 2.0
        dress = f", then {mm_text(left, self.units)} to dress all round" if left >= 0.05 else ""
        return "Saw", f"hole saw {saw.words(self.units)}, {held}, along {hole.branch}'s axis{dress}"


def _signed(value: float, inches: bool) -> tuple[str, ...]:
    sign = "-" if round(value, 1) < 0.0 else ""
    return tuple(f"{sign}{text}" for text in figures(abs(value), inches))


class _HoleDrawing:
    """The drawing in the making."""

    def __init__(self, template: SkinTemplate, joins: Joins) -> None:
        self.template, self.patch, self.joins = template, template.patch, joins
        self.sketch = Sketch()
        self._lines()
        self.put = Lettering(self.sketch, grown(self.patch.box, -0.3)).put
        self._texts()

    def _lines(self) -> None:
        draw, (x0, y0, x1, y1) = self.sketch.draw, self.patch.box
        draw(rectangle(x0, y0, x1 - x0, y1 - y0, "trim"))
        draw(polyline(self.patch.edge, "trim", closed=True))
        draw(line((0.0, y0), (0.0, y1), "centre"), line((x0, 0.0), (x1, 0.0), "centre"))
        for u in self.patch.folds:
            draw(line((u, y0), (u, y1), "bend"))
        if self.patch.top is not None and abs(self.patch.top) > 0.3:
            draw(line((self.patch.top, y0), (self.patch.top, y1)))
        if (cut := self.patch.saw_cut) is not None:
            draw(line((x0, cut), (x1, cut)))
        draw_joins(self.sketch, self.joins, self.template.box)

    def _texts(self) -> None:
        x0, y0, x1, y1 = self.patch.box
        template, main, hole = self.template, self.template.piece.mark, self.patch.hole
        station = template.hole.edge.centre[0]
        row, foot = y1 - 1.2 - ASCENT * 3.8, y0 + 1.7
        top = self.patch.top
        if top is not None:
            places: tuple[tuple[Anchor, float], ...] = (("start", top + 1.2), ("end", top - 1.2))
            any(self.put("TOP", [(u, row)], (3.8, 2.2), anchor=anchor, bold=True) for anchor, u in places)
        # Where the centre lines go: beside each line, outside the hole.
        right, left = (hole[2] + 1.2, x1 - 0.8), (x0 + 0.8, hole[0] - 1.2)
        place, *more = template.along_words
        for first, last in (right, left):
            if self.put(place, _steps(first, last, 1.8), (3.2, 2.2), anchor="middle"):
                below = _steps(first, last, -4.6)
                any(self.put(text, below, (3.2, 2.0), anchor="middle") for text in more)
                break
        if abs(station) >= 0.05:
            side = f"{template.length(abs(station))} {'right' if station > 0.0 else 'left'} of TOP"
            beside = [(1.2, foot), (-1.2, foot), (1.2, row)]
            any(self.put(side, [place], (3.2, 2.2), anchor="start" if place[0] > 0.0 else "end") for place in beside)
        self._finish_arrow(y1 - 1.2)
        if (cut := self.patch.saw_cut) is not None:
            over = cut + 1.2 if cut > 0.0 else cut - 1.2 - ASCENT * 3.2
            self.put("saw cut", _steps(x0 + 1.0, x1 - 1.0, over), (3.2, 2.4), anchor="middle")
        spots = self._spots((x0, y0, x1, y1), (0.0, hole[3] * 0.45))
        for text in (template.name, template.short):
            if self.put(text, spots, (6.0, 2.4), anchor="middle", bold=True, clear=0.7):
                break
        self._cut_out()
        for name, first, last in self.patch.faces:
            rows = [place for v in (foot + 5.0, foot, row) for place in _steps(first, last, v)]
            any(self.put(text, rows, (3.2, 2.2), anchor="middle") for text in (f"{main} {name} face", name))

    def _cut_out(self) -> None:
        """'cut out', wholly within the hole, as large as it goes there."""
        from shapely import Polygon, contains_xy

        hole = Polygon(self.patch.edge)
        spots = np.array(self._spots(self.patch.hole, (0.0, self.patch.hole[1] * 0.5)))
        for size in (4.2, 3.6, 3.0, 2.5, 2.0):
            x0, y0, x1, y1 = text_box(Text(0.0, 0.0, "cut out", size, "middle"))
            inside = np.all(
                [contains_xy(hole, spots + corner) for corner in ((x0, y0), (x1, y0), (x0, y1), (x1, y1))], 0
            )
            if self.put("cut out", [(float(u), float(v)) for u, v in spots[inside]], (size, size), anchor="middle"):
                return

    def _finish_arrow(self, row: float) -> None:
        """An arrow to the main's finish in an upper corner, with its label where there is room."""
        x0, _, x1, _ = self.patch.box
        corners = (x0 + 2.8, x1 - 3.0, *(float(u) for u in np.arange(x0 + 6.0, x1 - 3.0, 3.0)))
        for u in corners:
            if self.sketch.free((u - 2.0, row - 7.0, u + 2.0, row)):
                self.sketch.draw(*arrow((u, row - 6.6), 1.6))
                label = f"to {self.template.piece.mark} finish"
                sides: tuple[tuple[Anchor, float], ...] = (("start", u + 2.4), ("end", u - 2.4))
                any(self.put(label, [(place, row - 4.6)], (3.2, 2.4), anchor=anchor) for anchor, place in sides)
                return

    @staticmethod
    def _spots(box: Box, wanted: Xy) -> list[Xy]:
        """Places in a box, the nearest to the wanted one first."""
        places = [(float(u), float(v)) for u in np.arange(box[0], box[2], 2.0) for v in np.arange(box[1], box[3], 1.5)]
        return sorted(places, key=lambda p: math.dist(p, wanted))


def _steps(first: float, last: float, v: float) -> list[Xy]:
    """Places along a row, nearest to its middle first."""
    middle = (first + last) / 2.0
    places: list[float] = np.arange(first, last, 1.0).tolist()
    return [(u, v) for u in sorted(places, key=lambda u: abs(u - middle))]

"""The drawing of one tube end's paper wrap, true to size, for printing and cutting out.

In the wrap's own coordinates (`wrap.py`): u to the right from the seam, v up from the longest
point.  Above the line lies what stays on the tube; its upper edge is straight and square to the
tube.  The paper goes on past the seam by an overlap tab, and below the line by the waste side.

Rows below the straight edge: ticks and degrees; heel, toe, top and faces; the mark and the arrow;
where the edge goes.  Every text looks for a place where it crosses no line and no other text.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from fabgen.documents.render.pdf import text_width
from fabgen.documents.render.picture import Anchor, Text, line, polyline
from fabgen.documents.render.sketch import ASCENT, DESCENT, Sketch
from fabgen.documents.render.text_room import Lettering, arrow, draw_joins
from fabgen.documents.render.tiling import Joins
from fabgen.documents.render.words import figure
from fabgen.documents.wrap.wrap import Wrap, runs
from fabgen.geometry.plane.outline import Box, Xy
from fabgen.parts.piece import Array, WorkedEnd
from fabgen.wording.inches import INCH

TAB = 12.0
WASTE = 8.0
"""Width of the overlap tab, and paper below the longest point, mm."""
BAND = 26.5
"""Height of the rows below the straight edge, mm."""
_TICK, _QUARTER_TICK = 2.6, 3.0
_HACHURE, _HACHURE_PITCH = 2.4, 4.0
_SHRINK = 0.87


def template_sketch(
    mark: str, end: WorkedEnd, wrap: Wrap, units: str, joins: Joins, name: str = "", other: str = ""
) -> Sketch:
    """The complete drawing; texts keep off the `joins` where it will be divided over pages.

    `name`: what stands on it, left out = mark and end; `other`: what the arrow points to.
    """
    drawing = _TemplateDrawing(name or f"{mark} {end.at}", end, wrap, units, joins)
    drawing.other = other or ("finish" if end.at == "start" else "start")
    drawing.lines()
    drawing.texts()
    return drawing.sketch


def template_box(wrap: Wrap) -> Box:
    """What the drawing covers, mm, lines' widths included."""
    return (-0.5, -WASTE - 0.5, wrap.width + TAB + 0.5, wrap.height + 0.5)


def template_landmarks(wrap: Wrap) -> list[float]:
    """Values of u at which a drawing is better not divided: its upright lines and their names."""
    uprights = [wrap.at(math.radians(phi)) for phi in range(0, 360, 15)]
    folds = [u for face in wrap.faces() for u in _face_ends(wrap, face.start, face.finish)]
    return [*uprights, *folds, wrap.top - 4.0, wrap.top, wrap.top + 4.0, wrap.width, wrap.width + TAB]


def _face_ends(wrap: Wrap, start: float, finish: float) -> tuple[float, float]:
    """u of a face's two tangent points, the start in [0, width)."""
    first, last = wrap.girth.on_paper(np.array([start, finish]))
    return float(first), float(last)


class _TemplateDrawing:
    """The drawing in the making."""

    def __init__(self, name: str, end: WorkedEnd, wrap: Wrap, units: str, joins: Joins) -> None:
        self.name, self.end, self.wrap, self.units, self.joins = name, end, wrap, units, joins
        self.other = ""
        self.sketch = Sketch()
        self.edge = wrap.height
        self.right = wrap.width + TAB
        past = (wrap.u > 0.0) & (wrap.u < TAB)
        ends = [float(np.interp(TAB, wrap.u, wrap.v))]
        self.u: Array = np.concatenate((wrap.u, wrap.u[past] + wrap.width, [self.right]))
        self.v: Array = np.concatenate((wrap.v, wrap.v[past], ends))
        self.filled: Array = np.where(np.isnan(self.v), 0.0, self.v)
        limit = (0.2, -WASTE + 0.2, self.right - 0.2, self.edge - 0.2)
        self.put, self.put_upward = Lettering(self.sketch, limit).put, Lettering(self.sketch, limit, 90.0).put

    # -- lines --------------------------------------------------------------
    def lines(self) -> None:
        self._cut_out()
        self._hachures()
        self._ticks()
        self._uprights()
        for hole in self.wrap.holes:
            self.sketch.draw(polyline(hole.edge, "visible", closed=True))
        draw_joins(self.sketch, self.joins, template_box(self.wrap))

    def _cut_out(self) -> None:
        """Straight edge, sides and line to cut out thick; the waste side, the saw cut and the seam thin."""
        draw, edge, right = self.sketch.draw, self.edge, self.right
        left_foot, right_foot = float(self.filled[0]), float(self.filled[-1])
        draw(polyline([(0.0, left_foot), (0.0, edge), (right, edge), (right, right_foot)], "trim"))
        for run in runs(~np.isnan(self.v)):
            draw(polyline(list(zip(self.u[run].tolist(), self.v[run].tolist(), strict=True)), "trim"))
        for run in runs(np.isnan(self.v)):
            a, b = max(run.start - 1, 0), min(run.stop, len(self.u) - 1)
            ua, ub = float(self.u[a]), float(self.u[b])
            draw(polyline([(ua, float(self.filled[a])), (ua, 0.0), (ub, 0.0), (ub, float(self.filled[b]))], "hidden"))
        draw(polyline([(0.0, left_foot), (0.0, -WASTE), (right, -WASTE), (right, right_foot)], "thin"))
        for run in runs(self.filled > 1.5):
            if run.stop - run.start > 1:
                draw(line((float(self.u[run.start]), 0.0), (float(self.u[run.stop - 1]), 0.0), "hidden"))
        draw(
            line((self.wrap.width, float(self._over(self.wrap.width, self.wrap.width).max())), (self.wrap.width, edge))
        )

    def _hachures(self) -> None:
        """Short strokes on the waste side, square to the line."""
        for run in runs(~np.isnan(self.v)):
            u, v = self.u[run], self.v[run]
            if len(u) < 2:
                continue
            du, dv = np.diff(u), np.diff(v)
            length = np.hypot(du, dv)
            along = np.concatenate(([0.0], np.cumsum(length)))
            for s in np.arange(_HACHURE_PITCH / 2.0, along[-1], _HACHURE_PITCH):
                i = min(int(np.searchsorted(along, s, side="right")) - 1, len(du) - 1)
                share = (s - along[i]) / length[i]
                x, y = float(u[i] + share * du[i]), float(v[i] + share * dv[i])
                nx, ny = float(dv[i] / length[i]), float(-du[i] / length[i])
                foot = (x + nx * _HACHURE, y + ny * _HACHURE)
                if 0.0 < foot[0] < self.right:
                    self.sketch.draw(line((x, y), foot, "thin"))

    def _ticks(self) -> None:
        for phi in range(15, 360, 15):
            u = self.wrap.at(math.radians(phi))
            if phi % 90 == 0:
                self.sketch.draw(line((u, self.edge), (u, self.edge - _QUARTER_TICK), "visible"))
            else:
                self.sketch.draw(line((u, self.edge), (u, self.edge - _TICK), "thin"))

    def _uprights(self) -> None:
        """Top line, fold lines and quarter lines, none drawn twice."""
        drawn = [0.0, self.wrap.width]
        top = self.wrap.top
        if not self.wrap.top_is_seam:
            self.sketch.draw(line((top, self._foot(top)), (top, self.edge)))
            drawn.append(top)
        for face in self.wrap.faces():
            for end in _face_ends(self.wrap, face.start, face.finish):
                u = end % self.wrap.width
                # A corner just past the seam is folded in the overlap too.
                for place in (u, u + self.wrap.width):
                    if place < self.right - 0.3 and all(abs(place - other) > 0.3 for other in drawn):
                        self.sketch.draw(line((place, self._foot(place)), (place, self.edge), "bend"))
                        drawn.append(place)
        for phi in (90, 180, 270):
            u = self.wrap.at(math.radians(phi))
            if all(abs(u - other) > 1.0 for other in drawn):
                self.sketch.draw(line((u, self._foot(u)), (u, self.edge - BAND), "centre"))

    def _over(self, first: float, last: float) -> Array:
        """Heights of the line over u from `first` to `last`, ends included; 0 where there is none."""
        inner = self.filled[(self.u > first) & (self.u < last)]
        return np.concatenate((inner, np.interp([first, last], self.u, self.filled)))

    def _foot(self, u: float) -> float:
        return float(self._over(u - 0.3, u + 0.3).max())

    # -- texts --------------------------------------------------------------
    def texts(self) -> None:
        self._no_contact()
        self._names()
        for cell in self.joins.columns(0.0, self.wrap.width):
            self._mark(cell)
            self._edge_text(cell)
            self._roomy("keep", cell, above=True)
            self._roomy("waste", cell, above=False)
        self._degrees()
        self._saw_cut()
        self._tab()
        self._hole_names()

    def _slide(self, cell: tuple[float, float], v: float, wanted: float | None = None) -> list[Xy]:
        """Places along a row, nearest to the wanted one (the cell's middle) first."""
        first, last = cell
        middle = (first + last) / 2.0 if wanted is None else wanted
        places = np.arange(math.ceil(first), last, 1.0)
        return [(float(u), v) for u in sorted(places, key=lambda u: abs(u - middle))]

    def _row(self, drop: float, size: float) -> float:
        """Base line of a row whose letters' upper edge is `drop` below the straight edge."""
        return self.edge - drop - ASCENT * size

    def _names(self) -> None:
        row = self._row(8.3, 3.8)
        top, width = self.wrap.top, self.wrap.width
        seam: tuple[tuple[Anchor, float], ...] = (("start", 1.2), ("end", width - 1.2))
        if self.wrap.top_is_seam:
            for anchor, u in seam:
                if self.wrap.heel and self.put("TOP, heel", [(u, row)], (3.8, 2.6), anchor=anchor, bold=True):
                    continue
                self.put("TOP", [(u, row)], (3.8, 2.2), anchor=anchor, bold=True)
                if self.wrap.heel:
                    self.put("heel", [(u, self._row(14.0, 3.8)), (u, self._row(BAND, 3.8))], (3.8, 2.2), anchor=anchor)
        else:
            beside: tuple[tuple[Anchor, float], ...] = (("start", top + 1.2), ("end", top - 1.2))
            any(self.put("TOP", [(u, row)], (3.8, 2.2), anchor=anchor, bold=True) for anchor, u in beside)
            for anchor, u in seam if self.wrap.heel else ():
                self.put("heel", [(u, row)], (3.8, 2.2), anchor=anchor)
        self._faces_and_toe(row)

    def _faces_and_toe(self, row: float) -> None:
        toe, width = self.wrap.at(math.pi), self.wrap.width
        toe_named = not self.wrap.heel
        lower = self._row(BAND + 1.0, 3.8)
        for face in self.wrap.faces():
            first, last = _face_ends(self.wrap, face.start, face.finish)
            spans = [(first, min(last, width)), (0.0, last - width)] if last > width else [(first, last)]
            first, last = max(spans, key=lambda span: span[1] - span[0])
            holds_toe = self.wrap.heel and first < toe < last
            toe_named |= holds_toe
            places = [*self._slide((first, last), row), *self._slide((first, last), lower)]
            names = (
                (f"{face.name} face, toe", f"{face.name}, toe", "toe")
                if holds_toe
                else (f"{face.name} face", face.name)
            )
            any(self.put(name, places, (3.4, 2.0), anchor="middle") for name in names)
        if not toe_named:
            beside: list[tuple[float, Anchor]] = [(toe, "middle"), (toe + 1.2, "start"), (toe - 1.2, "end")]
            any(self.put("toe", [(u, row)], (3.8, 2.2), anchor=anchor) for u, anchor in beside)

    def _mark(self, cell: tuple[float, float]) -> None:
        """The mark, large, and an arrow with the name of the tube's other end."""
        text, other = self.name, self.other
        row = self._row(13.2, 7.5)
        self.put(
            text,
            self._slide(cell, row, cell[0] + (cell[1] - cell[0]) * 0.4),
            (7.5, 1.7),
            anchor="middle",
            bold=True,
            clear=0.9,
        )
        for label, size in ((f"to {other}", 3.4), (f"to {other}", 2.6), ("", 2.6)):
            if self._labelled_arrow(label, size, cell, row + 1.0):
                return

    def _labelled_arrow(self, label: str, size: float, cell: tuple[float, float], row: float) -> bool:
        """The arrow and its label in the mark's row, or where there is room below the rows."""
        head, gap = 1.6, 1.2 if label else 0.0
        whole = text_width(label, size) + gap + 2.0 * head
        lower = [self._row(BAND + drop, size) for drop in (4.0, 7.0, 10.0, 16.0, 24.0)]
        for v in (row, *lower):
            for u, _ in self._slide((cell[0] + 1.0, cell[1] - whole - 0.6), v, cell[1] - whole - 3.0):
                box = (u - 0.5, v - 1.4, u + whole + 0.5, v + 6.2)
                if self.sketch.free(box) and self._above_line(box):
                    if label:
                        self.sketch.write(Text(u + 2.0 * head + gap, v + 1.0, label, size))
                    self.sketch.draw(*arrow((u + head, v - 0.6), head))
                    return True
        return False

    def _above_line(self, box: Box) -> bool:
        return box[1] > float(self._over(box[0] - 1.0, box[2] + 1.0).max()) + 0.8

    def _edge_text(self, cell: tuple[float, float]) -> None:
        distance = f"{figure(self.edge / INCH, 2)} in" if self.units == "in" else f"{figure(self.edge)} mm"
        row = self._row(21.9, 3.2)
        for text in (
            f"straight edge {distance} from the longest point",
            f"edge {distance} from longest point",
            f"edge at {distance}",
        ):
            if self.put(text, self._slide(cell, row), (3.2, 2.4), anchor="middle", clear=0.6):
                return

    def _roomy(self, text: str, cell: tuple[float, float], above: bool) -> None:
        """Write `text` where there is most room between the line and the rows, or the line and the bottom."""
        size = 5.0
        while size >= 2.2:
            half = text_width(text, size, True) / 2.0 + 0.8
            places: list[tuple[float, float, float]] = []
            for u in np.arange(cell[0] + half, cell[1] - half, 1.5):
                heights = self._over(u - half, u + half)
                if above:
                    foot = float(heights.max()) + 1.2
                    room = self.edge - BAND - foot
                    base = foot + max(0.0, min(3.0, (room - size) / 2.0)) + DESCENT * size
                else:
                    room = float(heights.min()) - _HACHURE - 0.6 + WASTE
                    base = (
                        float(heights.min()) - _HACHURE - 0.6 - max(0.0, min(2.0, (room - size) / 2.0)) - ASCENT * size
                    )
                if room >= size * (ASCENT + DESCENT) + 0.4:
                    places.append((room, float(u), base))
            places.sort(key=lambda place: (-round(place[0], 1), abs(place[1] - (cell[0] + cell[1]) / 2.0)))
            if self.put(text, [(u, v) for _, u, v in places], (size, size), anchor="middle", bold=True, clear=0.8):
                return
            size *= _SHRINK

    def _degrees(self) -> None:
        row = self._row(_QUARTER_TICK + 1.2, 2.6)
        pitch = self.wrap.width / 24.0
        step = 15 if pitch >= 6.2 else 30 if pitch >= 3.2 else 45
        self.put("0°", [(1.2, row)], (2.6, 2.6))
        for phi in sorted(range(step, 360, step), key=lambda phi: (phi % 90 != 0, phi)):
            u = self.wrap.at(math.radians(phi))
            label = f"{phi}°" if phi % 90 == 0 else str(phi)
            beside: tuple[tuple[Anchor, float], ...] = (("middle", u), ("start", u + 1.0), ("end", u - 1.0))
            any(self.put(label, [(place, row)], (2.6, 2.6), anchor=anchor) for anchor, place in beside)

    def _no_contact(self) -> None:
        for start, finish in self.wrap.gaps():
            middle = (start + finish) / 2.0
            if self.put("no contact", [(middle, 1.4)], (min(3.2, (finish - start) / 5.5), 2.0), anchor="middle"):
                continue
            if self.put(
                "no contact", [(middle, -4.6), *self._slide((start, finish), -4.6)], (3.2, 2.0), anchor="middle"
            ):
                continue
            self.put_upward("no contact", [(middle + 1.0, 1.4)], (3.0, 1.8))

    def _hole_names(self) -> None:
        """Each hole's name beside it, or in it."""
        for hole in self.wrap.holes:
            (x0, y0), (x1, y1) = np.min(hole.edge, axis=0).tolist(), np.max(hole.edge, axis=0).tolist()
            middle = (y0 + y1) / 2.0 - 1.0
            sides: tuple[tuple[Anchor, Xy], ...] = (
                ("start", (x1 + 1.0, middle)),
                ("end", (x0 - 1.0, middle)),
                ("middle", ((x0 + x1) / 2.0, y1 + 1.0)),
                ("middle", ((x0 + x1) / 2.0, y0 - 3.4)),
                ("middle", ((x0 + x1) / 2.0, middle)),
            )
            any(self.put(hole.name, [place], (2.8, 2.0), anchor=anchor) for anchor, place in sides)

    def _saw_cut(self) -> None:
        row = -1.0 - ASCENT * 2.6
        for text in ("saw cut: the longest point", "saw cut"):
            if self.put(text, self._slide((1.0, self.wrap.width), row), (2.6, 2.2), anchor="middle"):
                return

    def _tab(self) -> None:
        u = self.wrap.width + TAB / 2.0 + 1.1
        foot = float(self._over(self.wrap.width, self.right).max())
        middle = (foot + self.edge) / 2.0
        texts: Sequence[str] = ("overlap: left edge to the line", "overlap", "lap")
        any(self.put_upward(text, [(u, middle), (u, middle + 4.0)], (3.2, 2.6), anchor="middle") for text in texts)

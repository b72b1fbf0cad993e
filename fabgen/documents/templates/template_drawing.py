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

from fabgen.documents.render.picture import Anchor, Text, line, polyline
from fabgen.documents.render.sketch import Sketch, grown, text_box
from fabgen.documents.render.text_room import draw_joins
from fabgen.documents.render.tiling import Joins
from fabgen.documents.templates.line_drawing import BAND, WASTE, LineDrawing
from fabgen.documents.wrap.wrap import Wrap
from fabgen.geometry.plane.outline import Box
from fabgen.parts.piece import Array, WorkedEnd

TAB = 12.0
"""Width of the overlap tab, mm."""
SEAM = "S"
"""Printed at both edges that meet."""
_TICK, _QUARTER_TICK = 2.6, 3.0


def template_sketch(
    mark: str, end: WorkedEnd, wrap: Wrap, units: str, joins: Joins, name: str = "", other: str = ""
) -> Sketch:
    """The complete drawing; texts keep off the `joins` where it will be divided over pages.

    `name`: what stands on it, left out = mark and end; `other`: what the arrow points to.
    """
    other = other or ("finish" if end.at == "start" else "start")
    drawing = _TemplateDrawing(name or f"{mark} {end.at}", end, wrap, units, joins, other)
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


class _TemplateDrawing(LineDrawing):
    """The drawing in the making."""

    def __init__(self, name: str, end: WorkedEnd, wrap: Wrap, units: str, joins: Joins, other: str) -> None:
        past = (wrap.u > 0.0) & (wrap.u < TAB)
        ends = [float(np.interp(TAB, wrap.u, wrap.v))]
        right = wrap.width + TAB
        u: Array = np.concatenate((wrap.u, wrap.u[past] + wrap.width, [right]))
        v: Array = np.concatenate((wrap.v, wrap.v[past], ends))
        super().__init__(name, units, joins, u, v, wrap.height, right, other)
        self.end, self.wrap = end, wrap

    # -- lines --------------------------------------------------------------
    def lines(self) -> None:
        self._cut_out()
        seam = self.wrap.width
        self.sketch.draw(line((seam, float(self._over(seam, seam).max())), (seam, self.edge)))
        self._hachures()
        self._ticks()
        self._uprights()
        for hole in self.wrap.holes:
            self.sketch.draw(polyline(hole.edge, "visible", closed=True))
        draw_joins(self.sketch, self.joins, template_box(self.wrap))

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

    # -- texts --------------------------------------------------------------
    def texts(self) -> None:
        self._no_contact()
        self._names()
        self._seam()
        for cell in self.joins.columns(0.0, self.wrap.width):
            self._mark(cell)
            self._edge_text(cell)
            self._roomy("keep", cell, above=True)
            self._roomy("waste", cell, above=False)
        self._degrees()
        self._saw_cut(self.wrap.width)
        self._tab()
        self._hole_names(self.wrap.holes)

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

    def _seam(self) -> None:
        """S at the left edge, and as high beside the line that this edge meets."""
        line_, size = self.wrap.width, 3.8
        foot = max(self._foot(1.0), float(self._over(line_, self.right).max())) + 1.5
        below = np.arange(self._row(BAND - 4.0, size), foot, -1.0)
        above = np.arange(self._row(BAND - 4.0, size), self._row(_QUARTER_TICK + 1.0, size), 1.0)
        for v in [*below.tolist(), *above.tolist()]:
            pair = [Text(u + 1.2, v, SEAM, size) for u in (0.0, line_)]
            if all(self.sketch.free(grown(text_box(text), 0.35)) for text in pair):
                self.sketch.draw(*pair)
                return

    def _tab(self) -> None:
        right = self.wrap.width + TAB
        foot = float(self._over(self.wrap.width, self.right).max())
        middle = (foot + self.edge) / 2.0
        places = [(right - off, middle + up) for off in (4.9, 2.0) for up in (0.0, 4.0, 8.0, -4.0)]
        texts: Sequence[str] = (f"overlap: edge {SEAM} to line {SEAM}", f"edge {SEAM} to line {SEAM}", "overlap", "lap")
        any(self.put_upward(text, places, (3.2, 2.6), anchor="middle") for text in texts)

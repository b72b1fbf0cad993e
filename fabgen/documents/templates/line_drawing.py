"""What the drawings of lines to cut along have in common: the line, its waste side, and rows of texts above it.

Coordinates: u to the right from the left edge of the paper, v up from the longest point, mm.  Above the line lies what
stays on the metal; its upper edge is straight and square.  Every text looks for a place where it crosses no line and no
other text.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from fabgen.documents.render.pdf import text_width
from fabgen.documents.render.picture import Anchor, Text, line, polyline
from fabgen.documents.render.sketch import ASCENT, DESCENT, Sketch
from fabgen.documents.render.text_room import Lettering, arrow
from fabgen.documents.render.tiling import Joins
from fabgen.documents.render.words import figure
from fabgen.documents.wrap.wrap import WrapHole, runs
from fabgen.geometry.plane.outline import Box, Xy
from fabgen.parts.piece import Array
from fabgen.wording.inches import INCH

WASTE = 8.0
"""Paper below the longest point, mm."""
BAND = 26.5
"""Height of the rows below the straight edge, mm."""
_HACHURE, _HACHURE_PITCH = 2.4, 4.0
_SHRINK = 0.87


class LineDrawing:
    """The drawing in the making: `u`, `v` the line, (n,), v nan where there is none; `edge` the height of the straight
    edge, `right` the paper's right edge, mm; `other`: what the arrow points to."""

    def __init__(
        self, name: str, units: str, joins: Joins, u: Array, v: Array, edge: float, right: float, other: str
    ) -> None:
        self.name, self.units, self.joins, self.other = name, units, joins, other
        self.u, self.v, self.edge, self.right = u, v, edge, right
        self.filled: Array = np.where(np.isnan(v), 0.0, v)
        self.sketch = Sketch()
        limit = (0.2, -WASTE + 0.2, right - 0.2, edge - 0.2)
        self.put, self.put_upward = Lettering(self.sketch, limit).put, Lettering(self.sketch, limit, 90.0).put

    def _cut_out(self) -> None:
        """Straight edge, sides and line to cut out thick; the waste side and the saw cut thin."""
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

    def _over(self, first: float, last: float) -> Array:
        """Heights of the line over u from `first` to `last`, ends included; 0 where there is none."""
        inner = self.filled[(self.u > first) & (self.u < last)]
        return np.concatenate((inner, np.interp([first, last], self.u, self.filled)))

    def _foot(self, u: float) -> float:
        """Where an upright at u stands on the line, mm."""
        return float(self._over(u - 0.3, u + 0.3).max())

    # -- texts --------------------------------------------------------------
    def _slide(self, cell: tuple[float, float], v: float, wanted: float | None = None) -> list[Xy]:
        """Places along a row, nearest to the wanted one (the cell's middle) first."""
        first, last = cell
        middle = (first + last) / 2.0 if wanted is None else wanted
        places = np.arange(math.ceil(first), last, 1.0)
        return [(float(u), v) for u in sorted(places, key=lambda u: abs(u - middle))]

    def _row(self, drop: float, size: float) -> float:
        """Base line of a row whose letters' upper edge is `drop` below the straight edge."""
        return self.edge - drop - ASCENT * size

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

    def _saw_cut(self, across: float) -> None:
        """What the thin line at v = 0 is, below it, from u = 0 to `across`."""
        row = -1.0 - ASCENT * 2.6
        for text in ("saw cut: the longest point", "saw cut"):
            if self.put(text, self._slide((1.0, across), row), (2.6, 2.2), anchor="middle"):
                return

    def _hole_names(self, holes: Sequence[WrapHole]) -> None:
        """Each hole's name beside it, or in it."""
        for hole in holes:
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

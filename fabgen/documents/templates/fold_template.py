"""The template of a profile's end: its faces at true size on one paper that folds over the heel or round the web.

In the wrap's own coordinates (`documents/wrap/fold_wrap.py`).  The paper's sides lie on the profile's toes, so it has
no overlap; it goes on below the line by the waste side.  Rows below the straight edge as on a tube's template.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fabgen.documents.render.picture import Anchor, line, polyline
from fabgen.documents.render.sketch import Panel, Sketch
from fabgen.documents.render.text_room import draw_joins
from fabgen.documents.render.tiling import Joins
from fabgen.documents.render.words import figure, length_text, mm_text, with_unit
from fabgen.documents.templates.line_drawing import BAND, WASTE, LineDrawing
from fabgen.documents.wrap.fold_wrap import FoldFace, FoldWrap
from fabgen.documents.wrap.ordinates import OrdinateStrip, figures, table, up_words
from fabgen.geometry.plane.outline import Box
from fabgen.geometry.profile.development import STRAIGHT, edge_corners
from fabgen.geometry.space.frame import Array
from fabgen.wording.inches import INCH

_MOST = 9
"""A face whose line has more points than this is a curve: its table goes by round places across."""
_STEPS = (1.0, 2.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0)


@dataclass(frozen=True)
class FoldTemplate:
    """The template of one end, or of several alike; `said` are the facts of the profile and its end, `other` the end
    that its arrow points to; `serves`: the ends."""

    name: str
    short: str
    title: str
    quantity: str
    wrap: FoldWrap
    units: str
    said: Sequence[str]
    other: str
    serves: Sequence[str] = ()

    @property
    def box(self) -> Box:
        return (-0.5, -WASTE - 0.5, self.wrap.width + 0.5, self.wrap.height + 0.5)

    def facts(self) -> Iterator[str]:
        wrap = self.wrap
        yield from self.said
        sides = [f"left edge on {_the(wrap.faces[0].left)}", f"right edge on {_the(wrap.faces[-1].right)}"]
        yield f"printed side out: {', '.join(sides)}"
        if wrap.folds:
            words = dict.fromkeys(face.right for face in wrap.faces[:-1])
            yield f"fold it over the {' and the '.join(f'{word}s' if word == 'corner' else word for word in words)}"
        across = sum(face.width for face in wrap.faces)
        thick = mm_text(wrap.paper, self.units, 2)
        drawn = f", drawn {length_text(wrap.width, self.units)} for {thick} paper" if wrap.folds else ""
        yield f"{wrap.words}: {with_unit(across, self.units)} across{drawn}"
        if any(hole.name.startswith("Ø") for hole in wrap.holes):
            yield "drill the holes at the inner corners first, then saw to them"

    def advice(self) -> tuple[str, str]:
        return "Cut", "saw it off square at the longest point, scribe the line, saw or grind to it, file to the line"

    def drawing(self, joins: Joins) -> Sketch:
        return _FoldDrawing(self, joins).sketch

    def table(self, width: float) -> Panel:
        """Face by face, across from the fold or its left edge."""
        inches = self.units == "in"
        up = up_words(inches)
        heads = ("across", "mm", "up", "mm") if inches else ("across", "up")
        strips = [
            OrdinateStrip(
                f"{face.word}, {_size(face.width, inches)} wide, from {_the(_measured_from(face))}",
                heads,
                tuple((*figures(u, inches), *figures(v, inches)) for u, v in _points(face)),
            )
            for face in self.wrap.faces
        ]
        return table(strips, width, f"{up} two heights at one place: the line steps there.", split=False)

    def landmarks(self) -> tuple[Sequence[float], Sequence[float]]:
        folds = [fold + beside for fold in self.wrap.folds for beside in (-4.0, 0.0, 4.0)]
        return [*folds, self.wrap.width], (0.0, self.wrap.height - 13.0, self.wrap.height)


def _size(width: float, inches: bool) -> str:
    """'100', in an inch job '3.937 in'."""
    return f"{figure(width / INCH, 3)} in" if inches else figure(width)


def _the(side: str) -> str:
    """'the heel', 'toe a', 'the flange', 'the left corner'."""
    return side if side[:-1] in ("toe ", "edge ") else f"the {side}"


def _measured_from(face: FoldFace) -> str:
    """The side from which a face's ordinates are taken: its fold, else its left side."""
    if face.left == face.right:
        return f"left {face.left}"
    return face.right if face.from_right else face.left


def _points(face: FoldFace) -> list[tuple[float, float]]:
    """The line's points on a face: its corners, or where it is a curve round places and its steps."""
    edge = face.edge[::-1] if face.from_right else face.edge
    across = np.abs(face.width - edge[:, 0]) if face.from_right else edge[:, 0]
    line_ = np.column_stack((across, edge[:, 1]))
    corners = edge_corners(line_, middles=True)
    if len(corners) <= _MOST:
        return [(float(u), float(v)) for u, v in corners]
    curve = (float(corners[1, 0]), float(corners[-2, 0]))
    return sorted(_round_places(face.width, line_, curve), key=lambda point: point[0])


def _round_places(width: float, edge: Array, curve: tuple[float, float]) -> list[tuple[float, float]]:
    """The ends of the face, the steps of the line, and round places where it is a curve."""
    first, last = curve
    step = next((s for s in _STEPS if (last - first) / s <= 10.0), _STEPS[-1])
    at = np.flatnonzero((np.abs(np.diff(edge[:, 0])) < 1e-6) & (np.abs(np.diff(edge[:, 1])) > STRAIGHT))
    steps = [(float(edge[i + k, 0]), float(edge[i + k, 1])) for i in at for k in (0, 1)]
    stepped = [u for u, _ in steps]
    kept: list[float] = []
    for u in (0.0, width, first, last):
        kept += [u] if all(abs(u - other) > STRAIGHT for other in (*kept, *stepped)) else []
    for i in range(math.ceil(first / step), int(last / step) + 1):
        u = i * step
        kept += [u] if all(abs(u - other) > 0.3 * step for other in (*kept, *stepped)) else []
    return [*((u, float(np.interp(u, edge[:, 0], edge[:, 1]))) for u in kept), *steps]


class _FoldDrawing(LineDrawing):
    """The drawing in the making."""

    def __init__(self, template: FoldTemplate, joins: Joins) -> None:
        wrap = self.wrap = template.wrap
        super().__init__(template.short, template.units, joins, wrap.u, wrap.v, wrap.height, wrap.width, template.other)
        self._lines()
        draw_joins(self.sketch, joins, template.box)
        self._texts()

    def _lines(self) -> None:
        self._cut_out()
        self._hachures()
        for fold in self.wrap.folds:
            self.sketch.draw(line((fold, self._foot(fold)), (fold, self.edge), "bend"))
        for hole in self.wrap.holes:
            self.sketch.draw(polyline(hole.edge, "visible", closed=True))

    def _texts(self) -> None:
        row = self._row(8.3, 3.8)
        for face in self.wrap.faces:
            places = self._slide((face.start, face.finish), row)
            any(self.put(name, places, (3.8, 2.0), anchor="middle") for name in (face.word, face.word[-1:]))
        self._sides()
        for cell in self.joins.columns(0.0, self.wrap.width):
            self._mark(cell)
            self._edge_text(cell)
            self._roomy("keep", cell, above=True)
            self._roomy("waste", cell, above=False)
        self._hole_names(self.wrap.holes)
        self._saw_cut(self.right)

    def _sides(self) -> None:
        """What the paper's edges and its folds lie on, in the row under the straight edge."""
        row = self._row(1.6, 3.0)
        sides: list[tuple[str, float, Anchor]] = [
            (self.wrap.faces[0].left, 1.2, "start"),
            (self.wrap.faces[-1].right, self.right - 1.2, "end"),
        ]
        for face, after in pairwise(self.wrap.faces):
            if after.start - face.finish < 0.3:
                sides.append((f"fold: {face.right}", after.start + 1.2, "start"))
            else:
                sides.append(("bend", (face.finish + after.start) / 2.0, "middle"))
        lower = self._row(BAND + 2.0, 3.0)
        for text, u, anchor in sides:
            any(self.put(short, [(u, row), (u, lower)], (3.0, 2.0), anchor=anchor) for short in (text, text[:4]))

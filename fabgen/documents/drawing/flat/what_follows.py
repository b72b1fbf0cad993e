"""Which sizes of a flat follow from others that are dimensioned already, because arcs touch edges.

The end of a slotted strap, the bottom of a notch: an arc that runs into a level or upright edge, or is outermost
itself, has its centre one radius from there.  Each such touch makes one size follow from others; drawn all the same it
would be dimensioned twice.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from fabgen.documents.drawing.flat.outline_features import ROUND_END
from fabgen.geometry.plane.outline import Circle, Edge, Loop
from fabgen.parts.shape.hole_groups import NEAR

Place = tuple[int, float]
"""A position along an axis: 0 or 1, and mm from the datum edge."""
_SMOOTH = math.radians(0.6)


class WhatFollows:
    """Positions and radii that are known so far, and what the touches of arcs make of them."""

    def __init__(self, outline: Loop, skip: Iterable[Edge] = ()) -> None:
        self._columns: list[tuple[str, int, float]] = []
        self._rows: list[dict[int, float]] = []
        if isinstance(outline, Circle):
            return
        self._box = outline.bounds
        for axis in (0, 1):
            self._rows.append({self._place((axis, self._box[axis])): 1.0})
        edges, skipped = list(outline.edges()), set(skip)
        for i, arc in enumerate(edges):
            if arc.is_arc and arc not in skipped:
                self._touches(arc, edges[i - 1], edges[(i + 1) % len(edges)])

    def _touches(self, arc: Edge, before: Edge, after: Edge) -> None:
        beside = [
            (edge, end)
            for edge, turn, end in (
                (before, arc.heading_in - before.heading_out, arc.start),
                (after, after.heading_in - arc.heading_out, arc.end),
            )
            if not edge.is_arc and abs(math.remainder(turn, 2.0 * math.pi)) < _SMOOTH
        ]
        if beside and abs(arc.sweep) < ROUND_END:
            return  # a fillet: where its centre lies is nowhere to be seen
        for axis in (0, 1):
            level = [end[axis] for edge, end in beside if abs(edge.start[axis] - edge.end[axis]) < 1e-4]
            outermost = [arc.centre[axis] + way * arc.radius for way in (-1.0, 1.0)]
            bounds = (self._box[axis], self._box[axis + 2])
            level += [v for v, bound in zip(outermost, bounds, strict=True) if abs(v - bound) < 1e-4]
            for value in level:
                way = 1.0 if value > arc.centre[axis] else -1.0
                row: dict[int, float] = {}
                columns = (self._place((axis, value)), self._place((axis, arc.centre[axis])), self._radius(arc.radius))
                for column, share in zip(columns, (1.0, -1.0, -way), strict=True):
                    row[column] = row.get(column, 0.0) + share
                self._rows.append(row)
            if not beside and any(abs(v - bound) < 1e-4 for v, bound in zip(outermost, bounds, strict=True)):
                # A bow between two corners: these and its crown give its radius.
                self._rows.append({self._radius(arc.radius): 1.0})

    def _column(self, kind: str, axis: int, value: float) -> int:
        for index, (other, along, at) in enumerate(self._columns):
            if (other, along) == (kind, axis) and abs(at - value) <= NEAR:
                return index
        self._columns.append((kind, axis, value))
        return len(self._columns) - 1

    def _place(self, place: Place) -> int:
        return self._column("at", *place)

    def _radius(self, radius: float) -> int:
        return self._column("radius", 0, radius)

    def place(self, axis: int, value: float) -> bool:
        """Whether a position follows already; from now on it is known."""
        return self._known(self._place((axis, value)))

    def radius(self, radius: float) -> bool:
        """Whether a radius follows already; from now on it is known."""
        return self._known(self._radius(radius))

    def _known(self, column: int) -> bool:
        before = _rank(self._rows, len(self._columns))
        self._rows.append({column: 1.0})
        return _rank(self._rows, len(self._columns)) == before


def _rank(rows: Sequence[dict[int, float]], columns: int) -> int:
    table = np.zeros((len(rows), columns))
    for i, row in enumerate(rows):
        for column, share in row.items():
            table[i, column] = share
    return int(np.linalg.matrix_rank(table)) if rows else 0


def bracketed(text: str, follows: bool) -> str:
    """A size as printed: in brackets where it follows from others (ISO 129-1, auxiliary dimension)."""
    return f"({text})" if follows else text

"""Long parts drawn short: the middle is broken out, in the manner of ISO 128-3."""

from __future__ import annotations

from dataclasses import dataclass

from fabgen.documents.render.picture import Stroke, polyline
from fabgen.geometry.plane.outline import Xy

GAP = 4.0
"""Bare paper between the two break lines, mm."""


@dataclass(frozen=True)
class LongAxis:
    """Carries a position along the part (mm) to paper: `left` is the last before the break, `right` the first
    after it; no break where they are equal."""

    scale: float
    first: float
    left: float
    right: float

    @staticmethod
    def fitted(first: float, last: float, scale: float, room: float, start: float, finish: float) -> LongAxis:
        """The axis of a part from `first` to `last` in `room` mm of paper; `start` and `finish` mm of the part at
        its ends are to be shown whole."""
        length = (last - first) * scale
        if length <= room:
            return LongAxis(scale, first, first, first)
        spare = max(0.0, (room - GAP) / scale - start - finish)
        return LongAxis(scale, first, first + start + spare / 2.0, last - finish - spare / 2.0)

    @property
    def broken(self) -> bool:
        return self.right > self.left

    def x(self, s: float) -> float:
        """Position on paper; what lies in the break comes to its edge."""
        if not self.broken or s <= self.left:
            return (s - self.first) * self.scale
        before = (self.left - self.first) * self.scale + GAP
        return before + max(0.0, s - self.right) * self.scale

    def at(self, point: Xy) -> Xy:
        return (self.x(point[0]), point[1] * self.scale)

    def split(self, a: Xy, b: Xy) -> list[tuple[Xy, Xy]]:
        """A line along the part, on paper, in two where it crosses the break."""
        if not self.broken or not a[0] < self.left <= self.right < b[0]:
            return [(self.at(a), self.at(b))]
        rise = (b[1] - a[1]) / (b[0] - a[0])
        left = (self.left, a[1] + rise * (self.left - a[0]))
        right = (self.right, a[1] + rise * (self.right - a[0]))
        return [(self.at(a), self.at(left)), (self.at(right), self.at(b))]

    def break_lines(self, half: float) -> list[Stroke]:
        """The two zigzag break lines across a part `half` mm high (on paper) each way from its axis."""
        if not self.broken:
            return []
        strokes = []
        for x in (self.x(self.left), self.x(self.right)):
            reach = half + 2.5
            z = min(2.0, half * 0.4)
            points = [(x, -reach), (x, -z), (x - 1.2, -z * 0.35), (x + 1.2, z * 0.35), (x, z), (x, reach)]
            strokes.append(polyline(points, "thin"))
        return strokes

"""Distances between points as names in formulas of parts: "A_to_B - 2 * 20 mm".

So a bracket or plate that spans two points follows them.  [dimensions] and [points] themselves are
worked out before and cannot use them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from fabgen.job.points.points import Point, Points
from fabgen.job.values.formulas import Names
from fabgen.job.values.quantity import Quantity

_TO = "_to_"


class DistanceNames(Mapping[str, Quantity | None]):
    """The named dimensions, and beside them every distance between two named points; a dimension goes first."""

    def __init__(self, dimensions: Names, points: Points) -> None:
        self._dimensions, self._points = dimensions, points

    def __getitem__(self, name: str) -> Quantity | None:
        if name in self._dimensions:
            return self._dimensions[name]
        ends = self._ends(name)
        if ends is None:
            raise KeyError(name)
        one, other = ends
        if one is None or other is None:
            return None  # a faulty point, told already
        return Quantity(math.dist(one.xyz, other.xyz), length=1)

    def __contains__(self, name: object) -> bool:
        return name in self._dimensions or (isinstance(name, str) and self._ends(name) is not None)

    def __iter__(self) -> Iterator[str]:
        """The dimensions, and one distance to show how they are called."""
        yield from self._dimensions
        if len(self._points) > 1:
            one, other = list(self._points)[:2]
            yield f"{one}{_TO}{other}"

    def __len__(self) -> int:
        return len(self._dimensions) + (len(self._points) > 1)

    def _ends(self, name: str) -> tuple[Point | None, Point | None] | None:
        """The two points that a name is made of; None where it is made of no two."""
        at = name.find(_TO)
        while at >= 0:
            one, other = name[:at], name[at + len(_TO) :]
            if one in self._points and other in self._points:
                return self._points[one], self._points[other]
            at = name.find(_TO, at + 1)
        return None

"""Tube sections: what a bar of tube is, and what a metre of it weighs."""

from __future__ import annotations

import math
from dataclasses import dataclass

from fabgen.wording.figures import figure


@dataclass(frozen=True, slots=True)
class Section:
    """A round or rectangular tube (or solid bar), mm.

    Round: `width` is the outside diameter and `depth` equals it.  Rectangular: `width` is
    the first figure (in the plane of the joint, upright in a job), `depth` the second,
    `corner` the outside corner radius.  `wall` is 0 for solid bar.
    """

    shape: str
    width: float
    depth: float
    wall: float
    corner: float = 0.0

    @property
    def is_round(self) -> bool:
        return self.shape == "round"

    @property
    def is_solid(self) -> bool:
        return self.wall == 0.0

    @property
    def bore(self) -> float:
        """Inside diameter of a round tube, mm (0 for solid bar)."""
        return 0.0 if self.is_solid else self.width - 2.0 * self.wall

    @property
    def inner_corner(self) -> float:
        return max(0.0, self.corner - self.wall)

    @property
    def reach(self) -> float:
        """Radius of the smallest circle about the axis that holds the section, mm."""
        if self.is_round:
            return self.width / 2.0
        r = self.corner
        return math.hypot(self.width / 2.0 - r, self.depth / 2.0 - r) + r

    @property
    def perimeter(self) -> float:
        """Developed width of the outside, mm: straight faces and corner arcs."""
        if self.is_round:
            return math.pi * self.width
        return 2.0 * (self.width + self.depth) - (8.0 - 2.0 * math.pi) * self.corner

    @property
    def area(self) -> float:
        """Metal area of the cross section, mm2."""
        outer = _area(self.is_round, self.width, self.depth, self.corner)
        if self.is_solid:
            return outer
        t2 = 2.0 * self.wall
        return outer - _area(self.is_round, self.width - t2, self.depth - t2, self.inner_corner)

    def __str__(self) -> str:
        sizes = [self.width] if self.is_round else [self.width, self.depth]
        if not self.is_solid:
            sizes.append(self.wall)
        text = " x ".join(figure(size, 2) for size in sizes)
        return f"{text} solid" if self.is_solid else text


def _area(is_round: bool, width: float, depth: float, corner: float) -> float:
    if is_round:
        return math.pi * width * width / 4.0
    return width * depth - (4.0 - math.pi) * corner * corner

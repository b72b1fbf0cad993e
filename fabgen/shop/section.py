"""Tube sections: what a bar of tube is, and what a metre of it weighs."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from fabgen.wording.figures import figure, rounded_up
from fabgen.wording.inches import INCH, inch_size, is_fraction, is_metric


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
    corner_by: str = field(default="", compare=False)
    """Whose corners they are where the job gives none, e.g. 'EN 10219-2'; '' where it does, or there are none."""
    or_flat: str = field(default="", compare=False)
    """The text of a round tube that is no usual size where flat bar of the same two figures is; '' of any other."""

    @property
    def is_round(self) -> bool:
        """Whether it is a round tube or bar."""
        return self.shape == "round"

    @property
    def is_solid(self) -> bool:
        """Whether it is solid bar."""
        return self.wall == 0.0

    @property
    def bore(self) -> float:
        """Inside diameter of a round tube, mm (0 for solid bar)."""
        return 0.0 if self.is_solid else self.width - 2.0 * self.wall

    @property
    def narrow_bore(self) -> float:
        """The narrower inside size, mm (0 for solid bar)."""
        return 0.0 if self.is_solid else min(self.width, self.depth) - 2.0 * self.wall

    @property
    def inner_corner(self) -> float:
        """Corner radius of the bore, mm."""
        return max(0.0, self.corner - self.wall)

    @property
    def reach(self) -> float:
        """Radius of the smallest circle about the axis that holds the section, mm."""
        if self.is_round:
            return self.width / 2.0
        r = self.corner
        return math.hypot(self.width / 2.0 - r, self.depth / 2.0 - r) + r

    def through(self, way: float) -> float:
        """Outside size from one face, or from the skin of what is round, to that opposite, mm.

        Args:
            way: rad from its top to the face, either way round.
        """
        return self.width if abs(math.cos(way)) > 0.5 else self.depth

    def beside(self, way: float) -> float:
        """Outside size along a face, mm; of what is round its diameter.

        Args:
            way: rad from its top to the face, either way round.
        """
        return self.depth if abs(math.cos(way)) > 0.5 else self.width

    def face_at(self, way: float) -> tuple[float, float]:
        """The face of a rectangular section that a ray from its middle comes out of, rad from its top, in [0, 2 pi),
        and how far beside the middle of that face it does so, mm, the way that `way` grows.

        Args:
            way: of the ray, rad from its top.
        """
        up, right = math.cos(way), math.sin(way)
        half_up, half_across = self.width / 2.0, self.depth / 2.0
        if abs(up) * half_across >= abs(right) * half_up:
            face, reach = 0.0 if up > 0.0 else math.pi, half_up / abs(up)
        else:
            face, reach = math.pi / 2.0 if right > 0.0 else 1.5 * math.pi, half_across / abs(right)
        return face, reach * math.sin(math.remainder(way - face, 2.0 * math.pi))

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

    @property
    def nominal(self) -> Section:
        """The section as it is bought: its sizes as they are written, the larger first whichever stands upright, its
        corners left out."""
        width, depth, wall = (rounded_up(size, 2) for size in (self.width, self.depth, self.wall))
        return Section(self.shape, max(width, depth), min(width, depth), wall)

    @property
    def sizes(self) -> tuple[float, ...]:
        """Its outside sizes and its wall to 0.01 mm, as they are written; of solid bar the outside alone."""
        outside = (self.width,) if self.is_round else (self.width, self.depth)
        return tuple(rounded_up(size, 2) for size in (outside if self.is_solid else (*outside, self.wall)))

    def __str__(self) -> str:
        return self.written()

    def written(self, unit: str = "") -> str:
        """As a job or rack file reads it, mm: '48.3 x 3.2', 'bar 25', 'flat 40 x 4', 'square bar 16'; flat bar whose
        thickness stands upright '4 x 40 solid'.  With a unit '48.3 x 3.2 mm', 'bar 25 mm'.

        Args:
            unit: '' or ' mm'.
        """
        return self._named(" x ".join(figure(size, 2) for size in self._said) + unit)

    @property
    def _said(self) -> tuple[float, ...]:
        """The sizes that are written: of square bar the one."""
        square = self.is_solid and self.shape == "rectangular" and self.width == self.depth
        return self.sizes[:1] if square else self.sizes

    def _named(self, sizes: str) -> str:
        """The sizes with what bar they are of."""
        if not self.is_solid:
            return sizes
        if self.is_round:
            return f"bar {sizes}"
        if self.width < self.depth:
            return f"{sizes} solid"
        return f"{'flat' if self.width > self.depth else 'square bar'} {sizes}"

    def words(self, units: str = "mm") -> str:
        """The section in a job's units as it is bought, so of flat bar the width first whichever stands upright; in
        inches the wall in thousandths as trade has it: '1 3/4 x 0.120"', and what is metric in mm: '48.3 x 3.2 mm'.

        Args:
            units: 'mm' or 'in'.
        """
        if self.is_solid and self.width < self.depth:
            return self.nominal.words(units)
        if units != "in":
            return str(self)
        if self.is_metric:
            return self.written(" mm")
        if self.is_solid:
            return self._named(" x ".join(inch_size(size) for size in self._said) + '"')
        *outside, wall = self.sizes
        return " x ".join([*(inch_size(size) for size in outside), f"{wall / INCH:.3f}"]) + '"'

    @property
    def is_metric(self) -> bool:
        """Whether it is made in millimetres: by its outside, and where that is in whole fractions of an inch too by a
        wall of half or whole millimetres."""
        if self.is_solid or not all(is_fraction(size) for size in self.sizes[:-1]):
            return is_metric(*self.sizes)
        return not is_fraction(self.wall) and abs(self.wall * 2.0 - round(self.wall * 2.0)) < 1e-6


def _area(is_round: bool, width: float, depth: float, corner: float) -> float:
    if is_round:
        return math.pi * width * width / 4.0
    return width * depth - (4.0 - math.pi) * corner * corner

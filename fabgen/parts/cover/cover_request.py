"""What all shapes of sheet covers share: a cover as the job gives it, and the same laid flat."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from fabgen.geometry.space.frame import Frame
from fabgen.job.tables.cover_tables import Cover
from fabgen.parts.sheet.bend_data import bend_k, inside_radius
from fabgen.parts.sheet.development import Development
from fabgen.parts.sheet.holes import PlacedHole, given_holes
from fabgen.parts.sheet.request import SheetRequest
from fabgen.shop.bending.bends import KFactor

STEEPEST = math.radians(150.0)
"""A crease is folded by no more than this."""


@dataclass(frozen=True, eq=False)
class CoverRequest(SheetRequest[Cover]):
    """A cover as the job gives it."""

    @cached_property
    def holes(self) -> list[PlacedHole]:
        """Those that the job lists."""
        return given_holes(self)

    @cached_property
    def radius(self) -> float:
        """Inside radius of its folds, mm."""
        return inside_radius(self) if self.given.radius is None else self.given.radius

    @cached_property
    def k(self) -> KFactor:
        """K of its folds; raises Unfit where bend tests leave it open."""
        return bend_k(self, self.radius)

    def deduction(self, angle: float) -> float:
        """What a crease of that angle (rad) saves of the sheet's middle, drawn to a sharp corner, mm."""
        radius, thickness = self.radius, self.thickness
        return 2.0 * math.tan(angle / 2.0) * (radius + thickness / 2.0) - angle * (radius + self.k.value * thickness)


@dataclass(frozen=True, eq=False)
class CoverDevelopment(Development):
    """A cover laid flat, drawn from its outside, the side that shows when it is on.  A cap's and a panel's coordinates
    are those of its opening, all others' begin at the lower left corner of the whole sheet.

    `own`: holes that the shape itself brings, which are not in `holes` yet.
    """

    own: tuple[PlacedHole, ...] = ()
    frame: Frame | None = None
    """Where these coordinates lie in the vehicle, z = 0 the middle of the sheet, when its points are given there."""

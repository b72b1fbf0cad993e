"""Hole saws as they are sold: cutting diameters, and how deep the common cup goes.

Bi-metal hole saws come in one series the world over, made to sixteenths of an inch and sold by
the nearest whole millimetre.  The sizes and the depth are from memory, check against your part:
makers leave out some sizes and add others, and a cup cuts a few tenths wide.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from fabgen.wording.inches import INCH

MEMORY = "from memory, check yours"

HOLE_SAW_ANGLE = math.radians(30.0)
"""Below this angle a hole saw wanders along the tube (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class HoleSaw:
    """A ready-made cutter by the inch size it is made to."""

    inches: Fraction

    @property
    def diameter(self) -> float:
        """mm."""
        return float(self.inches) * INCH

    @property
    def sold(self) -> int:
        """The whole millimetres it is sold by."""
        return round(self.diameter)

    @property
    def inch_text(self) -> str:
        """'2 3/8 in'."""
        whole, rest = divmod(self.inches, 1)
        return f"{' '.join(str(part) for part in (whole, rest) if part)} in"

    def words(self, units: str = "mm") -> str:
        """'60 mm (2 3/8 in)'; in an inch job '2 3/8" [60 mm]'."""
        if units == "in":
            return f'{self.inch_text.removesuffix(" in")}" [{self.sold} mm]'
        return f"{self.sold} mm ({self.inch_text})"


_SIXTEENTHS = (
    *(9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22, 23, 24, 25, 26, 27, 28, 29, 30, 32, 33, 34),
    *(36, 37, 38, 40, 41, 42, 43, 44, 46, 48, 50, 52, 54, 56, 58, 60, 62, 64, 66, 68, 70, 72, 76, 80, 88, 96),
)
"""9/16 in to 6 in."""

SIZES = tuple(HoleSaw(Fraction(n, 16)) for n in _SIXTEENTHS)

CUP_DEPTH = 38.0
"""How deep the common cup cuts in one pass, mm (1 1/2 in)."""
DEEP_CUP = 75.0
"""How deep the deepest cups cut, mm."""


def neighbours(diameter: float) -> tuple[HoleSaw | None, HoleSaw | None]:
    """The largest ready-made saw of at most a diameter, and the smallest of at least that; None where there is none.

    Args:
        diameter: mm.
    """
    under = [saw for saw in SIZES if saw.diameter <= diameter]
    over = [saw for saw in SIZES if saw.diameter >= diameter]
    return (under[-1] if under else None), (over[0] if over else None)

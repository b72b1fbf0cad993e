"""A place on the skin of a part, where another is placed against it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.shop.section import Section


@dataclass(frozen=True, eq=False)
class Skin:
    """Where a part is to touch: on the skin at `origin`, which runs `along` and looks `out`; (3,), the latter two unit.

    `offset`: the part's place is so far beside the origin, clockwise seen along the run, mm.  `radius`: of what is
    round across its run, mm; 0 of what is flat.  `is_hollow`: whether it is the inside of a bend, curved inward along
    its run.  `section`: of the tube, None of what is none; `in_bend`: whether the tube is bent there.

    For setting out: `at`: how far the origin is along the run from where a tape is held, mm, the saw cut at the start
    or a sheet's left edge.  `way`: rad from TOP of a tube,
    clockwise seen from its start; None of what is no tube.  `face`: of a profile, or the side of a sheet.  `across`:
    where the origin is from a `datum` across the run, mm, and where a place 1 mm beside it is.
    """

    origin: Array
    along: Array
    out: Array
    offset: float = 0.0
    radius: float = 0.0
    is_hollow: bool = False
    section: Section | None = None
    in_bend: bool = False
    at: float = 0.0
    way: float | None = None
    face: str = ""
    across: tuple[float, float] = (0.0, 1.0)
    datum: str = ""

    @property
    def beside(self) -> Array:
        """Which way is clockwise round it, unit (3,)."""
        return np.cross(self.along, self.out)

    @property
    def axis(self) -> Array:
        """The middle of the tube under the place, (3,) mm."""
        assert self.section is not None
        assert self.way is not None
        return np.asarray(self.origin - self.section.through(self.way) / 2.0 * self.out)

    @property
    def place(self) -> Array:
        """The place itself, in the plane that touches the skin at its origin, (3,) mm."""
        return np.asarray(self.origin + self.offset * self.beside)

    def turned(self, by: float) -> Array:
        """The way along the skin that is turned from its run, clockwise seen from outside, unit (3,).

        Args:
            by: rad.
        """
        return np.asarray(math.cos(by) * self.along + math.sin(by) * self.beside)

    def drop(self, low: float, high: float) -> float:
        """How far under the plane that touches it the skin is first met by what comes down square on it, mm.

        Args:
            low: the least place of what comes down, mm beside the origin.
            high: the greatest.
        Returns: nan where it passes by.
        """
        if not self.radius:
            return 0.0
        past = max(low, -high, 0.0)
        return self.radius - math.sqrt(self.radius**2 - past**2) if past < self.radius else math.nan

"""Where a tube's end is cut, and what it sits on there."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from fabgen.geometry.space.frame import Array, Frame

At = Literal["start", "finish"]
ENDS: tuple[At, At] = ("start", "finish")

CutKind = Literal["plain", "cope", "mitre", "plane"]
"""What is done to an end: sawn square, shaped to sit on tubes, mitred with others, or cut to a plane that the job
gives."""


@dataclass(frozen=True, eq=False)
class CutLine:
    """Where a tube end is cut, all the way round (DEVELOPERS.md, "Conventions").

    `phi` rad about the end's +x from +y toward +z, ascending from 0; `station` mm round the
    developed outside from phi = 0; `x` mm from the work point along the tube, nan where the
    end misses its main.  The three have one shape, (n,), and do not repeat the first point.
    """

    phi: Array
    station: Array
    x: Array

    @property
    def mean(self) -> float:
        """Its mean x all the way round, mm, places that miss left out; 0 where all do."""
        hit = ~np.isnan(self.x)
        ways = np.diff(self.phi, append=2.0 * np.pi)
        return float(np.average(self.x[hit], weights=(ways + np.roll(ways, 1))[hit])) if hit.any() else 0.0

    @property
    def heel(self) -> tuple[float, float]:
        """Which side of the tube is cut farthest back on the whole: phi, rad in (-pi, pi], and by how much farther
        than the middle, mm.

        The first term of the line's Fourier series: of a flat cut it is the slope itself, and of a line about which
        two mains, or two mains' mirror images, are alike it lies in the middle.
        """
        hit = ~np.isnan(self.x)
        ways = np.diff(self.phi, append=2.0 * np.pi)
        wave = ((ways + np.roll(ways, 1)) * np.where(hit, self.x - self.mean, 0.0)) @ np.exp(1j * self.phi)
        return float(np.angle(wave)), float(np.abs(wave)) / (2.0 * np.pi)

    def at(self, phi: Array) -> Array:
        """x at any phi, straight from place to place.

        Args:
            phi: (m,) rad.
        Returns: (m,) mm, nan where the end misses its main.
        """
        return np.interp(phi, self.phi, self.x, period=2.0 * np.pi)

    def apart(self, other: CutLine) -> float:
        """How far two lines lie apart at most, mm, each counted from its own longest point.

        Args:
            other: it may have other places.
        Returns: inf where the two do not miss their mains at the same places.
        """
        if self.misses or other.misses:
            if self.x.shape != other.x.shape or not np.array_equal(np.isnan(self.x), np.isnan(other.x)):
                return np.inf
            off = self.x - other.x - (self.longest - other.longest)
            return 0.0 if np.isnan(off).all() else float(np.nanmax(np.abs(off)))
        off = np.concatenate((self.at(other.phi) - other.x, self.x - other.at(self.phi)))
        return float(np.abs(off - (self.longest - other.longest)).max())

    @cached_property
    def misses(self) -> bool:
        return bool(np.isnan(self.x).any())

    @cached_property
    def longest(self) -> float:
        """Where the end's longest point lies: its least x, mm; 0 where it misses its mains altogether."""
        return 0.0 if np.isnan(self.x).all() else float(np.nanmin(self.x))


@dataclass(frozen=True)
class Joint:
    """One main that a coped end sits on: acute angle (rad) and offset (mm) of the axes."""

    onto: str
    angle: float
    offset: float


@dataclass(frozen=True, eq=False)
class PlateSeat:
    """The face of a placed plate or bracket to which an end, or part of a coped one, is cut: the part's mark, the
    face's unit normal (3,) into the tube and its level, mm, and the acute angle between that and the tube's axis, rad.

    `off`: the share of what is cut to it that lies past the edge of its metal.
    """

    onto: str
    normal: Array
    level: float
    angle: float
    off: float = 0.0


@dataclass(frozen=True)
class FlatCut:
    """One straight saw cut of a mitred or plane end.

    `onto`: the tube it is for, None for a plane.  `from_square` rad from a square cut; `long_side` phi
    (rad) of the side where it leaves the tube longest.  `swing` and `tilt`, rad: the saw's two angles for a
    tube that lies on its bottom face, its blade swung about the upright and tilted about its own slot in the
    table; above 0 they leave the tube's right side (seen from its start) and its top the longer.
    """

    onto: str | None
    from_square: float
    long_side: float
    swing: float
    tilt: float

    def inward(self, frame: Frame) -> Array:
        """Unit normal of its plane, into the tube, (3,).

        Args:
            frame: of the end.
        """
        lean = math.sin(self.from_square)
        local = (math.cos(self.from_square), lean * math.cos(self.long_side), lean * math.sin(self.long_side))
        return np.asarray(np.array(local) @ frame.axes)

"""Where a branch's bore comes through the outside of its main, developed on the main.

The bore is the prism that the branch's inner skin makes along the branch's axis.  Each of its
lines, followed back from the branch's free end, comes to the main's outside at the greatest x at
which it is in the main (`contact.py`), and that point lies on the main at

    station  mm round its outside from its top line, to the right as one looks from start to finish,
    along    mm along its axis.

Round the main the first quarter runs, with p to the right of the axis and q above it, over half
the top (to the corner's tangent point), the corner's arc and half the side:

    station = min(p, a - r) + r atan2(p - (a - r), q - (b - r)) + (b - r) - min(q, b - r)

for half sizes a across and b up, corner radius r; a round tube is all corner, a = b = r.  The
other quarters follow by reflection.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.contact import greatest
from fabgen.geometry.tube.profile import Profile
from fabgen.geometry.tube.solids import RoundBar, RoundedPrism, Solid, Walls


@dataclass(frozen=True, eq=False)
class Outside:
    """The outside of a straight tube along `frame.x`, its top along `frame.z`: `across` mm wide
    along frame.y, `up` mm along frame.z, corners of radius `corner`; round where that is half of both."""

    frame: Frame
    across: float
    up: float
    corner: float

    @staticmethod
    def of_round(frame: Frame, diameter: float) -> Outside:
        """The outside of a round tube.

        Args:
            frame: x along the tube, z its top.
            diameter: outside, mm.
        """
        return Outside(frame, diameter, diameter, diameter / 2.0)

    @property
    def is_round(self) -> bool:
        """Whether it is a round tube."""
        return self.across == self.up == 2.0 * self.corner

    @property
    def girth(self) -> float:
        """Once round, mm."""
        return 2.0 * (self.across + self.up) - (8.0 - 2.0 * math.pi) * self.corner

    @property
    def solid(self) -> Solid:
        """The tube filled up and without ends."""
        if self.is_round:
            return RoundBar(self.frame.origin, self.frame.x, self.corner)
        return RoundedPrism(self.frame, self.across, self.up, self.corner)

    def inset(self, by: float) -> Outside:
        """All faces farther in: a tube's inner skin, for its wall.

        Args:
            by: mm.
        """
        corner = max(0.0, self.corner - by)
        return replace(self, across=self.across - 2.0 * by, up=self.up - 2.0 * by, corner=corner)

    def developed(self, points: Array) -> tuple[Array, Array]:
        """Where points of the outside lie on the developed skin.

        Args:
            points: (n, 3), mm.
        Returns: (station, along), (n,) each, mm; station in (-girth / 2, girth / 2], positive to the right of the
            top seen from start to finish.
        """
        along, left, q = self.frame.inside(points).T
        p, flat, side = np.abs(left), self.across / 2.0 - self.corner, self.up / 2.0 - self.corner
        up = np.abs(q)
        arc = self.corner * np.arctan2(np.maximum(p - flat, 0.0), np.maximum(up - side, 0.0))
        quarter = np.minimum(p, flat) + arc + side - np.minimum(up, side)
        half = np.where(q < 0.0, self.girth / 2.0 - quarter, quarter)
        return np.where(left > 0.0, -half, half), along

    def at(self, station: Array, along: Array) -> Array:
        """The points (n, 3) of the outside that develop to these places, mm.

        Args:
            station: round from the top, (n,), mm.
            along: along the axis, (n,), mm.
        """
        girth, r = self.girth, self.corner
        turned = np.mod(station + girth / 2.0, girth) - girth / 2.0
        flat, side = self.across / 2.0 - r, self.up / 2.0 - r
        half = np.abs(turned)
        quarter = np.minimum(half, girth / 2.0 - half)
        angle = np.clip((quarter - flat) / max(r, 1e-9), 0.0, math.pi / 2.0)
        past = np.maximum(quarter - flat - r * math.pi / 2.0, 0.0)
        p = np.minimum(quarter, flat) + r * np.sin(angle)
        q = side - past + r * np.cos(angle)
        own = np.column_stack((along, np.where(turned > 0.0, -p, p), np.where(half > girth / 4.0, -q, q)))
        return self.frame.outside(own)


@dataclass(frozen=True, eq=False)
class Penetration:
    """The bore's edge on the main's outside, (n,) each and closed back to the first.

    `phi` rad about the branch's +x from +y; `x` mm along the branch, `station` and `along` mm on
    the main, nan where the bore runs past it.  `station` runs on past half a turn rather than
    jump.  `centre`: (station, along) of the branch's axis; nan where that runs past the main.
    """

    phi: Array
    x: Array
    station: Array
    along: Array
    centre: tuple[float, float]

    @property
    def misses(self) -> bool:
        """Whether some of the bore runs past the main."""
        return bool(np.isnan(self.x).any())

    @property
    def points(self) -> Array:
        """The edge from its centre, (n, 2) mm: round the main, along it."""
        return np.column_stack((self.station - self.centre[0], self.along - self.centre[1]))

    @property
    def size(self) -> tuple[float, float]:
        """How wide round the main and how long along it, mm."""
        return float(np.ptp(self.station)), float(np.ptp(self.along))


def penetration(bore: Profile, branch: Frame, main: Outside) -> Penetration:
    """The edge of a bore on the outside of its main.

    Args:
        bore: places round the branch's inner skin.
        branch: its x runs from the main outward.
        main: a straight tube.
    """
    skin = branch.origin + bore.skin @ np.vstack((branch.y, branch.z))
    points = np.vstack((branch.origin, skin))
    x = greatest(main.solid, Walls.lines(points, branch.x))
    station, along = main.developed(points + x[:, None] * branch.x)
    girth, middle = main.girth, float(station[0])
    near = station if math.isnan(middle) else middle + np.mod(station - middle + girth / 2.0, girth) - girth / 2.0
    return Penetration(bore.phi, x[1:], near[1:], along[1:], (middle, float(along[0])))

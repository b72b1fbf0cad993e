"""Shapes that must not meet, and the least distance between two of them.

Every shape is a core with round edges: all points within `round_` of a box, or of a round
core (a rod, a disc or a ring about x).  The nearest point of a core is plain to find, so the
least distance is found by projecting from one core to the other and back (alternating
projections, here with Nesterov's momentum, which convex cores make converge; a ring is tried
from several sides).  All positions of a travel go through at once.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from fabgen.geometry.space.frame import Array, Frame

_ROUNDS = 400
_STILL = 1e-7
_SIDES = 16


@dataclass(frozen=True, slots=True)
class KeepOutShape:
    """A core about its own origin and what is rounded on top of it, mm.

    `half`: half sizes along x, y, z of a box; of a round core half its length along x, then the
    least and the greatest radius of the core (0, 0 for a rod).
    """

    kind: str
    half: tuple[float, float, float]
    round_: float

    @staticmethod
    def capsule(length: float, diameter: float) -> KeepOutShape:
        """A rod along x, its round ends reaching past it.

        Args:
            length: of the rod, without its ends, mm.
            diameter: mm.
        """
        return KeepOutShape("round", (length / 2.0, 0.0, 0.0), diameter / 2.0)

    @staticmethod
    def disc(diameter: float, width: float) -> KeepOutShape:
        """A disc about x, its edges sharp.

        Args:
            diameter: mm.
            width: along x, mm.
        """
        return KeepOutShape("round", (width / 2.0, 0.0, diameter / 2.0), 0.0)

    @staticmethod
    def tyre(diameter: float, width: float, rim: float, shoulder: float) -> KeepOutShape:
        """A ring about x with a flat tread and flat sides, its four edges rounded alike.

        Args:
            diameter: outside, mm.
            width: along x, mm.
            rim: diameter inside, mm.
            shoulder: radius of the edges, mm; half the width, where it is as high as wide, makes a torus.
        Raises:
            ValueError: the rim is not inside the tyre, or the shoulders do not go into its section.
        """
        height = (diameter - rim) / 2.0
        if height <= 0.0 or rim < 0.0:
            raise ValueError("the rim is not inside the tyre")
        if 2.0 * shoulder > min(height, width) + 1e-9:
            raise ValueError("the shoulders are more than half the tyre's width or height")
        half = (width / 2.0 - shoulder, rim / 2.0 + shoulder, diameter / 2.0 - shoulder)
        return KeepOutShape("round", half, shoulder)

    @staticmethod
    def box(x: float, y: float, z: float) -> KeepOutShape:
        """A box centred on its origin.

        Args:
            x: size along x, mm.
            y: along y, mm.
            z: along z, mm.
        """
        return KeepOutShape("box", (x / 2.0, y / 2.0, z / 2.0), 0.0)

    @property
    def reach(self) -> float:
        """Radius of a ball about the origin that holds the shape."""
        a, b, c = self.half
        return (math.hypot(a, c) if self.kind == "round" else math.hypot(a, b, c)) + self.round_

    @property
    def is_ring(self) -> bool:
        """Whether it has a hole."""
        return self.kind == "round" and self.half[1] > 0.0

    def nearest(self, points: Array) -> Array:
        """Nearest points of the core, (..., 3) mm, in the shape's own coordinates.

        Args:
            points: (..., 3), mm.
        """
        if self.kind == "box":
            half = np.array(self.half)
            return np.asarray(np.clip(points, -half, half))
        length, inner, outer = self.half
        out = points.copy()
        out[..., 0] = np.clip(points[..., 0], -length, length)
        radius = np.hypot(points[..., 1], points[..., 2])
        wanted = np.clip(radius, inner, outer)
        middle = radius < 1e-12
        out[..., 1:] *= np.where(middle, 0.0, wanted / np.where(middle, 1.0, radius))[..., None]
        out[..., 1] += np.where(middle, wanted, 0.0)
        return out

    def starts(self) -> Array:
        """Points of the core to begin from, (k, 3)."""
        if not self.is_ring:
            return np.zeros((1, 3))
        angle = 2.0 * math.pi * np.arange(_SIDES) / _SIDES
        radius = (self.half[1] + self.half[2]) / 2.0
        return np.column_stack((np.zeros(_SIDES), radius * np.cos(angle), radius * np.sin(angle)))


@dataclass(frozen=True, eq=False)
class MovedShape:
    """A shape in every position of a travel: origins (s, 3) and axes (s, 3, 3), rows the shape's x, y, z."""

    shape: KeepOutShape
    origins: Array
    axes: Array

    @staticmethod
    def still(shape: KeepOutShape, frame: Frame) -> MovedShape:
        """A shape that does not move.

        Args:
            shape: the shape.
            frame: where it stands.
        """
        return MovedShape(shape, frame.origin[None], frame.axes[None])

    @property
    def reach(self) -> float:
        """Radius of a ball about the origin that holds the shape, mm."""
        return self.shape.reach

    def outside(self, points: Array) -> Array:
        """Points of the shape's coordinates in space, (..., s, 3) mm.

        Args:
            points: (..., s, 3), mm, one for each of s positions.
        """
        return np.asarray((points[..., None, :] @ self.axes)[..., 0, :] + self.origins)

    def nearest(self, points: Array) -> Array:
        """Nearest points of the core in space, (..., s, 3) mm.

        Args:
            points: (..., s, 3), mm, one for each of s positions.
        """
        local = ((points - self.origins)[..., None, :] @ self.axes.transpose(0, 2, 1))[..., 0, :]
        return self.outside(self.shape.nearest(local))


class Balled(Protocol):
    """What moves within a ball about its origins (s, 3)."""

    @property
    def origins(self) -> Array:
        """Of the shape in each position, (s, 3), mm."""
        ...

    @property
    def reach(self) -> float:
        """Radius of the ball, mm."""
        ...


def ball_gaps(one: Balled, other: Balled) -> Array:
    """Least possible clearance in each position, from the balls round both, (s,) mm: quick, and never too great.

    Args:
        one: what moves within a ball.
        other: another.
    """
    between = np.linalg.norm(one.origins - other.origins, axis=1)
    return np.asarray(between - one.reach - other.reach)


def clearances(one: MovedShape, other: MovedShape) -> tuple[Array, Array]:
    """Clearance in each position, and where it is.

    Args:
        one: a shape in s positions, or still.
        other: another.
    Returns: (s,) mm, below zero where the shapes run into one another, by that much at least; and the points
        (s, 2, 3) mm where the cores come nearest.
    """
    if other.shape.is_ring and not one.shape.is_ring:
        clear, points = clearances(other, one)
        return clear, points[:, ::-1]
    count = max(len(one.origins), len(other.origins))
    here = np.broadcast_to(one.shape.starts()[:, None, :], (len(one.shape.starts()), count, 3))
    here = one.outside(here)
    here = np.vstack((here, one.nearest(np.broadcast_to(other.origins, (count, 3)))[None]))
    ahead, weight = here, np.ones(here.shape[:2])
    gap = np.full(here.shape[:2], np.inf)
    for _ in range(_ROUNDS):
        new = one.nearest(other.nearest(ahead))
        there = other.nearest(new)
        distance = np.linalg.norm(new - there, axis=-1)
        # Where momentum has overshot it starts afresh.
        worse = distance > gap
        after = np.where(worse, 1.0, (1.0 + np.sqrt(1.0 + 4.0 * weight**2)) / 2.0)
        push = np.where(worse, 0.0, (weight - 1.0) / after)[..., None]
        moved = float(np.abs(new - here).max())
        ahead, here, gap, weight = new + push * (new - here), new, distance, after
        if moved < _STILL:
            break
    best = np.argmin(gap, axis=0)
    at = np.arange(count)
    mine = here[best, at]
    theirs = other.nearest(mine)
    clear = np.linalg.norm(mine - theirs, axis=-1) - one.shape.round_ - other.shape.round_
    return clear, np.stack((mine, theirs), axis=1)

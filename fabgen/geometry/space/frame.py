"""Right-handed frames: an origin and three unit axes in space, mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def unit(vector: Array) -> Array:
    """The vector scaled to length 1.

    Args:
        vector: (3,) or (2,).
    Raises:
        ValueError: it has no length.
    """
    way = np.asarray(vector, dtype=float)
    length = math.sqrt(float(way @ way))
    if length < 1e-12:
        raise ValueError("a vector of no length has no direction")
    return way / length


def cross(a: Array, b: Array) -> Array:
    """The cross product of two vectors: for one pair far quicker than numpy's own.

    Args:
        a: (3,).
        b: (3,).
    """
    ax, ay, az = a.tolist()
    bx, by, bz = b.tolist()
    return np.array([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx])


def any_across(way: Array) -> Array:
    """The axis of the space that runs most across a direction, as a hint where any will do, (3,).

    Args:
        way: (3,), of any length.
    """
    return np.asarray(np.eye(3)[int(np.argmin(np.abs(way)))])


@dataclass(frozen=True, eq=False)
class Frame:
    """Origin and axes, each of shape (3,), in the coordinates of the space that holds it."""

    origin: Array
    x: Array
    y: Array
    z: Array

    @staticmethod
    def along(origin: Array, x: Array, y_hint: Array) -> Frame:
        """Frame with the given x direction, and y as near to a hint as square to x allows.

        Args:
            origin: (3,), mm.
            x: (3,), of any length.
            y_hint: (3,), of any length.
        Raises:
            ValueError: `y_hint` is parallel to x, or x has no length.
        """
        ex = unit(x)
        ey = unit(y_hint - np.dot(y_hint, ex) * ex)
        return Frame(np.asarray(origin, dtype=float), ex, ey, cross(ex, ey))

    @cached_property
    def axes(self) -> Array:
        """Rows are the three axes, shape (3, 3)."""
        return np.array((self.x, self.y, self.z), dtype=float)

    def inside(self, points: Array) -> Array:
        """Points of the outer space in this frame's coordinates.

        Args:
            points: (..., 3), mm.
        """
        return np.asarray((points - self.origin) @ self.axes.T)

    def outside(self, points: Array) -> Array:
        """Points given in this frame, in the outer space.

        Args:
            points: (..., 3), mm.
        """
        return np.asarray(points @ self.axes + self.origin)


def upright(origin: Array, along: Array, turn: float = 0.0) -> Frame:
    """Frame along a tube: z is its top, as near +z as the tube allows, or +x where it is vertical.

    Args:
        origin: (3,) mm.
        along: (3,), of any length.
        turn: by which the top is turned about x then, rad.
    """
    x = along / np.linalg.norm(along)
    up = np.array([1.0, 0.0, 0.0]) if math.hypot(x[0], x[1]) < 1e-6 else np.array([0.0, 0.0, 1.0])
    frame = Frame.along(origin, x, cross(up, x))
    c, s = math.cos(turn), math.sin(turn)
    return Frame(frame.origin, frame.x, c * frame.y + s * frame.z, c * frame.z - s * frame.y)

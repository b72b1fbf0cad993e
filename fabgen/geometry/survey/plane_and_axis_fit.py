"""Planes and axes fitted to points, and points by them: mirrored, dropped square, slid along.

The plane (or axis) of several points is that of least squares of the distances square to it: the
middle of the points, and the directions of their singular value decomposition.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.wording.input_error import InputError


class FittedError(InputError):
    """Points that settle no plane or no axis."""


@dataclass(frozen=True, eq=False)
class FittedPlane:
    """A point of it and its unit normal, each (3,)."""

    at: Array
    normal: Array

    def above(self, points: Array) -> Array:
        """How far points stand on the normal's side, (...,) mm.

        Args:
            points: (..., 3), mm.
        """
        return np.asarray((points - self.at) @ self.normal)

    def foot(self, point: Array) -> Array:
        """The place of the plane square below a point, (3,) mm.

        Args:
            point: (3,), mm.
        """
        return np.asarray(point - self.above(point) * self.normal)

    def mirrored(self, point: Array) -> Array:
        """The point's mirror image in the plane, (3,) mm.

        Args:
            point: (3,), mm.
        """
        return np.asarray(point - 2.0 * self.above(point) * self.normal)


@dataclass(frozen=True, eq=False)
class FittedAxis:
    """A point of it and its unit direction, each (3,)."""

    at: Array
    along: Array

    def foot(self, point: Array) -> Array:
        """The place of the axis nearest to a point, (3,) mm.

        Args:
            point: (3,), mm.
        """
        return np.asarray(self.at + float((point - self.at) @ self.along) * self.along)

    def off(self, points: Array) -> Array:
        """Distance of points from it, (n,) mm.

        Args:
            points: (n, 3), mm.
        """
        away = points - self.at
        return np.asarray(np.linalg.norm(away - np.outer(away @ self.along, self.along), axis=-1))


def plane_of(points: Array) -> FittedPlane:
    """The plane of points, by least squares.

    Args:
        points: (n, 3), mm.
    Raises:
        FittedError: they lie in line.
    """
    middle, sizes, ways = _spread(points)
    if len(points) < 3 or sizes[1] < max(0.5, 0.005 * sizes[0]):
        raise FittedError("the points lie in one line, which leaves the plane free to turn about it")
    normal = ways[2]
    # The same way whichever way the points are listed: its largest share positive.
    return FittedPlane(middle, normal * np.sign(normal[int(np.argmax(np.abs(normal)))]))


def axis_of(points: Array) -> FittedAxis:
    """The axis of points by least squares, from the first toward the last.

    Args:
        points: (n, 3), mm.
    Raises:
        FittedError: it has no direction, or the points do not lie along one.
    """
    middle, sizes, ways = _spread(points)
    if len(points) < 2 or sizes[0] < 0.5:
        raise FittedError("the points are the same, so they give no direction")
    if len(points) > 2 and sizes[1] > 0.3 * sizes[0]:
        raise FittedError("the points do not lie along one axis")
    along = ways[0]
    return FittedAxis(middle, along if float((points[-1] - points[0]) @ along) >= 0.0 else -along)


def _spread(points: Array) -> tuple[Array, Array, Array]:
    middle = points.mean(axis=0)
    _, sizes, ways = np.linalg.svd(points - middle)
    return middle, np.append(sizes, np.zeros(3 - len(sizes))), ways


def slopes(make: Callable[[Array], Array], given: Array, step: float = 0.05) -> Array:
    """How a constructed point moves with each of its inputs, (3, k): central differences.

    Args:
        make: the point (3,) from the inputs (k,).
        given: the inputs, (k,).
        step: of the differences, in the inputs' unit.
    """
    columns = []
    for i in range(len(given)):
        change = np.zeros(len(given))
        change[i] = step
        columns.append((make(given + change) - make(given - change)) / (2.0 * step))
    return np.column_stack(columns) if columns else np.zeros((3, 0))

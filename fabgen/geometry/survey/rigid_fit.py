"""Laying one set of points on another: the turn and shift of least squares.

W. Kabsch, A solution for the best rotation to relate two sets of vectors, Acta Crystallographica
A32 (1976), 922: the singular value decomposition of the points' covariance, mirror images left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.space.frame import Array


@dataclass(frozen=True, eq=False)
class RigidMotion:
    """A rigid motion: `rotation` (3, 3) about the origin, then `shift` (3,) mm."""

    rotation: Array
    shift: Array

    def moved(self, points: Array) -> Array:
        """Points after it, (..., 3) mm.

        Args:
            points: (..., 3), mm.
        """
        return np.asarray(points @ self.rotation.T + self.shift)

    def about(self, middle: Array, goal: Array) -> RigidMotion:
        """The same rotation, shifted so that it brings one place to another.

        Args:
            middle: (3,), mm.
            goal: (3,), mm.
        """
        return RigidMotion(self.rotation, goal - self.rotation @ middle)

    @property
    def angle(self) -> float:
        """Angle turned, rad."""
        return math.atan2(
            float(np.linalg.norm(_skew_part(self.rotation))), (float(np.trace(self.rotation)) - 1.0) / 2.0
        )

    @property
    def axis(self) -> Array:
        """Unit axis (3,) it turns about; upward where it turns by nothing, or by half a turn."""
        way = _skew_part(self.rotation)
        size = float(np.linalg.norm(way))
        return np.asarray(way / size) if size > 1e-9 else np.array([0.0, 0.0, 1.0])


def _skew_part(rotation: Array) -> Array:
    """Sine of the angle times the axis."""
    r = rotation
    return np.array([r[2, 1] - r[1, 2], r[0, 2] - r[2, 0], r[1, 0] - r[0, 1]]) / 2.0


def rigid_fit(points: Array, onto: Array) -> RigidMotion:
    """The motion that lays points nearest to others, by least squares, mirror images left out.

    Args:
        points: (n, 3), mm.
        onto: (n, 3), mm.
    Source: W. Kabsch, Acta Crystallographica A32 (1976), 922.
    """
    share = np.full(len(points), 1.0 / len(points))
    middle, goal = share @ points, share @ onto
    spread = (points - middle).T @ ((onto - goal) * share[:, None])
    u, sizes, v = np.linalg.svd(spread)
    flip = np.array([1.0, 1.0, math.copysign(1.0, float(np.linalg.det(v.T @ u.T)))])
    if sizes[1] < 1e-9 * max(float(sizes[0]), 1e-12):
        return RigidMotion(_least_turn(points - middle, onto - goal), np.zeros(3)).about(middle, goal)
    return RigidMotion(np.asarray(v.T @ np.diag(flip) @ u.T), np.zeros(3)).about(middle, goal)


def _least_turn(points: Array, onto: Array) -> Array:
    """Points all in one line (or one point): the least turn that lays their lines on one another."""
    _, sizes, ways = np.linalg.svd(points)
    if sizes[0] < 1e-9:
        return np.eye(3)
    one = ways[0]
    other = onto.T @ (points @ one)
    size = float(np.linalg.norm(other))
    if size < 1e-9:
        return np.eye(3)
    other = other / size
    cross = np.cross(one, other)
    skew = np.array([[0.0, -cross[2], cross[1]], [cross[2], 0.0, -cross[0]], [-cross[1], cross[0], 0.0]])
    cosine = float(one @ other)
    return np.asarray(np.eye(3) + skew + skew @ skew / (1.0 + cosine)) if cosine > -0.999999 else np.eye(3)


def rotation(turned: Array) -> Array:
    """Rotation matrix (3, 3) of a rotation vector, by Rodrigues' formula.

    Args:
        turned: axis times angle, (3,), rad.
    """
    angle = float(np.linalg.norm(turned))
    x, y, z = turned
    skew = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    if angle < 1e-9:
        return np.asarray(np.eye(3) + skew)
    return np.asarray(np.eye(3) + math.sin(angle) / angle * skew + (1.0 - math.cos(angle)) / angle**2 * (skew @ skew))


def rigid_modes(points: Array) -> Array:
    """Orthonormal columns (3 n, k) of the small rigid motions of points, k up to 6.

    Args:
        points: (n, 3), mm.
    """
    n = len(points)
    away = points - points.mean(axis=0)
    modes = [np.tile(axis, n) for axis in np.eye(3)]
    modes += [np.cross(axis, away).ravel() for axis in np.eye(3)]
    u, sizes, _ = np.linalg.svd(np.column_stack([m / max(float(np.linalg.norm(m)), 1e-9) for m in modes]), False)
    return np.asarray(u[:, sizes > 1e-6])

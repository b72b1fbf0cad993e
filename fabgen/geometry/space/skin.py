"""Skins of closed bodies: whether they meet, how far they are apart, and whether one holds a point.

Distances between triangles are measured by FCL (python-fcl), to the last digits of its floats.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.space.mesh import Mesh, joined_skins

STANDING = Frame(np.zeros(3), *np.eye(3))
"""Where a body stands that is given in the space itself."""
_THIN = 0.01
"""A line is so wide, mm."""


@dataclass(frozen=True, eq=False)
class Skin:
    """A body's skin, its tree of boxes made when it is first asked.

    Args:
        shells: closed, in the body's own coordinates; they may run into one another.
    """

    shells: tuple[Mesh, ...]

    @cached_property
    def mesh(self) -> Mesh:
        """All shells in one."""
        return self.shells[0] if len(self.shells) == 1 else joined_skins(self.shells)

    @cached_property
    def _bounds(self) -> tuple[Array, Array]:
        return self.mesh.bounds

    @cached_property
    def tree(self) -> Any:
        """What the library measures with."""
        import fcl

        model = fcl.BVHModel()
        model.beginModel(len(self.mesh.vertices), len(self.mesh.triangles))
        model.addSubModel(np.ascontiguousarray(self.mesh.vertices), np.ascontiguousarray(self.mesh.triangles))
        model.endModel()
        return model

    @cached_property
    def firsts(self) -> Array:
        """A place on each shell, (n, 3)."""
        return np.array([shell.vertices[shell.triangles[0, 0]] for shell in self.shells])

    def may_hold(self, points: Array) -> NDArray[np.bool_]:
        """Which of some points (n, 3) lie in the box that holds it."""
        low, high = self._bounds
        return np.asarray(((points >= low) & (points <= high)).all(axis=1))

    def holds(self, point: Array) -> bool:
        """Whether a point (3,) lies inside: it sees the skin all round it."""
        if not self.may_hold(point[None, :])[0]:
            return False
        a, b, c = np.moveaxis(self.mesh.corners - point, 1, 0)
        la, lb, lc = (np.linalg.norm(each, axis=1) for each in (a, b, c))
        volume = (a * np.cross(b, c)).sum(axis=1)
        below = la * lb * lc + (a * b).sum(axis=1) * lc + (b * c).sum(axis=1) * la + (c * a).sum(axis=1) * lb
        return bool(np.arctan2(volume, below).sum() > np.pi)


@dataclass(frozen=True, eq=False)
class PlacedSkin:
    """A skin where it stands.

    Args:
        skin: in its own coordinates.
        frame: these, in space.
    """

    skin: Skin
    frame: Frame = STANDING

    @cached_property
    def bounds(self) -> tuple[Array, Array]:
        """Lower and upper corner of the box that holds it in space."""
        points = self.frame.outside(self.skin.mesh.vertices)
        return points.min(axis=0), points.max(axis=0)

    @cached_property
    def _stands(self) -> Any:
        import fcl

        # The frame's axes are the rows of `axes`; the library turns columns.
        return fcl.CollisionObject(self.skin.tree, fcl.Transform(self.frame.axes.T, self.frame.origin))

    def meets(self, other: PlacedSkin) -> bool:
        """Whether the two skins touch or cut one another."""
        import fcl

        return bool(fcl.collide(self._stands, other._stands, fcl.CollisionRequest(), fcl.CollisionResult()))

    def gap(self, other: PlacedSkin) -> tuple[float, Array]:
        """How far two skins are apart, mm, 0 where they meet, and where: the middle of that gap, (3,)."""
        import fcl

        result = fcl.DistanceResult()
        apart = float(fcl.distance(self._stands, other._stands, fcl.DistanceRequest(True), result))
        one, two = result.nearest_points
        return max(apart, 0.0), (np.asarray(one) + np.asarray(two)) / 2.0

    def is_around(self, other: PlacedSkin) -> bool:
        """Whether a shell of another, whose skin does not cut this one, lies inside it."""
        firsts = self.frame.inside(other.frame.outside(other.skin.firsts))
        return any(self.skin.holds(point) for point in firsts[self.skin.may_hold(firsts)])


@lru_cache(maxsize=256)
def thread(begin: float, end: float) -> Skin:
    """A straight line along x, as the thinnest skin that meets others.

    Args:
        begin, end: where it begins and ends, mm.
    """
    corners = np.array([[begin, 0.0, 0.0], [end, 0.0, 0.0], [end, _THIN, 0.0]])
    return Skin((Mesh(corners, np.array([[0, 1, 2]])),))


def shrunk(mesh: Mesh, by: float) -> Mesh:
    """A closed body with every face farther in.

    Each vertex moves so that it stays on all its faces where that can be, else as near to them as it goes; what is
    thinner than twice `by` turns inside out.

    Args:
        mesh: closed, its vertices shared.
        by: mm.
    """
    normals = mesh.normals
    count = len(mesh.vertices)
    squares, sums = np.zeros((count, 3, 3)), np.zeros((count, 3))
    outer = normals[:, :, None] * normals[:, None, :]
    for corner in range(3):
        np.add.at(squares, mesh.triangles[:, corner], outer)
        np.add.at(sums, mesh.triangles[:, corner], normals)
    moved = -by * np.einsum("nij,nj->ni", np.linalg.pinv(squares, rcond=1e-2, hermitian=True), sums)
    long = np.linalg.norm(moved, axis=1)[:, None]
    moved *= np.minimum(1.0, 3.0 * by / np.maximum(long, 1e-12))
    return Mesh(mesh.vertices + moved, mesh.triangles)

"""Closed triangle meshes: what a solid to be printed is made of."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Triangles = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Mesh:
    """`vertices` (n, 3) mm, each used once and shared; `triangles` (m, 3) places in `vertices`,
    counter-clockwise as seen from outside the solid."""

    vertices: Array
    triangles: Triangles

    @property
    def corners(self) -> Array:
        """The triangles' points, (m, 3, 3)."""
        return self.vertices[self.triangles]

    @property
    def normals(self) -> Array:
        """Unit outward normal of each triangle, (m, 3); nought where a triangle has no area."""
        a, b, c = np.moveaxis(self.corners, 1, 0)
        normal = np.cross(b - a, c - a)
        length = np.linalg.norm(normal, axis=1)[:, None]
        return np.asarray(np.divide(normal, length, out=np.zeros_like(normal), where=length > 0.0))

    @property
    def bounds(self) -> tuple[Array, Array]:
        """Lower and upper corner of the box that holds it."""
        return self.vertices.min(axis=0), self.vertices.max(axis=0)

    def placed(self, turn: Array, shift: Array) -> Mesh:
        """Turned by a rotation matrix (3, 3) and then moved by `shift` (3,)."""
        return Mesh(self.vertices @ turn.T + shift, self.triangles)

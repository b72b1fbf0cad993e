"""Triangle meshes in mm: of a solid to be printed, and of a body to be drawn, with its edges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fabgen.geometry.space.frame import Array, Frame

Places = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Mesh:
    """`vertices` (n, 3) mm, each used once and shared; `triangles` (m, 3) places in `vertices`,
    counter-clockwise as seen from outside the solid."""

    vertices: Array
    triangles: Places

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
        """Turned and then moved.

        Args:
            turn: rotation matrix, (3, 3).
            shift: (3,), mm.
        """
        return replace(self, vertices=self.vertices @ turn.T + shift)


@dataclass(frozen=True, eq=False)
class EdgedMesh(Mesh):
    """A mesh with the edges that a drawing would show: `edges` (k, 2) places in `vertices`."""

    edges: Places

    def in_frame(self, frame: Frame) -> EdgedMesh:
        """The body, given in a frame's coordinates, in the space that holds the frame.

        Args:
            frame: where the body's own coordinates lie.
        """
        return replace(self, vertices=frame.outside(self.vertices))

    def moved(self, shift: Array) -> EdgedMesh:
        """The same body elsewhere.

        Args:
            shift: (3,), mm.
        """
        return replace(self, vertices=self.vertices + shift)

    def turned_square(self) -> EdgedMesh:
        """A quarter turn about z."""
        return replace(self, vertices=self.vertices @ np.array([[0.0, 1.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 0.0, 1.0]]))

    @property
    def centre(self) -> Array:
        """Centre of gravity (3,) of a body whose skin is closed: tetrahedra from one of its corners, summed."""
        apex = self.vertices[0]
        a, b, c = (self.corners - apex).transpose(1, 0, 2)
        volumes = (a * np.cross(b, c)).sum(axis=1)
        return np.asarray(apex + (volumes[:, None] * (a + b + c)).sum(axis=0) / (4.0 * volumes.sum()))

    @property
    def skin_centre(self) -> Array:
        """Centre (3,) of its skin by area: of sheet of even thickness, the centre of gravity but for its edges."""
        a, b, c = self.corners.transpose(1, 0, 2)
        areas = np.linalg.norm(np.cross(b - a, c - a), axis=1)
        return np.asarray((areas[:, None] * (a + b + c)).sum(axis=0) / (3.0 * areas.sum()))


def joined(bodies: Sequence[EdgedMesh]) -> EdgedMesh:
    """Several bodies as one.

    Args:
        bodies: one or more.
    """
    skin = joined_skins(bodies)
    return EdgedMesh(skin.vertices, skin.triangles, _places_in_all(bodies, [each.edges for each in bodies]))


def joined_skins(meshes: Sequence[Mesh]) -> Mesh:
    """Several meshes as one.

    Args:
        meshes: one or more.
    """
    triangles = _places_in_all(meshes, [each.triangles for each in meshes])
    return Mesh(np.vstack([each.vertices for each in meshes]), triangles)


def _places_in_all(meshes: Sequence[Mesh], places: Sequence[Places]) -> Places:
    """Places in the vertices of several meshes, counted through the vertices of all."""
    starts = np.cumsum([0, *(len(each.vertices) for each in meshes[:-1])])
    return np.vstack([own + start for own, start in zip(places, starts, strict=True)])


def round_edges(base: int, count: int) -> list[tuple[int, int]]:
    """The edges of a closed ring of places.

    Args:
        base: number of the ring's first place.
        count: how many places it has.
    """
    return [(base + i, base + (i + 1) % count) for i in range(count)]

"""What two closed bodies share: cut out by manifold3d, and measured.

How deep two are in one another is the least width of what they share, over the directions of its own faces and of
its hull's: of a face sunk into another by 3 mm it is 3 mm, of a rod through a wall the wall.  Of a thin curved shell,
that no direction sees flat, it is twice its volume by its skin, the mean thickness of sheet.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.mesh import Mesh

if TYPE_CHECKING:
    from manifold3d import Manifold

_SHELL = 4.0
"""What is wider every way than so many times its mean thickness is a shell."""
_FACES = 60
"""So many faces of a hull, the largest, are tried for its least width."""


@dataclass(frozen=True, eq=False)
class Shared:
    """One piece of what two bodies share: how `deep` they are in one another, mm, its `middle` (3,), the box that
    holds it, and its `volume`, mm3."""

    deep: float
    middle: Array
    box: tuple[Array, Array]
    volume: float


def solid_of(shells: Iterable[Mesh], holes: Sequence[Mesh] = ()) -> Manifold:
    """A body of closed shells, which may run into one another, with holes cut out.

    Args:
        shells: of its metal.
        holes: what is taken away.
    """
    from manifold3d import Manifold, OpType

    made = [_made(shell) for shell in shells]
    metal = made[0] if len(made) == 1 else Manifold.batch_boolean(made, OpType.Add)
    return Manifold.batch_boolean([metal, *map(_made, holes)], OpType.Subtract) if holes else metal


def _made(mesh: Mesh) -> Manifold:
    from manifold3d import Manifold, Mesh64

    return Manifold(Mesh64(np.ascontiguousarray(mesh.vertices), mesh.triangles.astype(np.uint64)))


def mesh_of(solid: Manifold) -> Mesh:
    """A solid's skin; without a triangle where the solid is empty."""
    made = solid.to_mesh64()
    return Mesh(np.asarray(made.vert_properties)[:, :3].astype(float), np.asarray(made.tri_verts).astype(np.int64))


def shared_metal(one: Manifold, other: Manifold) -> list[Shared]:
    """The pieces of what two solids share, the deepest first.

    Args:
        one, other: in one space.
    """
    return sorted(_pieces(one ^ other), key=lambda piece: -piece.deep)


def _pieces(common: Manifold) -> Iterator[Shared]:
    if common.is_empty():
        return
    for piece in common.decompose():
        volume, area = piece.volume(), piece.surface_area()
        if volume <= 0.0 or area <= 0.0:
            continue
        mesh = mesh_of(piece)
        low, high = mesh.bounds
        width, mean = _least_width(mesh, piece), 2.0 * volume / area
        yield Shared(mean if width > _SHELL * mean else width, (low + high) / 2.0, (low, high), volume)


def _least_width(mesh: Mesh, piece: Manifold) -> float:
    hull = mesh_of(piece.hull())
    a, b, c = np.moveaxis(hull.corners, 1, 0)
    areas = np.linalg.norm(np.cross(b - a, c - a), axis=1)
    normals = hull.normals[np.argsort(-areas, kind="stable")[:_FACES]]
    spread = np.linalg.svd(mesh.vertices - mesh.vertices.mean(axis=0), full_matrices=False)[2]
    along = mesh.vertices @ np.vstack((normals, spread)).T
    return float(np.ptp(along, axis=0).min())

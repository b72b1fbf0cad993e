"""Left and right hand: whether two bodies are alike, or one another's mirror image as a pair of gloves is.

Both are laid with their centres and principal axes on one another, in each of the eight ways there are: four by turning
alone, four by a mirror too.  Where one of them brings every corner of either onto an edge of the other, they are alike
that way.
"""

from __future__ import annotations

from itertools import product
from typing import Literal

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.mesh import EdgedMesh

Likeness = Literal["alike", "mirrored", "different"]

NEAR = 0.05
"""Corners this near to an edge lie on it, mm: finer than anything is sawn."""


def likeness(one: EdgedMesh, other: EdgedMesh) -> Likeness:
    """Whether two bodies are alike, mirror images that no turning makes alike, or neither.

    Args:
        one: a closed body whose three principal moments differ, as those of a bar of any flat-sided section do.
        other: another.
    """
    here, there = _laid(one), _laid(other)
    # Turning first: what is its own mirror image has no hand.
    for signs in sorted(product((1.0, -1.0), repeat=3), key=lambda way: -way[0] * way[1] * way[2]):
        turned = here * np.array(signs)
        if _all_on(turned, there, other) and _all_on(there, turned, one):
            return "alike" if np.prod(signs) > 0.0 else "mirrored"
    return "different"


def has_hand(body: EdgedMesh) -> bool:
    """Whether a body differs from its mirror image, so that one is to be made left and one right.

    Args:
        body: as that of `likeness`.
    """
    mirrored = EdgedMesh(body.vertices * [1.0, -1.0, 1.0], body.triangles[:, ::-1], body.edges)
    return likeness(body, mirrored) != "alike"


def _laid(body: EdgedMesh) -> Array:
    """Its vertices about its centre, along its principal axes, right-handed, (n, 3) mm."""
    a, b, c = np.moveaxis(body.corners - body.centre, 1, 0)
    volumes = np.einsum("ij,ij->i", a, np.cross(b, c))
    whole = a + b + c
    # Second moments of a tetrahedron from the centre: the sums of its corners' and of their sum's squares.
    squares = sum(np.einsum("i,ij,ik->jk", volumes, p, p) for p in (a, b, c, whole))
    _, axes = np.linalg.eigh(np.asarray(squares))
    if np.linalg.det(axes) < 0.0:
        axes[:, 0] *= -1.0
    return np.asarray((body.vertices - body.centre) @ axes)


def _all_on(points: Array, vertices: Array, body: EdgedMesh) -> bool:
    """Whether every point lies on an edge of the body, its vertices given."""
    start, end = (vertices[body.edges[:, k]] for k in (0, 1))
    way = end - start
    square = np.maximum((way * way).sum(axis=1), 1e-30)
    share = np.clip(((points[:, None] - start) * way).sum(axis=2) / square, 0.0, 1.0)
    off = points[:, None] - (start + share[..., None] * way)
    return bool(np.linalg.norm(off, axis=2).min(axis=1).max() < NEAR)

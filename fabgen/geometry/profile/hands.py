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


NO_MARKS = np.empty((0, 4))


def likeness(one: EdgedMesh, other: EdgedMesh, marks: tuple[Array, Array] = (NO_MARKS, NO_MARKS)) -> Likeness:
    """Whether two bodies are alike, mirror images that no turning makes alike, or neither.

    Args:
        one: a closed body whose three principal moments differ, as those of a bar of any flat-sided section do.
        other: another.
        marks: of either what is to lie alike besides, as the middles of holes: (n, 4), a place each and a size, mm.
    """
    here, there = _laid(one), _laid(other)
    own, theirs = (_marks(body, each) for body, each in zip((one, other), marks, strict=True))
    # Turning first: what is its own mirror image has no hand.
    for signs in sorted(product((1.0, -1.0), repeat=3), key=lambda way: -way[0] * way[1] * way[2]):
        turned = here * np.array(signs)
        if not _all_in(own * [*signs, 1.0], theirs):
            continue
        if _all_on(turned, there, other) and _all_on(there, turned, one):
            return "alike" if np.prod(signs) > 0.0 else "mirrored"
    return "different"


def has_hand(body: EdgedMesh, marks: Array = NO_MARKS) -> bool:
    """Whether a body differs from its mirror image, so that one is to be made left and one right.

    Args:
        body: as that of `likeness`.
        marks: of it, as those of `likeness`.
    """
    mirrored = EdgedMesh(body.vertices * [1.0, -1.0, 1.0], body.triangles[:, ::-1], body.edges)
    return likeness(body, mirrored, (marks, marks * [1.0, -1.0, 1.0, 1.0])) != "alike"


def _marks(body: EdgedMesh, marks: Array) -> Array:
    """A body's marks as `_laid` lays it."""
    return np.column_stack(((marks[:, :3] - body.centre) @ _axes(body), marks[:, 3:]))


def _all_in(marks: Array, others: Array) -> bool:
    """Whether two sets of marks are one."""
    if len(marks) != len(others):
        return False
    off = np.linalg.norm(marks[:, None] - others[None], axis=2)
    return not len(marks) or bool(max(off.min(axis=0).max(), off.min(axis=1).max()) < NEAR)


def _laid(body: EdgedMesh) -> Array:
    """Its vertices about its centre, along its principal axes, (n, 3) mm."""
    return np.asarray((body.vertices - body.centre) @ _axes(body))


def _axes(body: EdgedMesh) -> Array:
    """Its principal axes, right-handed, as columns."""
    a, b, c = np.moveaxis(body.corners - body.centre, 1, 0)
    volumes = np.einsum("ij,ij->i", a, np.cross(b, c))
    whole = a + b + c
    # Second moments of a tetrahedron from the centre: the sums of its corners' and of their sum's squares.
    squares = sum(np.einsum("i,ij,ik->jk", volumes, p, p) for p in (a, b, c, whole))
    _, axes = np.linalg.eigh(np.asarray(squares))
    if np.linalg.det(axes) < 0.0:
        axes[:, 0] *= -1.0
    return np.asarray(axes)


def _all_on(points: Array, vertices: Array, body: EdgedMesh) -> bool:
    """Whether every point lies on an edge of the body, its vertices given."""
    start, end = (vertices[body.edges[:, k]] for k in (0, 1))
    way = end - start
    square = np.maximum((way * way).sum(axis=1), 1e-30)
    share = np.clip(((points[:, None] - start) * way).sum(axis=2) / square, 0.0, 1.0)
    off = points[:, None] - (start + share[..., None] * way)
    return bool(np.linalg.norm(off, axis=2).min(axis=1).max() < NEAR)

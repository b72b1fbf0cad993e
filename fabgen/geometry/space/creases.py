"""The edges of a closed mesh that a drawing would show: those at which its skin turns."""

from __future__ import annotations

import math

import numpy as np

from fabgen.geometry.space.mesh import EdgedMesh, Mesh, Places

TURNS = math.radians(16.0)
"""Chords of a round turn by less from one to the next."""


def creased(mesh: Mesh) -> EdgedMesh:
    """A closed mesh with its creases, its vertices and triangles in an order that hangs on nothing but their places.

    Args:
        mesh: each vertex once.
    """
    order = np.lexsort(np.round(mesh.vertices, 6).T[::-1])
    place = np.empty(len(order), dtype=np.int64)
    place[order] = np.arange(len(order))
    triangles = place[mesh.triangles]
    # Each begins with its least vertex; so turned it looks the same way.
    turns = (np.argmin(triangles, axis=1)[:, None] + np.arange(3)) % 3
    triangles = np.take_along_axis(triangles, turns, axis=1)
    ordered = Mesh(mesh.vertices[order], triangles[np.lexsort(triangles.T[::-1])])
    return EdgedMesh(ordered.vertices, ordered.triangles, _creases(ordered))


def _creases(mesh: Mesh) -> Places:
    normals, triangles = mesh.normals, mesh.triangles
    sides = np.vstack([triangles[:, [k, (k + 1) % 3]] for k in range(3)])
    owners = np.tile(np.arange(len(triangles)), 3)
    key = np.sort(sides, axis=1)
    order = np.lexsort(key.T[::-1])
    first, second = order[0::2], order[1::2]
    turned = (normals[owners[first]] * normals[owners[second]]).sum(axis=1) < math.cos(TURNS)
    return np.asarray(key[first][turned])

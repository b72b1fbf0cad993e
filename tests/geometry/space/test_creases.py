"""Creases of closed meshes: those of shapes whose edges are counted in any school book."""

from __future__ import annotations

import manifold3d as m3
import numpy as np
import pytest

from fabgen.geometry.space.creases import creased
from fabgen.geometry.space.mesh import Mesh
from fabgen.geometry.space.shared_metal import mesh_of


def test_a_cube_has_twelve() -> None:
    body = creased(mesh_of(m3.Manifold.cube((10.0, 20.0, 30.0))))
    lengths = np.linalg.norm(np.diff(body.vertices[body.edges], axis=1)[:, 0], axis=1)
    assert sorted(lengths) == pytest.approx([10.0] * 4 + [20.0] * 4 + [30.0] * 4)


def test_a_round_bar_has_only_those_of_its_ends() -> None:
    body = creased(mesh_of(m3.Manifold.cylinder(50.0, 10.0, 10.0, 36)))
    assert len(body.edges) == 2 * 36
    assert np.ptp(body.vertices[body.edges][:, :, 2], axis=1) == pytest.approx(0.0)


def test_the_order_in_which_a_mesh_is_listed_does_not_count() -> None:
    mesh = mesh_of(m3.Manifold.cube((10.0, 20.0, 30.0)))
    order = np.random.default_rng(7).permutation(len(mesh.vertices))
    place = np.argsort(order)
    other = Mesh(mesh.vertices[order], np.roll(place[mesh.triangles][::-1], 1, axis=1))
    one, two = creased(mesh), creased(other)
    assert (one.vertices == two.vertices).all()
    assert (one.triangles == two.triangles).all()
    assert (one.edges == two.edges).all()

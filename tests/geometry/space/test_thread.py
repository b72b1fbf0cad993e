"""A thread held against skins, against the place where a straight line comes through a box worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest
from random_seeds import first_seed

from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.space.shared_metal import mesh_of
from fabgen.geometry.space.skin import PlacedSkin, Skin, thread

SIZES = np.array([60.0, 40.0, 300.0])


def box() -> PlacedSkin:
    """From the origin up, its skin alone."""
    from manifold3d import Manifold

    return PlacedSkin(Skin((mesh_of(Manifold.cube(SIZES.tolist())),)))


def between(one: Array, other: Array) -> PlacedSkin:
    way = other - one
    frame = Frame.along(one, way, np.eye(3)[int(np.argmin(np.abs(way)))])
    return PlacedSkin(thread(0.0, float(np.linalg.norm(way))), frame)


def comes_through(one: Array, other: Array) -> bool | None:
    """Slab by slab; None where it passes an edge or ends at a face within 0.1 mm."""
    found = set()
    for by in (-0.1, 0.1):
        shares = np.sort((np.array([0.0 * SIZES - by, SIZES + by]) - one) / (other - one), axis=0)
        into, out = float(shares[0].max()), float(shares[1].min())
        found.add(into < out and (0.0 < into < 1.0 or 0.0 < out < 1.0))
    return found.pop() if len(found) == 1 else None


def test_a_thread_meets_the_skin_that_its_line_comes_through() -> None:
    rng = np.random.default_rng(first_seed(20))
    met = {True: 0, False: 0}
    for _ in range(400):
        one, other = rng.uniform(-60.0, SIZES + 60.0, (2, 3))
        if (through := comes_through(one, other)) is not None:
            assert between(one, other).meets(box()) is through, (one, other)
            met[through] += 1
    assert min(met.values()) > 80


@pytest.mark.parametrize(("beside", "meets"), [(-0.02, False), (0.02, True)])
def test_a_thread_along_a_face_meets_it_from_so_much_inside(beside: float, meets: bool) -> None:
    """Ten metres long, past the upper end of the box; beside it, it is clear by less than a hair."""
    one, other = np.array([beside, 20.0, -5000.0]), np.array([beside, 20.0, 5000.0])
    assert between(one, other).meets(box()) is meets


def test_a_thread_that_begins_beyond_a_skin_does_not_meet_it() -> None:
    frame = Frame(np.array([-100.0, 20.0, 150.0]), *np.eye(3))
    assert PlacedSkin(thread(0.0, 101.0), frame).meets(box())
    assert not PlacedSkin(thread(101.0, 159.0), frame).meets(box())
    assert not PlacedSkin(thread(0.0, 99.0), frame).meets(box())

"""Solids grown by a gap: every point of the grown surface is that far from the old one."""

import math

import numpy as np
import pytest

from fabgen.geometry.space.frame import Frame
from fabgen.geometry.tube.elbow import Elbow
from fabgen.geometry.tube.solids import (
    Array,
    Convex,
    HalfSpace,
    RoundBar,
    RoundedPrism,
    Slab,
    Solid,
    Trimmed,
    Union,
    distance,
)

X, Y, Z = np.eye(3)
HERE = Frame(np.zeros(3), X, Y, Z)
SOLIDS: dict[str, Solid] = {
    "half-space": HalfSpace(Z, 5.0),
    "bar": RoundBar(np.zeros(3), X, 30.0),
    "slab": Slab(np.zeros(3), Z, 6.0),
    "prism": RoundedPrism(HERE, 60.0, 40.0, 8.0),
    "sharp prism": RoundedPrism(HERE, 60.0, 40.0),
    "elbow": Elbow(np.zeros(3), Z, 150.0 * X, math.pi, 24.0, 24.0, 24.0),
    "rectangular elbow": Elbow(np.zeros(3), Z, 150.0 * X, math.pi, 30.0, 20.0, 6.0),
    "union": Union((RoundBar(np.zeros(3), X, 30.0), RoundBar(np.zeros(3), Y, 20.0))),
}


def surface(solid: Solid) -> Array:
    """Points on the solid's surface, found by halving along random lines in its middle part."""
    random = np.random.default_rng(5)
    inside = random.uniform(-200.0, 200.0, (4000, 3)) * np.array([1.0, 1.0, 0.3])
    inside[:, 1] = np.abs(inside[:, 1])  # the elbows' half
    inside = inside[distance(solid, inside) < 0.0]
    way = random.normal(size=inside.shape)
    way /= np.linalg.norm(way, axis=1)[:, None]
    low, high = np.zeros(len(inside)), np.full(len(inside), 500.0)
    for _ in range(60):
        middle = (low + high) / 2.0
        within = distance(solid, inside + middle[:, None] * way) < 0.0
        low, high = np.where(within, middle, low), np.where(within, high, middle)
    points = inside + low[:, None] * way
    return points[(low < 400.0) & (points[:, 1] > 1.0)]


@pytest.mark.parametrize("name", SOLIDS)
def test_grown(name: str) -> None:
    solid = SOLIDS[name]
    outside = surface(solid.grown(2.0))
    assert len(outside) > 50
    away = distance(solid, outside)
    if "prism" in name:
        # Round a prism's edges `distance` tells less than the true distance.
        assert away.max() == pytest.approx(2.0, abs=1e-6)
        assert (away <= 2.0 + 1e-6).all()
    else:
        assert away == pytest.approx(np.full(len(away), 2.0), abs=1e-6)


def test_what_a_solid_is_cut_back_to_stays() -> None:
    cut = Trimmed(RoundBar(np.zeros(3), X, 30.0), (HalfSpace(X, 10.0),)).grown(2.0)
    assert distance(cut, np.array([[10.5, 0, 0], [9.5, 0, 31.9], [9.5, 0, 32.1]])) == pytest.approx([0.5, -0.1, 0.1])


def test_a_convex_piece_keeps_sharp_edges() -> None:
    corner = Convex(None, (HalfSpace(X, 0.0), HalfSpace(Y, 0.0))).grown(2.0)
    assert float(distance(corner, np.array([[1.9, 1.9, 0.0]]))[0]) < 0.0

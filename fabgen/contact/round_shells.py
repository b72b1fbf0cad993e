"""Balls, round bars and prisms as closed shells, each place once."""

from __future__ import annotations

from functools import cache

import numpy as np

from fabgen.geometry.space.frame import Array, unit
from fabgen.geometry.space.mesh import Mesh, Places

PLACES = 48
"""A round bar has so many places round it: chords within 0.03 mm of an eye for M12."""
_RINGS = 13
"""A ball is so many rings of places from pole to pole."""


def ball(middle: Array, radius: float) -> Mesh:
    """A ball by rings of places, its poles single ones.

    Args:
        middle: (3,), mm.
        radius: mm.
    """
    points, triangles = _unit_ball()
    return Mesh(middle + radius * points, triangles)


@cache
def _unit_ball() -> tuple[Array, Places]:
    count = 2 * (_RINGS - 1)
    down = np.pi * np.arange(1, _RINGS - 1) / (_RINGS - 1)
    round_ = 2.0 * np.pi * np.arange(count) / count
    rings = np.stack(
        (
            np.sin(down)[:, None] * np.cos(round_),
            np.sin(down)[:, None] * np.sin(round_),
            np.repeat(np.cos(down)[:, None], count, axis=1),
        ),
        axis=2,
    ).reshape(-1, 3)
    points = np.vstack((rings, [[0.0, 0.0, 1.0], [0.0, 0.0, -1.0]]))
    last = len(rings) - count
    this = np.arange(count)
    then = (this + 1) % count
    poles = [np.column_stack((np.full(count, len(rings)), this, then))]
    poles += [np.column_stack((np.full(count, len(rings) + 1), last + then, last + this))]
    belts = []
    for start in range(0, last, count):
        a, b = start + this, start + then
        belts += [np.column_stack((a, a + count, b + count)), np.column_stack((a, b + count, b))]
    return points, np.vstack((*poles, *belts))


def bar(a: Array, b: Array, up: Array, diameter: float) -> Mesh:
    """A round bar.

    Args:
        a, b: middles of its ends, (3,) mm.
        up: any direction that is not along it, (3,).
        diameter: mm.
    """
    y = unit(np.cross(b - a, up))
    z = unit(np.cross(b - a, y))
    return prism(a + diameter / 2.0 * (_unit_ring() @ np.array([y, z])), b - a)


@cache
def _unit_ring() -> Array:
    turn = 2.0 * np.pi * np.arange(PLACES) / PLACES
    return np.column_stack((np.cos(turn), np.sin(turn)))


def prism(rim: Array, up: Array) -> Mesh:
    """Straight up from a flat ring, whichever way that runs round.

    Args:
        rim: the ring, (n, 3) mm.
        up: from it to the other one, (3,) mm.
    """
    count = len(rim)
    middle = rim.mean(axis=0)
    turned = np.cross(rim - middle, np.roll(rim, -1, axis=0) - middle).sum(axis=0)
    if float(turned @ up) < 0.0:
        rim = rim[::-1]
    return Mesh(np.vstack((rim, rim + up, middle, middle + up)), _prism_triangles(count))


@cache
def _prism_triangles(count: int) -> Places:
    this = np.arange(count)
    following = (this + 1) % count
    low, high = np.full(count, 2 * count), np.full(count, 2 * count + 1)
    return np.vstack(
        (
            np.column_stack((low, following, this)),
            np.column_stack((high, this + count, following + count)),
            np.column_stack((this, following, following + count)),
            np.column_stack((this, following + count, this + count)),
        )
    )

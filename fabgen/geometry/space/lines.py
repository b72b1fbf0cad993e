"""Two straight lines in space."""

from __future__ import annotations

import numpy as np

from fabgen.geometry.space.frame import Array


def nearest_places(one: Array, along: Array, other: Array, way: Array) -> tuple[float, float] | None:
    """Where two lines come nearest to one another.

    Args:
        one: (3,) a point of the first, mm.
        along: (3,) its unit direction.
        other: (3,) a point of the second, mm.
        way: (3,) its unit direction.
    Returns: mm along each from its point; None where they are parallel.
    Source: any text on lines in space: the join of the two is square to both.
    """
    cosine = float(along @ way)
    sine = 1.0 - cosine * cosine
    if sine < 1e-12:
        return None
    apart = other - one
    first, second = float(apart @ along), float(apart @ way)
    return (first - cosine * second) / sine, (cosine * first - second) / sine


def half_extent(frame_y: Array, frame_z: Array, sizes: tuple[float, float], toward: Array) -> float:
    """Half of what a rectangle measures in a direction, mm.

    Args:
        frame_y: (3,) unit direction of its first side.
        frame_z: (3,) of its second.
        sizes: of the sides, mm.
        toward: (3,) unit direction.
    """
    return abs(float(frame_y @ toward)) * sizes[0] / 2.0 + abs(float(frame_z @ toward)) * sizes[1] / 2.0


def unit_or_none(vector: Array) -> Array | None:
    """The vector scaled to length 1; None where it has none."""
    length = float(np.linalg.norm(vector))
    return None if length < 1e-9 else np.asarray(vector / length)


def nearest_of_stretches(one: tuple[Array, Array], other: tuple[Array, Array]) -> tuple[float, float, float]:
    """How near two stretches of straight lines come to one another, and how far along either that is, mm.

    Args:
        one: (3,) its two ends, mm, which may be one point.
        other: of the other one.
    Source: any text on lines in space; a place past an end of the first is brought to that end, then what is nearest on
        the other, and on the first to that.
    """
    (a, b), (c, d) = one, other
    u, v = b - a, d - c
    m, n = float(np.linalg.norm(u)), float(np.linalg.norm(v))
    u, v = u / (m or 1.0), v / (n or 1.0)
    cosine, w = float(u @ v), a - c
    sine = 1.0 - cosine**2
    s = 0.0 if sine < 1e-12 else (cosine * float(w @ v) - float(w @ u)) / sine
    s = min(max(s, 0.0), m)
    t = min(max(float((a + s * u - c) @ v), 0.0), n)
    s = min(max(float((c + t * v - a) @ u), 0.0), m)
    return float(np.linalg.norm(a + s * u - c - t * v)), s, t

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


def stretches_apart(one: tuple[Array, Array], other: tuple[Array, Array]) -> float:
    """How far two stretches of straight lines are apart where they come nearest to one another, mm.

    Args:
        one: (3,) its two ends, mm.
        other: of the other one.
    Source: the nearest places of the two lines where both lie within; else an end of one and what is nearest to it.
    """
    found = [_off(point, other) for point in one] + [_off(point, one) for point in other]
    ways = [unit_or_none(end - begin) for begin, end in (one, other)]
    if ways[0] is not None and ways[1] is not None:
        places = nearest_places(one[0], ways[0], other[0], ways[1])
        longs = [float(np.linalg.norm(end - begin)) for begin, end in (one, other)]
        if places is not None and all(0.0 <= place <= long for place, long in zip(places, longs, strict=True)):
            found.append(float(np.linalg.norm(one[0] + places[0] * ways[0] - other[0] - places[1] * ways[1])))
    return min(found)


def _off(point: Array, stretch: tuple[Array, Array]) -> float:
    begin, end = stretch
    long = float((end - begin) @ (end - begin))
    share = min(1.0, max(0.0, float((point - begin) @ (end - begin)) / long)) if long > 0.0 else 0.0
    return float(np.linalg.norm(point - begin - share * (end - begin)))

"""A short round tube on which many tubes end whose axes meet at one point: its direction, diameter and length."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from fabgen.geometry.space.frame import Array, unit

FLATTEST = math.radians(20.0)
"""A tube within this of the hub's own direction does not land on its side."""


@dataclass(frozen=True, eq=False)
class Landing:
    """A tube that lands on a hub: the direction from the point where all meet, points of its outside (n, 3) square to
    it there, and its wall, mm."""

    way: Array
    outline: Array
    wall: float


def best_way(landings: Sequence[Landing]) -> Array:
    """The direction to which the tubes are nearest to square: of all of them the flattest decides.

    Args:
        landings: the tubes.
    Returns: (3,), unit length; where several are as good the mean of the tubes' own directions.
    """
    ways = np.array([landing.way for landing in landings])
    mean = ways.sum(axis=0)
    tries = [unit(mean)] if float(np.linalg.norm(mean)) > 1e-6 else []
    tries += list(np.linalg.svd(ways)[2][::-1])
    least = min(round(float(np.abs(ways @ way).max()), 6) for way in tries)
    best = next(way for way in tries if round(float(np.abs(ways @ way).max()), 6) <= least)
    lead = best[int(np.abs(best).argmax())]
    return np.asarray(best if lead > 0.0 else -best)


def too_flat(landings: Iterable[Landing], along: Array) -> list[int]:
    """Which of the tubes run too nearly along the hub to land on its side.

    Args:
        landings: the tubes.
        along: the hub's direction, (3,), unit length.
    """
    return [i for i, landing in enumerate(landings) if abs(float(landing.way @ along)) > math.cos(FLATTEST)]


def feet(landings: Sequence[Landing], along: Array, diameter: float) -> list[Array] | None:
    """The outside line of each tube's foot on the hub, (n, 3) from the point where all meet, mm; None where a tube is
    wider than the hub.

    Args:
        landings: the tubes, none of them `too_flat`.
        along: the hub's direction, (3,), unit length.
        diameter: of the hub outside, mm.
    """
    found = []
    for landing in landings:
        out = landing.way - float(landing.way @ along) * along
        side = landing.outline - np.outer(landing.outline @ along, along)
        a, b = float(out @ out), side @ out
        c = (side * side).sum(axis=1) - diameter**2 / 4.0
        root = b * b - a * c
        if root.min() <= 0.0:
            return None
        found.append(landing.outline + ((-b + np.sqrt(root)) / a)[:, None] * landing.way)
    return found


def is_clear(landings: Sequence[Landing], found: Sequence[Array]) -> bool:
    """Whether no two feet come within the sum of their walls of one another.

    Args:
        landings: the tubes.
        found: their feet.
    """
    for (one, a), (other, b) in combinations(zip(landings, found, strict=True), 2):
        apart = np.linalg.norm(a[:, None, :] - b[None, :, :], axis=2).min()
        inside = (
            np.linalg.norm(a.mean(axis=0) - b.mean(axis=0))
            < min(np.ptp(a, axis=0).max(), np.ptp(b, axis=0).max()) / 2.0
        )
        if inside or apart < one.wall + other.wall:
            return False
    return True

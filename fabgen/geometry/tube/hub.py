"""A short tube on which many tubes end whose axes meet at one point: its direction, size and length."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from fabgen.geometry.space.frame import Array, unit, upright

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


def prism_feet(landings: Sequence[Landing], along: Array, up: Array, height: float, width: float) -> list[Array] | None:
    """The same on a rectangular hub; None where a tube runs past its faces. Its corners count as sharp.

    Args:
        landings: the tubes, none of them `too_flat`.
        along: the hub's direction, (3,), unit length.
        up: the direction of its height, (3,), unit length, square to it.
        height: of its section, mm.
        width: of its section, mm.
    """
    axes, half = np.column_stack((up, np.cross(along, up))), np.array([height, width]) / 2.0
    found = []
    for landing in landings:
        out, side = landing.way @ axes, landing.outline @ axes
        with np.errstate(divide="ignore", invalid="ignore"):
            through = np.stack(((half - side) / out, (-half - side) / out))
        runs = np.abs(out) > 1e-9
        if (np.abs(side[:, ~runs]) > half[~runs] + 1e-6).any():
            return None
        leaves, enters = through.max(axis=0)[:, runs].min(axis=1), through.min(axis=0)[:, runs].max(axis=1)
        if (leaves < enters - 1e-6).any():
            return None
        found.append(landing.outline + leaves[:, None] * landing.way)
    return found


def best_turn(
    landings: Sequence[Landing], along: Array, height: float, width: float
) -> tuple[Array, list[Array]] | None:
    """How a rectangular hub is turned so that the tubes come as squarely onto its faces as may be: the direction of
    its height, (3,), and the feet; None where they run past its faces however it is turned.

    Args:
        landings: the tubes, none of them `too_flat`.
        along: the hub's direction, (3,), unit length.
        height: of its section, mm.
        width: of its section, mm.
    """
    level = [unit(landing.way - float(landing.way @ along) * along) for landing in landings]
    best: tuple[float, Array, list[Array]] | None = None
    for up in [each for way in level for each in (way, np.cross(along, way))]:
        found = prism_feet(landings, along, up, height, width)
        askew = round(
            sum(min(abs(float(way @ up)), math.sqrt(max(0.0, 1.0 - float(way @ up) ** 2))) for way in level), 6
        )
        if found is not None and (best is None or askew < best[0]):
            best = askew, up, found
    return None if best is None else best[1:]


def fouling(found: Sequence[Array], along: Array) -> tuple[int, int] | None:
    """Two feet that lie over one another, by their places in the list; None where no two do.

    Args:
        found: the feet on one hub.
        along: the hub's direction, (3,), unit length.
    """
    from shapely import Polygon

    across = upright(np.zeros(3), along)
    for (i, one), (j, other) in combinations(enumerate(found), 2):
        middle = one.mean(axis=0)
        ahead = math.atan2(float(middle @ across.z), float(middle @ across.y))
        size = float(np.hypot(one @ across.y, one @ across.z).mean())
        flat = []
        for foot in (one, other):
            turn = np.arctan2(foot @ across.z, foot @ across.y) - ahead
            turn = np.unwrap(np.arctan2(np.sin(turn), np.cos(turn)))
            flat.append(Polygon(np.column_stack((size * turn, foot @ along))))
        if flat[0].intersection(flat[1]).area > 1.0:
            return i, j
    return None


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

"""A disc of plate that tubes straddle with slit ends: its plane, how far out the tubes end, and its radius.

All ends stop on one circle about the disc's middle, so far out that no tube comes nearer to another than `apart`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import permutations

import numpy as np

from fabgen.geometry.space.frame import Array, cross, unit
from fabgen.geometry.tube.hub import Landing

_IN_LINE = math.sin(math.radians(1.0))
"""Tubes within this of one line lie in no one plane."""
_CLOSE = 1e-4
"""The circle is found as near as this, mm."""


def best_plane(landings: Sequence[Landing]) -> Array | None:
    """The direction square to the plane in which the tubes lie as nearly as may be, (3,), unit length; its greatest
    share is positive. None where they lie in one line, which many planes hold.

    Args:
        landings: the tubes.
    """
    _, spread, axes = np.linalg.svd(np.array([landing.way for landing in landings]), full_matrices=True)
    if len(spread) < 2 or spread[1] < _IN_LINE:
        return None
    square = axes[2]
    return np.asarray(square if square[int(np.abs(square).argmax())] > 0.0 else -square)


def lean(landing: Landing, square: Array) -> float:
    """Sine of the angle by which a tube rises out of the disc's plane, minus where it falls.

    Args:
        landing: the tube.
        square: the direction square to the disc, (3,), unit length.
    """
    return float(landing.way @ square)


def spans(landing: Landing, square: Array) -> tuple[float, float]:
    """How far a tube reaches to either side of the disc's middle as one looks at it along its own way, mm: to its
    right (minus) and to its left.

    Args:
        landing: the tube.
        square: the direction square to the disc, (3,), unit length.
    """
    aside = landing.outline @ unit(cross(square, landing.way))
    return float(aside.min()), float(aside.max())


def stand_off(landings: Sequence[Landing], square: Array, apart: float, most: float) -> float | None:
    """How far from the disc's middle all tubes end, mm, so that no two come nearer to one another than `apart`; None
    where they do so even at `most`.

    Args:
        landings: the tubes.
        square: the direction square to the disc, (3,), unit length.
        apart: from tube to tube, mm.
        most: the farthest out that they may end, mm.
    """
    strips = [(_flat(landing.way, square), *spans(landing, square)) for landing in landings]

    def is_clear(start: float) -> bool:
        pairs = permutations(strips, 2)
        return all(_from_strip(corner, start, other) >= apart for one, other in pairs for corner in _ends(one, start))

    def _flat_frame(strip: tuple[Array, float, float]) -> tuple[Array, Array]:
        return strip[0], cross(square, strip[0])

    def _ends(strip: tuple[Array, float, float], start: float) -> list[Array]:
        along, aside = _flat_frame(strip)
        return [start * along + side * aside for side in strip[1:]]

    def _from_strip(point: Array, start: float, strip: tuple[Array, float, float]) -> float:
        along, aside = _flat_frame(strip)
        short = max(0.0, start - float(point @ along))
        beside = float(point @ aside)
        return math.hypot(short, max(0.0, strip[1] - beside, beside - strip[2]))

    if not is_clear(most):
        return None
    low, high = 0.0, most
    while high - low > _CLOSE:
        middle = (low + high) / 2.0
        low, high = (low, middle) if is_clear(middle) else (middle, high)
    return high


def _flat(way: Array, square: Array) -> Array:
    return unit(way - float(way @ square) * square)


def lap(landing: Landing, square: Array, start: float, radius: float) -> float:
    """How much of each wall of a tube the disc's rim leaves to weld, mm: from its saw cut to the rim, on the side where
    that is shorter; minus where the rim does not come so far.

    Args:
        landing: the tube.
        square: the direction square to the disc, (3,), unit length.
        start: how far from the disc's middle the tube ends, mm.
        radius: of the disc, mm.
    """
    side = max(map(abs, spans(landing, square)))
    return math.sqrt(max(0.0, radius**2 - side**2)) - start

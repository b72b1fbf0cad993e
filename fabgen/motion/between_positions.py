"""The least clearance of a travel, between its positions too: more positions are gone to until it is known.

Between two positions a clearance falls by no more than half of what one thing moves there against the other beside what
it falls by from the one position to the other.  Where that may lead below the least so far by more than `WITHIN`,
positions between the two are gone to.
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from fabgen.geometry.mechanics.envelopes import MovedShape, clearances
from fabgen.geometry.mechanics.skin_clearance import MovedSkin, skin_clearances
from fabgen.geometry.mechanics.sweeping import Position, position_at
from fabgen.geometry.space.frame import Array
from fabgen.motion.keep_out import FAR, Between, Clearance, Obstacle
from fabgen.motion.linkage import Linkage
from fabgen.motion.travel import Follow, SweepResult, held_rows

WITHIN, SHARE = 0.5, 0.05
"""The least clearance is known to this, mm, or to such a share of itself where that is more."""
_PARTS = 4
"""What is too long between two positions is parted so at once."""
_MOST = 400
"""So many positions are gone to for two things at most."""
_CURVED = 1.02
"""A path between two positions is no longer than so many times what its ends are apart: they are near."""
_SHOWN = 0.05
"""A clearance between two positions that is less than this below that in one of them is not told, mm."""

_Shapes = tuple[MovedShape, MovedShape | MovedSkin]


def with_what_is_between(
    found: Sequence[Obstacle], measured: Sequence[Clearance], linkage: Linkage, result: SweepResult
) -> list[Clearance]:
    """The clearances of a travel, each with its least between positions where that is less than in all of them; nearest
    first.

    Args:
        found: everything that takes room.
        measured: in each position of the travel.
        linkage: what moves.
        result: the travel.
    """
    named = {obstacle.name: obstacle for obstacle in found}
    gone_to = _GoneTo(linkage, result)
    better = [_refined(each, (named[each.one], named[each.other]), gone_to) for each in measured]
    return sorted(better, key=lambda each: each.least - each.wanted)


class _GoneTo:
    """The positions of a travel, and those between them once they are asked for."""

    def __init__(self, linkage: Linkage, result: SweepResult) -> None:
        self.linkage, self.result = linkage, result
        self.given = [position.driver for position in result.travel.positions]
        self._known = {position.driver: position for position in result.travel.positions}
        self._row, self._held = held_rows(linkage, result)
        self._as_given: dict[str, Sequence[MovedShape | MovedSkin]] = {}

    def follow(self, drivers: Sequence[float]) -> Follow:
        return Follow(self.linkage, [self._known[driver].places for driver in drivers])

    def as_given(self, obstacle: Obstacle) -> Sequence[MovedShape | MovedSkin]:
        """Its shapes in the positions of the travel."""
        if obstacle.name not in self._as_given:
            self._as_given[obstacle.name] = obstacle.moved(self.follow(self.given))
        return self._as_given[obstacle.name]

    def reaches(self, driver: float) -> bool:
        """Whether the mechanism gets there; it is known then."""
        if driver not in self._known:
            nearest: Position = self._known[min(self._known, key=lambda other: abs(other - driver))]
            there = position_at(self.linkage.driven.system, self._row, nearest, driver, self._held)
            if there is None:
                return False
            self._known[driver] = there
        return True


def _refined(clear: Clearance, pair: tuple[Obstacle, Obstacle], gone_to: _GoneTo) -> Clearance:
    drivers = list(gone_to.given)
    if len(drivers) < 2:
        return clear
    shapes = _pairs(*(gone_to.as_given(obstacle) for obstacle in pair))
    near = [k for k, each in enumerate(shapes) if _balls(each) < clear.wanted + FAR]
    moved = _moved([shapes[k] for k in near], len(drivers)).max(axis=1)
    if not (_bound(clear.clear, moved) < _least(clear.clear)).any():
        return clear
    known: dict[float, list[tuple[float, Array]]] = {}
    fresh = drivers
    while fresh and len(drivers) <= _MOST:
        known |= dict(zip(fresh, _measured(pair, near, gone_to.follow(fresh)), strict=True))
        at = np.array([[each[0] for each in known[driver]] for driver in drivers])
        shapes = _pairs(*(obstacle.moved(gone_to.follow(drivers)) for obstacle in pair))
        moved = _moved([shapes[k] for k in near], len(drivers))
        wide = np.flatnonzero((_bound(at, moved) < _least(at)).any(axis=1)).tolist()
        parts = (np.linspace(drivers[i], drivers[i + 1], _PARTS + 1)[1:-1].tolist() for i in wide)
        fresh = [driver for part in parts for driver in part if gone_to.reaches(driver)]
        for driver in fresh:
            insort(drivers, driver)
    driver, (found, points) = min(
        ((driver, each) for driver, every in known.items() for each in every), key=lambda each: each[1][0]
    )
    if found > float(clear.clear.min()) - _SHOWN:
        return clear
    return replace(clear, points=points, between=Between(driver, found))


def _bound(at: Array, moved: Array) -> Array:
    """What a clearance may come down to between each position and the next, mm."""
    return np.asarray((at[:-1] + at[1:] - _CURVED * moved) / 2.0)


def _least(at: Array) -> float:
    """What the least clearance that was found must not be undercut by, mm."""
    least = float(at.min())
    return least - max(WITHIN, SHARE * least)


def _pairs(one: Sequence[MovedShape | MovedSkin], other: Sequence[MovedShape | MovedSkin]) -> list[_Shapes]:
    return [(a, b) for a in one for b in other if isinstance(a, MovedShape)]


def _balls(shapes: _Shapes) -> float:
    """How near the balls that hold two come to one another, mm."""
    a, b = shapes
    return float((np.linalg.norm(a.origins - b.origins, axis=1) - a.reach - b.reach).min())


def _measured(pair: tuple[Obstacle, Obstacle], near: Sequence[int], follow: Follow) -> list[list[tuple[float, Array]]]:
    """For each position the clearance of each of the shapes that come near, mm, and the points, (2, 3)."""
    shapes = _pairs(*(obstacle.moved(follow) for obstacle in pair))
    every = [
        skin_clearances(a, b) if isinstance(b, MovedSkin) else clearances(a, b) for a, b in (shapes[k] for k in near)
    ]
    spread = [(np.broadcast_to(c, follow.count), np.broadcast_to(p, (follow.count, 2, 3))) for c, p in every]
    return [[(float(c[i]), p[i]) for c, p in spread] for i in range(follow.count)]


def _moved(near: Sequence[_Shapes], count: int) -> Array:
    """How far any place of one of each two shapes moves as the other sees it, from each of so many positions to the
    next, at most, (s - 1, k) mm."""
    return np.column_stack([np.minimum(_seen(a, b, count), _seen(b, a, count)) for a, b in near])


def _seen(one: MovedShape | MovedSkin, other: MovedShape | MovedSkin, count: int) -> Array:
    """How far places of the other move as the one sees it, (s - 1,) mm at most."""
    back = one.axes.transpose(0, 2, 1)
    turns = np.broadcast_to(other.axes @ back, (count, 3, 3))
    at = np.broadcast_to(((other.origins - one.origins)[:, None, :] @ back)[:, 0], (count, 3))
    step = turns[1:] - turns[:-1]
    if isinstance(other, MovedShape) and other.shape.kind != "box":  # round about x: its turn about that is nothing
        chord = np.linalg.norm(step[:, 0], axis=1)
    else:
        chord = np.linalg.norm(step, axis=(1, 2)) / np.sqrt(2.0)
    return np.asarray(np.linalg.norm(at[1:] - at[:-1], axis=1) + other.reach * chord)

"""Loops laid on one another: the turns and shifts that bring one onto another like it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from fabgen.geometry.plane.outline import Circle, Loop, Vertex, Xy

T = TypeVar("T")
NEAR = 0.01
"""What lies as near lies alike, mm; bulges too."""


@dataclass(frozen=True, slots=True)
class Laying:
    """A turn about the origin, rad, and then a shift, mm."""

    turn: float
    dx: float
    dy: float

    def point(self, at: Xy) -> Xy:
        """Where a point comes to lie, mm."""
        c, s = math.cos(self.turn), math.sin(self.turn)
        return at[0] * c - at[1] * s + self.dx, at[0] * s + at[1] * c + self.dy

    def loop(self, loop: Loop) -> Loop:
        """Where a loop comes to lie."""
        return loop.turned(self.turn).moved(self.dx, self.dy)


def layings(one: Loop, other: Loop, holes: Sequence[Loop], others: Sequence[Loop]) -> Iterator[Laying]:
    """What lays a loop onto another, as it is turned first; a disc, which any turn lays on another, by its holes.

    Args:
        one: the loop that is laid, counter-clockwise.
        other: what it is laid on, likewise.
        holes: within the first; those of a disc tell its turns apart.
        others: within the other.
    """
    if isinstance(one, Circle) or isinstance(other, Circle):
        yield from _discs(one, other, holes, others)
        return
    if len(one.vertices) != len(other.vertices):
        return
    count = len(one.vertices)
    for first in sorted(range(count), key=lambda i: math.dist(_xy(one.vertices[0]), _xy(other.vertices[i]))):
        laying = _edge_on_edge(one.vertices[:2], [other.vertices[(first + i) % count] for i in (0, 1)])
        if laying is not None and same_loop(laying.loop(one), other):
            yield laying


def same_loop(one: Loop, other: Loop) -> bool:
    """Whether two counter-clockwise loops lie on one another, wherever they begin."""
    if isinstance(one, Circle) or isinstance(other, Circle):
        if not (isinstance(one, Circle) and isinstance(other, Circle)):
            return False
        return math.dist((one.x, one.y), (other.x, other.y)) < NEAR and abs(one.diameter - other.diameter) < NEAR
    count = len(one.vertices)
    if len(other.vertices) != count:
        return False
    return any(
        all(_same_vertex(one.vertices[i], other.vertices[(first + i) % count]) for i in range(count))
        for first in range(count)
    )


def same_loops(one: Sequence[Loop], other: Sequence[Loop]) -> bool:
    """Whether as many loops lie on one another, in whatever order."""
    return matched(one, other, same_loop)


def matched(one: Sequence[T], other: Sequence[T], same: Callable[[T, T], bool]) -> bool:
    """Whether as many things are each the same as one of others, in whatever order."""
    left = list(other)
    for each in one:
        found = next((i for i, candidate in enumerate(left) if same(each, candidate)), None)
        if found is None:
            return False
        del left[found]
    return not left


def _edge_on_edge(one: Sequence[Vertex], other: Sequence[Vertex]) -> Laying | None:
    (a, b), (c, d) = one, other
    if abs(math.dist(_xy(a), _xy(b)) - math.dist(_xy(c), _xy(d))) > NEAR:
        return None
    turn = math.atan2(d.y - c.y, d.x - c.x) - math.atan2(b.y - a.y, b.x - a.x)
    turn = math.remainder(turn, 2.0 * math.pi)
    return _about(turn, _xy(a), _xy(c))


def _about(turn: float, at: Xy, to: Xy) -> Laying:
    """The turn, shifted so that it brings one place to another."""
    x, y = Laying(turn, 0.0, 0.0).point(at)
    return Laying(turn, to[0] - x, to[1] - y)


def _discs(one: Loop, other: Loop, holes: Sequence[Loop], others: Sequence[Loop]) -> Iterator[Laying]:
    if not (isinstance(one, Circle) and isinstance(other, Circle)) or abs(one.diameter - other.diameter) > NEAR:
        return
    here, there = (one.x, one.y), (other.x, other.y)
    turns = [0.0]
    off = [hole for hole in holes if math.dist(_middle(hole), here) > NEAR]
    if off:
        first = _way(here, _middle(off[0]))
        turns += [_way(there, _middle(hole)) - first for hole in others if math.dist(_middle(hole), there) > NEAR]
    for turn in turns:
        yield _about(turn, here, there)


def _middle(loop: Loop) -> Xy:
    x0, y0, x1, y1 = loop.bounds
    return (x0 + x1) / 2.0, (y0 + y1) / 2.0


def _way(start: Xy, to: Xy) -> float:
    return math.atan2(to[1] - start[1], to[0] - start[0])


def _xy(vertex: Vertex) -> Xy:
    return vertex.x, vertex.y


def _same_vertex(one: Vertex, other: Vertex) -> bool:
    return abs(one.x - other.x) < NEAR and abs(one.y - other.y) < NEAR and abs(one.bulge - other.bulge) < NEAR

"""Where bolts stand: on the axis of the holes of what each goes through, as far as that has a place."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.parts.shape.bored.bolt_room import PARALLEL, passes
from fabgen.parts.shape.bored.hole_ways import HoleWay
from fabgen.parts.shape.bored.passages import Passage

NEAR = 3.0
"""A hole no more than so many times its width from another was meant for its bolt (common practice, no source)."""
EYE = 1.0
"""An eye's middle lies so near to the axis of the holes at its sides, mm: points are seldom better measured."""
_TRUE = 0.05
"""Holes so little out of line are on one axis, mm: their rims are polygons here."""


@dataclass(frozen=True, slots=True)
class Seat:
    """What one of the layers that a bolt's table lists takes of its line: from `begins` to `ends`, mm from where the
    first begins."""

    layer: int
    passage: Passage
    begins: float
    ends: float


@dataclass(frozen=True, eq=False)
class BoltLine:
    """One bolt where it stands.

    Args:
        at: (3,) mm, on its axis where the first layer that has a place begins.
        axis: unit, from head to nut.
        seats: the layers that have a place, as the table lists them.
        off: how far the two holes that are farthest out of line are apart, mm.
        astray: the layers that these are.
        in_line: whether the bolt passes them all.
        alone: whether only one of them has a place; then nobody knows from which side the bolt goes in.
    """

    at: Array
    axis: Array
    seats: tuple[Seat, ...]
    off: float
    astray: tuple[int, int]
    in_line: bool
    alone: bool = False

    @property
    def in_order(self) -> bool:
        """Whether the layers follow one another as they are listed."""
        middles = [(seat.begins + seat.ends) / 2.0 for seat in self.seats]
        return middles == sorted(middles)

    @property
    def reach(self) -> float:
        """From the first face that it passes to the last, mm."""
        return max(seat.ends for seat in self.seats) - min(seat.begins for seat in self.seats)

    def holds(self, at: Array) -> bool:
        """Whether what has its middle at a point, as a ball has, is on the bolt: near its axis, between the faces that
        it passes first and last.

        Args:
            at: (3,) mm.
        """
        away = at - self.at
        along = float(away @ self.axis)
        begins, ends = min(seat.begins for seat in self.seats), max(seat.ends for seat in self.seats)
        return self.in_line and begins <= along <= ends and float(np.linalg.norm(_beside(away, self.axis))) <= EYE

    @property
    def goes_in(self) -> bool:
        """Whether the bolt passes all its layers, as they are listed, two at least where they stand."""
        return self.in_line and self.in_order and not self.alone

    @property
    def turned(self) -> BoltLine:
        """The same with its head on the other side, of one that is alone."""
        (seat,) = self.seats
        return replace(self, at=np.asarray(self.at + seat.ends * self.axis), axis=-self.axis)


def bolt_lines(
    layers: Sequence[Sequence[Passage]], bolt: float, most: int, taken: Container[Hole] = ()
) -> tuple[BoltLine, ...]:
    """Where bolts of one table stand: those whose holes are in line first, then those that were meant to be.

    Args:
        layers: what each layer of the table could be passed by, in its order; none of one that has no place.
        bolt: diameter, mm.
        most: how many there are.
        taken: the holes in which other bolts are; they are gone through where no others do.
    Returns: none where no layer has a place, or no two holes look the same way; of one layer alone its holes, where it
        has as many as there are bolts.
    """
    placed = {number: ways for number, ways in enumerate(layers) if ways}
    if len(placed) == 1:
        return _alone(*next(iter(placed.items())), bolt, most)
    directed = [number for number, ways in placed.items() if ways[0].ways]
    if len(placed) < 2 or not directed:
        return ()
    lines = [line for first in placed[directed[0]] if (line := _line(directed[0], first, placed, bolt)) is not None]
    # Of holes on one axis those that follow one another as they are listed, close together.
    lines.sort(
        key=lambda line: (
            not line.in_line,
            is_taken(line, taken),
            round(line.off, 3),
            not line.in_order,
            round(line.reach, 3),
        )
    )
    kept: list[BoltLine] = []
    used: set[int] = set()
    for line in lines:
        own = {id(seat.passage) for seat in line.seats}
        # One as far out of line as the best is its twin elsewhere.
        meant = line.in_line or not kept or line.off <= max(NEAR * _width(line), kept[0].off + _TRUE)
        if len(kept) < most and meant and not used & own:
            kept.append(line)
            used |= own
    return tuple(kept)


Hole = tuple[str, float, float, float]
"""A hole among all of a job: of which part, and its middle, mm."""


def holes_of(line: BoltLine) -> list[Hole]:
    """The holes that a bolt is in, eyes not among them."""
    return [hole_named(seat.passage) for seat in line.seats if seat.passage.ways]


def hole_named(way: Passage | HoleWay) -> Hole:
    """What tells a hole from all others of a job."""
    x, y, z = (round(float(at), 2) + 0.0 for at in way.centre)
    return way.mark, x, y, z


def is_taken(line: BoltLine, taken: Container[Hole]) -> bool:
    """Whether all holes on a line are taken: of a slot or a tube's bore, which holds more than one bolt, another part
    has a hole that is not."""
    return all(hole in taken for hole in holes_of(line))


def _alone(number: int, ways: Sequence[Passage], bolt: float, most: int) -> tuple[BoltLine, ...]:
    if len(ways) != most:
        return ()
    found = []
    for way in ways:
        if way.axis is not None and way.ways and passes(way.ways, bolt):
            begins = np.asarray(way.centre - way.span / 2.0 * way.axis)
            seats = (Seat(number, way, 0.0, way.span),)
            found.append(BoltLine(begins, way.axis, seats, 0.0, (number, number), True, alone=True))
    return tuple(found)


def _width(line: BoltLine) -> float:
    return max(way.width for seat in line.seats for way in seat.passage.ways)


def _line(number: int, first: Passage, placed: Mapping[int, Sequence[Passage]], bolt: float) -> BoltLine | None:
    """The line through one hole and those of the other layers that come nearest to its axis; None where a layer has
    none that looks the same way."""
    assert first.axis is not None
    chosen = {number: first}
    for other, ways in placed.items():
        free = [way for way in ways if not any(way is each for each in chosen.values())]
        if free and not any(way.ways for way in free):
            # Of a link's two eyes the near one is meant, whichever way it looks.
            free = [min(free, key=lambda way: (_off(way, first), _along(way, first)))]
        alike = [way for way in free if way.axis is None or abs(float(way.axis @ first.axis)) >= PARALLEL]
        if other != number:
            if not alike:
                return None
            # Of holes on one axis the nearest: like brackets in a row have theirs on one line.
            chosen[other] = min(alike, key=lambda way: (max(_off(way, first) - _TRUE, 0.0), _along(way, first)))
    order = sorted(chosen)
    axis = first.axis
    middles = {layer: float(chosen[layer].centre @ axis) for layer in order}
    if middles[order[-1]] < middles[order[0]]:
        axis = -axis
    return _stood(axis, [(layer, chosen[layer]) for layer in order], bolt)


def _off(way: Passage, first: Passage) -> float:
    """How far a passage's middle is beside the axis of the first, mm."""
    assert first.axis is not None
    return float(np.linalg.norm(_beside(way.centre - first.centre, first.axis)))


def _along(way: Passage, first: Passage) -> float:
    assert first.axis is not None
    return abs(float((way.centre - first.centre) @ first.axis))


def _stood(axis: Array, chosen: Sequence[tuple[int, Passage]], bolt: float) -> BoltLine:
    holes = [passage for _, passage in chosen if passage.ways]
    middle = np.mean([passage.centre for passage in holes], axis=0)
    across = {layer: _beside(passage.centre - middle, axis) for layer, passage in chosen}
    astray = max(
        ((one, other) for one in across for other in across if one < other),
        key=lambda pair: float(np.linalg.norm(across[pair[0]] - across[pair[1]])),
    )
    off = float(np.linalg.norm(across[astray[0]] - across[astray[1]]))
    eyes = [layer for layer, passage in chosen if not passage.ways]
    ways = [way for passage in holes for way in passage.ways]
    in_line = passes(ways, bolt) and all(float(np.linalg.norm(across[layer])) <= EYE for layer in eyes)
    spans = [(layer, passage, float((passage.centre - middle) @ axis)) for layer, passage in chosen]
    begins = spans[0][2] - spans[0][1].span / 2.0
    seats = tuple(
        Seat(layer, passage, at - passage.span / 2.0 - begins, at + passage.span / 2.0 - begins)
        for layer, passage, at in spans
    )
    return BoltLine(np.asarray(middle + begins * axis), axis, seats, off, astray, in_line)


def _beside(away: Array, axis: Array) -> Array:
    return np.asarray(away - float(away @ axis) * axis)


def free_between(line: BoltLine, listed: Sequence[float]) -> Iterator[tuple[int, int, float]]:
    """What is free between each two layers that follow one another on a line and have a place: which they are, and
    how much is left when what the table lists between them is in, mm; negative where that does not go in.

    Args:
        line: in order.
        listed: the thickness of every layer of the table, mm.
    """
    for one, other in pairwise(line.seats):
        between = sum(listed[one.layer + 1 : other.layer])
        yield one.layer, other.layer, other.begins - one.ends - between

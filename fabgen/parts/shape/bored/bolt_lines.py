"""Where bolts stand: on the axis of the holes of what each goes through, as far as that has a place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import DrilledHole, EyeSetup, LinkPart, Piece
from fabgen.parts.shape.bored.bolt_room import PARALLEL, passes
from fabgen.parts.shape.bored.hole_ways import HoleWay, hole_ways

NEAR = 3.0
"""A hole no more than so many times its width from another was meant for its bolt (common practice, no source)."""
EYE = 1.0
"""An eye's middle lies so near to the axis of the holes at its sides, mm: points are seldom better measured."""
_TRUE = 0.05
"""Holes so little out of line are on one axis, mm: their rims are polygons here."""


@dataclass(frozen=True, eq=False)
class Passage:
    """One way through a part: a hole in its sheet or leg, those in both walls of a tube, or a link's eye.

    Args:
        mark: of the part.
        ways: its holes; none of an eye.
        centre: (3,) mm, halfway through.
        axis: unit; None of a rod end's eye, which turns to any.
        span: how far it is through, mm.
        one_wall: of a tube that is drilled through one wall only.
    """

    mark: str
    ways: tuple[HoleWay, ...]
    centre: Array
    axis: Array | None
    span: float
    one_wall: bool = False


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
    """

    at: Array
    axis: Array
    seats: tuple[Seat, ...]
    off: float
    astray: tuple[int, int]
    in_line: bool

    @property
    def in_order(self) -> bool:
        """Whether the layers follow one another as they are listed."""
        middles = [(seat.begins + seat.ends) / 2.0 for seat in self.seats]
        return middles == sorted(middles)

    @property
    def goes_in(self) -> bool:
        """Whether the bolt passes all its layers, as they are listed."""
        return self.in_line and self.in_order


def passages(piece: Piece) -> list[Passage]:
    """The ways for a bolt through a placed piece; none of one without a place.

    Args:
        piece: complete.
    """
    part = piece.shape
    if not piece.is_placed:
        return []
    if isinstance(part, LinkPart):
        return [*_eyes(piece.mark, part)]
    found: list[Passage] = []
    ways = list(hole_ways(piece))
    drilled = [way for way in ways if isinstance(way.hole, DrilledHole)]
    for _, walls in groupby(drilled, key=_number):
        found.append(_through_walls(list(walls)))
    found += [Passage(way.mark, (way,), way.centre, way.axis, _thick(way)) for way in ways if way not in drilled]
    return found


def _eyes(mark: str, part: LinkPart) -> Iterator[Passage]:
    """The middle of each eye; that of a sleeve welded across the tube looks one way only."""
    assert part.frame is not None
    for end, side in zip(part.ends, part.sides, strict=True):
        if isinstance(side, EyeSetup):
            pin = end.frame.origin + side.offset * part.frame.z
            yield Passage(mark, (), pin, part.frame.y, side.width)
        elif side.eye_width is not None:
            face = end.frame.origin + float(np.nanmin(end.line.x)) * end.frame.x
            yield Passage(mark, (), face - side.reach * end.frame.x, None, side.eye_width)


def _number(way: HoleWay) -> int:
    assert isinstance(way.hole, DrilledHole)
    return way.hole.number


def _through_walls(walls: Sequence[HoleWay]) -> Passage:
    """The two walls of a tube together, or the one that is drilled."""
    first = walls[0]
    ends = [float(mouth @ first.axis) for way in walls for mouth in way.mouths(0.0)]
    span = max(ends) - min(ends)
    middle = first.centre + ((max(ends) + min(ends)) / 2.0 - float(first.centre @ first.axis)) * first.axis
    return Passage(first.mark, tuple(walls), middle, first.axis, span, len(walls) == 1)


def _thick(way: HoleWay) -> float:
    return way.span[1] - way.span[0]


def bolt_lines(layers: Sequence[Sequence[Passage]], bolt: float, most: int) -> tuple[BoltLine, ...]:
    """Where bolts of one table stand: those whose holes are in line first, then those that were meant to be.

    Args:
        layers: what each layer of the table could be passed by, in its order; none of one that has no place.
        bolt: diameter, mm.
        most: how many there are.
    Returns: none where fewer than two layers have a place, or no two holes look the same way.
    """
    placed = {number: ways for number, ways in enumerate(layers) if ways}
    directed = [number for number, ways in placed.items() if ways[0].ways]
    if len(placed) < 2 or not directed:
        return ()
    lines = [line for first in placed[directed[0]] if (line := _line(directed[0], first, placed, bolt)) is not None]
    lines.sort(key=lambda line: (not line.in_line, round(line.off, 3)))
    kept: list[BoltLine] = []
    used: set[int] = set()
    for line in lines:
        own = {id(seat.passage) for seat in line.seats}
        meant = line.in_line or not kept or line.off <= NEAR * _width(line)
        if len(kept) < most and meant and not used & own:
            kept.append(line)
            used |= own
    return tuple(kept)


def _width(line: BoltLine) -> float:
    return max(way.width for seat in line.seats for way in seat.passage.ways)


def _line(number: int, first: Passage, placed: Mapping[int, Sequence[Passage]], bolt: float) -> BoltLine | None:
    """The line through one hole and those of the other layers that come nearest to its axis; None where a layer has
    none that looks the same way."""
    assert first.axis is not None
    chosen = {number: first}
    for other, ways in placed.items():
        free = [way for way in ways if not any(way is each for each in chosen.values())]
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

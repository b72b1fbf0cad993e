"""Where the bolts of a job stand: on the axis of the holes of what they are named through, head toward the first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.mesh import Mesh
from fabgen.parts.piece import FlatPart, Piece
from fabgen.parts.shape.bodies.rod_end_body import round_bar
from fabgen.parts.shape.bored.hole_ways import HoleWay, hole_ways
from fabgen.plan.plan import BoltStack
from fabgen.shop.threaded.fasteners import hexagon_head, washer_diameter
from fabgen.shop.threads import Thread

IN_LINE = 0.5
"""Axes of two holes that run past one another by no more are one bolt's, mm."""
_PARALLEL = 1e-3
"""Sine of the angle between axes that count as parallel."""
_ROOMY = 1.6
"""A hole wider than so many times the bolt is there for something else."""
_PLACES = 48


@dataclass(frozen=True, eq=False)
class PlacedBolt:
    """One bolt in space.

    Args:
        stack: what it goes through, and which it is.
        number: which of these, from 0 on.
        on: a point of its axis, (3,).
        way: its unit axis from head to nut, (3,).
        span: where the metal between head and nut begins and ends along `way` from `on`, mm.
    """

    stack: BoltStack
    number: int
    on: Array
    way: Array
    span: tuple[float, float]

    @property
    def seat(self) -> Array:
        """Under its head, (3,)."""
        choice = self.stack.choice
        return np.asarray(self.on + (self.span[0] - choice.washers_at_head * choice.washer) * self.way)

    @property
    def shells(self) -> tuple[Mesh, ...]:
        """Shank, head, washers and nut as round bars: heads and nuts as wide as their flats, so no more than they
        are."""
        return tuple(self._shells())

    def _shells(self) -> Iterator[Mesh]:
        choice, d = self.stack.choice, self.stack.choice.thread.diameter
        up = np.eye(3)[int(np.argmin(np.abs(self.way)))]
        size = nominal(choice.thread)
        head, washer = hexagon_head(size), washer_diameter(size)

        def bar(begins: float, ends: float, diameter: float, bore: float = 0.0) -> Mesh:
            return round_bar(self.on + begins * self.way, self.on + ends * self.way, up, diameter, bore, _PLACES)

        first, last = self.span
        at_head = choice.washers_at_head * choice.washer
        at_nut = choice.washers * choice.washer - at_head if choice.nut_height else 0.0
        under, nut_at = first - at_head, last + at_nut
        yield bar(under, max(under + choice.length, nut_at + choice.nut_height), d)
        if head is not None:
            yield bar(under - head.height, under, head.across_flats)
            if choice.nut_height:
                yield bar(nut_at, nut_at + choice.nut_height, head.across_flats, d)
        if washer is not None:
            if at_head:
                yield bar(under, first, washer.value, d)
            if at_nut:
                yield bar(last, nut_at, washer.value, d)


def nominal(thread: Thread) -> str:
    """Its size as the tables of bolts name it: 'M10', '3/8 in'.

    Args:
        thread: of the bolt.
    """
    return thread.size if thread.series == "M" else f"{thread.size} in"


def placed_bolts(stacks: Sequence[BoltStack], pieces: Sequence[Piece]) -> Iterator[PlacedBolt]:
    """The bolts whose place follows from holes in line: no more axes than there are bolts, and on each the holes of all
    that is named and has one.

    Args:
        stacks: the bolts of the job, as planned.
        pieces: all, complete.
    """
    placed = [piece for piece in pieces if piece.is_placed]
    by_mark = {piece.mark: piece for piece in placed}
    for stack in stacks:
        marks = list(dict.fromkeys(layer.mark for layer in stack.layers if layer.mark in by_mark))
        ways = [way for mark in marks for way in _fitting(stack, by_mark[mark])]
        holed = {way.mark for way in ways}
        lines = [line for line in _lines(ways) if {way.mark for way in line} == holed]
        if not 0 < len(lines) <= stack.quantity:
            continue
        # What is given as a thickness may be a part that has a hole there.
        unnamed = any(not layer.mark for layer in stack.layers)
        others = (
            [way for piece in placed if piece.mark not in marks for way in _fitting(stack, piece)] if unnamed else []
        )
        for number, line in enumerate(lines):
            more = [way for way in others if _in_line(way, line[0])]
            yield _on(stack, number, line, more, [by_mark[mark] for mark in marks])


def _has_unnamed(stack: BoltStack) -> bool:
    return any(not layer.mark and not layer.open for layer in stack.layers)


def _fitting(stack: BoltStack, piece: Piece) -> Iterator[HoleWay]:
    d = stack.choice.thread.diameter
    return (way for way in hole_ways(piece) if d - 0.1 <= way.width <= _ROOMY * d)


def _in_line(one: HoleWay, other: HoleWay) -> bool:
    away = one.centre - other.centre
    off = float(np.linalg.norm(away - float(away @ other.axis) * other.axis))
    return off < IN_LINE and float(np.linalg.norm(np.cross(one.axis, other.axis))) < _PARALLEL


def _lines(ways: Sequence[HoleWay]) -> list[list[HoleWay]]:
    """Holes on one axis together, in the order in which they are met."""
    lines: list[list[HoleWay]] = []
    for way in ways:
        line = next((each for each in lines if _in_line(way, each[0])), None)
        if line is None:
            lines.append([way])
        else:
            line.append(way)
    return lines


def _on(
    stack: BoltStack, number: int, line: Sequence[HoleWay], more: Sequence[HoleWay], parts: Sequence[Piece]
) -> PlacedBolt:
    """The bolt on a line of holes: `more` are those of parts that it is not named through, `parts` those it is."""
    on, way = line[0].centre, line[0].axis
    at = [_along([each for each in line if each.mark == part.mark], part, on, way) for part in parts]
    first, last = at[0], at[-1]
    if more and len(parts) == 1:
        last = float(np.mean([(each.centre - on) @ way for each in more]))
        if not stack.layers[0].mark:
            first, last = last, first
    if first > last:
        way = -way
    spans = [((each.centre - on) @ way, (each.span[1] - each.span[0]) / 2.0) for each in (*line, *more)]
    low, high = min(float(a - h) for a, h in spans), max(float(a + h) for a, h in spans)
    # What has no hole there lies between head and nut all the same.
    missing = max(0.0, stack.choice.grip - (high - low))
    holed = {each.mark for each in line}
    if stack.layers[-1].mark in holed and stack.layers[0].mark not in holed:
        return PlacedBolt(stack, number, on, way, (low - missing, high))
    return PlacedBolt(stack, number, on, way, (low, high + missing))


def _along(ways: Sequence[HoleWay], part: Piece, on: Array, way: Array) -> float:
    """Where a part lies along an axis, mm: its holes there, or the nearest place of its own axis or of its frame."""
    if ways:
        return float(np.mean([(each.centre - on) @ way for each in ways]))
    shape = part.shape
    if isinstance(shape, FlatPart):
        return float((shape.places[0].frame.origin - on) @ way)
    assert shape.frame is not None
    beside = on - shape.frame.origin
    return float((float(beside @ shape.frame.x) * shape.frame.x - beside) @ way)

"""The kerf allowed for, for those who cut themselves: outlines moved out and holes in by half of it, arcs kept."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from fabgen.geometry.plane.offset import offset
from fabgen.geometry.plane.outline import Circle, Loop, OutlineError, Xy
from fabgen.parts.piece import FlatPart, Hole, Mark
from fabgen.parts.shape.hole_groups import centre_of

_ARM = 3.0
"""Half length of the cross that marks a hole too small to cut, mm."""
_LISTED = 1.0
"""Metal left standing in an inside corner beyond what any round tool leaves is listed from here on, mm."""


@dataclass(frozen=True, eq=False)
class OwnCut:
    """A flat as the middle of the kerf runs round it.

    `drilled`: holes that it cannot run round, marked with a cross instead; `short`: inside corners that it does not
    come into, and how far short of them it stays, mm.
    """

    part: FlatPart
    drilled: tuple[Hole, ...] = ()
    short: tuple[tuple[Xy, float], ...] = ()


def with_kerf(part: FlatPart, kerf: float) -> OwnCut:
    """The flat for a kerf of that width, mm.

    Raises OutlineError where the outline has an inside radius tighter than half the kerf, or a
    notch that the kerf closes.
    """
    outline = offset(part.outline, kerf / 2.0)
    holes: list[Hole] = []
    drilled: list[Hole] = []
    for hole in part.holes:
        try:
            holes.append(replace(hole, shape=_shrunk(hole.shape, kerf)))
        except OutlineError:
            drilled.append(hole)
    crosses = tuple(mark for hole in drilled for mark in _cross(centre_of(hole.shape)))
    moved = replace(part, outline=outline, holes=tuple(holes), marks=part.marks + crosses)
    return OwnCut(moved, tuple(drilled), tuple(_short(part.outline, kerf)))


def _short(outline: Loop, kerf: float) -> Iterator[tuple[Xy, float]]:
    """Sharp inside corners and what stays of the metal there: the round kerf touches both edges at half its width
    from them, so its own edge stays short of the corner by (1 / sin(half the opening) - 1) times that."""
    if isinstance(outline, Circle):
        return
    edges = list(outline.counter_clockwise().edges())
    for before, after in zip([edges[-1], *edges[:-1]], edges, strict=True):
        turn = math.remainder(after.heading_in - before.heading_out, 2.0 * math.pi)
        if turn < -1e-6:
            left = kerf / 2.0 * (1.0 / math.cos(turn / 2.0) - 1.0)
            if left > _LISTED:
                yield after.start, left


def _shrunk(shape: Loop, kerf: float) -> Loop:
    if isinstance(shape, Circle) and shape.diameter <= 2.0 * kerf:
        raise OutlineError("hardly wider than the kerf")
    return offset(shape, -kerf / 2.0)


def _cross(at: Xy) -> Sequence[Mark]:
    x, y = at
    return Mark(line=((x - _ARM, y), (x + _ARM, y))), Mark(line=((x, y - _ARM), (x, y + _ARM)))

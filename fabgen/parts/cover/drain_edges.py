"""Which edge of a flat cover its drain and vent holes are by, where it stands."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.parts.cover.drains_and_beads import COMMON
from fabgen.parts.piece import Concern, Fact, FlatPart, Hole, Piece, Purpose, fact
from fabgen.wording.levels import Level
from fabgen.wording.sentence import sentence

_UP = 0.5
"""An edge whose way out of the cover rises by more than this, as the sine of its slope, is an upper one."""
_LOOKS = (("front", "rear"), ("left", "right"), ("upper", "lower"))


def named_as_it_stands(piece: Piece) -> Piece:
    """A cover whose facts name the edges by which its drain and vent are as it stands, with a concern for a drain that
    comes to lie at the top; itself where it has no place, and of one that is folded or rolled.

    Args:
        piece: a cover.
    """
    part = piece.flat_part
    if part is None or not part.places or not part.datums or part.tree is not None or part.rolled is not None:
        return piece
    named = {purpose: list(dict.fromkeys(_edges(part, purpose))) for purpose in (Purpose.DRAIN, Purpose.VENT)}
    facts = tuple(_renamed(each, named) for each in piece.facts)
    concerns = [_at_top(piece.mark)] if "upper" in named[Purpose.DRAIN] else []
    return replace(piece, facts=facts, concerns=(*piece.concerns, *concerns))


def _renamed(given: Fact, named: dict[Purpose, list[str]]) -> Fact:
    found = next((edges for purpose, edges in named.items() if given.key == purpose.value and edges), None)
    if found is None:
        return given
    rest = "; leave it open while welding" if given.key == Purpose.VENT.value else ""
    return fact(given.key, given.label, f"by its {' or '.join(found)} edge as it stands{rest}")


def _edges(part: FlatPart, purpose: Purpose) -> Iterator[str]:
    """The edges by which holes of a purpose are, of each place: 'lower', 'rear' …"""
    for hole in part.holes:
        if hole.purpose is purpose:
            datum = next(iter(part.datums.values()))
            for place in part.places:
                yield _word(_out(part, hole) @ np.array([datum.u, datum.v]) @ place.frame.axes)


def _out(part: FlatPart, hole: Hole) -> Array:
    """From a hole the way out over the nearest edge of the flat's box, along u and v, (2,)."""
    x0, y0, x1, y1 = part.outline.bounds
    u0, v0, u1, v1 = hole.shape.bounds
    u, v = (u0 + u1) / 2.0, (v0 + v1) / 2.0
    ways = (((0.0, -1.0), v - y0), ((0.0, 1.0), y1 - v), ((-1.0, 0.0), u - x0), ((1.0, 0.0), x1 - u))
    return np.array(min(ways, key=lambda each: each[1])[0])


def _word(way: Array) -> str:
    """How an edge is called that looks a way out of the cover, (3,)."""
    if way[2] > _UP:
        return "upper"
    axis = int(np.abs(way).argmax())
    return _LOOKS[axis][int(way[axis] < 0.0)]


def _at_top(mark: str) -> Concern:
    text = (
        f"the drain of {mark} comes to lie by its upper edge as it stands, where it drains nothing: turn {mark} about "
    )
    return Concern(Level.WARN, "drain", sentence(text + "(`along`), or say where the hole is (`at` of drain)"), COMMON)

"""What a bolt passes in each layer that its table lists: holes, eyes, bushes in these, and tubes from end to end."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from fabgen.job.tables.buying_tables import Bolt
from fabgen.parts.piece import EyeSetup, FlatPart, LinkPart, Piece
from fabgen.parts.shape.bored.bolt_room import PARALLEL, passes
from fabgen.parts.shape.bored.passages import SLACK, Passage, passages
from fabgen.shop.threaded.clearance_holes import clearance_diameter
from fabgen.shop.threads import Thread

_IN_LINE = 1.0
"""A bush sits in the hole whose middle its own axis passes so near, mm."""


def passable(bolt: Bolt, by_mark: Mapping[str, Piece], thread: Thread) -> list[Sequence[Passage]]:
    """What each layer could be passed by where its part has a place, and what a tapped part could be: the holes that
    let the bolt through, or that its thread fills.

    Along a tube that has no hole for it a bolt goes by the bore, where that fits it, or lies in line with another hole.

    Args:
        bolt: the table.
        by_mark: the parts.
        thread: of the bolt.
    """
    named = [layer if isinstance(layer, str) else "" for layer in bolt.through]
    ways = {mark: _ways(by_mark[mark], bolt, by_mark, thread) for mark in set(named) if mark in by_mark}
    found: list[Sequence[Passage]] = []
    for place, mark in enumerate(named):
        own = ways.get(mark, [])
        if holes := [way for way in own if not way.is_bore or by_mark[mark].kind == "bush"]:
            found.append(holes)
            continue
        others = [way for other, name in enumerate(named) if other != place for way in ways.get(name, ())]
        found.append([way for way in own if _fits(way.ways[0].width, thread) or _is_in_line(way, others, thread)])
    if bolt.into is not None and bolt.into in by_mark:
        tapped = (way for way in passages(by_mark[bolt.into]) if way.ways and not way.is_bore)
        found.append([way for way in tapped if all(e.width < thread.diameter - SLACK for e in way.ways)])
    if sum(1 for ways in found if ways) == 1:
        found = [meant(ways, thread) for ways in found]
    return found


def meant(ways: Sequence[Passage], thread: Thread) -> Sequence[Passage]:
    """Those that were made for a bolt: where the job says of some what they are for, those for it; else those no wider
    than is usual for it, where there are such.

    Args:
        ways: that let it through.
        thread: of the bolt.
    """
    named = [way for way in ways if any(each.bolt == thread.bolt for each in way.ways)]
    fitting = [way for way in ways if way.ways and all(_fits(each.width, thread) for each in way.ways)]
    return named or fitting or ways


def _ways(piece: Piece, bolt: Bolt, by_mark: Mapping[str, Piece], thread: Thread) -> list[Passage]:
    bushes = [way for mark in _bushes(piece, bolt, by_mark) for way in passages(by_mark[mark]) if way.is_bore]
    inside = [way for way in bushes if way.lets_through(thread.diameter)]
    return [_in_bush(way, inside) for way in passages(piece) if way.lets_through(thread.diameter)]


def _is_in_line(bore: Passage, others: Sequence[Passage], thread: Thread) -> bool:
    """Whether a bore and a hole of another part lie on one line."""
    assert bore.axis is not None
    return any(
        way.ways
        and way.mark != bore.mark
        and way.axis is not None
        and abs(float(way.axis @ bore.axis)) >= PARALLEL
        and passes((*bore.ways, *way.ways), thread.diameter)
        for way in others
    )


def _fits(bore: float, thread: Thread) -> bool:
    """Whether a bore is no wider than the widest hole that is usual for a bolt."""
    most = clearance_diameter(thread.bolt, "coarse")
    return most is not None and thread.diameter - SLACK <= bore <= most + SLACK


def goes_along(ways: Sequence[Passage]) -> bool:
    """Whether a bolt goes through a tube from end to end.

    Args:
        ways: what it passes there; none without a place or a hole.
    """
    return bool(ways) and all(way.is_bore for way in ways)


# -- bushes -------------------------------------------------------------------------------
def _bushes(piece: Piece, bolt: Bolt, by_mark: Mapping[str, Piece]) -> Iterator[str]:
    """The marks of the bushes that sit in a part's holes or eyes, but those that the bolt's table lists itself."""
    part, marks = piece.shape, list[str]()
    if isinstance(part, FlatPart):
        marks = [hole.bush for hole in part.all_holes]
    elif isinstance(part, LinkPart):
        marks = [side.bush for side in part.sides if isinstance(side, EyeSetup)]
    for mark in dict.fromkeys(marks):
        if mark in by_mark and mark not in bolt.through and by_mark[mark].length_part is not None:
            yield mark


def _in_bush(way: Passage, bushes: Sequence[Passage]) -> Passage:
    """The way through the bush that sits in a hole or an eye; the same where there is none."""
    for bush in bushes:
        if way.axis is None or bush.axis is None or abs(float(way.axis @ bush.axis)) < PARALLEL:
            continue
        away = bush.centre - way.centre
        along = float(away @ bush.axis)
        if float(np.linalg.norm(away - along * bush.axis)) < _IN_LINE and abs(along) < (way.span + bush.span) / 2.0:
            return replace(way, ways=bush.ways, centre=bush.centre, axis=bush.axis, span=bush.span)
    return way


def bush_length(piece: Piece, bolt: Bolt, by_mark: Mapping[str, Piece], thread: Thread) -> float:
    """How long the bush is that sits in each hole or eye of a part through which a bolt may go, mm; 0 where one has
    none, or where the bolt passes the part twice, as it does two ears.

    Args:
        piece: the part.
        bolt: the table.
        by_mark: the parts.
        thread: of the bolt.
    """
    part, within = piece.shape, list[str]()
    if isinstance(part, FlatPart) and bolt.through.count(piece.mark) == 1:
        holes = [hole for hole in part.all_holes if not hole.purpose]
        within = [hole.bush for hole in holes if min(_size(hole.shape.bounds)) >= thread.diameter - SLACK]
    elif isinstance(part, LinkPart):
        within = [side.bush if isinstance(side, EyeSetup) else "" for side in part.sides]
    lengths = {_length(by_mark[mark]) for mark in _bushes(piece, bolt, by_mark) if mark in within}
    return lengths.pop() if len(lengths) == 1 and all(within) else 0.0


def _length(piece: Piece) -> float:
    assert piece.length_part is not None
    return piece.length_part.length


def _size(bounds: tuple[float, float, float, float]) -> tuple[float, float]:
    x0, y0, x1, y1 = bounds
    return x1 - x0, y1 - y0

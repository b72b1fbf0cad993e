"""Short tubes that stand on a bolt's line between what it clamps: crush sleeves, and tubes of the job as spacers."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import LengthPart, Piece
from fabgen.parts.shape.bored.bolt_lines import BoltLine
from fabgen.plan.plan import Layer, Sleeve

FREE = 1.0
"""Parts that stand farther apart along a bolt than this are drawn together by it, mm."""
_PARALLEL = math.cos(math.radians(10.0))
"""What leans from a bolt by more is no sleeve of it."""
_PAST = 2.0
"""A sleeve stands out past what its bolt clamps by no more, mm."""


def short_tubes(job: Definitions, pieces: Iterable[Piece]) -> list[Piece]:
    """The round straight tubes, and the crush tubes between ears, that may be sleeves of bolts.

    Args:
        job: its bushes.
        pieces: of the whole job.
    """
    between = {bush.mark for bush in job.bush if bush.between is not None}
    return [
        piece
        for piece in pieces
        if (piece.kind == "tube" or piece.mark in between)
        and (part := piece.length_part) is not None
        and part.frame is not None
        and part.path is None
        and part.section.is_round
        and not (part.section.is_solid or part.sleeve_of or part.is_bent_bar)
    ]


def sleeves_on(
    lines: Sequence[BoltLine], layers: Sequence[Layer], diameter: float, tubes: Sequence[Piece]
) -> tuple[Sleeve, ...]:
    """Every short tube that stands on the lines of a table's bolts, between what these clamp.

    Args:
        lines: where the bolts stand.
        layers: as the table lists them.
        diameter: of the bolts, mm.
        tubes: those that may be such.
    """
    found: list[Sleeve] = []
    for line in (line for line in lines if line.goes_in):
        clamped = {seat.passage.mark for seat in line.seats}
        for piece in tubes:
            part = piece.length_part
            for ends in _standing(part) if piece.mark not in clamped and part is not None else ():
                if part is not None and (each := _on_line(line, layers, diameter, piece.mark, part, ends)) is not None:
                    found.append(each)
    return tuple(found)


def _standing(part: LengthPart) -> Iterator[Array]:
    """The middles of its two ends where each of its places has them, (2, 3)."""
    assert part.frame is not None
    first = np.array([end.frame.origin + end.line.mean * end.frame.x for end in part.ends])
    yield first
    yield from (frame.outside(part.frame.inside(first)) for frame in part.also)


def _on_line(
    line: BoltLine, layers: Sequence[Layer], d: float, mark: str, part: LengthPart, places: Array
) -> Sleeve | None:
    """A tube as the sleeve of a bolt; None where it is none."""
    section = part.section
    away = places - line.at
    along = away @ line.axis
    low, high = sorted(along.tolist())
    if high - low < _PARALLEL * float(np.linalg.norm(places[1] - places[0])):
        return None
    beside = np.linalg.norm(away - np.outer(along, line.axis), axis=1)
    begins, ends = line.seats[0].begins, line.seats[-1].ends
    middle = (low + high) / 2.0
    is_between = begins < middle < ends and high - low <= ends - begins + 2.0 * _PAST
    if not is_between or float(beside.min()) > (section.width + d) / 2.0:
        return None
    widths = [way.width for seat in line.seats for way in seat.passage.ways]
    play = (section.bore - d + min(widths, default=d) - d) / 2.0
    room, marks = _room(line, middle)
    between = _between(line, middle)
    room -= _listed(layers, between, high - low)
    return Sleeve(
        mark, d, section.bore, high - low, float(beside.max()), play, room, marks, part.through, between, line
    )


def _room(line: BoltLine, middle: float) -> tuple[float, tuple[str, ...]]:
    """What is free along a line about a place on it, mm, and the marks of what bounds it; inf where nothing does."""
    spans: list[tuple[float, float, str]] = []
    for seat in line.seats:
        walls = [way.span[1] - way.span[0] for way in seat.passage.ways]
        if len(walls) > 1:  # a tube's two walls
            spans.append((seat.begins, seat.begins + walls[0], seat.passage.mark))
            spans.append((seat.ends - walls[-1], seat.ends, seat.passage.mark))
        else:
            spans.append((seat.begins, seat.ends, seat.passage.mark))
    below = max((span for span in spans if (span[0] + span[1]) / 2.0 < middle), key=lambda span: span[1], default=None)
    above = min((span for span in spans if (span[0] + span[1]) / 2.0 >= middle), key=lambda span: span[0], default=None)
    if below is None or above is None:
        return math.inf, ()
    return above[0] - below[1], tuple(dict.fromkeys((below[2], above[2])))


def _between(line: BoltLine, middle: float) -> tuple[int, int] | None:
    """The layers of the table that stand about a place on a line; None where one has none there."""
    before = max((seat.layer for seat in line.seats if seat.ends <= middle), default=None)
    after = min((seat.layer for seat in line.seats if seat.begins >= middle), default=None)
    return None if before is None or after is None else (before, after)


def listed_for(layers: Sequence[Layer], between: tuple[int, int], length: float) -> int | None:
    """Which layer a table lists for a sleeve itself: the longest between two others, if that is about as long; None
    where it lists none.

    Args:
        layers: as the table lists them.
        between: the two.
        length: of the sleeve, mm.
    """
    lengths = [i for i in range(between[0] + 1, between[1]) if not layers[i].mark]
    longest = max(lengths, key=lambda i: layers[i].thickness, default=None)
    return longest if longest is not None and layers[longest].thickness > length / 2.0 else None


def _listed(layers: Sequence[Layer], between: tuple[int, int] | None, length: float) -> float:
    """What a table lists besides a sleeve between the two parts that stand about it, mm."""
    if between is None:
        return 0.0
    own = listed_for(layers, between, length)
    return sum(layers[i].thickness for i in range(between[0] + 1, between[1]) if not layers[i].mark and i != own)


def filled_by(sleeves: Sequence[Sleeve], lines: Iterable[BoltLine]) -> dict[tuple[int, int], tuple[str, ...]]:
    """By two layers of a table the marks of the sleeves that fill what is between them, wherever its bolts stand.

    Args:
        sleeves: on the lines of its bolts.
        lines: where they stand.
    """
    standing = [line for line in lines if line.goes_in]
    found: dict[tuple[int, int], list[Sleeve]] = {}
    for each in sleeves:
        if each.between is not None and each.fills(FREE):
            found.setdefault(each.between, []).append(each)
    return {
        between: tuple(dict.fromkeys(each.mark for each in those))
        for between, those in found.items()
        if all(any(each.line is line for each in those) for line in standing)
    }


def with_sleeves(
    layers: tuple[Layer, ...], filled: Mapping[tuple[int, int], Sequence[str]], sleeves: Sequence[Sleeve]
) -> tuple[Layer, ...]:
    """The layers, a length that is listed for a sleeve called after it.

    Args:
        layers: as the table lists them.
        filled: the marks of the sleeves that fill what is between two of them.
        sleeves: on the lines of its bolts.
    """
    named = list(layers)
    for between, marks in filled.items():
        long = max(each.length for each in sleeves if each.between == between)
        if (own := listed_for(layers, between, long)) is not None:
            named[own] = Layer(", ".join(marks), layers[own].thickness, by=tuple(marks))
    return tuple(named)

"""What stands on what, of all placed parts."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.parts.piece import Array, FlatPart, LengthPart, Piece, Place, ProfilePart, SetOut
from fabgen.parts.shape.sheet_body import sheet_body

_ROUND = 0.1
"""A flat part whose width and height differ by less may be a disc, mm."""
_FOOT = 0.5
"""What of a part lies no higher over its bottom is its bottom edge, mm."""
_FILLED = 0.01
"""A disc's area is that of the circle in its box but for this share."""


@dataclass(frozen=True, eq=False)
class Standing:
    """One of a part where it stands: the place of that number."""

    piece: Piece
    part: FlatPart | LengthPart
    place: Place
    number: int

    @property
    def name(self) -> str:
        """'P1', 'P1 (2)' of several."""
        return name_of(self.piece, self.number)


Seen = tuple[Standing, SetOut]
"""A part where it stands, and how it is set out there."""


@dataclass(frozen=True, eq=False)
class SetOutOn:
    """A part that carries others, where it has several places in that of its number, and what is set out on it, from
    its start on."""

    carrier: Piece
    number: int
    standing: tuple[Seen, ...]

    @property
    def name(self) -> str:
        """'T1', 'B5 (2)' of several."""
        return name_of(self.carrier, self.number)


def set_out_on(pieces: Sequence[Piece]) -> list[SetOutOn]:
    """What carries placed parts, in the order of the job.

    Args:
        pieces: all of the job, complete.
    """
    on = _by_carrier(pieces)
    return [
        SetOutOn(piece, number, tuple(on[key]))
        for piece in pieces
        for number in range(1, max(1, len(_places(piece))) + 1)
        if (key := (piece.mark, number)) in on
    ]


def standing_on(mark: str, pieces: Iterable[Piece]) -> list[Seen]:
    """What is set out on one part, from its start on.

    Args:
        mark: of the part.
        pieces: all of the job.
    """
    own = (piece for piece in pieces if any(place.against == mark for place in _places(piece)))
    return [seen for (on, _), standing in sorted(_by_carrier(own).items()) if on == mark for seen in standing]


def name_of(piece: Piece, number: int) -> str:
    """'P1', 'P1 (2)' of several: one of the places of a piece."""
    return piece.mark if len(_places(piece)) < 2 else f"{piece.mark} ({number})"


def _by_carrier(pieces: Iterable[Piece]) -> dict[tuple[str, int], list[Seen]]:
    """What is set out, by the mark of what carries it and the number of its place, from the start of that on."""
    on: dict[tuple[str, int], list[Seen]] = {}
    for each in _placed(pieces):
        if (found := each.place.set_out) is not None:
            on.setdefault((found.on, found.on_place), []).append((each, found))
    return {key: sorted(seen, key=lambda each: round(each[1].middle, 3)) for key, seen in on.items()}


def on_ends(pieces: Sequence[Piece]) -> list[Standing]:
    """Parts that lie flush on ends of tubes, or are let into these.

    Args:
        pieces: all of the job, complete.
    """
    return [each for each in _placed(pieces) if each.place.set_out is None and each.place.on_end is not None]


def by_points(pieces: Sequence[Piece]) -> list[Standing]:
    """Sheet parts and bent bars that are placed by points and directions, so that no tape along a part finds them."""
    return [each for each in _placed(pieces) if each.place.set_out is None and each.place.on_end is None]


def set_out_marks(pieces: Sequence[Piece]) -> set[str]:
    """The marks of the parts that set-out.pdf sets out.

    Args:
        pieces: all of the job, complete.
    """
    tape = [each for each in _placed(pieces) if each.place.set_out is not None]
    return {each.piece.mark for each in (*tape, *on_ends(pieces), *by_points(pieces))}


def needs_set_out(pieces: Sequence[Piece]) -> bool:
    """Whether a job has a set-out sheet: it sets a part out, or two or more of its parts have places.

    Args:
        pieces: all of the job, complete.
    """
    return bool(set_out_marks(pieces)) or sum(piece.is_placed for piece in pieces) > 1


def _placed(pieces: Iterable[Piece]) -> Iterator[Standing]:
    for piece in pieces:
        for number, place in enumerate(_places(piece), 1):
            assert not isinstance(piece.shape, ProfilePart)
            yield Standing(piece, piece.shape, place, number)


def _places(piece: Piece) -> tuple[Place, ...]:
    return () if isinstance(piece.shape, ProfilePart) else piece.shape.places


def bar_middle(part: LengthPart, step: float) -> Array:
    """The middle line of a bent bar on the page that it is drawn on, (n, 3) mm.

    Args:
        part: the bar, placed.
        step: greatest turn between two places, rad.
    """
    assert part.path is not None
    points = np.array([part.path.frame_at(s).origin for s in part.path.stations(step)])
    return part.places[0].frame.inside(points)


def bar_skin(part: LengthPart, step: float) -> Array:
    """Points of the skin of a bent bar, round it at places along it, on the page that it is drawn on, (n, 3) mm.

    Args:
        part: the bar, placed.
        step: greatest turn between two places, rad.
    """
    assert part.path is not None
    angle = np.linspace(0.0, 2.0 * math.pi, 64, endpoint=False)
    ring = part.section.width / 2.0 * np.column_stack((np.cos(angle), np.sin(angle)))
    frames = [part.path.frame_at(s) for s in part.path.stations(step)]
    points = np.vstack([each.origin + ring @ np.vstack((each.y, each.z)) for each in frames])
    return part.places[0].frame.inside(points)


def corners(each: Standing) -> list[tuple[str, Array]]:
    """Three corners of the back of its first face, in words and in the job's axes, (3,) mm."""
    assert isinstance(each.part, FlatPart)
    datum = next(datum for datum in each.part.datums.values() if datum.corners)
    u0, v0, u1, v1 = datum.bounds
    spots = (("lower left", (u0, v0)), ("lower right", (u1, v0)), ("upper left", (u0, v1)))
    return [(name, np.asarray(each.place.frame.outside(datum.at(at, 0.0)))) for name, at in spots]


def is_disc(part: FlatPart) -> bool:
    """Whether a part is flat and round.

    Args:
        part: the part.
    """
    if len(part.datums) != 1 or part.rolled is not None:
        return False
    width, height = part.size
    return (
        abs(width - height) < _ROUND and abs(part.outline.area / (math.pi / 4.0 * width * height) - 1.0) < _ROUND / 10.0
    )


def marks_of(each: Standing) -> list[tuple[str, Array]]:
    """Places of a part that are held where they belong, in words and in the job's axes, (3,) mm: three corners of the
    back of its first face; of a disc, which has none, its middle and two places of its rim; of what is rolled or runs
    from one outline to another two of its bottom and one of its top; of a bent bar the ends of its middle line and
    where the straights of that would meet."""
    if isinstance(each.part, LengthPart):
        return _bar_marks(each.part, each.place)
    if not any(datum.corners for datum in each.part.datums.values()):
        return _bench_marks(each.part, each.place)
    if not is_disc(each.part):
        return corners(each)
    (datum,) = each.part.datums.values()
    (u, v), (_, _, u1, v1) = datum.middle, datum.bounds
    spots = (("middle", (u, v)), ("rim at its right", (u1, v)), ("rim at its top", (u, v1)))
    return [(name, np.asarray(each.place.frame.outside(datum.at(at, 0.0)))) for name, at in spots]


def _bar_marks(bar: LengthPart, place: Place) -> list[tuple[str, Array]]:
    assert bar.path is not None
    turns = [turn.corner for turn in bar.path.turns]
    line = np.array([bar.path.start.origin, *turns, bar.path.frame_at(bar.path.length).origin])
    names = ["start", *(f"corner {number}" for number in range(1, len(turns) + 1)), "finish"]
    # The path is that of the first place.
    page = bar.places[0].frame.inside(line)
    return [(name, np.asarray(at)) for name, at in zip(names, place.frame.outside(page), strict=True)]


def _bench_marks(part: FlatPart, place: Place) -> list[tuple[str, Array]]:
    """Of a part that stands on the bench on its bottom."""
    (datum, *_) = part.datums.values()
    away = sheet_body(part).vertices - datum.origin
    high = away @ datum.front
    right = float((away @ datum.u)[high < high.min() + _FOOT].max())
    opposite = "bottom, its right" if part.rolled is None else "bottom, middle of the sheet"
    spots = (
        ("middle of its bottom", datum.origin),
        (opposite, datum.origin + right * datum.u),
        ("over that middle, its top", datum.origin + float(high.max()) * datum.front),
    )
    return [(name, np.asarray(place.frame.outside(at))) for name, at in spots]

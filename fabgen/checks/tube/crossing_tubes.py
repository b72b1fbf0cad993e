"""Tubes that run through one another between their ends, all of a job in one finding, and the lines to write: cut in
pieces, led through a hole, or moved clear."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import named
from fabgen.checks.tube.tube_bodies import Body
from fabgen.geometry.space.frame import Array, cross
from fabgen.geometry.space.lines import nearest_places, unit_or_none
from fabgen.job.expansion.written_keys import Wanted
from fabgen.parts.piece import ROOM
from fabgen.wording.sentence import Sentence, joined, mm, sentence, to_paste

_SPARE = 0.5
"""A tube that is beside another one by less lands wholly on that, mm."""


@dataclass(frozen=True, eq=False)
class Crossing:
    """Two tubes that run through one another between their ends.

    Args:
        body: the one whose keys are to change: of two straight ones that listed later, or that which lands wholly on
            the other if it alone does, else the straight one.
        main: the one that stays.
        over: how far it runs through that, mm.
        move: (3,) mm, what takes it clear of that.
    """

    body: Body
    main: Body
    over: float
    move: Array

    @property
    def deep(self) -> float:
        """How far the two would have to be moved apart, mm."""
        return float(np.linalg.norm(self.move))

    @property
    def lands(self) -> bool:
        """Whether all of it lands on the other one where it is cut: beside the axis of that some of it would miss."""
        return self.deep >= 2.0 * self.body.half(self.move / self.deep) - _SPARE

    def turned(self) -> Crossing:
        """The same with the keys of the other to change."""
        return Crossing(self.main, self.body, self.over, -self.move)

    @property
    def passes(self) -> bool:
        """Whether the one is narrow enough to go through a hole in the other."""
        straight = self.main.part.path is None
        return straight and self.body.half(self.main.frame.x) + ROOM < self.main.half(self.body.frame.x)


def straight_crossing(one: Body, other: Body, over: float) -> Crossing | None:
    """The crossing of two straight tubes; None where they do not cross between their ends.

    Args:
        one: the tube listed first.
        over: how far the other one runs through it, mm.
    """
    places = nearest_places(one.frame.origin, one.frame.x, other.frame.origin, other.frame.x)
    if places is None or not all(_between_ends(body, at) for body, at in zip((one, other), places, strict=True)):
        return None
    apart = other.frame.origin + places[1] * other.frame.x - one.frame.origin - places[0] * one.frame.x
    square = unit_or_none(cross(one.frame.x, other.frame.x))
    if square is None:
        return None
    move = clear_of(one, other, apart, square)
    later, earlier = Crossing(other, one, over, move), Crossing(one, other, over, -move)
    return earlier if earlier.lands and not later.lands else later


def bent_crossing(one: Body, other: Body, over: float, there: Array, past: Array, square: Array) -> Crossing | None:
    """The same of a straight and a bent tube; None also where both are bent.

    Args:
        one, other, over: as those of `straight_crossing`.
        there: (3,) mm, where the first one's centre line comes nearest to that of the other.
        past: (3,) mm, where the other one's does.
        square: (3,) unit direction square to both there.
    """
    bent = [body for body in (one, other) if body.part.path is not None]
    if len(bent) != 1 or not (_reaches_past(one, there) and _reaches_past(other, past)):
        return None
    if bent[0] is one:
        return Crossing(other, one, over, clear_of(one, other, past - there, square))
    return Crossing(one, other, over, -clear_of(one, other, past - there, square))


def clear_of(one: Body, other: Body, apart: Array, square: Array) -> Array:
    """The move, (3,) mm, that takes the other tube clear, along `square`, of what it is `apart` from."""
    away = float(apart @ square)
    halves = [body.half(square) if body.part.path is None else body.part.section.reach for body in (one, other)]
    return np.asarray((square if away >= 0.0 else -square) * (sum(halves) - abs(away)))


def _between_ends(body: Body, at: float) -> bool:
    return body.part.section.reach < at < body.part.axis - body.part.section.reach


def _reaches_past(body: Body, point: Array) -> bool:
    """Whether a place of a tube's centre line lies between its ends."""
    at, _ = body.path.locate(point[None, :])
    return body.path.closed or body.part.section.reach < float(at[0]) < body.path.length - body.part.section.reach


# -- what is said -------------------------------------------------------------------
def crossing_words(crossings: Sequence[Crossing], job: Checked) -> Iterator[Sentence]:
    """What is wrong and the lines to write.

    Args:
        crossings: all of the job.
        job: which the tubes are of.
    """
    if len(crossings) == 1:
        (only,) = crossings
        yield sentence(f"runs through {only.main.mark} over ", mm(only.over), ", ", mm(only.deep), " deep, and neither")
        yield sentence(" is coped onto the other there: ")
    else:
        cases = [sentence(f"{each.body.mark} through {each.main.mark} ", mm(each.deep), " deep") for each in crossings]
        what = f"{len(crossings)} crossings at which neither tube is coped onto the other"
        yield sentence(f"{what} (", named(cases), "): ")
    ways = list(_ways(crossings, job))
    *first, last = ways or [sentence("lead one elsewhere")]
    yield sentence(joined(", ", first), ", or " if first else "", last)


def _ways(crossings: Sequence[Crossing], job: Checked) -> Iterator[Sentence]:
    tubes, written = job.tube_tables, job.written
    by_body: dict[str, list[Crossing]] = {}
    for each in crossings:
        by_body.setdefault(each.body.mark, []).append(each)
    it, crosses = ("it", "it crosses") if len(by_body) == 1 else ("them", "they cross")
    # Where a drilled tube is cut its holes would be measured from other ends.
    whole = [
        mark
        for mark, those in by_body.items()
        if all(each.lands for each in those) and (mark not in tubes or not tubes[mark].holes)
    ]
    if whole:
        only = len(crossings) == 1
        pieces = f"in two that sit on {crossings[0].main.mark}" if only else f"in pieces that sit on what {crosses}"
        yield written.lines((Wanted(mark, "", {"crossings": "cut"}) for mark in whole), f" cuts {it} {pieces}")
    through = [
        Wanted(mark, "", {"through": [each.main.mark for each in those] if len(those) > 1 else those[0].main.mark})
        for mark, those in by_body.items()
        if all(each.passes for each in those)
    ]
    if through:
        holes = "a hole" if len(crossings) == 1 else "holes"
        yield written.lines(through, f" leads {it} through {holes}")
    moved = [
        Wanted(mark, "", {"offset": offset_of(move, tubes[mark].offset if mark in tubes else None)})
        for mark, those in by_body.items()
        if (move := _move_clear_of_all(those)) is not None
    ]
    if moved:
        yield written.lines(moved, f" moves {it} clear")


def _move_clear_of_all(crossings: Sequence[Crossing]) -> Array | None:
    """The move that takes a tube clear of all that it crosses; None where it is moved clear of one into another."""
    farthest = max(crossings, key=lambda each: each.deep)
    way = farthest.move / farthest.deep
    return farthest.move if all(float(each.move @ way) > 0.99 * each.deep for each in crossings) else None


def offset_of(move: Array, had: Sequence[float] | None) -> Sentence:
    """The `offset` that moves a tube on from where it has been moved already."""
    whole = move + np.array(had or (0.0, 0.0, 0.0))
    return sentence("[", joined(", ", [to_paste(round(float(each), 2) + 0.0, 1) for each in whole]), "]")


def subjects(crossings: Sequence[Crossing]) -> list[str]:
    """The marks that the finding is about."""
    return list(dict.fromkeys(each.body.mark for each in crossings))

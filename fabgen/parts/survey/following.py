"""How parts follow the frame as built: what they change by, on which readings that rests, and what is made already."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from fabgen.job.points.as_built import SAME, Built
from fabgen.job.tables.definitions import Definitions
from fabgen.job.values.point import Point
from fabgen.parts.piece import Fact, FlatPart, LengthPart, Piece, ProfileEnd, ProfilePart, fact, made_here
from fabgen.parts.survey.measured import LEAST
from fabgen.wording.sentence import EMPTY, Part, Sentence, Value, joined, mm, sentence

Shape = LengthPart | FlatPart | ProfilePart
_PLACES = 81
"""Along a limb at which two cuts are held against one another."""


@dataclass(frozen=True, slots=True)
class Change:
    """How a part differs on the frame as built.

    Its length to `saw` there and as `drawn`, mm; by how much an end's cut changes at most (`cut`, mm); whether it is
    `made` already; `why` it changes; and what it hangs on that no reading says (`unread`), in words.
    """

    mark: str
    kind: str
    drawn: float
    saw: float
    cut: float
    made: bool
    why: Sentence = EMPTY
    unread: tuple[str, ...] = ()

    @property
    def longer(self) -> float:
        """mm; below zero where it is shorter."""
        return self.saw - self.drawn

    @property
    def is_any(self) -> bool:
        return abs(self.longer) >= LEAST or self.cut >= LEAST


@dataclass(frozen=True, eq=False)
class Survey:
    """What was measured of a job: its points, the frame as built if it was measured, and what changes by that."""

    job: Definitions
    drawn: Definitions
    built: Built | None = None
    changes: Sequence[Change] = ()


def changes(survey: Survey, drawn: Sequence[Piece], pieces: Sequence[Piece]) -> list[Change]:
    """Of every tube, profile and link that is made here, in the order of the pieces.

    Args:
        survey: of a frame measured as built.
        drawn: the pieces as drawn.
        pieces: those on the frame as built.
    """
    before = {piece.mark: piece for piece in drawn}
    ends = _ends(survey)
    found: list[Change] = []
    for piece in made_here(pieces):
        old = before.get(piece.mark)
        if old is None or survey.built is None:
            continue
        was, now, cut = old.sawn, piece.sawn, _cut_change(piece.shape, old.shape)
        if was is None or now is None or cut is None:
            continue
        change = Change(piece.mark, piece.kind, was.length, now.length, cut, is_made(piece, survey.built))
        if change.is_any and piece.mark in ends:
            hangs = ends[piece.mark]
            change = replace(change, why=_why(hangs), unread=_unread(hangs, survey.built))
        found.append(change)
    return found


def _cut_change(part: Shape, old: Shape) -> float | None:
    """By how much the cut of an end changes at most, counted from the end's longest point, mm; None of what is no
    length."""
    if isinstance(part, LengthPart) and isinstance(old, LengthPart):
        return max(one.line.apart(other.line) for one, other in zip(part.ends, old.ends, strict=True))
    if isinstance(part, ProfilePart) and isinstance(old, ProfilePart):
        return max(_apart(one, other) for one, other in zip(part.ends, old.ends, strict=True))
    return None


def _apart(one: ProfileEnd, other: ProfileEnd) -> float:
    """How far the cuts of two ends of one section part, mm."""
    off = 0.0
    for mine, theirs in zip(one.cut.edges, other.cut.edges, strict=True):
        station = np.linspace(0.0, mine.limb.width, _PLACES)
        lines = (np.interp(station, e.station, e.x) - end.longest for e, end in ((mine, one), (theirs, other)))
        off = max(off, float(np.abs(np.subtract(*lines)).max()))
    return off


def is_made(piece: Piece, built: Built) -> bool:
    """Whether the job says that it is made already, itself or what it is a part of."""
    if piece.as_it_is:
        return False
    return piece.mark in built.made or piece.part_of in built.made


# -- on what a change rests --------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class _End:
    """A point that a part hangs on: its name, or which end it is; how far it moves from the drawing, mm; and its
    number among the points that were measured."""

    name: str
    moved: float
    number: int | None


def _ends(survey: Survey) -> dict[str, list[_End]]:
    """By mark: the points that say how long a part is."""
    built = survey.built
    numbers = {name: i for i, name in enumerate(built.names)} if built else {}
    before: dict[str, Sequence[Point]] = {part.mark: part.runs_between for part in survey.drawn.parts()}
    found: dict[str, list[_End]] = {}
    for part in survey.job.parts():
        points, old = part.runs_between, before.get(part.mark, ())
        if points and len(points) == len(old):
            names = ["its start", *(f"corner {i} of it" for i in range(1, len(points) - 1)), "its finish"]
            found[part.mark] = [
                _End(p.name or name, math.dist(p.xyz, q.xyz), numbers.get(p.name))
                for p, q, name in zip(points, old, names, strict=True)
            ]
    return found


def _why(ends: Sequence[_End]) -> Sentence:
    """'FL is 2.1 mm out; TOP, not measured, goes with it by 1.9 mm; X was not measured and stays as drawn'."""
    words: list[Part] = []
    for end in ends:
        if end.number is not None:
            words += [sentence(f"{end.name} is ", _out(end), " out")] if end.moved >= SAME else []
        elif end.moved >= SAME:
            words.append(sentence(f"{end.name}, not measured, goes ", _out(end), " with the points it is set from"))
        else:
            words.append(sentence(f"{end.name} was not measured and stays as drawn"))
    return joined("; ", words or ["a tube that it meets lies otherwise"])


def _out(end: _End) -> Value:
    return mm(end.moved).named(f"{end.name} out")


def _unread(ends: Sequence[_End], built: Built) -> tuple[str, ...]:
    """What nothing was read of: 'X', which stays as drawn while the other end moves, or 'FL to RR'."""
    found = [end.name for end in ends if end.number is None and end.moved < SAME]
    found += [f"{one.name} to {other.name}" for one, other in _not_held(ends, built)]
    return tuple(found) if any(end.moved >= SAME for end in ends) else ()


def _not_held(ends: Sequence[_End], built: Built) -> Iterator[tuple[_End, _End]]:
    """The measured points of a part that follow one another but whose distance the readings do not hold."""
    for one, other in pairwise(ends):
        if one.number is not None and other.number is not None and not built.frame.holds(one.number, other.number):
            yield one, other


# -- in words -----------------------------------------------------------------------------------
def with_changes(pieces: Sequence[Piece], found: Sequence[Change], built: Built) -> list[Piece]:
    """The pieces, with a fact where the frame as built changes one, and those that are made marked as such.

    Args:
        pieces: on the frame as built.
        found: their `changes`.
        built: the frame.
    """
    known = {change.mark: change for change in found}
    return [_with(piece, known.get(piece.mark), is_made(piece, built)) for piece in pieces]


def _with(piece: Piece, change: Change | None, made: bool) -> Piece:
    if change is not None and (change.is_any or change.made):
        piece = replace(piece, facts=(*piece.facts, change_fact(change)))
    elif made:
        piece = replace(piece, facts=(*piece.facts, fact("made-already", "made already", "do not cut again")))
    return replace(piece, state="made") if made else piece


def change_fact(change: Change) -> Fact:
    """What is printed with the part: where its change rests on what nobody measured, that goes first."""
    drawn, saw = mm(change.drawn).named("as drawn"), mm(change.saw).named("to the measured points")
    if change.made:
        there: list[Part] = ["; to its measured points it would be ", saw] if abs(change.longer) >= LEAST else []
        return fact("made-already", "made already", "as drawn, ", drawn, *there, ": do not cut again")
    cut: list[Part] = []
    if change.cut >= LEAST:
        cut = ["; an end's cut changes by up to ", mm(change.cut).named("change of an end's cut")]
    label = "follows the frame as built"
    said: list[Part] = [saw, " to saw, ", drawn, " as drawn", *cut]
    if change.why:
        said = [change.why, ": ", *said] if change.unread else [*said, "; ", change.why]
    return fact("follows-frame", label, *said)

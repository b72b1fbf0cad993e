"""In which order tubes and profiles are fitted, mains first, and what a tape should read at each step."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import (
    LengthPart,
    Piece,
    WorkedEnd,
    face_landings_on,
    made_here,
    profile_parts,
    taken_as_it_is,
)

PARALLEL = math.cos(math.radians(0.5))
MOST_PAIRS = 3
"""So many pairs of parallel tubes are listed at one step."""


@dataclass(frozen=True, slots=True)
class TapeCheck:
    """What to measure, in words, and what the tape should read, mm; `to` are the places measured to, one a
    length, where the words leave them open."""

    what: str
    lengths: tuple[float, ...]
    to: tuple[str, ...] = ()

    @property
    def alike(self) -> bool:
        """Whether several lengths are to agree."""
        return not self.to and len(self.lengths) > 1 and _alike(self.lengths)


@dataclass(frozen=True)
class FitStep:
    """Tubes that can be fitted once those of the steps before stand."""

    pieces: tuple[Piece, ...]
    checks: tuple[TapeCheck, ...]


def fit_steps(pieces: Sequence[Piece]) -> list[FitStep]:
    """The placed tubes step by step; a tube comes after all that it sits on, mitred ones together.  What is bought or
    there already stands before the first.

    Args:
        pieces: in the job's order.
    """
    every = [p for p in pieces if p.kind == "tube" and p.length_part is not None and p.length_part.frame is not None]
    tubes, there = made_here(every), taken_as_it_is(every)
    known = {tube.mark: tube for tube in tubes}
    levels = _levels(tubes)
    steps = []
    for level in range(max(levels.values(), default=-1) + 1):
        mine = tuple(tube for tube in tubes if levels[tube.mark] == level)
        before = there + [known[mark] for mark, own in levels.items() if own < level]
        steps.append(FitStep(mine, tuple(_checks(mine, before))))
    return [step for step in steps if step.pieces]


def profile_steps(pieces: Sequence[Piece]) -> list[tuple[Piece, ...]]:
    """The profiles step by step, each after the profiles that it sits on, mitred ones together.

    Args:
        pieces: in the job's order.
    """
    own = [piece for piece, _ in profile_parts(made_here(pieces))]
    levels = _levels(own)
    return [tuple(p for p in own if levels[p.mark] == level) for level in sorted(set(levels.values()))]


def profile_checks(step: Sequence[Piece], pieces: Sequence[Piece]) -> Iterator[TapeCheck]:
    """How far along what they land on the profiles of a step sit, to their edges nearer its start.

    Args:
        step: the profiles fitted.
        pieces: the job's.
    """
    marks = {piece.mark for piece in step}
    for main in pieces:
        own = [landing for landing in face_landings_on(main) if landing.branch in marks]
        if own:
            names, places = tuple(each.branch for each in own), tuple(each.first for each in own)
            yield TapeCheck(f"{main.mark}'s start to the near edge of", places, names)


def _levels(tubes: Sequence[Piece]) -> dict[str, int]:
    """The step of each tube or profile by its mark.  Once through them does where each sits on earlier ones; one that
    names a later one is raised above it, unless they go round in a ring (each on the side of the next), which is laid
    out as it is listed."""
    first: dict[str, int] = {}
    for tube in tubes:
        first[tube.mark] = max(_levels_after(tube, first), default=0)
    levels = dict(first)
    for _ in tubes:
        raised = {tube.mark: max(_levels_after(tube, levels), default=0) for tube in tubes}
        if raised == levels:
            return levels
        levels = raised
    return first


def _levels_after(tube: Piece, levels: Mapping[str, int]) -> Iterator[int]:
    if tube.profile_part is not None:
        for worked in tube.profile_part.ends:
            yield from (levels[mark] + (worked.kind != "mitre") for mark in worked.onto if mark in levels)
        return
    for end in _part(tube).ends:
        for joint in end.joints:
            if joint.onto in levels:
                yield levels[joint.onto] + (0 if end.cut == "mitre" else 1)


def _part(piece: Piece) -> LengthPart:
    assert piece.length_part is not None
    return piece.length_part


def _checks(mine: Sequence[Piece], before: Sequence[Piece]) -> Iterator[TapeCheck]:
    yield from _landed(mine, before)
    if not before:
        yield from _side_by_side(mine)
    yield from _free_ends(mine, before)


def _landed(mine: Sequence[Piece], before: Sequence[Piece]) -> Iterator[TapeCheck]:
    """How far along their mains the new tubes sit; what sits off a main's own length is left out."""
    marks = {tube.mark for tube in mine}
    for main in before:
        part = _part(main)
        if part.bends:
            continue
        places = [
            (landing.branch, landing.skin if landing.skin is not None else landing.axes)
            for landing in part.landings
            if landing.branch in marks
        ]
        shown = [(mark, place) for mark, place in places if place is not None and 0.0 <= place <= part.length]
        if shown:
            names, lengths = zip(*shown, strict=True)
            yield TapeCheck(f"{main.mark}'s start to the middle of", lengths, names)


def _side_by_side(mine: Sequence[Piece]) -> Iterator[TapeCheck]:
    """Over the outsides of parallel tubes, and both diagonals: of pairs that stand square, or else of the first."""
    pairs = [pair for pair in combinations(mine, 2) if _is_parallel(*(_part(tube) for tube in pair))]
    square = [pair for pair in pairs if _alike(_diagonals(*(_part(tube) for tube in pair)))]
    for one, other in (square or pairs[:1])[:MOST_PAIRS]:
        a, b = _part(one), _part(other)
        if a.section.is_round and b.section.is_round:
            over = _apart(a, b) + (a.section.width + b.section.width) / 2.0
            yield TapeCheck(f"{one.mark} and {other.mark} over the outsides, at both ends", (over,))
        yield TapeCheck(
            f"{one.mark} and {other.mark}, both diagonals, middle of end to middle of end", _diagonals(a, b)
        )


def _is_parallel(a: LengthPart, b: LengthPart) -> bool:
    """Whether two straight tubes lie side by side."""
    if a.bends or b.bends or a.frame is None or b.frame is None:
        return False
    return abs(float(a.frame.x @ b.frame.x)) >= PARALLEL and _apart(a, b) >= a.section.width


def _apart(a: LengthPart, b: LengthPart) -> float:
    """Distance of two parallel axes, mm."""
    assert a.frame is not None
    assert b.frame is not None
    across = b.frame.origin - a.frame.origin
    return float(np.linalg.norm(across - (across @ a.frame.x) * a.frame.x))


def _diagonals(a: LengthPart, b: LengthPart) -> tuple[float, float]:
    assert a.frame is not None
    assert b.frame is not None
    starts, finishes = [_middle(part.ends[0]) for part in (a, b)], [_middle(part.ends[1]) for part in (a, b)]
    if float(a.frame.x @ b.frame.x) < 0.0:
        starts[1], finishes[1] = finishes[1], starts[1]
    return (math.dist(starts[0], finishes[1]), math.dist(starts[1], finishes[0]))


def _alike(lengths: Sequence[float]) -> bool:
    return max(lengths) - min(lengths) < 0.05


def _free_ends(mine: Sequence[Piece], before: Sequence[Piece]) -> Iterator[TapeCheck]:
    """From an end that sits on nothing to the starts of two tubes that stand already."""
    fixed = [tube for tube in before if _part(tube).ends[0].cut == "plain"][:2]
    if len(fixed) < 2:
        return
    names = " and ".join(tube.mark for tube in fixed)
    for tube in mine:
        for end in _part(tube).ends:
            if end.cut == "plain":
                lengths = tuple(math.dist(_middle(end), _middle(_part(each).ends[0])) for each in fixed)
                yield TapeCheck(f"{tube.mark}'s free {end.at} to the starts of {names}", lengths)


def _middle(end: WorkedEnd) -> Array:
    """The middle of an end's cut, on the tube's axis."""
    cut = end.line.longest if end.cut == "plain" else end.line.mean
    return np.asarray(end.frame.origin + cut * end.frame.x)

"""Holes beside a rod end's ball that no bolt is named through: whether they meet it."""

from __future__ import annotations

import math
from collections.abc import Callable, Container, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fabgen.checks.bolt.off_points import MOST, Miss, height_that_meets, stands_off, words
from fabgen.checks.checked import Checked
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.geometry.space.frame import Array, unit
from fabgen.job.tables.bracket_tables import Bracket
from fabgen.job.tables.flat_tables import Plate
from fabgen.job.tables.place_tables import PlaceGiven
from fabgen.parts.piece import EyeSetup, FlatPart, LinkEnd, LinkPart, Piece, Place
from fabgen.parts.shape.bored.bolt_lines import hole_named, holes_of
from fabgen.parts.shape.bored.hole_ways import HoleWay, hole_ways
from fabgen.parts.shape.bored.passages import SLACK
from fabgen.plan.plan import BoltStack
from fabgen.wording.levels import Level

REACH = 4.0
"""A hole no more than so many times the width of an eye from its middle may be for its bolt (common practice, no
source)."""
WIDEST = 1.25
"""And one no more than so many times as wide as the bolt (common practice, no source)."""
_ACROSS = math.sin(math.radians(45.0))
"""Nor does a bolt run nearer to the rod than this."""


@dataclass(frozen=True, eq=False)
class _Ball:
    """The middle of a link's end, which runs `along`, (3,); `bolt`: the least and the widest hole for it, mm; `body`:
    the one that carries it, None where nothing moves."""

    words: str
    at: Array
    along: Array
    width: float
    bolt: tuple[float, float]
    body: int | None

    def may_hold(self, hole: _Hole) -> bool:
        """Whether a hole may be for its bolt."""
        way = hole.way
        return (
            hole.body == self.body
            and float(np.linalg.norm(way.centre - self.at)) <= REACH * self.width
            and self.bolt[0] - SLACK <= way.width <= self.bolt[1] + SLACK
            and abs(float(way.axis @ self.along)) <= _ACROSS
        )

    def off(self, way: HoleWay) -> Array:
        """From a hole's axis to its middle, square to it, (3,) mm."""
        away = self.at - way.centre
        return np.asarray(away - float(away @ way.axis) * way.axis)


@dataclass(frozen=True, eq=False)
class _Hole:
    """A hole that no bolt is in, of a piece at its place of that number; `body` carries it."""

    piece: Piece
    place: Place | None
    number: int
    way: HoleWay
    body: int | None

    def is_beside(self, other: _Hole) -> bool:
        """Whether both are in one face of one piece, as those that let a bolt be set are."""
        same = self.piece.mark == other.piece.mark and self.number == other.number
        return same and abs(float((self.way.centre - other.way.centre) @ self.way.axis)) < SLACK


@rule("hole-off-ball", Level.WARN, source=PRACTICE)
def hole_off_ball(job: Checked) -> Iterator[Found]:
    """A hole beside a rod end that fits its bolt is in line with the ball, where no bolt is named through either; of
    what is placed `near` a point that is asked of the point."""
    cases = list(_misses(job))
    if cases:
        what, cure = words(cases)
        joined = ", and no bolt joins them" if len(cases) == 1 else ", and no bolts join these"
        other = "; one that is for something else is named in the [[bolt]] of that"
        yield found(what, joined, cure, other, about=list(dict.fromkeys(case.mark for case in cases)))


def _misses(job: Checked) -> Iterator[Miss]:
    unsure = {layer.mark for stack in job.plan.bolts if not _is_sure(stack) for layer in stack.layers}
    balls = list(_balls(job, unsure))
    nearest: dict[int, list[_Hole]] = {}
    for hole in _free_holes(job, unsure) if balls else ():
        able = [(float(np.linalg.norm(ball.off(hole.way))), i) for i, ball in enumerate(balls) if ball.may_hold(hole)]
        if able:
            nearest.setdefault(min(able)[1], []).append(hole)
    for i, beside in sorted(nearest.items()):
        ball = balls[i]
        meets = [hole for hole in beside if float(np.linalg.norm(ball.off(hole.way))) <= MOST]
        # A part that has its bolt here is only asked for its other ears.
        asked = [hole for hole in beside if not meets or any(hole.piece is each.piece for each in meets)]
        asked = [hole for hole in asked if not any(hole.is_beside(each) for each in meets)]
        by_mark: dict[str, list[_Hole]] = {}
        for hole in asked:
            by_mark.setdefault(hole.piece.mark, []).append(hole)
        for each in by_mark.values():
            yield _miss(job, ball, _worst_face(ball, each))


def _worst_face(ball: _Ball, holes: Sequence[_Hole]) -> _Hole:
    """Of the hole that is nearest to the ball in each face of a part the one that is farthest off."""
    off = {id(hole): float(np.linalg.norm(ball.off(hole.way))) for hole in holes}
    best = [hole for hole in holes if not any(off[id(each)] < off[id(hole)] and hole.is_beside(each) for each in holes)]
    return max(best, key=lambda hole: off[id(hole)])


def _miss(job: Checked, ball: _Ball, hole: _Hole) -> Miss:
    mark, off, place = hole.piece.mark, ball.off(hole.way), hole.place
    table = next((each for each in job.job.bracket if each.mark == mark), None)
    if place is None or place.skin is None:
        return Miss(mark, ball.words, off)
    height = height_that_meets(table, place.skin, off) if table is not None else None
    return Miss(mark, ball.words, off, place.skin, place.against, height=height)


def _is_sure(stack: BoltStack) -> bool:
    """Whether a bolt's holes are known, and in line."""
    return bool(stack.lines) and all(line.in_line for line in stack.lines)


# -- what is free -----------------------------------------------------------------------------
def _balls(job: Checked, unsure: Container[str]) -> Iterator[_Ball]:
    """The ends of links through which no bolt goes as far as is known."""
    parts = {piece.mark: piece.shape for piece in job.pieces if isinstance(piece.shape, LinkPart)}
    lines = [line for stack in job.plan.bolts for line in stack.lines]
    for link in job.job.link:
        part = parts.get(link.mark)
        if link.between is None or link.mark in unsure or not isinstance(part, LinkPart):
            continue
        a, b = (np.array(point.xyz) for point in link.between)
        for end, point, side in zip(("start", "finish"), link.between, part.sides, strict=True):
            width = side.width if isinstance(side, EyeSetup) else side.eye_width
            bolt, at = _bolt(side), np.array(point.xyz)
            if width is not None and bolt is not None and not any(line.holds(at) for line in lines):
                body = job.movement.linkage.body_of(point) if job.movement is not None else None
                yield _Ball(f"the ball at {link.mark}'s {end}", at, unit(b - a), width, bolt, body)


def _bolt(side: LinkEnd) -> tuple[float, float] | None:
    """The least and the widest hole for the bolt of an end, mm; None where nobody knows it."""
    if isinstance(side, EyeSetup):
        return None if side.bush else (side.sleeve.bore / WIDEST, side.sleeve.bore * WIDEST)
    bolt = side.bore or side.thread.diameter
    return bolt, WIDEST * bolt


def _free_holes(job: Checked, unsure: Container[str]) -> Iterator[_Hole]:
    """The holes of placed parts in which no bolt is."""
    taken = {hole for stack in job.plan.bolts for line in stack.lines for hole in holes_of(line)}
    given = {part.mark: part.place for part in job.job.parts() if isinstance(part, Plate | Bracket)}
    body = _bodies(job)
    for piece in job.pieces:
        part = piece.flat_part
        if piece.mark in unsure or isinstance(piece.shape, LinkPart) or not piece.is_placed:
            continue
        for number, place in enumerate(part.places if part is not None else (None,)):
            near = _near(given.get(piece.mark) or (), number)
            if place is not None and near is not None and place.skin is not None and stands_off(place.skin, near):
                continue
            for way in hole_ways(piece if place is None or part is None else _at(piece, part, place)):
                if hole_named(way) not in taken:
                    yield _Hole(piece, place, number, way, body(piece, number))


def _at(piece: Piece, part: FlatPart, place: Place) -> Piece:
    """A piece as if it stood at one of its places alone."""
    return replace(piece, shape=replace(part, places=(place,)))


def _near(given: Sequence[PlaceGiven], number: int) -> Array | None:
    """The point that a part is placed near."""
    near = given[number].near if number < len(given) else None
    return None if near is None else np.array(near.xyz)


def _bodies(job: Checked) -> Callable[[Piece, int], int | None]:
    """The body that carries a piece at one of its places; None in a job where nothing moves."""
    if job.movement is None:
        return lambda piece, number: None
    from fabgen.motion.riders import Riders  # the jobs that move are few

    return Riders(job.movement.linkage, job.pieces).body


RULES = (hole_off_ball,)

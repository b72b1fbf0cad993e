"""What bushes sit in: the holes that name a bush, in the made part, those on one axis together, and eyes of links."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.plane.outline import Circle
from fabgen.geometry.sheet.folded import placed_faces
from fabgen.geometry.space.frame import Array
from fabgen.job.errors import InputError, listed, nearest
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.lengths.bar_tables import Bush
from fabgen.parts.piece import EyeSetup, FlatPart, LinkPart, Piece
from fabgen.parts.shape.bored.facing_holes import NEAR, PARALLEL, facing_holes


@dataclass(frozen=True, eq=False)
class BushSeat:
    """One bush in the sheet, or two ears, of `piece`: it enters at `start` and runs along the unit `axis`, both (3,) in
    the made part, `span` mm from outer skin to outer skin; `diameters` of its holes, mm.  Of the eye of a link
    it enters at the origin and runs along z; `sleeve` is the piece that the eye is, placed where the link is."""

    piece: Piece
    start: Array
    axis: Array
    span: float
    diameters: tuple[float, ...]
    sleeve: Piece | None = None

    @property
    def held_in(self) -> str:
        """The mark of what it is welded or pressed into: of a link the sleeve of its eye."""
        return self.piece.mark if self.sleeve is None else self.sleeve.mark


@dataclass(frozen=True, eq=False)
class _Bored:
    middle: Array
    axis: Array
    diameter: float


def bush_named(job: Definitions, mark: str) -> Bush:
    """The bush that a hole or an eye names.

    Args:
        job: the definitions.
        mark: as it is given.
    Raises:
        InputError: no bush has it.
    """
    bushes = {bush.mark: bush for bush in job.bush}
    if mark not in bushes:
        accepted = f"the mark of a [[bush]]: {listed(bushes) or 'there is none'}"
        raise InputError(f'"{mark}" is the mark of no bush', accepted, nearest(mark, list(bushes)))
    return bushes[mark]


def bush_seats(mark: str, pieces: Iterable[Piece]) -> list[BushSeat]:
    """Every place that the bush of a mark sits in, one of each piece however many there are of that.

    Args:
        mark: of the bush.
        pieces: of the whole job.
    """
    found: list[BushSeat] = []
    known = {piece.mark: piece for piece in pieces}
    for piece in known.values():
        if isinstance(piece.shape, LinkPart):
            found += _in_eyes(mark, piece, piece.shape, known)
        part = piece.flat_part
        if part is None or not any(hole.bush == mark for hole in part.all_holes):
            continue
        rest = list(_bored(mark, part))
        while rest:
            first = rest[0]
            group = [each for each in rest if _on_one_axis(first, each)]
            rest = [each for each in rest if not _on_one_axis(first, each)]
            along = [float((each.middle - first.middle) @ first.axis) for each in group]
            low, high = min(along) - part.thickness / 2.0, max(along) + part.thickness / 2.0
            start = first.middle + low * first.axis
            found.append(BushSeat(piece, start, first.axis, high - low, tuple(each.diameter for each in group)))
    return found


def _in_eyes(mark: str, piece: Piece, part: LinkPart, known: Mapping[str, Piece]) -> Iterator[BushSeat]:
    for end, eye in zip(part.ends, part.sides, strict=True):
        if isinstance(eye, EyeSetup) and eye.bush == mark:
            # The end is coped to its sleeve alone.
            sleeve = known.get(end.joints[0].onto)
            yield BushSeat(piece, np.zeros(3), np.eye(3)[2], eye.width, (eye.sleeve.bore,), sleeve)


def _bored(mark: str, part: FlatPart) -> Iterator[_Bored]:
    """The holes of that bush in the made part: where they are in mid-sheet, and the way they look."""
    if part.tree is None:
        for hole in part.all_holes:
            if hole.bush == mark and isinstance(hole.shape, Circle):
                at = np.array([hole.shape.x, hole.shape.y, part.thickness / 2.0])
                yield _Bored(at, np.array([0.0, 0.0, 1.0]), hole.shape.diameter)
        return
    for placed in placed_faces(part.tree):
        left = list(placed.face.holes)
        for hole in (each for each in part.all_holes if each.face == placed.face.name):
            # Holes that are drilled later stand last in the list: the next one of its size is meant.
            loop = next(each for each in left if abs(each.perimeter - hole.shape.perimeter) < NEAR / 10.0)
            left.remove(loop)
            if hole.bush == mark and isinstance(loop, Circle):
                at = np.array([loop.x, loop.y, part.thickness / 2.0])
                yield _Bored(placed.frame.outside(at), placed.frame.z, loop.diameter)


def _on_one_axis(one: _Bored, other: _Bored) -> bool:
    if float(np.linalg.norm(np.cross(one.axis, other.axis))) > PARALLEL:
        return False
    between = other.middle - one.middle
    return float(np.linalg.norm(between - (between @ one.axis) * one.axis)) < NEAR


def ear_gap(piece: Piece) -> float | None:
    """The clear gap between the first two ears of a folded part that have holes on one axis, mm; None without."""
    part = piece.flat_part
    facing = next(facing_holes(part), None) if part is not None else None
    return None if facing is None else facing.gap


def needed(bush: Bush, seats: Sequence[BushSeat], pieces: Sequence[Piece]) -> int:
    """How many of a bush what holds it takes, all pieces counted; 0 where nothing does."""
    by_mark = {piece.mark: piece.quantity for piece in pieces}
    return sum(count * by_mark[mark] for mark, count in holders(bush, seats, pieces))


def holders(bush: Bush, seats: Sequence[BushSeat], pieces: Sequence[Piece]) -> list[tuple[str, int]]:
    """The marks of what holds it, and how many in one of each."""
    if bush.between is not None:
        return [(piece.mark, 1) for piece in pieces if piece.mark == bush.between]
    marks = dict.fromkeys(seat.piece.mark for seat in seats)
    return [(mark, sum(seat.piece.mark == mark for seat in seats)) for mark in marks]

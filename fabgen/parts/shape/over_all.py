"""What a frame of tubes measures over all: the metal as it is cut, outside to outside."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.joined import joined_groups
from fabgen.geometry.tube.centreline import Turn
from fabgen.parts.piece import FlatPart, LengthPart, Piece, ProfileEnd, ProfilePart, WorkedEnd
from fabgen.parts.shape.profiles import profile_body
from fabgen.parts.shape.sections import section_profile
from fabgen.parts.shape.sheet_body import sheet_body

_STEP = math.radians(0.5)
"""Rings of a bend stand so far apart; between two the outside is at most R (0.25 deg)^2 / 2 farther out, 0.003 mm at
R = 300."""
_PER_DEGREE = 4


@dataclass(frozen=True, slots=True, eq=False)
class OverAll:
    """Tubes and profiles that are joined to one another: their marks, and the corners `low` and `high` (3,) mm of the
    box along the job's axes that just holds them and the plates they stand on."""

    marks: tuple[str, ...]
    low: Array
    high: Array

    @property
    def size(self) -> tuple[float, float, float]:
        """Along x, y and z, mm."""
        x, y, z = (float(v) for v in self.high - self.low)
        return x, y, z


def over_all(pieces: Sequence[Piece]) -> list[OverAll]:
    """Every frame of two placed tubes or more, and every bent tube that stands alone, in the order of the job; none of
    which nothing is made here, as a donor's arm, while what is there already counts in the frame that is tied to it.

    Args:
        pieces: of the whole job; of several alike the first counts, which is the one that has a place.
    """
    placed = {piece.mark: piece for piece in pieces}
    return [
        OverAll(tuple(tubes), points.min(axis=0), points.max(axis=0))
        for tubes, plates in _frames(placed)
        if not all(placed[mark].as_it_is for mark in tubes)
        if (points := np.vstack([p for mark in (*tubes, *plates) for p in _outermost(placed[mark])])).size
    ]


def _frames(pieces: Mapping[str, Piece]) -> Iterator[tuple[list[str], list[str]]]:
    """Marks of tubes joined by their ends, each with those of the plates that they stand on."""
    parts = {mark: shape for mark, piece in pieces.items() if (shape := _placed_length(piece)) is not None}
    marks = list(parts)
    number = {mark: k for k, mark in enumerate(marks)}
    pairs = [(k, number[on]) for k, part in enumerate(parts.values()) for on in _joined_to(part) if on in parts]
    # Two in one line, end to end, sit on nothing.
    at: dict[tuple[float, ...], int] = {}
    for k, part in enumerate(parts.values()):
        for end in part.ends:
            place = tuple(float(v) + 0.0 for v in np.round(end.frame.origin, 1))
            pairs.append((at.setdefault(place, k), k))
    for group in joined_groups(len(marks), pairs):
        tubes = [marks[k] for k in group]
        if len(tubes) > 1 or (isinstance(first := parts[tubes[0]], LengthPart) and first.path is not None):
            under = dict.fromkeys(on for mark in tubes for end in parts[mark].ends for on in _stands_on(end))
            yield tubes, [mark for mark in under if mark in pieces and isinstance(pieces[mark].shape, FlatPart)]


def _placed_length(piece: Piece) -> LengthPart | ProfilePart | None:
    """A tube or profile that the job places."""
    part = piece.shape
    if isinstance(part, FlatPart):
        return None
    if isinstance(part, ProfilePart):
        return part
    return part if part.frame is not None or (part.path is not None and not part.is_bent_bar) else None


def _joined_to(part: LengthPart | ProfilePart) -> tuple[str, ...]:
    """Marks of what its ends sit on and it passes through."""
    if isinstance(part, ProfilePart):
        return tuple(mark for end in part.ends for mark in end.onto)
    mains = (joint.onto for end in part.ends for joint in end.joints)
    return (*mains, *part.through, *part.sleeve_of)


def _stands_on(end: WorkedEnd | ProfileEnd) -> tuple[str, ...]:
    return end.onto if isinstance(end, ProfileEnd) else (end.stands_on, *(plate.onto for plate in end.plates))


def _outermost(piece: Piece) -> Iterator[Array]:
    """Points (n, 3) of its outside, mm, the farthest in every direction among them."""
    part = piece.shape
    if isinstance(part, FlatPart):
        body = sheet_body(part)
        yield from (place.frame.outside(body.vertices) for place in part.places)
        return
    if isinstance(part, ProfilePart):
        yield part.frame.outside(profile_body(part).vertices)
        return
    for end in part.ends:
        # Closer than the line's own places, which lie as much as 0.02 mm inside a wide corner.
        profile = section_profile(part.section, end.top, per_degree=_PER_DEGREE)
        x = end.line.at(profile.phi)
        walls, hit = profile.walls(end.frame), ~np.isnan(x)
        edge = walls.skin + np.nan_to_num(x)[:, None] * end.frame.x
        yield edge[hit]
        if len(end.flats) != 1:  # one flat cut is farthest out at its outer edge
            yield (edge + walls.inward * walls.depth[:, None])[hit]
    ring = section_profile(part.section, math.pi / 2.0)
    for stretch in part.path.stretches if part.path is not None else ():
        if isinstance(stretch, Turn):
            for at in np.linspace(0.0, stretch.length, 1 + math.ceil(stretch.angle / _STEP)):
                yield ring.walls(stretch.frame_at(float(at))).skin

"""What a length of tube or profile may touch, and how far it stands off that."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from operator import itemgetter

import numpy as np

from fabgen.checks.checked import Checked, once
from fabgen.checks.profile.profile_bodies import ProfileBody, profile_bodies
from fabgen.checks.tube.tube_bodies import Block, Body, Box, Filled, Strip, apart, tube_bodies
from fabgen.geometry.space.frame import Array
from fabgen.geometry.tube.solids import distance
from fabgen.parts.piece import FlatPart, LengthPart
from fabgen.parts.shape.sheet_body import sheet_body

TOUCH = 1.0
"""What is nearer touches, mm."""
NEAR = 100.0
"""What touches nothing stands by itself where nothing is nearer, mm, and is not spoken of."""
_EVERY = 25.0
"""Places along a length at which it is held against others stand so far apart, mm."""


@dataclass(frozen=True, eq=False)
class Neighbour:
    """Something that a length may touch: as convex parts, or, of sheet, by its box alone.

    Args:
        mark: its own.
        box: what holds it.
        blocks: its metal filled up; none of what is known by its box alone.
        body: of a tube or profile.
    """

    mark: str
    box: Box
    blocks: tuple[Block, ...]
    body: Body | ProfileBody | None = None

    def off_each(self, points: Array) -> Array:
        """No more than how far each of some points (n, 3) is from it, (n,) mm."""
        if not self.blocks:
            low, high = self.box
            away = np.maximum(np.maximum(low - points, points - high), 0.0)
            return np.asarray(np.linalg.norm(away, axis=1))
        return np.asarray(np.min([distance(block.solid, points) for block in self.blocks], axis=0))

    def off(self, points: Array) -> float:
        """No more than how far the nearest of some points (n, 3) is from it, mm."""
        return float(self.off_each(points).min())

    def gap(self, points: Array) -> float:
        """How far the nearest of some points (n, 3) outside it is from its skin, mm; of sheet, from its box."""
        if self.body is None:
            return self.off(points)
        if isinstance(self.body, ProfileBody):
            return self.body.gap(points)
        box, least = (points.min(axis=0), points.max(axis=0)), math.inf
        for away, strip in sorted(((_between(box, strip.box), strip) for strip in self.body.strips), key=itemgetter(0)):
            if away < least:
                least = min(least, _gap(points, strip))
        return least

    def is_within(self, box: Box, by: float) -> bool:
        """Whether its box comes within `by` mm of another."""
        return not apart(box, self.box, by)


@once
def neighbours(job: Checked) -> list[Neighbour]:
    """Everything of a job that has a place: tubes and profiles by their metal, sheet and the rest by boxes."""
    lengths: list[ProfileBody | Body] = [*profile_bodies(job), *tube_bodies(job).values()]
    found = [Neighbour(body.mark, body.box, body.blocks, body) for body in lengths]
    for piece in job.pieces:
        if isinstance(piece.shape, FlatPart):
            points = [place.frame.outside(sheet_body(piece.shape).vertices) for place in piece.shape.places]
        elif isinstance(piece.shape, LengthPart) and piece.mark not in job.tubes and piece.shape.frame is not None:
            ends = np.array([end.frame.origin for end in piece.shape.ends])
            points = [ends - piece.shape.section.reach, ends + piece.shape.section.reach]
        else:
            continue
        if points:
            every = np.vstack(points)
            found.append(Neighbour(piece.mark, (every.min(axis=0), every.max(axis=0)), ()))
    return found


def along(one: Filled) -> Array:
    """Places along the metal of a length, (n, 3)."""
    return np.vstack([_places(strip.walls.skin, strip.walls.along, strip.begin, strip.end) for strip in one.strips])


def _places(skin: Array, heading: Array, begin: Array, end: Array) -> Array:
    shares = np.linspace(0.0, 1.0, max(2, math.ceil(float((end - begin).max()) / _EVERY) + 1))
    at = begin + (end - begin) * shares[:, None]
    return np.asarray((skin + at[:, :, None] * heading).reshape(-1, 3))


def _gap(points: Array, strip: Strip) -> float:
    begin = strip.walls.skin + strip.begin[:, None] * strip.walls.along
    away = points[:, None, :] - begin
    on = np.clip(away @ strip.walls.along, 0.0, strip.end - strip.begin)
    return float(np.linalg.norm(away - on[:, :, None] * strip.walls.along, axis=2).min())


def _between(one: Box, other: Box) -> float:
    """How far two boxes are apart, mm."""
    return float(np.linalg.norm(np.maximum(0.0, np.maximum(one[0] - other[1], other[0] - one[1]))))


def nearest(points: Array, others: Sequence[Neighbour]) -> tuple[float, Neighbour] | None:
    """The nearest of some neighbours to points (n, 3), and how far off it is, mm; of like ones the first."""
    return min(((other.gap(points), other) for other in others), key=lambda each: round(each[0], 3), default=None)

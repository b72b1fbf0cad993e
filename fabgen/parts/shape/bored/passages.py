"""The ways that a bolt can take through a part where it stands."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from fabgen.geometry.plane.outline import Circle
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import DrilledHole, EyeSetup, LengthPart, LinkPart, Piece
from fabgen.parts.shape.bored.hole_ways import FINE, Bore, HoleWay, hole_ways

SLACK = 0.02
"""A hole this little under a bolt's diameter lets it through, mm."""
_SHANK = 0.1
"""A bolt is so much thinner than it is called, mm (h13 of ISO 286, from memory): it goes through a bore of its size."""


@dataclass(frozen=True, eq=False)
class Passage:
    """One way through a part: a hole in its sheet or leg, those in both walls of a tube, a tube's bore from end to
    end, or a link's eye.

    Args:
        mark: of the part.
        ways: its holes, of a bore its two ends; none of an eye.
        centre: (3,) mm, halfway through.
        axis: unit; None of a rod end's eye, which turns to any.
        span: how far it is through, mm.
        one_wall: of a tube that is drilled through one wall only.
    """

    mark: str
    ways: tuple[HoleWay, ...]
    centre: Array
    axis: Array | None
    span: float
    one_wall: bool = False

    @property
    def is_bore(self) -> bool:
        """Whether it leads along a tube."""
        return any(isinstance(way.hole, Bore) for way in self.ways)

    @property
    def place(self) -> int:
        """The number of the place at which its part stands, from 1; 0 of what has none with a number."""
        return self.ways[0].place if self.ways else 0

    def lets_through(self, bolt: float) -> bool:
        """Whether a bolt of that diameter, mm, is thin enough for its holes; of an eye that is not asked."""
        return all(way.width >= bolt - SLACK for way in self.ways)


def passages(piece: Piece) -> list[Passage]:
    """The ways for a bolt through a placed piece; none of one without a place.

    Args:
        piece: complete.
    """
    part = piece.shape
    if not piece.is_placed:
        return []
    if isinstance(part, LinkPart):
        return [*_eyes(piece.mark, part)]
    found: list[Passage] = []
    ways = list(hole_ways(piece))
    drilled = [way for way in ways if isinstance(way.hole, DrilledHole)]
    for _, walls in groupby(drilled, key=_number):
        found.append(_through_walls(list(walls)))
    found += [Passage(way.mark, (way,), way.centre, way.axis, _thick(way)) for way in ways if way not in drilled]
    return [*found, *_bores(piece.mark, part)]


def _eyes(mark: str, part: LinkPart) -> Iterator[Passage]:
    """The middle of each eye; that of a sleeve welded across the tube looks one way only."""
    assert part.frame is not None
    for end, side in zip(part.ends, part.sides, strict=True):
        if isinstance(side, EyeSetup):
            pin = end.frame.origin + side.offset * part.frame.z
            # The end is coped to its sleeve alone, whose axis is on the heel's side.
            angle = end.joints[0].angle
            axis = math.cos(angle) * end.frame.x + math.sin(angle) * end.frame.y
            yield Passage(mark, (), pin, axis, side.width)
        elif side.eye_width is not None:
            face = end.frame.origin + float(np.nanmin(end.line.x)) * end.frame.x
            yield Passage(mark, (), face - side.reach * end.frame.x, None, side.eye_width)


def _number(way: HoleWay) -> int:
    assert isinstance(way.hole, DrilledHole)
    return way.hole.number


def _through_walls(walls: Sequence[HoleWay]) -> Passage:
    """The two walls of a tube together, or the one that is drilled."""
    first = walls[0]
    ends = [float(mouth @ first.axis) for way in walls for mouth in way.mouths(0.0)]
    span = max(ends) - min(ends)
    middle = first.centre + ((max(ends) + min(ends)) / 2.0 - float(first.centre @ first.axis)) * first.axis
    return Passage(first.mark, tuple(walls), middle, first.axis, span, len(walls) == 1)


def _thick(way: HoleWay) -> float:
    return way.span[1] - way.span[0]


def _open_bore(part: object) -> float:
    """How wide the bore of a straight tube is that is open from end to end, mm; 0 of everything else."""
    if not isinstance(part, LengthPart) or isinstance(part, LinkPart) or part.path is not None:
        return 0.0
    is_open = all(end.form is None and end.cut in ("plain", "plane") for end in part.ends)
    if part.section.is_solid or not is_open:
        return 0.0
    return part.section.narrow_bore


def _bores(mark: str, part: object) -> Iterator[Passage]:
    """The bore of a tube at each of its places."""
    wide = _open_bore(part)
    if wide <= 0.0 or not isinstance(part, LengthPart) or part.frame is None:
        return
    ring = np.asarray(Circle(0.0, 0.0, wide + _SHANK).points(FINE))
    tips = [end.frame.origin + end.line.longest * end.frame.x for end in part.ends]
    stations = [float(part.frame.inside(tip)[0]) for tip in tips]
    for frame in (part.frame, *part.also):
        edges = [frame.outside(np.column_stack((np.full(len(ring), at), ring))) for at in stations]
        begins, ends = (float(edge.mean(axis=0) @ frame.x) for edge in edges)
        ways = tuple(HoleWay(mark, Bore(), edge, frame.x, (begins, ends), wide) for edge in edges)
        middle = np.asarray(sum(edge.mean(axis=0) for edge in edges) / 2.0)
        yield Passage(mark, ways, middle, frame.x, ends - begins)

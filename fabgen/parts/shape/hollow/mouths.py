"""What lies over the ends and holes of tubes where the job places them, and how much of each it leaves open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from fabgen.geometry.space.frame import Frame
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import DrilledHole, FlattenedEnd, LengthPart, Piece, WorkedEnd
from fabgen.parts.shape.hollow.lids import Lid, Mouth, lids
from fabgen.parts.shape.sections import bore_of, end_profile, section_profile
from fabgen.shop.galvanizing import weld_vent

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

TOUCH = 1.0
"""What is nearer lies on a tube, mm, unless the job's weld gap is more (common practice, no source)."""
_LAYERS = 4
"""So many parts, each over the holes of the one before, are followed outward."""
_FINE = 0.025
"""An opening is taken as so much wider than it looks, as its edge is drawn with chords, mm."""
_SPECK = 1.0
"""What lies over less of an opening does not count as lying over it, mm2."""


@dataclass(frozen=True, slots=True)
class Left:
    """What is left of an opening: the width of the widest round bar that goes in, mm, and the marks of what lies over
    it."""

    width: float
    by: tuple[str, ...] = ()

    @property
    def is_vent(self) -> bool:
        """Whether it is as wide as a vent must be."""
        return self.width >= weld_vent() - _FINE


@dataclass(frozen=True, eq=False)
class Mouths:
    """The openings of a job's tubes, each worked out when it is first asked.

    Args:
        job: its definitions.
        pieces: of the whole job.
    """

    job: Definitions
    pieces: Sequence[Piece]
    _known: dict[tuple[str, str], Left] = field(default_factory=dict)

    def end(self, mark: str, part: LengthPart, end: WorkedEnd) -> Left:
        """What is left of the bore at an end that is sawn to a plane, by what lies over it or is let into it.

        Args:
            mark: of the tube.
            part: it.
            end: one of its ends.
        """
        if isinstance(end.form, FlattenedEnd):
            return Left(0.0)
        if part.frame is None:
            return Left(part.section.narrow_bore)
        if (mark, end.at) not in self._known:
            let_in = max(part.section.width, part.section.depth)
            self._known[mark, end.at] = self._left(mark, _end_mouth(part, end), let_in, self._touch + end.gap)
        return self._known[mark, end.at]

    def hole(self, mark: str, part: LengthPart, hole: DrilledHole) -> Left:
        """What is left of a hole of a tube by what lies over it.

        Args:
            mark: of the tube.
            part: it.
            hole: one of its own.
        """
        if part.frame is None:
            return Left(hole.width)
        if (mark, hole.name) not in self._known:
            self._known[mark, hole.name] = self.drilled(mark, hole)
        return self._known[mark, hole.name]

    def drilled(self, mark: str, hole: DrilledHole) -> Left:
        """What would be left of a hole that is drilled in a placed tube.

        Args:
            mark: of the tube.
            hole: that hole.
        """
        mouth = Mouth(hole.skin.at(hole.edge.station, hole.edge.along), hole.frame)
        return self._left(mark, mouth, self._touch, self._touch)

    def aired(self, mark: str, part: LengthPart) -> LengthPart:
        """A tube with those of its holes alone that air and water pass.

        Args:
            mark: of the tube.
            part: it.
        """
        inner = {(hole.number, hole.far) for hole, _ in self.under_branches(part)}
        free = [
            hole
            for hole in part.drilled
            if hole.lets_through and (hole.number, hole.far) not in inner and self._is_aired(mark, part, hole)
        ]
        return part if len(free) == len(part.drilled) else replace(part, drilled=tuple(free))

    def _is_aired(self, mark: str, part: LengthPart, hole: DrilledHole) -> bool:
        left = self.hole(mark, part, hole)
        return left.is_vent or left.width >= hole.width - _FINE

    def under_branches(self, part: LengthPart) -> list[tuple[DrilledHole, str]]:
        """The holes of a tube that lead into the bore of a branch that sits on them, with that one's mark.

        Args:
            part: the tube.
        """
        found = []
        for landing in part.landings if part.drilled else ():
            branch = self._tubes.get(landing.branch)
            if branch is None or branch.section.is_solid:
                continue
            end = next(end for end in branch.ends if end.at == landing.at)
            found += [(hole, landing.branch) for hole in part.drilled if _is_in_bore(hole, branch, end)]
        return found

    @cached_property
    def _tubes(self) -> dict[str, LengthPart]:
        return {piece.mark: part for piece in self.pieces if (part := piece.length_part) is not None}

    @cached_property
    def _lids(self) -> list[Lid]:
        return list(lids(self.pieces))

    @property
    def _touch(self) -> float:
        return max(TOUCH, self.job.job.weld_gap)

    def _left(self, mark: str, mouth: Mouth, let_in: float, touch: float) -> Left:
        """What is left of a mouth: what lies on it or is let in by so much, then what lies on that over its holes."""
        import shapely

        left: BaseGeometry = shapely.Polygon(mouth.seen(mouth.rim)).buffer(0.0)
        near = [lid for lid in self._lids if lid.mark != mark and lid.is_near(mouth, let_in + touch)]
        by: dict[str, None] = {}
        windows = [(-let_in, touch)]
        for _ in range(_LAYERS):
            over = [
                (lid, lying)
                for lid in near
                for low, high in windows
                if (lying := lid.lying(mouth, low if lid.can_be_let_in else high - 2.0 * touch, high)) is not None
                and lying.intersection(left).area > _SPECK
            ]
            if not over:
                break
            by.update(dict.fromkeys(lid.mark for lid, _ in over))
            left = left.difference(_grown(shapely.union_all([lying for _, lying in over]), touch))
            near = [lid for lid in near if lid.mark not in by]
            levels = {high - touch + lid.thickness for lid, _ in over for _, high in windows}
            windows = [(level - touch, level + touch) for level in sorted(levels)]
        return Left(_widest(left), tuple(by))


def _end_mouth(part: LengthPart, end: WorkedEnd) -> Mouth:
    """The bore where an end is sawn to one plane."""
    out = -(end.flats[0].inward(end.frame) if end.flats else end.frame.x)
    skin = end_profile(part.section, end).walls(end.frame).skin + end.line.x[:, None] * end.frame.x
    frame = Frame.along(skin.mean(axis=0), out, end.frame.y)
    inside = section_profile(bore_of(part.section), end.top).skin
    bore = end.frame.origin + inside @ np.vstack((end.frame.y, end.frame.z))
    on = (frame.origin - bore) @ out / float(end.frame.x @ out)
    return Mouth(bore + on[:, None] * end.frame.x, frame)


def _is_in_bore(hole: DrilledHole, branch: LengthPart, end: WorkedEnd) -> bool:
    """Whether a hole in a branch's main lies within the branch's bore where that sits on it."""
    import shapely

    if float(hole.frame.x @ end.frame.x) <= 0.05:
        return False  # in the other wall
    seen = shapely.Polygon(end.frame.inside(hole.skin.at(hole.edge.station, hole.edge.along))[:, 1:])
    return bool(shapely.Polygon(section_profile(bore_of(branch.section), end.top).skin).contains(seen))


def _grown(lying: BaseGeometry, by: float) -> BaseGeometry:
    """What lies over an opening, farther out all round by what a weld fills; its holes stay."""
    import shapely

    grown = []
    for each in shapely.get_parts(lying):
        if isinstance(each, shapely.Polygon):
            holes = shapely.union_all([shapely.Polygon(ring) for ring in each.interiors])
            grown.append(shapely.Polygon(each.exterior).buffer(by).difference(holes))
    return shapely.union_all(grown)


def _widest(left: BaseGeometry) -> float:
    """The diameter of the largest circle in an area, mm."""
    import shapely

    areas = [each for each in shapely.get_parts(left) if isinstance(each, shapely.Polygon) and not each.is_empty]
    circles = [shapely.maximum_inscribed_circle(each, tolerance=_FINE / 10.0) for each in areas]
    return float(max((2.0 * each.length for each in circles), default=0.0))

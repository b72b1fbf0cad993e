"""Made profiles in space, between the cuts of their ends: what `checks/tube/clashes.py` asks of a tube's body."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fabgen.checks.checked import Checked, once
from fabgen.checks.tube.tube_bodies import Block, Box, Strip
from fabgen.geometry.plane.outline import Outline
from fabgen.geometry.plane.regions import region
from fabgen.geometry.profile.end_cut import LimbEdge
from fabgen.geometry.profile.prism import ProfilePrism
from fabgen.geometry.space.frame import Array
from fabgen.geometry.tube.solids import Convex, HalfSpace, Walls
from fabgen.parts.piece import ProfileEnd, ProfilePart, profile_parts

_SPACING = 3.0
"""Lines along a limb stand so far apart at most, mm."""
_DEEP = (0.03, 0.5, 0.97)
"""How deep in a limb they lie, as shares of its thickness."""
_FAR = 1e6


@dataclass(frozen=True, eq=False)
class ProfileBody:
    """A made profile in space."""

    mark: str
    part: ProfilePart

    @cached_property
    def blocks(self) -> tuple[Block, ...]:
        """Its flats filled up to the saw cuts of its ends, convex each."""
        outline = self.part.cross.outline
        assert isinstance(outline, Outline)
        planes = tuple(_saw_plane(end) for end in self.part.ends)
        pieces = ProfilePrism(self.part.frame, outline).pieces()
        return tuple(Block(Convex.trimmed(piece, planes), self.box, False) for piece in pieces)

    @cached_property
    def strips(self) -> tuple[Strip, ...]:
        """Lines along its limbs, from cut to cut."""
        frame = self.part.frame
        across = np.vstack((frame.y, frame.z))
        places = self._places()
        begin, end = self.metal(places[:, 0], places[:, 1])
        kept = end > begin
        walls = Walls.lines(frame.origin + places[kept] @ across, frame.x)
        return (Strip(walls, begin[kept], end[kept], self.box),)

    def _places(self) -> Array:
        """Of the lines, in (y, z) of its frame, (n, 2) mm."""
        found = []
        for edge in self.part.ends[0].cut.edges:
            limb = edge.limb
            station = np.linspace(0.0, limb.width, max(3, int(np.ceil(limb.width / _SPACING)) + 1))
            station[[0, -1]] += [_DEEP[0], -_DEEP[0]]
            skin, inward = limb.skin(station)
            found += [skin + share * limb.depth(station)[:, None] * inward for share in _DEEP]
        return np.vstack(found)

    @cached_property
    def box(self) -> Box:
        """Least and greatest corner of a box along the job's axes that holds it."""
        frame, outline = self.part.frame, self.part.cross.outline.points(0.1)
        x = [end.longest for end in self.part.ends]
        ends = [np.column_stack((np.full(len(outline), at), outline)) for at in (x[0], self.part.axis - x[1])]
        points = frame.outside(np.vstack(ends))
        return points.min(axis=0), points.max(axis=0)

    def extent(self, points: Array) -> tuple[Array, Array, Array]:
        """For points (n, 3): how far along the route they lie, and where metal begins and ends there; (n,) mm each."""
        local = self.part.frame.inside(points)
        return (local[:, 0], *self.metal(local[:, 1], local[:, 2]))

    def metal(self, y: Array, z: Array) -> tuple[Array, Array]:
        """Where along the route metal begins and ends at places of its section, (n,) mm each."""
        start, finish = self.part.ends
        return _cut_at(start, np.column_stack((y, z))), self.part.axis - _cut_at(finish, np.column_stack((-y, z)))

    def gap(self, points: Array) -> float:
        """How far the nearest of some points (n, 3) is from its metal, from its longest point at one end to that at the
        other, mm."""
        import shapely

        local = self.part.frame.inside(points)
        first, last = self.part.begins, self.part.begins + self.part.length
        beyond = np.maximum(0.0, np.maximum(first - local[:, 0], local[:, 0] - last))
        beside = shapely.distance(shapely.points(local[:, 1:]), region(self.part.cross.outline))
        return float(np.hypot(beyond, beside).min())

    def joined_to(self, mark: str) -> bool:
        """Whether one of its ends sits on a part, or is mitred with it."""
        return any(mark in end.onto for end in self.part.ends)


@once
def profile_bodies(job: Checked) -> list[ProfileBody]:
    """The profiles of a job."""
    return [ProfileBody(piece.mark, part) for piece, part in profile_parts(job.pieces)]


def _saw_plane(end: ProfileEnd) -> HalfSpace:
    """All that the saw cut of an end leaves."""
    inward = np.array(end.cut.sawn.normal) @ end.frame.axes
    return HalfSpace.at(end.frame.outside(np.array([end.cut.sawn.at, 0.0, 0.0])), -inward)


def _cut_at(end: ProfileEnd, places: Array) -> Array:
    """x of an end at places (n, 2) of its own (y, z), mm: the saw cut, its bevels, and the notch of every limb that is
    there."""
    x = end.cut.sawn.x(places)
    for bevel in end.bevels:
        x = np.maximum(x, bevel.plane.x(places))
    for edge in end.cut.edges:
        x = np.maximum(x, _notched(edge, places))
    return x


def _notched(edge: LimbEdge, places: Array) -> Array:
    """x to which a limb is cut at places within it; far below nothing elsewhere."""
    limb = edge.limb
    station, depth = limb.place(places)
    within = (station >= 0.0) & (station <= limb.width) & (depth >= -1e-6) & (depth <= limb.thickest + 1e-6)
    # At a step both values stand at one station: the greater counts.
    low, high = (np.interp(station + off, edge.station, edge.x) for off in (-1e-3, 1e-3))
    return np.where(within, np.maximum(low, high), -_FAR)

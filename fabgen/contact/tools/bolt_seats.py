"""What heads and nuts of bolts lie on: the metal under them, cut just below the face that they press on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Literal

import numpy as np

from fabgen.contact.near import Boxes
from fabgen.contact.solids import Solid
from fabgen.contact.tools.bolt_rooms import ROOM, fouled, rooms
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.space.plane_cut import plane_cut
from fabgen.parts.piece import DrilledHole, LengthPart
from fabgen.parts.shape.bored.bolt_lines import BoltLine
from fabgen.parts.shape.bored.bolt_room import looking, seen
from fabgen.parts.shape.bored.passages import Passage
from fabgen.plan.plan import BoltStack
from fabgen.shop.threaded.fasteners import hexagon_head

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

_DEEP = 0.2
"""What lies farther below a face than this is not flat with it, mm."""
_SPECK = 0.15
"""Strips of bare face up to twice as wide are let pass, mm: edges of holes are drawn with chords."""

Under = Literal["round", "falls", "edge"]
"""What is where a head's flat is missing: the skin of a round tube, a bend or a rounded edge, or nothing at all."""


@dataclass(frozen=True, eq=False)
class End:
    """One end of a bolt where it presses on a part.

    Args:
        what: 'head' or 'nut'.
        passage: the hole of the part.
        into: unit, from the face that it presses on into the metal.
    """

    what: Literal["head", "nut"]
    passage: Passage
    into: Array

    @property
    def mark(self) -> str:
        return self.passage.mark

    @cached_property
    def face(self) -> Frame:
        """On the bolt's middle in that face, x into the metal."""
        frame = looking(self.into)
        return Frame(self.passage.centre - self.passage.span / 2.0 * self.into, *frame.axes)


def ends(stack: BoltStack, line: BoltLine) -> Iterator[End]:
    """The ends of a bolt that press on a part that has a place, through a hole of it.

    Args:
        stack: its layers.
        line: in line, the layers in order.
    """
    last = len([layer for layer in stack.layers if not layer.open]) - 1
    first, end = line.seats[0], line.seats[-1]
    whats: tuple[Literal["head", "nut"], ...] = ("head", "nut")
    for what, seat, wanted, way in zip(whats, (first, end), (0, last), (1.0, -1.0), strict=True):
        axis = seat.passage.axis
        is_there = what == "head" or stack.choice.nut != "none"
        if is_there and seat.layer == wanted and axis is not None and seat.passage.ways:
            yield End(what, seat.passage, axis * way * np.sign(axis @ line.axis))


@dataclass(frozen=True, eq=False)
class Bare:
    """Where a head or nut has no metal under it.

    Args:
        end: of the bolt.
        under: what is there.
        near: how near that comes to the bolt's middle, mm.
        needed: the radius of what presses, mm.
    """

    end: End
    under: Under
    near: float
    needed: float


def bare(stack: BoltStack, line: BoltLine, around: Boxes) -> Iterator[Bare]:
    """Where head and nut lack metal under their flats; a washer may stand out past it.

    Args:
        stack: its layers.
        line: in line, the layers in order.
        around: everything that has a place.
    """
    import shapely

    head = hexagon_head(stack.choice.thread.bolt)
    radius = 0.0 if head is None else head.across_flats / 2.0
    middle = shapely.Point(0.0, 0.0)
    for end in ends(stack, line) if radius else ():
        at = end.face.origin
        near_by = around.meeting((at - radius, at + radius))
        bearing = [solid for solid in near_by if solid.mark == end.mark or solid.kind == "bush"]
        holes = shapely.union_all([seen(way, end.face) for way in end.passage.ways])
        ring = middle.buffer(radius, quad_segs=32).difference(holes)
        lacking = ring.difference(_cut(bearing, end.face, _DEEP)).buffer(-_SPECK).buffer(_SPECK)
        if not lacking.is_empty and (near := float(middle.distance(lacking))) < radius - ROOM:
            yield Bare(end, _under(end, bearing, lacking), near, radius)


def _under(end: End, bearing: Sequence[Solid], lacking: BaseGeometry) -> Under:
    """What is where metal is missing: on what falls away there is some farther down."""
    import shapely

    part = next((solid.part for solid in bearing if solid.mark == end.mark), None)
    drilled = any(isinstance(way.hole, DrilledHole) for way in end.passage.ways)
    if isinstance(part, LengthPart) and part.section.is_round and drilled:
        return "round"
    thin = min(solid.shape.thickness for solid in bearing)
    there = shapely.get_point(shapely.shortest_line(shapely.Point(0.0, 0.0), lacking), 1)
    below = _cut(bearing, end.face, _DEEP + thin / 2.0)
    return "falls" if below.intersects(there.buffer(_SPECK)) and below.intersection(lacking).area > 0.1 else "edge"


def _cut(solids: Sequence[Solid], face: Frame, deep: float) -> BaseGeometry:
    """The metal of solids in a plane so far below a face, as it is seen along its x."""
    import shapely

    plane = Frame(face.origin, face.y, face.z, face.x)
    return shapely.union_all([plane_cut(solid.metal, plane, deep) for solid in solids])


@dataclass(frozen=True, slots=True)
class OnWeld:
    """A washer, head or nut that reaches over the weld of something that stands on its part.

    Args:
        what: it is.
        mark: of what stands there.
        near: how near that comes to the bolt's middle, mm.
        needed: how far off it would have to be, mm.
        leg: of its weld, mm.
    """

    what: str
    mark: str
    near: float
    needed: float
    leg: float


def on_weld(stack: BoltStack, number: int, end: End, standing: Sequence[tuple[Solid, float]]) -> OnWeld | None:
    """The nearest weld that a washer, or a head or nut without one, lies on though it is clear of what is welded there.

    Args:
        stack: the bolt.
        number: which of its places, from 0 on.
        end: which of its ends.
        standing: what is welded to the part there, each with the leg of its weld, mm.
    """
    own = [room for room in rooms(stack, stack.lines[number]) if room.at_nut == (end.what == "nut")]
    if not own:
        return None
    flat = next((room for room in own if room.is_washer), own[0])
    found_on = []
    for solid, leg in standing:
        wide = replace(flat, ends=flat.begins + leg, radius=flat.radius + leg)
        if not flat.at_nut:
            wide = replace(flat, begins=flat.ends - leg, radius=flat.radius + leg)
        near = min((each.near for each in fouled(stack, number, wide, Boxes([solid]))), default=None)
        if near is not None and near > flat.radius - ROOM:
            found_on.append(OnWeld(flat.what, solid.mark, near, flat.radius + leg, leg))
    return min(found_on, key=lambda each: each.near - each.needed, default=None)

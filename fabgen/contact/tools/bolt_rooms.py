"""Bolts held against what stands round them: room for head, washers and nut, and the way by which each goes in."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from fabgen.contact.near import Boxes
from fabgen.contact.round_shells import bar
from fabgen.contact.solids import Solid
from fabgen.geometry.space.frame import Array, Frame, cross, unit
from fabgen.geometry.space.skin import PlacedSkin, Skin
from fabgen.parts.piece import LinkPart, Piece
from fabgen.parts.shape.bored.bolt_lines import BoltLine
from fabgen.parts.shape.bored.bolt_room import looking
from fabgen.plan.plan import BoltStack
from fabgen.shop.threaded.fasteners import hexagon_head

CORNERS = 2.0 / np.sqrt(3.0)
"""A hexagon across its corners by that across its flats."""
WASHER = 2.0
"""A plain washer is about so many times as wide as its bolt (ISO 7089, from memory, check against your part)."""
ROOM = 0.5
"""What comes nearer than is needed by less than this only touches, mm: points are seldom better measured."""
_LIFT = 0.3
"""Rooms begin so far off the face that they stand on, mm."""
_THIN = 0.25
"""Radius of the rod that stands for a bolt's middle line, mm."""
_HALVINGS = 10


@dataclass(frozen=True, slots=True)
class Room:
    """What one thing on a bolt takes: a round room along its line from `begins` to `ends`, mm from where the first
    part that has a place begins, of that `radius`, mm."""

    what: str
    begins: float
    ends: float
    radius: float

    @property
    def is_washer(self) -> bool:
        return self.what.startswith("washer")

    @property
    def at_nut(self) -> bool:
        """Whether it is at the nut's end."""
        return self.what.endswith("nut")


@dataclass(frozen=True, eq=False)
class Fouled:
    """Something that stands in a room, and how near it comes to the bolt's middle, mm."""

    by: Solid
    near: float

    @property
    def mark(self) -> str:
        return self.by.mark


@dataclass(frozen=True, eq=False)
class Way:
    """The way in from one side: what stands in it, how much is free before that, mm, and how much the bolt needs."""

    by: Solid | None
    free: float
    needed: float

    @property
    def is_free(self) -> bool:
        return self.by is None

    @property
    def stays(self) -> bool:
        """Whether what stands in it is there already, and is no rod, which comes off again."""
        source = self.by.source if self.by is not None else None
        return isinstance(source, Piece) and source.state == "there already" and not isinstance(source.shape, LinkPart)


def rooms(stack: BoltStack, line: BoltLine) -> tuple[Room, ...]:
    """The rooms that head, nut and the washers under them take, where a bolt stands; none where no table has its head.

    Args:
        stack: its layers.
        line: in line, the layers in order.
    """
    choice, thread = stack.choice, stack.choice.thread
    head = hexagon_head(thread.bolt)
    if head is None:
        return ()
    low, high = seats(stack, line)
    wide, disc = head.across_flats * CORNERS / 2.0, WASHER * thread.diameter / 2.0
    at_head = choice.washers_at_head * choice.washer
    at_nut = (choice.washers - choice.washers_at_head) * choice.washer
    found = [Room("washer under its head", low - at_head, low, disc)] if at_head else []
    found.append(Room("head", low - at_head - head.height, low - at_head, wide))
    if choice.nut != "none":
        found += [Room("washer under its nut", high, high + at_nut, disc)] if at_nut else []
        # A bolt that is too short ends inside its nut.
        found.append(Room("nut", high + at_nut, high + at_nut + choice.nut_height + max(0.0, choice.beyond), wide))
    return tuple(found)


def seats(stack: BoltStack, line: BoltLine) -> tuple[float, float]:
    """Where what is clamped begins and ends along a line, with what is listed outside the parts that have a place."""
    thick = [layer.thickness for layer in stack.layers if not layer.open]
    first, last = line.seats[0], line.seats[-1]
    return first.begins - sum(thick[: first.layer]), last.ends + sum(thick[last.layer + 1 :])


def rods_held(line: BoltLine) -> frozenset[str]:
    """The marks of the rods whose eyes a bolt goes through."""
    return frozenset(seat.passage.mark for seat in line.seats if seat.passage.axis is None)


def fouled(stack: BoltStack, number: int, each: Room, around: Boxes) -> Iterator[Fouled]:
    """What stands in a room of a bolt.

    Args:
        stack: the bolt.
        number: which of its places, from 0 on.
        each: the room.
        around: everything that has a place, other bolts too.
    """
    line = stack.lines[number]
    inward = 1.0 if each.at_nut else -1.0
    ends = sorted((each.begins, each.ends), key=lambda at: at * inward)
    first, last = ends[0] + _LIFT * inward, ends[1]
    if (last - first) * inward <= 0.0:
        return
    room, rod = _round(line, first, last, each.radius - ROOM), _round(line, first, last, _THIN)
    for solid in met(room, around):
        if solid.source is stack and solid.number == number:
            continue
        apart, _ = solid.cut_skin.gap(rod)
        yield Fouled(solid, apart + _THIN)


def way_in(stack: BoltStack, line: BoltLine, from_head: bool, around: Boxes) -> Way:
    """Whether the bolt can be put in from the side of its head, or turned round from that of its nut.  A rod that it
    holds swings out of its way.

    Args:
        stack: its layers.
        line: in line, the layers in order.
        from_head: from which side.
        around: everything that stands before it is put in.
    """
    found = rooms(stack, line)
    head = next(room for room in found if room.what == "head")
    low, high = seats(stack, line)
    needed = stack.choice.length + head.ends - head.begins
    start, way = (low, -1.0) if from_head else (high, 1.0)
    held = rods_held(line)

    def blocking(long: float) -> Solid | None:
        corridor = _round(line, start + way * _LIFT, start + way * long, head.radius - ROOM)
        return next((solid for solid in met(corridor, around) if solid.mark not in held), None)

    if blocking(needed) is None:
        return Way(None, needed, needed)
    free, shut = _LIFT, needed
    for _ in range(_HALVINGS):
        middle = (free + shut) / 2.0
        free, shut = (middle, shut) if blocking(middle) is None else (free, middle)
    solid = blocking(shut)
    assert solid is not None
    return Way(solid, free, needed)


def _round(line: BoltLine, first: float, last: float, radius: float) -> PlacedSkin:
    a, b = (np.asarray(line.at + at * line.axis) for at in (first, last))
    return bar_between(a, b, looking(line.axis).y, 2.0 * radius)


def bar_between(one: Array, other: Array, up: Array, diameter: float) -> PlacedSkin:
    """A round bar between two places.

    Args:
        one, other: (3,) mm.
        up: (3,), not along it.
        diameter: mm.
    """
    way = other - one
    x, y = unit(way), unit(cross(way, up))
    return PlacedSkin(_bar(round(math.dist(one, other), 9), diameter), Frame(one, x, y, cross(x, y)))


@lru_cache(maxsize=512)
def _bar(length: float, diameter: float) -> Skin:
    """A round bar along x from the origin; many are alike, and are tried in many places."""
    return Skin((bar(np.zeros(3), np.array([length, 0.0, 0.0]), np.array([0.0, 0.0, -1.0]), diameter),))


def met(room: PlacedSkin, around: Boxes) -> Iterator[Solid]:
    """What stands in a room; bushes and sleeves, on which head and nut press, are left out.

    Args:
        room: where it stands.
        around: everything that has a place.
    """
    for solid in around.meeting(room.bounds):
        if solid.kind == "bush":
            continue
        if room.meets(solid.cut_skin) or room.is_around(solid.cut_skin) or solid.cut_skin.is_around(room):
            yield solid

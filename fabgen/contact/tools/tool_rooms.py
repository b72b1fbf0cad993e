"""Bolts held against what stands round them: whether a socket or an open spanner goes on to their ends, and swings."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache, lru_cache

import numpy as np

from fabgen.contact.near import Boxes
from fabgen.contact.round_shells import prism
from fabgen.contact.tools.bolt_rooms import ROOM, Fouled, Room, bar_between, fouled, met, rooms
from fabgen.geometry.space.frame import Array, Frame, cross
from fabgen.geometry.space.skin import PlacedSkin, Skin
from fabgen.parts.shape.bored.bolt_room import looking
from fabgen.plan.plan import BoltStack
from fabgen.shop.threaded.fasteners import hexagon_head
from fabgen.shop.threaded.spanners import Spanner, least_swing, spanner

_STEP = 10
"""Ways of a spanner's handle are tried so many degrees apart."""
_CHORDS = 48
_FINE = 0.1
"""How far it swings is found to this, degrees."""
_OFFSET = 15
"""An open spanner's jaws look so far aside of its handle, to either side as it is turned over, degrees."""
_TIPS = 0.5
"""Its jaws reach so many times the hexagon's width past its middle (from memory, check against your tools)."""
_SLIM = 0.8
"""A handle is so much thinner than its head, and clear of what the head lies on (common practice, no source)."""


@dataclass(frozen=True, eq=False)
class Grip:
    """What goes on to a head or nut.

    Args:
        what: 'head' or 'nut'.
        tool: the sizes that were tried.
        in_socket: what keeps a socket away; None where it goes on.
        in_head: the same of an open spanner's head; None where it goes on, and where a socket does.
        swing: how far the spanner swings, degrees, or half of that where it does not when turned over and so takes a
            hold every 60 degrees only; 360 where a socket goes on, below 0 where it has no way.
    """

    what: str
    tool: Spanner
    in_socket: Fouled | None
    in_head: Fouled | None
    swing: float

    @property
    def holds(self) -> bool:
        """Whether any tool goes on."""
        return self.in_socket is None or (self.in_head is None and self.swing >= 0.0)

    @property
    def turns(self) -> bool:
        """Whether it can be turned: on and on by a socket, or hold by hold by a spanner."""
        return self.in_socket is None or (self.in_head is None and self.swing >= least_swing())


def grips(stack: BoltStack, number: int, around: Boxes) -> Iterator[Grip]:
    """What goes on to the head and the nut of a bolt where it stands; nothing of one that has no room itself, or whose
    tools are in no table.

    Args:
        stack: the bolt.
        number: which of its places, from 0 on.
        around: everything that has a place.
    """
    head = hexagon_head(stack.choice.thread.bolt)
    tool = None if head is None else spanner(head.across_flats)
    line = stack.lines[number]
    for room in rooms(stack, line) if tool is not None else ():
        if room.is_washer or any(True for _ in fouled(stack, number, room, around)):
            continue
        assert tool is not None
        yield _grip(stack, number, room, tool, around)


def _grip(stack: BoltStack, number: int, room: Room, tool: Spanner, around: Boxes) -> Grip:
    what = "nut" if room.at_nut else "head"
    in_socket = _nearest(stack, number, _outward(room, tool.reach, tool.socket / 2.0), around)
    if in_socket is None:
        return Grip(what, tool, None, None, 360.0)
    thick = min(tool.thick, room.ends - room.begins)
    flat = _outward(room, thick, tool.head / 2.0)
    round_it = _nearest(stack, number, flat, around)
    swing = _swing(stack, number, flat, tool, around, round_it is None)
    return Grip(what, tool, in_socket, None if swing >= 0.0 else round_it, swing)


def _outward(room: Room, far: float, radius: float) -> Room:
    """A round room from the foot of a head or nut, so far outward."""
    if room.at_nut:
        return replace(room, ends=room.begins + far, radius=radius)
    return replace(room, begins=room.ends - far, radius=radius)


def _nearest(stack: BoltStack, number: int, room: Room, around: Boxes) -> Fouled | None:
    return min(fouled(stack, number, room, around), key=lambda each: each.near, default=None)


def _swing(stack: BoltStack, number: int, flat: Room, tool: Spanner, around: Boxes, head_turns: bool) -> float:
    """How far a spanner swings, as `Grip.swing` has it: over the widest run of ways in which its handle is free, and
    its jaws are, which lie round the hexagon from the handle's side.

    Args:
        head_turns: whether its head is free all round.
    """
    line = stack.lines[number]
    frame = looking(line.axis)
    middle = line.at + (flat.begins + flat.ends) / 2.0 * line.axis
    head = hexagon_head(stack.choice.thread.bolt)
    assert head is not None
    jaws = _jaws(tool.head / 2.0 - ROOM, _TIPS * head.across_flats, flat.ends - flat.begins)

    def out(degrees: float) -> Array:
        way = math.radians(degrees)
        return np.asarray(math.cos(way) * frame.y + math.sin(way) * frame.z)

    def none_in(room: PlacedSkin) -> bool:
        return all(solid.source is stack and solid.number == number for solid in met(room, around))

    @cache
    def handle(degrees: float) -> bool:
        slim = _SLIM * (flat.ends - flat.begins)
        return none_in(bar_between(middle, middle + tool.length * out(degrees), line.axis, slim))

    @cache
    def jaw(degrees: float) -> bool:
        x = out(degrees)
        return none_in(PlacedSkin(jaws, Frame(middle, x, cross(line.axis, x), line.axis)))

    def one_side(degrees: float) -> bool:
        return handle(degrees) and (head_turns or jaw(degrees + _OFFSET))

    def both_sides(degrees: float) -> bool:
        return one_side(degrees) and (head_turns or jaw(degrees - _OFFSET))

    turned_over = _widest(both_sides)
    return turned_over if head_turns else max(turned_over, _widest(one_side) / 2.0)


@lru_cache(maxsize=64)
def _jaws(radius: float, tips: float, thick: float) -> Skin:
    """The head of an open spanner about a hexagon's middle, toward +x its handle: a disc less what lies past the tips.

    Args:
        radius: of the head, mm.
        tips: how far they reach past the middle, mm.
        thick: mm, half of it to either side of its own plane.
    """
    half = math.acos(-min(1.0, tips / radius))
    angle = np.linspace(-half, half, _CHORDS)
    rim = np.column_stack((radius * np.cos(angle), radius * np.sin(angle), np.full(_CHORDS, -thick / 2.0)))
    return Skin((prism(rim, np.array([0.0, 0.0, thick])),))


def _widest(is_free: Callable[[float], bool]) -> float:
    """The widest run of ways that are free, degrees; below 0 where none is."""
    ways = [i * _STEP for i in range(360 // _STEP)]
    free = [is_free(way) for way in ways]
    if all(free):
        return 360.0
    begins = [way for i, way in enumerate(ways) if free[i] and not free[i - 1]]
    widest = -1.0
    for begin in begins:
        end = begin
        while is_free(end + _STEP):
            end += _STEP
        widest = max(widest, _edge(is_free, end, end + _STEP) - _edge(is_free, begin, begin - _STEP))
    return widest


def _edge(is_free: Callable[[float], bool], free: float, shut: float) -> float:
    """The last free way between one that is free and one that is not, degrees."""
    while abs(shut - free) > _FINE:
        middle = (free + shut) / 2.0
        free, shut = (middle, shut) if is_free(middle) else (free, middle)
    return free

"""Bolts that stand end to end on one line: what is free between what they clamp, and what their ends take of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.contact.tools.bolt_rooms import ROOM, rooms, seats
from fabgen.geometry.space.frame import Array
from fabgen.parts.shape.bored.bolt_room import PARALLEL
from fabgen.plan.plan import BoltStack
from fabgen.shop.threaded.fasteners import hexagon_head
from fabgen.shop.threaded.spanners import spanner

Place = tuple[str, int]
"""A bolt by its name, and which of its places, from 0 on."""


@dataclass(frozen=True, eq=False)
class BoltEnd:
    """One end of a bolt where it stands: the face that it presses on, outward from there its washer and head or nut.

    Args:
        stack: the bolt.
        number: which of its places, from 0 on.
        at_nut: at which end.
        at: middle of that face, (3,) mm.
        out: outward, unit, (3,).
        takes: how far it reaches out from there, mm.
        radius: of the widest of it, mm.
        turned: how far it reached with the bolt turned round and its head there, mm.
        turn: what brings its nut on to it, or a spanner, mm.
    """

    stack: BoltStack
    number: int
    at_nut: bool
    at: Array
    out: Array
    takes: float
    radius: float
    turned: float
    turn: float

    @property
    def place(self) -> Place:
        return self.stack.name, self.number


@dataclass(frozen=True, eq=False)
class Facing:
    """Two ends that face one another: what is free between the faces that they press on, mm."""

    one: BoltEnd
    other: BoltEnd
    free: float

    @property
    def takes(self) -> float:
        """What both take of that as they stand, mm."""
        return self.one.takes + self.other.takes

    @property
    def turn(self) -> float:
        """What brings the last nut on, or a spanner, besides, mm."""
        nuts = [end.turn for end in (self.one, self.other) if end.at_nut]
        return min(nuts) if nuts else max(self.one.turn, self.other.turn)

    @property
    def to_turn(self) -> str:
        """The bolt that makes both go in when it is turned round; '' where neither does."""
        both = ((self.one, self.other), (self.other, self.one))
        return next((end.stack.name for end, by in both if end.turned + by.takes <= self.free), "")

    @property
    def places(self) -> frozenset[Place]:
        return frozenset((self.one.place, self.other.place))


def facing(stacks: Sequence[BoltStack]) -> Iterator[Facing]:
    """The pairs of bolts on one line, or nearly so, whose heads or nuts run into one another end to end.

    Args:
        stacks: all bolts of a job.
    """
    ends = [end for stack in stacks for end in _ends(stack)]
    if len(ends) < 4:
        return
    at, out = np.array([end.at for end in ends]), np.array([end.out for end in ends])
    takes, radius = np.array([end.takes for end in ends]), np.array([end.radius for end in ends])
    for i, end in enumerate(ends):
        away = at[i + 1 :] - end.at
        free = away @ end.out
        beside = np.linalg.norm(away - free[:, None] * end.out, axis=1)
        meet = (out[i + 1 :] @ end.out < -PARALLEL) & (free >= 0.0) & (free < takes[i + 1 :] + end.takes - ROOM)
        for j in np.flatnonzero(meet & (beside < radius[i + 1 :] + end.radius - ROOM)):
            yield Facing(end, ends[i + 1 + int(j)], float(free[j]))


def _ends(stack: BoltStack) -> Iterator[BoltEnd]:
    head = hexagon_head(stack.choice.thread.bolt)
    if head is None:
        return
    tool = spanner(head.across_flats)
    thick = 0.0 if tool is None else tool.thick
    for number, line in enumerate(stack.lines):
        found = rooms(stack, line) if line.goes_in else ()
        low, high = seats(stack, line)
        for at_nut, seat, way in ((False, low, -1.0), (True, high, 1.0)):
            own = [room for room in found if room.at_nut == at_nut]
            if own:
                takes = max(way * (edge - seat) for room in own for edge in (room.begins, room.ends))
                turn = max(thick, stack.choice.nut_height) if at_nut else thick
                turned = stack.choice.washers_at_head * stack.choice.washer + head.height if at_nut else takes
                at, out = np.asarray(line.at + seat * line.axis), np.asarray(way * line.axis)
                radius = max(room.radius for room in own)
                yield BoltEnd(stack, number, at_nut, at, out, takes, radius, turned, turn)

"""Bolts where their holes give them a place: their shanks, which are driven through what stands in their way, and
whole, as other bolts meet them.

Heads, nuts and washers ask for room among the parts instead (`bolt_rooms.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fabgen.contact.round_shells import bar
from fabgen.contact.solids import Shape, Solid
from fabgen.contact.tools.bolt_rooms import rooms, seats
from fabgen.geometry.space.mesh import Mesh
from fabgen.parts.shape.bored.bolt_lines import BoltLine
from fabgen.parts.shape.bored.bolt_room import looking
from fabgen.plan.plan import BoltStack

_SHORT = 0.2
"""It is taken to end so far inside its seats, mm, that it meets only what is between."""


def shanks(stacks: Sequence[BoltStack]) -> Iterator[Solid]:
    """The shank of every bolt that passes where it stands, from under its head to what it clamps last.

    Args:
        stacks: the bolts of the job, as planned.
    """
    for stack, number, line in _standing(stacks):
        low, high = seats(stack, line)
        d = stack.choice.thread.diameter
        yield Solid(stack, number, Shape((_bar(line, low + _SHORT, high - _SHORT, d),), (), d))


def whole_bolts(stacks: Sequence[BoltStack]) -> Iterator[Solid]:
    """The same, and head, nut and washers, each by itself, as far as the tables have them.

    Args:
        stacks: the bolts of the job, as planned.
    """
    yield from shanks(stacks)
    for stack, number, line in _standing(stacks):
        for room in rooms(stack, line):
            bar = _bar(line, room.begins, room.ends, 2.0 * room.radius)
            yield Solid(stack, number, Shape((bar,), (), room.ends - room.begins))


def _standing(stacks: Sequence[BoltStack]) -> Iterator[tuple[BoltStack, int, BoltLine]]:
    for stack in stacks:
        for number, line in enumerate(stack.lines):
            if line.goes_in:
                yield stack, number, line


def _bar(line: BoltLine, begins: float, ends: float, diameter: float) -> Mesh:
    a, b = (line.at + at * line.axis for at in (begins, ends))
    return bar(a, b, looking(line.axis).y, diameter)

"""Shanks of bolts where their holes give them a place: what they are driven through besides their own parts.

Heads, nuts and washers ask for room instead (`bolt_rooms.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fabgen.contact.bolt_rooms import seats
from fabgen.contact.solids import Shape, Solid
from fabgen.parts.shape.bodies.rod_end_body import round_bar
from fabgen.parts.shape.bored.bolt_room import looking
from fabgen.plan.plan import BoltStack

_PLACES = 48
_SHORT = 0.2
"""It is taken to end so far inside its seats, mm, that it meets only what is between."""


def shanks(stacks: Sequence[BoltStack]) -> Iterator[Solid]:
    """The shank of every bolt that passes where it stands, from under its head to what it clamps last.

    Args:
        stacks: the bolts of the job, as planned.
    """
    for stack in stacks:
        d = stack.choice.thread.diameter
        for number, line in enumerate(stack.lines):
            if not line.goes_in:
                continue
            low, high = seats(stack, line)
            ends = [line.at + at * line.axis for at in (low + _SHORT, high - _SHORT)]
            bar = round_bar(ends[0], ends[1], looking(line.axis).y, d, 0.0, _PLACES)
            yield Solid(stack, number, Shape((bar,), (), d))

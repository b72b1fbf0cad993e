"""Bolts where they stand, held against what is near: room for head, washers and nut, and a way in."""

from __future__ import annotations

from collections.abc import Iterator

from fabgen.checks.checked import Checked
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.contact.bolt_rooms import fouled, rooms, way_in
from fabgen.parts.shape.bored.bolt_lines import BoltLine
from fabgen.plan.plan import BoltStack
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence


@rule("bolt-room", Level.STOP, Level.WARN, source="heads and nuts by their standards, from memory")
def bolt_room(job: Checked) -> Iterator[Found]:
    """A bolt's head and nut stand clear of everything near; a washer lies flat."""
    for stack, line in _standing(job):
        told: set[bool] = set()
        # What keeps head or nut out keeps their washer out too.
        for room in sorted(rooms(stack, line), key=lambda each: each.is_washer):
            worst = min(fouled(line, room, job.contacts.solids), key=lambda each: each.near, default=None)
            if worst is None or room.at_nut in told:
                continue
            told.add(room.at_nut)
            near = sentence(f"its {room.what} has no room: {worst.mark} is ", mm(worst.near), " from its middle, ")
            needed = sentence(mm(room.radius), " needed: move the hole away from it")
            level = Level.WARN if room.is_washer else Level.STOP
            yield found(near, needed, level=level, about=stack.name)


@rule("bolt-way-in", Level.WARN, Level.NOTE, source=PRACTICE)
def bolt_way_in(job: Checked) -> Iterator[Found]:
    """A bolt can be put in from the side of its head where everything stands, or turned round from that of its nut."""
    for stack, line in _standing(job):
        if not rooms(stack, line) or (ahead := way_in(stack, line, True, job.contacts.solids)).is_free:
            continue
        stands = sentence(f"{ahead.mark} stands ", mm(ahead.free, 0), " before its head, ", mm(ahead.needed, 0))
        back = None if stack.choice.nut == "none" else way_in(stack, line, False, job.contacts.solids)
        if back is not None and back.is_free:
            first, last = line.seats[0].passage.mark, line.seats[-1].passage.mark
            side = f", so it goes in from the side of {last} only: list what it passes from there, {last} first"
            turned = side if first != last else ", so it goes in from the other side only"
            yield found(stands, " needed to put it in", turned, level=Level.NOTE, about=stack.name)
            continue
        other: Sentence = sentence()
        if back is not None:
            other = sentence(f", and {back.mark} ", mm(back.free, 0), " before its nut")
        marks = " and ".join(dict.fromkeys([ahead.mark, *([back.mark] if back is not None else [])]))
        early = f": put it in before {marks} {'are' if ' and ' in marks else 'is'} fitted, or move the hole"
        yield found("cannot be put in once all stands: ", stands, " needed", other, early, about=stack.name)


def _standing(job: Checked) -> Iterator[tuple[BoltStack, BoltLine]]:
    """The bolts that have a place and pass there; of like ones the first."""
    for stack in job.plan.bolts:
        line = next((line for line in stack.lines if line.goes_in), None)
        if line is not None:
            yield stack, line


RULES = (bolt_room, bolt_way_in)

"""Bolts where they stand, held against what is near: room for head, washers and nut, and a way in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from fabgen.checks.bolt.bolt_places import at_places, several
from fabgen.checks.bolt.end_to_end import end_to_end
from fabgen.checks.bolt.rod_tilt import tilted
from fabgen.checks.checked import Checked
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.checks.twins import Where
from fabgen.contact.tools.bolt_rooms import Fouled, Room, Way, fouled, rods_held, rooms, way_in
from fabgen.contact.tools.facing_bolts import Place
from fabgen.geometry.space.frame import Array
from fabgen.parts.shape.bored.bolt_lines import BoltLine
from fabgen.parts.shape.bored.bolt_places import places_in_words, places_passed
from fabgen.plan.plan import BoltStack
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Part, Sentence, joined, mm, sentence


@rule("bolt-room", Level.STOP, Level.WARN, source="heads and nuts by their standards, from memory")
def bolt_room(job: Checked) -> Iterator[Found]:
    """A bolt's head and nut stand clear of everything near, other bolts too; a washer lies flat."""
    for stack in job.plan.bolts:
        told: set[bool] = set()
        # One that may go in from either side does so from the side that is free.
        short = min((_short_of_room(job, each) for each in _either_way(stack)), key=len)
        # What keeps head or nut out keeps their washer out too.
        for room, worst, _ in sorted(short, key=lambda each: each[0].is_washer):
            if room.at_nut in told:
                continue
            told.add(room.at_nut)
            where = at_places(job, stack, [line for other, _, line in short if other.what == room.what])
            near = sentence(
                f"its {room.what} has no room", where, f": {worst.mark} is ", mm(worst.near), " from its middle, "
            )
            needed = sentence(mm(room.radius), " needed: move the hole away from it")
            level = Level.WARN if room.is_washer else Level.STOP
            yield found(near, needed, level=level, about=stack.name)


def _either_way(stack: BoltStack) -> Iterator[BoltStack]:
    """A bolt, and turned round where nobody knows from which side it goes in."""
    yield stack
    if any(line.alone for line in stack.lines):
        yield replace(stack, lines=tuple(line.turned for line in stack.lines))


def _short_of_room(job: Checked, stack: BoltStack) -> list[tuple[Room, Fouled, BoltLine]]:
    """Each room that is fouled at any of a bolt's places, by what, and where; the worst first."""
    short: list[tuple[Room, Fouled, BoltLine]] = []
    skew = {case.mark for case in tilted(job) if case.bolt == stack.name}  # told of their tilt
    facing = {pair.places for pair in end_to_end(job)}
    for number, line in enumerate(stack.lines):
        told = skew | rods_held(line)  # a rod's own eye is told by `tilted_eyes`, bolts end to end once a pair
        for room in rooms(stack, line) if line.goes_in or line.alone else ():
            all_near = fouled(stack, number, room, job.contacts.in_the_way)
            free = (each for each in all_near if frozenset(((stack.name, number), _place(each))) not in facing)
            short += [(room, each, line) for each in free if each.mark not in told]
    return sorted(short, key=lambda each: round(each[1].near - each[0].radius, 3))


def _place(each: Fouled) -> Place:
    return each.mark, each.by.number


@rule("bolt-way-in", Level.WARN, Level.NOTE, Level.STOP, source=PRACTICE)
def bolt_way_in(job: Checked) -> Iterator[Found]:
    """A bolt can be put in from the side of its head where everything stands, or turned round from that of its nut."""
    for stack in job.plan.bolts:
        shut = list(_shut(job, stack))
        if not shut:
            continue
        # One that goes in somewhere as listed is put in the other way round elsewhere without a word.
        turns = len(shut) < sum(1 for _ in _standing(stack))
        cases = [each for each in shut if each[2] is None or not each[2].is_free] or shut
        line, ahead, back = cases[0]
        if turns and back is not None and back.is_free:
            continue
        where = at_places(job, stack, [each for each, *_ in cases])
        known = several(job) if len(cases) == 1 else {}  # else each place of the bolt has another of it
        stands = sentence(_what(known, ahead), " stands ", mm(ahead.free, 0), " before its head, ", mm(ahead.needed, 0))
        if back is not None and back.is_free:
            first, last = line.seats[0].passage.mark, line.seats[-1].passage.mark
            side: Part = f"from the side of {last} only: list what it passes from there, {last} first"
            if first == last:
                side = sentence(_sides(job, stack, [each for each, *_ in cases]), " only: its head goes there")
            yield found(
                stands, " needed to put it in", where, ", so it goes in ", side, level=Level.NOTE, about=stack.name
            )
            continue
        other: Sentence = sentence()
        if back is not None:
            other = sentence(", and ", _what(known, back), " ", mm(back.free, 0), " before its nut")
        ways = [way for way in (ahead, back) if way is not None]
        later = [way for way in ways if not way.stays]
        if not later:
            off = "that" if len(ways) == 1 else "one of these"
            cure = f": move the hole, or take {off} off to put it in"
            yield found("has no way in", where, ": ", stands, " needed", other, cure, about=stack.name,
                        level=Level.STOP)  # fmt: skip
            continue
        names = {words.words(): words for words in (_named(known, way) for way in later)}
        early = sentence(
            ": put it in ", "turned round, " if later == [back] else "", "before ", joined(" and ", names.values()),
            f" {'are' if len(names) > 1 else 'is'} fitted, or move the hole",
        )  # fmt: skip
        yield found("cannot be put in once all stands", where, ": ", stands, " needed", other, early, about=stack.name)


def _named(several_of: Mapping[str, int], way: Way) -> Sentence:
    """'W', 'place 1 of B' of a mark that stands at several."""
    assert way.by is not None
    mark = way.by.mark
    at = Where(places_in_words({mark: [way.by.number + 1]}), aside=False)
    return sentence(at if mark in several_of else mark)


def _what(several_of: Mapping[str, int], way: Way) -> Sentence:
    return sentence(_named(several_of, way), ", there already," if way.stays else "")


def _shut(job: Checked, stack: BoltStack) -> Iterator[tuple[BoltLine, Way, Way | None]]:
    """The places of a bolt where it cannot be put in from its head's side, with what stands there, and the way from its
    nut's."""
    for _, line in _standing(stack):
        if rooms(stack, line) and not (ahead := way_in(stack, line, True, job.contacts.fitted)).is_free:
            turned = None if stack.choice.nut == "none" else way_in(stack, line, False, job.contacts.fitted)
            yield line, ahead, turned


def _standing(stack: BoltStack) -> Iterator[tuple[int, BoltLine]]:
    """The places where a bolt passes, with their numbers."""
    return ((number, line) for number, line in enumerate(stack.lines) if line.goes_in)


def _sides(job: Checked, stack: BoltStack, lines: Sequence[BoltLine]) -> Where:
    """'from the left', 'from the left at place 1 of C and from the right at place 2 of C'."""
    sides: dict[str, list[BoltLine]] = {}
    for line in lines:
        sides.setdefault(_toward(line.axis), []).append(line)
    said = []
    for side, those in sides.items():
        at = places_in_words(places_passed(those, several(job), stack.lines)) if len(sides) > 1 else ""
        said.append(f"from {side}" + (f" at {at}" if at else ""))
    return Where(" and ".join(said), aside=False)


_SIDES = (("the front", "the back"), ("the left", "the right"), ("above", "below"))
"""Where the axes of a job point, and whence they come."""


def _toward(way: Array) -> str:
    """The side of the job that a direction points to most, as 'the left'.

    Args:
        way: (3,).
    """
    most = int(np.argmax(np.round(np.abs(way), 6)))
    return _SIDES[most][0 if way[most] > 0.0 else 1]


RULES = (bolt_room, bolt_way_in)

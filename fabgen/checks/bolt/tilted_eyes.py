"""Rod ends that lie outermost on a bolt and are tilted on it: their rings stand before head, nut or washer."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from fabgen.checks.bolt.rod_tilt import tilted
from fabgen.checks.checked import Checked, once
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.contact.tools.bolt_rooms import ROOM, Room, fouled, rooms
from fabgen.parts.piece import LinkPart
from fabgen.parts.shape.bored.bolt_lines import BoltLine, Seat
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, degrees, mm, sentence

_STEP = 0.5
"""Spacers are said in steps of this, mm."""
_TRUE = math.radians(0.05)


@dataclass(frozen=True, slots=True)
class _Case:
    """A tilted eye before what lies on its ball: the rod, the bolt, the tilt as drawn and the largest that is known,
    rad, and the spacer that clears it then, mm."""

    mark: str
    bolt: str
    what: str
    angle: float
    most: float
    spacer: float


@rule("tilted-eye", Level.WARN, source=PRACTICE)
def tilted_eye(job: Checked) -> Iterator[Found]:
    """What lies on the ball of a rod end under a bolt's head or nut is clear of the ring of that, tilted as drawn."""
    cases = list(_cases(job))
    if cases:
        longest = max(case.spacer for case in cases)
        yield found(
            "the ring of a tilted rod end stands before what is to lie flat on its ball: ",
            named([_words(case) for case in cases], "; ", FEW),
            ": a spacer of ", mm(longest), " there, or more, no wider than the ball's face, or a coned (high "
            'misalignment) washer, listed as "spacer" beside the rod; the large washer that keeps the rod lies on that',
            level=Level.WARN, about=list(dict.fromkeys(case.bolt for case in cases)),
        )  # fmt: skip


def _words(case: _Case) -> Sentence:
    most = sentence(" (", degrees(case.most, fixed=True), " in its travel)") if case.most > case.angle + _TRUE else ""
    tilts = sentence(f"{case.mark} tilts ", degrees(case.angle, fixed=True), " as drawn", most)
    return sentence(tilts, f" on {case.bolt}, before its {case.what}")


def _cases(job: Checked) -> Iterator[_Case]:
    links = {piece.mark: piece.shape for piece in job.pieces if isinstance(piece.shape, LinkPart)}
    told = {(case.mark, case.bolt) for case in tilted(job)}
    for stack in job.plan.bolts:
        for number, line in enumerate(stack.lines):
            ends: dict[bool, Seat] = {False: line.seats[0], True: line.seats[-1]} if line.goes_in else {}
            for at_nut, seat in ends.items():
                part = links.get(seat.passage.mark)
                if part is None or seat.passage.axis is not None or (seat.passage.mark, stack.name) in told:
                    continue
                own = [room for room in rooms(stack, line) if room.at_nut == at_nut]
                short = [room for room in own if any(each.mark == seat.passage.mark for each in fouled(
                    stack, number, room, job.contacts.in_the_way))]  # fmt: skip
                if short:
                    room = max(short, key=lambda each: (each.is_washer, each.radius))
                    angle = _angle(part, line)
                    most = max(angle, _in_travel(job).get(seat.passage.mark, 0.0))
                    yield _Case(seat.passage.mark, stack.name, room.what, angle, most, _spacer(seat, room, most))


def _angle(part: LinkPart, line: BoltLine) -> float:
    assert part.frame is not None
    return math.asin(min(1.0, abs(float(line.axis @ part.frame.x))))


@once
def _in_travel(job: Checked) -> Mapping[str, float]:
    """The largest tilt of the ends of each rod in its travel, rad, where its pins are known."""
    most: dict[str, float] = {}
    for sweep in job.movement.sweeps if job.movement is not None else ():
        for tilt in sweep.tilts:
            if tilt.square and tilt.at and len(tilt.angle):
                most[tilt.mark] = max(most.get(tilt.mark, 0.0), float(tilt.angle.max()))
    return most


def _spacer(seat: Seat, room: Room, angle: float) -> float:
    """How thick a spacer sets a round thing off an eye, drawn as wide as its ball, mm: the face of that, tilted, at the
    thing's edge, past the face of the ball."""
    half = (seat.ends - seat.begins) / 2.0
    past = half / math.cos(angle) + (room.radius - ROOM) * math.tan(angle) - half
    return max(1, math.ceil(past / _STEP)) * _STEP


RULES = (tilted_eye,)

"""Sleeves that bolts pass: short tubes that stand on a bolt's line, and those that are welded into a tube's holes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.checks.bolt.bolt_lines import FREE, TIGHT
from fabgen.checks.checked import Checked, once
from fabgen.checks.grouped import named
from fabgen.checks.rule import FROM_JOB, PRACTICE, Found, found, rule
from fabgen.geometry.space.frame import Array, Frame
from fabgen.parts.piece import LengthPart
from fabgen.parts.shape.bored.bolt_lines import BoltLine
from fabgen.plan.plan import BoltStack
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence

_PARALLEL = math.cos(math.radians(10.0))
"""What leans from a bolt by more is no sleeve of it."""
_PAST = 2.0
"""A sleeve stands out past what its bolt clamps by no more, mm."""


@dataclass(frozen=True, eq=False)
class Sleeve:
    """A short tube on the line of a bolt.

    Args:
        stack: the bolt.
        mark: of the tube.
        bore: mm.
        length: mm.
        off: how far its middle line is from the bolt's at most, mm.
        play: how far that may be, mm: by its bore, and by the holes of the other parts.
        room: from face to face what it is to fill, mm; inf where it lies at an end of the bolt.
        marks: of the parts on which those faces are.
        passes: the marks of the tubes that it goes through.
    """

    stack: BoltStack
    mark: str
    bore: float
    length: float
    off: float
    play: float
    room: float
    marks: tuple[str, ...]
    passes: tuple[str, ...]

    @property
    def bolt(self) -> str:
        return self.stack.choice.thread.bolt

    @property
    def is_narrow(self) -> bool:
        """Whether the bolt does not go in."""
        return self.bore < self.stack.choice.thread.diameter - TIGHT

    @property
    def is_astray(self) -> bool:
        """Whether the bolt runs into its wall."""
        return self.is_narrow or self.off > self.play + TIGHT


@once
def sleeves(job: Checked) -> list[Sleeve]:
    """Every short round tube that stands on the line of a bolt, between what that clamps; of each bolt and mark the one
    that is farthest off its line."""
    tubes = [
        (piece.mark, part)
        for piece in job.pieces
        if piece.kind == "tube"
        and (part := piece.length_part) is not None
        and part.frame is not None
        and part.path is None
        and part.section.is_round
        and not (part.section.is_solid or part.sleeve_of or part.is_bent_bar)
    ]
    found_on: dict[tuple[str, str], Sleeve] = {}
    for stack in job.plan.bolts:
        for line in (line for line in stack.lines if line.goes_in):
            clamped = {seat.passage.mark for seat in line.seats}
            for mark, part in tubes:
                for turned in _standing(part) if mark not in clamped else ():
                    each = _on_line(stack, line, mark, part, turned)
                    key = (stack.name, mark)
                    if each is not None and (key not in found_on or each.off > found_on[key].off):
                        found_on[key] = each
    return list(found_on.values())


def _standing(part: LengthPart) -> Iterator[Array]:
    """The middles of its two ends where each of its places has them, (2, 3)."""
    assert part.frame is not None
    first = np.array([end.frame.origin + end.line.mean * end.frame.x for end in part.ends])
    yield first
    yield from (_moved(first, part.frame, frame) for frame in part.also)


def _moved(points: Array, one: Frame, other: Frame) -> Array:
    return other.outside(one.inside(points))


def _on_line(stack: BoltStack, line: BoltLine, mark: str, part: LengthPart, places: Array) -> Sleeve | None:
    """A tube as the sleeve of a bolt; None where it is none."""
    d, section = stack.choice.thread.diameter, part.section
    away = places - line.at
    along = away @ line.axis
    low, high = sorted(along.tolist())
    if high - low < _PARALLEL * float(np.linalg.norm(places[1] - places[0])):
        return None
    beside = np.linalg.norm(away - np.outer(along, line.axis), axis=1)
    begins, ends = line.seats[0].begins, line.seats[-1].ends
    middle = (low + high) / 2.0
    is_between = begins < middle < ends and high - low <= ends - begins + 2.0 * _PAST
    if not is_between or float(beside.min()) > (section.width + d) / 2.0:
        return None
    widths = [way.width for seat in line.seats for way in seat.passage.ways]
    play = (section.bore - d + min(widths, default=d) - d) / 2.0
    room, marks = _room(line, middle)
    room -= _listed(stack, line, middle, high - low)
    return Sleeve(stack, mark, section.bore, high - low, float(beside.max()), play, room, marks, part.through)


def _room(line: BoltLine, middle: float) -> tuple[float, tuple[str, ...]]:
    """What is free along a line about a place on it, mm, and the marks of what bounds it; inf where nothing does."""
    spans: list[tuple[float, float, str]] = []
    for seat in line.seats:
        walls = [way.span[1] - way.span[0] for way in seat.passage.ways]
        if len(walls) > 1:  # a tube's two walls
            spans.append((seat.begins, seat.begins + walls[0], seat.passage.mark))
            spans.append((seat.ends - walls[-1], seat.ends, seat.passage.mark))
        else:
            spans.append((seat.begins, seat.ends, seat.passage.mark))
    below = max((span for span in spans if (span[0] + span[1]) / 2.0 < middle), key=lambda span: span[1], default=None)
    above = min((span for span in spans if (span[0] + span[1]) / 2.0 >= middle), key=lambda span: span[0], default=None)
    if below is None or above is None:
        return math.inf, ()
    return above[0] - below[1], tuple(dict.fromkeys((below[2], above[2])))


def _listed(stack: BoltStack, line: BoltLine, middle: float, length: float) -> float:
    """What a bolt's table lists besides the sleeve between the two parts that stand about a place, mm."""
    before = max((seat.layer for seat in line.seats if seat.ends <= middle), default=None)
    after = min((seat.layer for seat in line.seats if seat.begins >= middle), default=None)
    if before is None or after is None:
        return 0.0
    closed = [layer for layer in stack.layers if not layer.open]
    between = sorted(layer.thickness for layer in closed[before + 1 : after] if not layer.mark)
    # What is listed for the sleeve itself is the longest, if that is about as long.
    return sum(between[:-1] if between and between[-1] > length / 2.0 else between)


@rule("bolt-sleeve", Level.STOP, Level.WARN, source=FROM_JOB)
def bolt_sleeve(job: Checked) -> Iterator[Found]:
    """A sleeve that stands on a bolt's line lets the bolt through, lies in that line, and fills the room between what
    it keeps apart to a millimetre."""
    short: list[Sleeve] = []
    for each in sleeves(job):
        name = each.stack.name
        if each.is_narrow:
            yield found(f"{each.bolt} does not go into the bore of ", mm(each.bore, 2),
                        f" of its sleeve {each.mark}: a larger tube, or one with less wall", about=name)  # fmt: skip
        elif each.is_astray:
            yield found(f"its sleeve {each.mark} is ", mm(each.off), " off its line, ", mm(each.play),
                        " of play: move it onto the line of the holes", about=name)  # fmt: skip
        elif FREE + TIGHT < each.room - each.length < math.inf:
            short.append(each)
    if short:
        cases = [_short(each) for each in short]
        yield found(named(cases, "; "), ": the bolt pulls together what it should keep apart; make it that long",
                    about=[each.stack.name for each in short], level=Level.WARN)  # fmt: skip


def _short(each: Sleeve) -> Sentence:
    where = f"in {each.marks[0]}" if len(each.marks) == 1 else f"between {each.marks[0]} and {each.marks[1]}"
    return sentence(f"sleeve {each.mark} is ", mm(each.length), " long, ", mm(each.room), f" are to be filled {where}")


@rule("sleeve-no-bolt", Level.NOTE, source=PRACTICE)
def sleeve_no_bolt(job: Checked) -> Iterator[Found]:
    """In a job that lists bolts each sleeve that is welded into a tube has one."""
    if not job.plan.bolts:
        return
    cases: list[tuple[str, Sentence]] = []
    for piece in job.pieces:
        part = piece.length_part
        holes = [hole for hole in part.drilled if hole.sleeve is not None and not hole.far] if part else []
        sleeved = len(holes) * piece.quantity
        bolts = _bolts_through(job.plan.bolts, piece.mark)
        if bolts < sleeved:
            each = f"{sleeved - bolts} of {sleeved} sleeves" if sleeved > 1 else "its sleeve"
            cases.append((piece.mark, sentence(f"{each} in {piece.mark}")))
    if cases:
        cure = ": name it in `through` of a [[bolt]], or leave the sleeve away"
        yield found("no bolt passes ", named([said for _, said in cases]), cure, about=[mark for mark, _ in cases])


def _bolts_through(stacks: Sequence[BoltStack], mark: str) -> int:
    return sum(stack.quantity for stack in stacks if any(layer.mark == mark for layer in stack.layers))


RULES = (bolt_sleeve, sleeve_no_bolt)

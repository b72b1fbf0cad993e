"""Sleeves that bolts pass: short tubes that stand on a bolt's line, and those that are welded into a tube's holes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fabgen.checks.checked import Checked, once
from fabgen.checks.grouped import named
from fabgen.checks.rule import FROM_JOB, PRACTICE, Found, found, rule
from fabgen.plan.buying.standing_sleeves import FREE
from fabgen.plan.plan import TIGHT, BoltStack, Sleeve
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence


@dataclass(frozen=True, eq=False)
class OnBolt:
    """A short tube on the line of a bolt."""

    stack: BoltStack
    sleeve: Sleeve


@once
def sleeves(job: Checked) -> list[OnBolt]:
    """Every short round tube that stands on the line of a bolt, between what that clamps, and is not listed there; of
    each bolt and mark the one that is farthest off its line."""
    found_on: dict[tuple[str, str], OnBolt] = {}
    for stack in job.plan.bolts:
        for each in stack.sleeves:
            key = (stack.name, each.mark)
            if key not in found_on or each.off > found_on[key].sleeve.off:
                found_on[key] = OnBolt(stack, each)
    return list(found_on.values())


@rule("bolt-sleeve", Level.STOP, Level.WARN, source=FROM_JOB)
def bolt_sleeve(job: Checked) -> Iterator[Found]:
    """A sleeve that stands on a bolt's line lets the bolt through, lies in that line, and fills the room between what
    it keeps apart to a millimetre."""
    narrow: dict[tuple[str, float], list[OnBolt]] = {}
    astray: list[OnBolt] = []
    short: list[OnBolt] = []
    for each in sleeves(job):
        if each.sleeve.is_narrow:
            narrow.setdefault((each.stack.choice.thread.bolt, round(each.sleeve.bore, 3)), []).append(each)
        elif each.sleeve.is_astray:
            astray.append(each)
        elif FREE + TIGHT < each.sleeve.room - each.sleeve.length < math.inf:
            short.append(each)
    for (bolt, bore), cases in narrow.items():
        marks = list(dict.fromkeys(each.sleeve.mark for each in cases))
        whose = f" of its sleeve {marks[0]}" if len(marks) == 1 else sentence(" of the sleeves ", named(marks))
        yield found(f"{bolt} does not go into the bore of ", mm(bore, 2), whose,
                    ": a larger tube, or one with less wall", about=[each.stack.name for each in cases])  # fmt: skip
    if astray:
        off = [_off(each, astray) for each in astray]
        them = ("it", "line") if len(astray) == 1 else ("them", "lines")
        yield found(named(off, "; "), f": move {them[0]} onto the {them[1]} of the holes",
                    about=[each.stack.name for each in astray])  # fmt: skip
    if short:
        yield found(named([_short(each.sleeve) for each in short], "; "),
                    ": the bolt pulls together what it should keep apart; make it that long",
                    about=[each.stack.name for each in short], level=Level.WARN)  # fmt: skip


def _off(each: OnBolt, cases: Sequence[OnBolt]) -> Sentence:
    """'its sleeve S1 is 4 mm off its line' of the only one."""
    whose, line = ("its sleeve", "its line") if len(cases) == 1 else ("sleeve", f"the line of {each.stack.name}")
    off = sentence(f"{whose} {each.sleeve.mark} is ", mm(each.sleeve.off), f" off {line}, ")
    return sentence(off, mm(each.sleeve.play), " of play")


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

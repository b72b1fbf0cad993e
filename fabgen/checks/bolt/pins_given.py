"""[[pin]] tables where a bolt stands that says otherwise."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.parts.shape.bored.bolt_lines import BoltLine
from fabgen.parts.shape.directions import array, direction
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, degrees, sentence

MOST = math.radians(2.0)
"""A pin and a bolt that run no farther apart lie alike, rad (common practice, no source)."""


@rule("pin-off-bolt", Level.WARN, source=FROM_JOB)
def pin_off_bolt(job: Checked) -> Iterator[Found]:
    """Where a bolt holds a rod end, as it stands in its holes, a [[pin]] at that ball runs the same way; the bolt is
    what tilts are counted from."""
    lines = [(stack.name, line) for stack in job.plan.bolts for line in stack.lines]
    cases = [case for number in range(len(job.job.pin)) if (case := _off(job, number, lines)) is not None]
    if cases:
        is_several = len(cases) > 1
        each = [sentence(f"{bolt}: " if is_several else "", said) for bolt, said in cases]
        cure = "turn what the bolt goes through where that is wrong, else leave the [[pin]] out: the bolt is the pin"
        yield found(named(each, "; ", FEW), f": {cure}", about=list(dict.fromkeys(bolt for bolt, _ in cases)))


def _off(job: Checked, number: int, lines: Sequence[tuple[str, BoltLine]]) -> tuple[str, Sentence] | None:
    """Of a [[pin]], by its number from 0, the bolt that says otherwise, and by how much."""
    pin = job.job.pin[number]
    at = array(pin.at)
    for bolt, line in lines:
        if line.holds(at):
            angle = math.acos(min(1.0, abs(float(line.axis @ direction(pin.axis, at)))))
            name = f"at {pin.at.name}" if pin.at.name else f"{number + 1}"
            off = sentence(f"the [[pin]] {name} runs ", degrees(angle, fixed=True), " off it")
            return (bolt, off) if angle > MOST else None
    return None


RULES = (pin_off_bolt,)

"""Parts that run into one another in a travel."""

from __future__ import annotations

from collections.abc import Iterator

from fabgen.checks.checked import Checked
from fabgen.checks.contact.places import where
from fabgen.checks.grouped import FEW, named
from fabgen.checks.motion.motion_words import driver_text
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.contact.through_travel import RunsInto
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence

REMEDY = ": shorten the travel, or move one of them; what moves along with a [[body]] is named in its `marks`"


@rule("fouls-in-travel", Level.STOP, source=FROM_JOB)
def fouls_in_travel(job: Checked) -> Iterator[Found]:
    """In each position of each travel what moves runs into nothing else that has a place: tubes, profiles, sheet, bars,
    link rods and dampers."""
    if job.movement is None or not job.movement.sweeps:
        return
    cases = job.contacts.runs_into(job.movement)
    if not cases:
        return
    marks = list(dict.fromkeys(solid.mark for each in cases for solid in (each.one, each.other)))
    if len(cases) == 1:
        (only,) = cases
        pair = sentence(f"{only.sweep.name}: {only.one.mark} runs into {only.other.mark}, ", _worst(only))
    else:
        each = [
            sentence(f"{case.one.mark} into {case.other.mark} ", _worst(case), f" ({case.sweep.name})")
            for case in cases
        ]
        pair = sentence(f"{len(cases)} pairs run into one another in a travel (", named(each, "; ", FEW), ")")
    yield found(pair, REMEDY, about=marks)


def _worst(case: RunsInto) -> Sentence:
    """'3.1 mm deep where height of W is +60 mm, 412 mm from T1's start'."""
    deep, at = case.shared.deep, driver_text(case.sweep, case.position)
    still = [] if case.both_move else [case.other]
    return sentence(mm(deep), " deep at ", at, ", ", where(still, case.shared.middle))

"""Checks of tube ends that the job leaves to be fitted and that meet nothing."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Literal

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import named
from fabgen.checks.rule import Found, found, rule
from fabgen.checks.tube.going_on import may_go_on
from fabgen.job.expansion.written_keys import Wanted
from fabgen.parts.piece import MissedEnd
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, outward_to_paste, sentence

Missed = tuple[str, MissedEnd]
"""The mark of a tube, and its end."""


@rule("short-end", Level.WARN)
def short_end(job: Checked) -> Iterator[Found]:
    """An end that aims at a tube near by reaches it."""
    if short := _missed(job, "short"):
        if len(short) == 1:
            ((_, end),) = short
            what = sentence(
                f"its {end.at} ends ", mm(end.off), f" short of {end.main}: nothing is coped there and it is"
            )
        else:
            each = [sentence(f"{mark} {end.at} ", mm(end.off), f" short of {end.main}") for mark, end in short]
            what = sentence(f"{len(short)} ends stop short (", named(each), "): nothing is coped there and they are")
        yield found(what, " left plain: ", _points(job, short), _or_meant(job, short), about=_marks(short))


@rule("short-of-bend", Level.STOP)
def short_of_bend(job: Checked) -> Iterator[Found]:
    """An end that aims at the corner of a bent tube's route reaches the bend, which runs inside the corner."""
    if aimed := _missed(job, "corner"):
        if len(aimed) == 1:
            ((_, end),) = aimed
            what = sentence(
                f"its {end.at} aims at the corner of {end.main}'s route and is left plain there: the bend runs ",
                mm(end.off), " inside it",
            )  # fmt: skip
        else:
            each = [sentence(f"{mark} {end.at} ", mm(end.off), f" off {end.main}") for mark, end in aimed]
            how = "aim at corners of bent tubes' routes and are left plain there, as the bends run inside"
            what = sentence(f"{len(aimed)} ends {how} (", named(each), ")")
        yield found(what, ": ", _points(job, aimed), ", the nearest on the bend", about=_marks(aimed))


@rule("past-main-end", Level.WARN)
def past_main_end(job: Checked) -> Iterator[Found]:
    """An end that would sit on a tube does not lie past the end of that."""
    past = _missed(job, "past")
    for can_go_on in (True, False):
        if those := [each for each in past if _goes_on(job, each[1]) == can_go_on]:
            yield found(_past(those), _past_ways(job, those, can_go_on), _or_meant(job, those), about=_marks(those))


def _goes_on(job: Checked, end: MissedEnd) -> bool:
    return end.extend is not None and end.theirs is not None and may_go_on(job, end.main, end.theirs, end.foot)


def _past(past: Sequence[Missed]) -> Sentence:
    if len(past) == 1:
        ((_, end),) = past
        return sentence(
            f"its {end.at} would sit on {end.main}, but lies ", mm(end.off),
            f" past the {end.theirs} of that, so it meets nothing and is left plain: ",
        )  # fmt: skip
    each = [sentence(f"{mark} {end.at} ", mm(end.off), f" past the {end.theirs} of {end.main}") for mark, end in past]
    so = "so they meet nothing and are left plain"
    return sentence(f"{len(past)} ends lie past the ends of the tubes they would sit on (", named(each), f"), {so}: ")


def _past_ways(job: Checked, past: Sequence[Missed], can_go_on: bool) -> Sentence:
    feet = {math.ceil(round(end.foot * 10.0, 4)) / 10.0 for _, end in past}
    mains = list(dict.fromkeys(end.main for _, end in past))
    back = sentence(mm(max(feet)), " back") if len(feet) == 1 else sentence("up to ", mm(max(feet)), " back")
    main = f"along {mains[0]}" if len(mains) == 1 else "along what they would sit on"
    move = sentence(f"move {'the foot' if len(past) == 1 else 'the feet'} ", back, f" {main}")
    if not can_go_on:
        return move
    keys = [Wanted(end.main, end.theirs or "", {"extend": outward_to_paste(end.extend or 0.0)}) for _, end in past]
    goes_on = f"let {mains[0]} go on" if len(mains) == 1 else "let that go on"
    return sentence(move, f", or {goes_on} to carry {'it' if len(past) == 1 else 'them'}, ", job.written.lines(keys))


# -- what they share ----------------------------------------------------------------
def _missed(job: Checked, why: Literal["past", "short", "corner"]) -> list[Missed]:
    return [(piece.mark, end) for piece in job.pieces for end in piece.missed if end.why == why]


def _marks(missed: Sequence[Missed]) -> list[str]:
    return [mark for mark, _ in missed]


def _points(job: Checked, missed: Sequence[Missed]) -> Sentence:
    """Where their points would meet what they aim at."""
    return job.written.points((job.tube_tables[mark], end.at, end.place) for mark, end in missed)


def _or_meant(job: Checked, missed: Sequence[Missed]) -> Sentence:
    """The lines that leave them plain."""
    meant = " says that it is meant" if len(missed) == 1 else " says that they are meant"
    lines = job.written.lines((Wanted(mark, end.at, {"cut": "plain"}) for mark, end in missed), meant)
    return sentence("; ", lines)


RULES = (short_end, short_of_bend, past_main_end)

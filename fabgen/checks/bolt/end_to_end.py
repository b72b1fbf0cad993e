"""Bolts that stand end to end with too little room between them for both."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fabgen.checks.checked import Checked, once
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import Found, found, rule
from fabgen.contact.tools.facing_bolts import BoltEnd, Facing, facing
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence


@rule("bolts-end-to-end", Level.STOP, source="heads and nuts by their standards, from memory")
def bolts_end_to_end(job: Checked) -> Iterator[Found]:
    """Two bolts end to end on one line leave each other room for heads, nuts and threads; one finding a pair."""
    pairs = end_to_end(job)
    if not pairs:
        return
    cases = list({case.words(): case for case in map(_words, pairs)}.values())
    most = max(pair.takes + pair.turn - pair.free for pair in pairs)
    apart = sentence(": set ", "one" if len(cases) == 1 else "one of each pair", " ", mm(most, 0), " farther off")
    turns = list(dict.fromkeys(pair.to_turn for pair in pairs))
    turn = (
        f", turn {named(turns, ' and ').words()} round, as a head takes less than nut and thread" if all(turns) else ""
    )
    about = list(dict.fromkeys(end.stack.name for pair in pairs for end in (pair.one, pair.other)))
    what, cure = "end to end with too little room: ", ", or one long bolt for both"
    yield found(what, named(cases, "; ", FEW), apart, turn, cure, about=about)


@once
def end_to_end(job: Checked) -> Sequence[Facing]:
    """The pairs of bolts whose ends run into one another on one line."""
    return list(facing(job.plan.bolts))


def _words(pair: Facing) -> Sentence:
    between = sentence(_end(pair.one), " and ", _end(pair.other), " have ", mm(pair.free), " between what they clamp")
    take = sentence(", and take ", mm(pair.one.takes), " and ", mm(pair.other.takes))
    return sentence(between, take, " and, to bring nut or spanner on, ", mm(pair.turn), " more")


def _end(end: BoltEnd) -> str:
    return f"{end.stack.name}'s {'nut' if end.at_nut else 'head'}"


RULES = (bolts_end_to_end,)

"""Brackets of which an edge is cut to sit on a member of the job, and that stand off it where they are placed."""

from __future__ import annotations

from collections.abc import Iterator

from fabgen.checks.checked import Checked
from fabgen.checks.contact.short_gussets import REACH
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.contact.solids import Solid
from fabgen.job.tables.bracket_tables import Bracket
from fabgen.parts.piece import FlatPart
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence


@rule("seat-in-air", Level.WARN, source=PRACTICE)
def seat_in_air(job: Checked) -> Iterator[Found]:
    """A bracket touches as many members as its `sits` names, a gusset with each leg one: these, or others alike.  What
    touches nothing at all is told by itself, and what stands a little short of its other member too."""
    cases = {
        sentence(f"{bracket.mark} ", mm(away), f" from {other.mark}"): bracket.mark
        for bracket in job.job.bracket
        if (seats := _marks(job, bracket))
        for solid in job.contacts.solids
        if solid.mark == bracket.mark
        for away, other in _missed(job, solid, seats)
    }
    if cases:
        one = len(cases) == 1
        yield found(
            "an edge that is cut to sit on a member hangs in the air (", named(list(cases), "; ", FEW), "): move ",
            "it" if one else "them", " to the members that `sits` names, or name those on which ",
            "it sits" if one else "they sit",
            about=list(dict.fromkeys(cases.values())),
        )  # fmt: skip


def _marks(job: Checked, bracket: Bracket) -> list[str]:
    """The members that a bracket of the job's is to sit on."""
    marks = [seat.onto for seat in bracket.sits or () if isinstance(seat.onto, str)]
    return [mark for mark in marks if mark != "flat"]


def _missed(job: Checked, solid: Solid, seats: list[str]) -> Iterator[tuple[float, Solid]]:
    """Of one that touches fewer than it is to sit on: those of them that it stands off, and how far, mm."""
    touched = job.contacts.seated_by(solid)
    members = {each.mark for each in touched if not isinstance(each.part, FlatPart)}
    if not touched or len(members) >= len(seats):
        return
    for mark in seats:
        asked = [each for each in job.contacts.solids if each.mark == mark and mark not in members]
        nearest = job.contacts.nearest(solid, asked)
        if nearest is not None and nearest[0] > REACH:
            yield nearest

"""Which parts are welded: those that the job says, and placed sheet seated on something without a hole for a bolt or
rivet there, where the cut list counts a weld."""

from __future__ import annotations

from collections.abc import Iterable

from fabgen.checks.checked import Checked, once
from fabgen.checks.contact.rivet_holes import is_holed_for
from fabgen.contact.weld_lines import WeldLine
from fabgen.parts.shape.welds.welded import welded_marks


@once
def told_marks(job: Checked) -> dict[str, None]:
    """The marks of what the job itself says is welded."""
    return welded_marks(job.job, job.pieces)


@once
def seated_welds(job: Checked) -> list[WeldLine]:
    """The welds where placed sheet is seated on something."""
    return [line for line in job.contacts.weld_lines if not is_holed_for(line.one, line.other)]


def welded_of(job: Checked, marks: Iterable[str]) -> list[str]:
    """Those of some parts that are welded.

    Contacts take long to find: they are asked only where a placed part is not told of.

    Args:
        job: what is checked.
        marks: the parts that matter.
    """
    told, every = told_marks(job), list(marks)
    placed = {piece.mark for piece in job.pieces if piece.is_placed}
    if any(mark not in told and mark in placed for mark in every):
        seated = {each.mark for line in seated_welds(job) for each in (line.one, line.other)}
        return [mark for mark in every if mark in told or mark in seated]
    return [mark for mark in every if mark in told]

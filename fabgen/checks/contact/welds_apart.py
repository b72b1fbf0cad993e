"""Welds that the job lists between parts that do not touch."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import named
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.contact.pair import gap
from fabgen.contact.solids import Solid
from fabgen.job.expansion.pieces import pieces_of
from fabgen.job.tables.weld_tables import Weld
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence

ROOT_GAP = 4.0
"""Parts of a butt weld stand no farther apart, mm (ISO 9692-1, square butt from one side, from memory)."""


@rule("weld-to-nothing", Level.STOP, source=PRACTICE)
def weld_to_nothing(job: Checked) -> Iterator[Found]:
    """A part that [[weld]] welds on touches each of those it is welded to, within the gap that a weld bridges."""
    if not job.job.weld:
        return
    marks = {piece.mark for piece in job.pieces}
    standing: dict[str, list[Solid]] = {}
    for solid in job.contacts.solids:
        standing.setdefault(solid.mark, []).append(solid)
    apart: dict[tuple[str, str], float] = {}
    for weld in job.job.weld:
        first, *others = ([each for mark in pieces_of(part, marks) or [part] for each in standing.get(mark, ())]
                          for part in weld.parts)  # fmt: skip
        for part, other in zip(weld.parts[1:], others, strict=True):
            if not first or not other or all(each.as_it_is for each in (*first, *other)):
                continue
            away = _away(job, first, other)
            if away > _bridged(job, weld):
                apart.setdefault((weld.parts[0], part), away)
    if apart:
        each = [sentence(f"{one} to {other}, ", mm(away), " apart") for (one, other), away in apart.items()]
        yield found(
            "a weld is listed where nothing meets: ", named(each, "; "), "; a weld bridges ", mm(job.contacts.weld_gap),
            ": is a mark in `parts` of [[weld]] wrong, or a place?",
            about=list(dict.fromkeys(one for one, _ in apart)),
        )  # fmt: skip


def _bridged(job: Checked, weld: Weld) -> float:
    return max(job.contacts.weld_gap, ROOT_GAP if weld.type != "fillet" else 0.0)


def _away(job: Checked, ones: Sequence[Solid], others: Sequence[Solid]) -> float:
    """How far the nearest two of them are apart, mm."""
    return min(gap(one, other)[0] for one in ones for other in others if one is not other)

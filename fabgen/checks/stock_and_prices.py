"""Checks of the plan: what fits no stock, and prices that fit nothing."""

from __future__ import annotations

from collections.abc import Iterator

from fabgen.checks.checked import Checked
from fabgen.checks.rule import FROM_JOB, Found, Rule, found, rule
from fabgen.checks.tube.splices import place_of_splice
from fabgen.plan.effort import Effort
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence


@rule("stock-size", Level.STOP, source=FROM_JOB)
def stock_size(job: Checked) -> Iterator[Found]:
    """Some stock is long or large enough for every piece."""
    longest = dict(job.plan.too_long)
    for mark, reason in job.plan.unplaced:
        tube = job.tubes.get(mark) if mark in longest else None
        yield found(reason, place_of_splice(tube, longest[mark]) if tube is not None else "", about=mark)


@rule("sheets-cut-short", Level.NOTE, source=FROM_JOB)
def sheets_cut_short(job: Checked) -> Iterator[Found]:
    """The search for the closest nest of the sheets came to its end."""
    for material, thickness in dict.fromkeys((s.material, s.thickness) for s in job.plan.sheets if s.is_cut_short):
        more = "" if job.plan.effort is Effort.LONG else "; make it with --effort long to look ten times as long"
        metal = sentence("the sheets of ", mm(thickness, 4), f" {material} may not be the fullest that can be")
        yield found(metal, f": the search ended at its bound of work{more}", about="sheets")


def _of_plan(name: str, about: str) -> Rule[Checked]:
    """A rule that planning itself holds: its remarks are passed on."""

    def check(job: Checked) -> Iterator[Found]:
        return (found(text, about=mark) for mark, rule, text in job.plan.remarks if rule == name)

    return Rule(name, (Level.WARN,), FROM_JOB, about, check)


PLAN_REMARKS = (
    _of_plan("price-unused", "Every price the job gives belongs to a line of the shopping list."),
    _of_plan("rack-hardware", "What lies on the rack is no other than what is to be bought but for a shorter spec."),
    _of_plan("booked-already", "The job has not been taken off this rack before."),
)

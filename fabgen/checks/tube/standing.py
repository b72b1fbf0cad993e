"""Which way a rectangular tube stands, where the job leaves it to the rule."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from fabgen.checks.checked import Checked
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.shop.section import Section
from fabgen.wording.levels import Level
from fabgen.wording.sentence import joined, mm, sentence


@rule("which-way-up", Level.NOTE, source=FROM_JOB)
def which_way_up(job: Checked) -> Iterator[Found]:
    """A rectangular tube of two sizes says which of them stands upright."""
    left = [tube for tube in job.job.tube if _is_oblong(tube.section) and "turn" not in tube.model_fields_set]
    if not left:
        return
    sections = {tube.section: sentence(f"{tube.section} its ", mm(tube.section.width)) for tube in left}
    told = found(
        "no `turn` is given, so the first figure stands upright (along +x on a vertical tube): of ",
        joined(" and of ", list(sections.values())),
        ". `turn = 90` lays it flat; `turn = 0` says that it is meant",
    )
    yield replace(told, marks=tuple(tube.mark for tube in left))


def _is_oblong(section: Section) -> bool:
    return not section.is_round and section.width != section.depth

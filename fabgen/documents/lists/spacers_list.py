"""Spacers of bolts on the cut list: short tubes to saw."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable

from fabgen.documents.render.flow import SMALL, Column, cell, listed, section
from fabgen.documents.render.prose import prose
from fabgen.documents.render.words import length_text
from fabgen.plan.buying.spacers import bore_text, spacers
from fabgen.plan.plan import BoltStack


def spacers_to_saw(stacks: Sequence[BoltStack], units: str, width: float) -> list[Flowable]:
    """The table; nothing where no bolt has a spacer.

    Args:
        stacks: the bolts of the job.
        units: of the job.
        width: of the table, mm.
    """
    wanted = spacers(stacks)
    columns = [
        Column("qty", 12, lambda each: str(each.quantity), right=True),
        Column("for", 24, lambda each: each.bolt),
        Column("tube", 46, lambda each: bore_text(each).words(units)),
        Column("saw length", 30, lambda each: length_text(each.length, units), right=True),
        Column("on", 70, lambda each: ", ".join(each.stacks)),
    ]
    note = cell(prose("cut_list", "spacers"), SMALL)
    return section("Spacers to saw", listed(wanted, columns, width), note) if wanted else []

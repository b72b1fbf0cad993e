"""Spacers of bolts on the cut list: short tubes to saw."""

from __future__ import annotations

from collections.abc import Sequence

from fabgen.documents.render.flow import Column, Noted, listed, section
from fabgen.documents.render.prose import prose
from fabgen.documents.render.words import length_text
from fabgen.plan.buying.spacers import bore_text, spacers
from fabgen.plan.plan import BoltStack


def spacers_to_saw(stacks: Sequence[BoltStack], units: str, width: float) -> Noted:
    """The table; nothing where no bolt has a spacer.

    Args:
        stacks: the bolts of the job.
        units: of the job.
        width: of the table, mm.
    """
    wanted = spacers(stacks)
    columns = [
        Column("qty", lambda each: str(each.quantity), right=True),
        Column("for", lambda each: each.bolt),
        Column("tube", lambda each: bore_text(each).words(units)),
        Column("saw length", lambda each: length_text(each.length, units), right=True, bold=True),
        Column("on", lambda each: ", ".join(each.stacks)),
    ]
    if not wanted:
        return Noted()
    title = "Spacers to saw"
    return Noted(section(title, listed(wanted, columns, width)), title, prose("cut_list", "spacers"))

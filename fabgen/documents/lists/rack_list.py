"""What comes from the rack, on the cut list: it is nothing to buy."""

from __future__ import annotations

from fabgen.documents.render.flow import Column, Noted, listed, section
from fabgen.documents.render.prose import prose
from fabgen.documents.render.words import quantity_text
from fabgen.plan.plan import Plan


def from_the_rack(plan: Plan, units: str, width: float) -> Noted:
    """The table; nothing where all is bought.

    Args:
        plan: of the job.
        units: of the job.
        width: of the table, mm.
    """
    if not plan.on_hand:
        return Noted()
    columns = [
        Column("item", lambda line: line.item),
        Column("what", lambda line: line.goods.words(units)),
        Column("how many", lambda line: quantity_text(line.quantity, line.unit)),
        Column("note", lambda line: line.note.words(units)),
    ]
    title = "From the rack"
    return Noted(section(title, listed(plan.on_hand, columns, width)), title, prose("cut_list", "rack"))

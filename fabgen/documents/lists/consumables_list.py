"""How the consumables of the shopping list were calculated, on the cut list: it is nothing for a merchant."""

from __future__ import annotations

from fabgen.documents.render.flow import Column, Noted, listed, section
from fabgen.documents.render.prose import prose
from fabgen.documents.render.words import quantity_text
from fabgen.plan.plan import Plan


def consumables_as_calculated(plan: Plan, units: str, width: float) -> Noted:
    """The table; nothing where none was calculated.

    Args:
        plan: of the job.
        units: of the job.
        width: of the table, mm.
    """
    if not plan.estimates:
        return Noted()
    columns = [
        Column("item", lambda one: one.item),
        Column("about", lambda one: quantity_text(one.quantity, one.unit), right=True),
        Column("calculated from", lambda one: one.how),
        Column("formula, source", lambda one: one.source),
    ]
    title = "Consumables, how calculated"
    note = " ".join((prose("cut_list", "estimate"), *plan.left_out))
    return Noted(section(title, listed(plan.estimates, columns, width)), title, note)

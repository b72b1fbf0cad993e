"""Bolts from head to nut on the set-out sheet: in what order each goes through washers, parts, spacers and its nut."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reportlab.platypus import Flowable

from fabgen.documents.render.flow import SMALL, cell, section, shared, table
from fabgen.documents.render.prose import prose
from fabgen.documents.render.words import counted, in_mm, length_text
from fabgen.plan.buying.hardware import NUT_NAMES
from fabgen.plan.plan import BoltStack


def bolts_from_head_to_nut(stacks: Sequence[BoltStack], units: str, width: float) -> list[Flowable]:
    """The table; nothing where the job has no bolts.

    Args:
        stacks: the bolts of the job.
        units: of the job.
        width: of the table, mm.
    """
    rows = [
        ["\n".join(filter(None, (stack.name, stack.title))), str(stack.quantity), stack.choice.name,
         ", ".join(_order(stack, units))]
        for stack in stacks
    ]  # fmt: skip
    if not rows:
        return []
    note = cell(prose("set_out", "bolts"), SMALL)
    return section(
        "Bolts",
        note,
        table(["bolt", "qty", "size", in_mm("from head to nut", units)], rows, shared(width, 40, 10, 28, 108), (1,)),
    )


def _order(stack: BoltStack, units: str) -> Iterator[str]:
    choice = stack.choice
    at_nut = choice.washers - choice.washers_at_head
    yield "head"
    if choice.washers_at_head:
        yield counted(choice.washers_at_head, "washer")
    for layer in stack.layers:
        name = layer.name or "not in the job"
        yield f"{name} {length_text(layer.thickness, units)}"
    if at_nut:
        yield counted(at_nut, "washer")
    if choice.nut != "none":
        yield NUT_NAMES[choice.nut]
    elif stack.tapped is not None and stack.tapped.mark:
        yield f"thread in {stack.tapped.mark}"

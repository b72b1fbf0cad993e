"""Bolts from head to nut on the set-out sheet: in what order each goes through washers, parts, spacers and its nut."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import count

from reportlab.platypus import Flowable

from fabgen.documents.render.flow import SMALL, cell, section, table
from fabgen.documents.render.prose import prose
from fabgen.documents.render.words import counted, in_mm, length_text
from fabgen.parts.piece import Piece
from fabgen.parts.shape.bored.bolt_places import places_by_layer, several_places
from fabgen.plan.buying.hardware import NUT_NAMES
from fabgen.plan.plan import BoltStack


def bolts_from_head_to_nut(
    stacks: Sequence[BoltStack], pieces: Sequence[Piece], units: str, width: float
) -> list[Flowable]:
    """The table; nothing where the job has no bolts.

    Args:
        stacks: the bolts of the job.
        pieces: of the job: of a part with several places it says through which each bolt goes.
        units: of the job.
        width: of the table, mm.
    """
    several = several_places(pieces)
    rows = [
        ["\n".join(filter(None, (stack.name, stack.title))), str(stack.quantity), stack.choice.name,
         ", ".join(_order(stack, several, units))]
        for stack in stacks
    ]  # fmt: skip
    if not rows:
        return []
    note = cell(prose("set_out", "bolts"), SMALL)
    return section(
        "Bolts",
        note,
        table(["bolt", "qty", "size", in_mm("from head to nut", units)], rows, width, (1,)),
    )


def _order(stack: BoltStack, several: Mapping[str, int], units: str) -> Iterator[str]:
    choice = stack.choice
    places = places_by_layer((line for line in stack.lines if line.in_line), several)
    listed = count()
    at_nut = choice.washers - choice.washers_at_head
    yield "head"
    if choice.washers_at_head:
        yield counted(choice.washers_at_head, "washer")
    for layer in stack.layers:
        name = layer.name or "not in the job"
        if not layer.open and (at := places.get(next(listed))):
            name = f"{name} ({', '.join(map(str, at))})"  # as the tables above name them
        yield f"{name} {length_text(layer.thickness, units)}"
    if at_nut:
        yield counted(at_nut, "washer")
    if choice.nut != "none":
        yield NUT_NAMES[choice.nut]
    elif stack.tapped is not None and stack.tapped.mark:
        yield f"thread in {stack.tapped.mark}"

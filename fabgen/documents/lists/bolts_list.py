"""Bolts on the cut list: what lies between head and nut, what is on the bolt, and how its thread lies."""

from __future__ import annotations

from collections.abc import Sequence

from fabgen.documents.render.flow import Across, Column, Noted, listed, section
from fabgen.documents.render.prose import prose
from fabgen.documents.render.words import counted, figure, in_mm, length_text
from fabgen.plan.buying.hardware import NUT_NAMES
from fabgen.plan.plan import BoltStack
from fabgen.wording.inches import inch_text


def bolts_by_stack(stacks: Sequence[BoltStack], units: str, width: float) -> Noted:
    """The table; nothing where the job has no bolt.

    Args:
        stacks: the bolts of the job.
        units: of the job.
        width: of the table, mm.
    """
    if not stacks:
        return Noted()
    columns = [
        Column("for", lambda stack: stack.title or stack.name),
        Column("qty", lambda stack: str(stack.quantity), right=True),
        Column(in_mm("from head to nut", units), lambda stack: _layers(stack, units)),
        Column(in_mm("grip", units), lambda stack: length_text(stack.choice.grip, units), right=True),
        Column(in_mm("on it", units), lambda stack: _worn(stack, units)),
        Column(in_mm("shank, thread", units), lambda stack: _shank(stack, units)),
    ]
    title = "Bolts by their stacks"
    like: dict[str, list[BoltStack]] = {}
    for stack in stacks:
        like.setdefault(_bolt_name(stack), []).append(stack)
    rows = [row for name, own in like.items() for row in (Across.of(name), *own)]
    return Noted(section(title, listed(rows, columns, width)), title, prose("cut_list", "bolts"))


def _bolt_name(stack: BoltStack) -> str:
    standard = stack.standard or f"sizes as {stack.choice.standard}"
    return f"{stack.choice.name}, {stack.property_class}, {standard}"


def _layers(stack: BoltStack, units: str) -> str:
    return " + ".join(f"{layer.name} {_thick(layer.thickness, units)}".strip() for layer in stack.layers)


def _thick(size: float, units: str) -> str:
    """A thickness to 0.01 mm, or in inches."""
    return inch_text(size) if units == "in" else figure(size, 2)


def _worn(stack: BoltStack, units: str) -> str:
    choice = stack.choice
    washers = [f"{counted(choice.washers, 'washer')} {_thick(choice.washer, units)}"] if choice.washers else []
    high = length_text(choice.nut_height, units)
    nut = f"{NUT_NAMES[choice.nut]} {high}, {stack.nut.strength}" if choice.nut != "none" else ""
    return ", ".join([*washers, nut] if nut else washers)


def _shank(stack: BoltStack, units: str) -> str:
    choice = stack.choice
    shank = f"plain to about {length_text(choice.shank, units)}" if choice.shank > 0.0 else "threaded to the head"
    if stack.thread_in_joint:
        shank += f"; thread lies across the last joint, at {length_text(stack.last_joint or 0.0, units)}"
    far = length_text(abs(choice.beyond), units)
    if choice.beyond < 0.0:
        beyond = f"{far} short of {'filling the nut' if choice.nut != 'none' else 'the tapped part'}"
    else:
        beyond = f"{far} {'out of the nut' if choice.nut != 'none' else 'into the tapped part'}"
    return f"{shank}; {beyond}"

"""Whether a socket or a spanner goes on to the heads and nuts of bolts where everything stands, and turns them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fabgen.checks.bolt.bolt_places import at_places
from fabgen.checks.checked import Checked
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import Found, found, rule
from fabgen.checks.twins import Where
from fabgen.contact.tools.tool_rooms import Grip, grips
from fabgen.parts.shape.bored.bolt_lines import BoltLine
from fabgen.plan.plan import BoltStack
from fabgen.shop.threaded.spanners import least_swing
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence

_BEFORE = 1.0
"""What comes nearer to a bolt's middle line than this stands before it, mm."""


@dataclass(frozen=True, eq=False)
class _Case:
    """A bolt whose head or nut no tool turns, and at which places, in words."""

    stack: BoltStack
    grip: Grip
    at: Where


@rule("bolt-tool", Level.WARN, source="tools by ISO 2725-1 and ISO 7738, from memory, check against your tools")
def bolt_tool(job: Checked) -> Iterator[Found]:
    """A socket or an open spanner goes on to a bolt's head and nut where everything stands, and turns one of them."""
    shut: list[_Case] = []
    stuck: list[_Case] = []
    for stack in job.plan.bolts:
        off: list[tuple[Grip, BoltLine]] = []
        hardly: list[tuple[Grip, BoltLine]] = []
        for number, line in enumerate(stack.lines):
            ends = list(grips(stack, number, job.contacts.in_the_way)) if line.goes_in else []
            if bad := next((each for each in ends if not each.holds), None):
                off.append((bad, line))
            elif ends and not any(each.turns for each in ends):
                hardly.append((max(ends, key=lambda each: each.swing), line))
        for cases, found_at in ((shut, off), (stuck, hardly)):
            if found_at:
                cases.append(_Case(stack, found_at[0][0], at_places(job, stack, [line for _, line in found_at])))
    if shut:
        words = [sentence(_whose(each, shut), each.at, ": ", _what_shuts(each.grip)) for each in shut]
        yield found("no tool goes on to ", named(words, "; ", FEW), ": move the hole, or weld that end on",
                    about=[each.stack.name for each in shut])  # fmt: skip
    if stuck:
        words = [sentence(_whose(each, stuck), each.at, " ", _swings(each.grip)) for each in stuck]
        yield found("no tool turns head or nut: a spanner on ", named(words, "; ", FEW),
                    f", {least_swing():g}° needed: move the hole, or turn the bolt before the rest is fitted",
                    about=[each.stack.name for each in stuck])  # fmt: skip


def _what_shuts(grip: Grip) -> Sentence:
    assert grip.in_socket is not None
    mark, socket, head = grip.in_socket.mark, mm(grip.tool.socket / 2.0), mm(grip.tool.head / 2.0)
    if grip.in_socket.near < _BEFORE:
        way = sentence(f"{mark} stands before it, a socket needs ", mm(grip.tool.reach))
    else:
        way = sentence(f"{mark} is ", mm(grip.in_socket.near), " from its middle, a socket needs ", socket)
    if grip.in_head is None:
        return sentence(way, ", and a spanner's handle has no way out")
    if grip.in_head.mark == mark:
        return sentence(way, " and a spanner ", head)
    near = mm(grip.in_head.near)
    return sentence(way, f"; {grip.in_head.mark} is ", near, " from its middle, a spanner needs ", head)


def _swings(grip: Grip) -> Sentence:
    assert grip.in_socket is not None
    return sentence(f"swings {grip.swing:.0f}°, and {grip.in_socket.mark} keeps a socket off")


def _whose(case: _Case, cases: Sequence[_Case]) -> str:
    """'its head' of the only one, else 'bolt 2's head'."""
    whose = "its" if len(cases) == 1 else f"{case.stack.name}'s"
    return f"{whose} {case.grip.what}"


RULES = (bolt_tool,)

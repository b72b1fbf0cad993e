"""Whether a socket or a spanner goes on to the heads and nuts of bolts where everything stands, and turns them."""

from __future__ import annotations

from collections.abc import Iterator

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import Found, found, rule
from fabgen.contact.tool_rooms import Grip, grips
from fabgen.plan.plan import BoltStack
from fabgen.shop.threaded.spanners import least_swing
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence

_BEFORE = 1.0
"""What comes nearer to a bolt's middle line than this stands before it, mm."""


@rule("bolt-tool", Level.WARN, source="tools by ISO 2725-1 and ISO 7738, from memory, check against your tools")
def bolt_tool(job: Checked) -> Iterator[Found]:
    """A socket or an open spanner goes on to a bolt's head and nut where everything stands, and turns one of them."""
    shut: list[tuple[BoltStack, Grip]] = []
    stuck: list[tuple[BoltStack, Grip]] = []
    for stack in job.plan.bolts:
        for number, line in enumerate(stack.lines):
            ends = list(grips(stack, number, job.contacts.in_the_way)) if line.goes_in else []
            if bad := next((each for each in ends if not each.holds), None):
                shut.append((stack, bad))
                break
            if ends and not any(each.turns for each in ends):
                stuck.append((stack, max(ends, key=lambda each: each.swing)))
                break
    if shut:
        words = [sentence(f"{_whose(stack, shut)}{grip.what}: ", _what_shuts(grip)) for stack, grip in shut]
        yield found("no tool goes on to ", named(words, "; ", FEW), ": move the hole, or weld that end on",
                    about=[stack.name for stack, _ in shut])  # fmt: skip
    if stuck:
        words = [sentence(f"{_whose(stack, stuck)}{grip.what} ", _swings(grip)) for stack, grip in stuck]
        yield found("no tool turns head or nut: a spanner on ", named(words, "; ", FEW),
                    f", {least_swing():g}° needed: move the hole, or turn the bolt before the rest is fitted",
                    about=[stack.name for stack, _ in stuck])  # fmt: skip


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


def _whose(stack: BoltStack, cases: list[tuple[BoltStack, Grip]]) -> str:
    """'its ' of the only one, else that of 'bolt 2's '."""
    return "its " if len(cases) == 1 else f"{stack.name}'s "


RULES = (bolt_tool,)

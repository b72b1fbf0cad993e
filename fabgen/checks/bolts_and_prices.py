"""Checks of the plan: what fits no stock, the bolts' stacks, and prices that fit nothing."""

from __future__ import annotations

import math
from collections.abc import Iterator

from fabgen.checks.checked import Checked
from fabgen.checks.finding import Found, found
from fabgen.checks.rule import FROM_JOB, Rule, rule
from fabgen.geometry.plane.outline import Circle
from fabgen.parts.piece import FlatPart, Hole, LengthPart, LinkPart
from fabgen.plan.plan import BoltStack
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence


@rule("stock-size", Level.STOP, source=FROM_JOB)
def stock_size(job: Checked) -> Iterator[Found]:
    """Some stock is long or large enough for every piece."""
    return (found(reason, about=mark) for mark, reason in job.plan.unplaced)


@rule("bolt-hole", Level.WARN, source=FROM_JOB)
def bolt_hole(job: Checked) -> Iterator[Found]:
    """A plate that a bolt goes through has a hole that lets it through."""
    for stack, mark, shape in _clamped(job):
        thread = stack.choice.thread
        if isinstance(shape, FlatPart) and not any(_passes(hole, thread.diameter) for hole in shape.holes):
            yield found(f"{mark} has no hole that lets {thread.size} through", about=_name(stack))


@rule("bolt-in-eye", Level.WARN, source=FROM_JOB)
def bolt_in_eye(job: Checked) -> Iterator[Found]:
    """A bolt in a rod end fills its bore."""
    for stack, mark, shape in _clamped(job):
        thread = stack.choice.thread
        bores = {rod.bore for rod in shape.rods if rod.bore} if isinstance(shape, LinkPart) else set()
        if bores and all(bore < thread.diameter - 1e-6 or bore > thread.diameter + 0.5 for bore in bores):
            eyes = f"{thread.size} in the rod ends of {mark}, whose bore is "
            yield found(eyes, mm(min(bores), 4), about=_name(stack))


@rule("bolt-through-tube", Level.WARN)
def bolt_through_tube(job: Checked) -> Iterator[Found]:
    """A bolt does not clamp a bare tube, which gives way."""
    for stack, mark, shape in _clamped(job):
        if isinstance(shape, LengthPart) and not isinstance(shape, LinkPart) and not shape.section.is_solid:
            text = (
                f"{stack.choice.thread.size} clamps the bare tube {mark}, which gives way: weld a sleeve in, as long "
                "as the tube is wide"
            )
            yield found(text, about=_name(stack))


@rule("thread-in-joint", Level.NOTE)
def thread_in_joint(job: Checked) -> Iterator[Found]:
    """A bolt's plain shank, not its thread, takes the shear in the joints."""
    for stack in job.plan.bolts:
        choice, about = stack.choice, _name(stack)
        if stack.thread_in_joint and choice.shank > 0.0:
            shank = sentence(f"the plain shank of {choice.name} ends at ", mm(choice.shank, fixed=True))
            joint = sentence(", before the last joint at ", mm(stack.last_joint or 0.0, fixed=True))
            remedy = "A longer bolt with more washers under the nut brings the shank through"
            yield found(shank, joint, f": the thread takes the shear there. {remedy}", about=about)
        elif stack.thread_in_joint:
            name = f"{choice.name} is threaded to the head, so its thread takes the shear in every joint"
            yield found(name, about=about)


def _of_plan(name: str, about: str) -> Rule[Checked]:
    """A rule that planning itself holds: its remarks are passed on."""

    def check(job: Checked) -> Iterator[Found]:
        return (found(text, about=mark) for mark, rule, text in job.plan.remarks if rule == name)

    return Rule(name, (Level.WARN,), FROM_JOB, about, check)


PLAN_REMARKS = (
    _of_plan("price-unused", "Every price the job gives belongs to a line of the shopping list."),
    _of_plan("rack-hardware", "What lies on the rack is no other than what is to be bought but for a shorter spec."),
    _of_plan("booked-already", "The job has not been taken off this rack before."),
)

BOLT_RULES = (bolt_hole, bolt_in_eye, bolt_through_tube, thread_in_joint)


def _name(stack: BoltStack) -> str:
    return f"bolt {stack.number + 1}"


def _clamped(job: Checked) -> Iterator[tuple[BoltStack, str, FlatPart | LengthPart]]:
    """(bolt, mark, part) for each part that a bolt goes through, once each."""
    shapes = {piece.mark: piece.shape for piece in job.pieces}
    for stack in job.plan.bolts:
        for mark in dict.fromkeys(layer.mark for layer in stack.layers if layer.mark):
            yield stack, mark, shapes[mark]


def _passes(hole: Hole, diameter: float) -> bool:
    if isinstance(hole.shape, Circle):
        return hole.shape.diameter >= diameter - 1e-6
    # A slot at any angle: its width follows from area and perimeter of a stadium, w = (P - sqrt(P^2 - 4 pi A)) / pi.
    area, perimeter = hole.shape.area, hole.shape.perimeter
    width = (perimeter - math.sqrt(max(0.0, perimeter**2 - 4.0 * math.pi * area))) / math.pi
    return width >= diameter - 1e-3

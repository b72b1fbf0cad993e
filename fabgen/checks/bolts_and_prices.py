"""Checks of the bolts' stacks, and of prices that fit nothing."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from fabgen.checks.finding import Finding
from fabgen.geometry.plane.outline import Circle
from fabgen.parts.piece import FlatPart, Hole, LengthPart, LinkPart, Piece
from fabgen.plan.plan import BoltStack, Layer, Plan
from fabgen.wording.levels import Level

PRACTICE = "common practice, no source"


def check_shopping(pieces: Sequence[Piece], plan: Plan) -> list[Finding]:
    """Every finding on the bolts and the prices of a job."""
    by_mark = {piece.mark: piece for piece in pieces}
    found = [finding for stack in plan.bolts for finding in _bolt(stack, by_mark)]
    return found + [Finding(Level.WARN, (about,), rule, text) for about, rule, text in plan.remarks]


def _bolt(stack: BoltStack, by_mark: Mapping[str, Piece]) -> Iterator[Finding]:
    about = f"bolt {stack.number + 1}"
    thread = stack.choice.thread
    for layer in dict.fromkeys(layer for layer in stack.layers if layer.mark):
        shape = by_mark[layer.mark].shape
        if isinstance(shape, FlatPart):
            yield from _hole(about, layer, shape, thread.diameter, thread.size)
        elif isinstance(shape, LinkPart):
            yield from _eye(about, layer, shape, thread.diameter, thread.size)
        elif isinstance(shape, LengthPart) and not shape.section.is_solid:
            yield Finding(
                Level.WARN,
                (about,),
                "bolt-through-tube",
                f"{thread.size} clamps the bare tube {layer.mark}, which gives way: weld a sleeve in, as long as the "
                "tube is wide",
                PRACTICE,
            )
    if stack.thread_in_joint and stack.choice.shank > 0.0:
        yield Finding(
            Level.NOTE,
            (about,),
            "thread-in-joint",
            f"the plain shank of {stack.choice.name} ends at {stack.choice.shank:.1f} mm, before the last joint at "
            f"{stack.last_joint:.1f} mm: the thread takes the shear there. A longer bolt with more washers under the "
            "nut brings the shank through",
            PRACTICE,
        )
    elif stack.thread_in_joint:
        yield Finding(
            Level.NOTE,
            (about,),
            "thread-in-joint",
            f"{stack.choice.name} is threaded to the head, so its thread takes the shear in every joint",
            PRACTICE,
        )


def _hole(about: str, layer: Layer, part: FlatPart, diameter: float, size: str) -> Iterator[Finding]:
    if not any(_passes(hole, diameter) for hole in part.holes):
        yield Finding(Level.WARN, (about,), "bolt-hole", f"{layer.mark} has no hole that lets {size} through", "")


def _passes(hole: Hole, diameter: float) -> bool:
    if isinstance(hole.shape, Circle):
        return hole.shape.diameter >= diameter - 1e-6
    # A slot at any angle: its width follows from area and perimeter of a stadium, w = (P - sqrt(P^2 - 4 pi A)) / pi.
    area, perimeter = hole.shape.area, hole.shape.perimeter
    width = (perimeter - math.sqrt(max(0.0, perimeter**2 - 4.0 * math.pi * area))) / math.pi
    return width >= diameter - 1e-3


def _eye(about: str, layer: Layer, part: LinkPart, diameter: float, size: str) -> Iterator[Finding]:
    bores = {rod.bore for rod in part.rods if rod.bore}
    if bores and all(bore < diameter - 1e-6 or bore > diameter + 0.5 for bore in bores):
        worst = min(bores)
        yield Finding(
            Level.WARN,
            (about,),
            "bolt-in-eye",
            f"{size} in the rod ends of {layer.mark}, whose bore is {worst:g} mm",
            "",
        )

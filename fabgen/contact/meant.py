"""Which things may lie in one another, and how deep that excuses them.

Metal is cut as it is made before it is measured: a coped or slit tube, a bolt in its hole, a tab in its slit share
nothing.  What is left are fits: a bush that is pressed into its hole, and the rubber of one.
"""

from __future__ import annotations

import math

import numpy as np

from fabgen.contact.solids import Solid
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import FlatPart, LengthPart, LinkPart, ProfilePart, WorkedEnd
from fabgen.plan.plan import BoltStack

PRESSED = 0.05
"""By so much of its diameter at most rubber is squeezed in a bush's hole (common practice, no source)."""


def are_one(one: Solid, other: Solid) -> bool:
    """Whether two are parts of one thing that is put together before anything else, as a link and its sleeves, or were
    both there before the job."""
    if one.is_there and other.is_there:
        return True
    return one.owner == other.owner and one.mark != other.mark


def are_lengths(one: Solid, other: Solid) -> bool:
    """Whether both are tubes or profiles: what these share is measured between their cut lines, by the checks of
    tubes and profiles."""
    return all(_is_length(solid) for solid in (one, other))


def _is_length(solid: Solid) -> bool:
    part = solid.part
    if isinstance(part, ProfilePart):
        return True
    return isinstance(part, LengthPart) and not isinstance(part, LinkPart) and not part.is_bent_bar


def meet_twice(one: Solid, other: Solid) -> bool:
    """Whether one of two tubes is coped to the other and one is bent, so that they may meet elsewhere too: straight
    ones meet once."""
    parts = [solid.part for solid in (one, other)]
    if not all(isinstance(part, LengthPart) for part in parts):
        return False
    bent = any(isinstance(part, LengthPart) and part.path is not None for part in parts)
    passes = any(isinstance(part, LengthPart) and (part.through or part.sleeve_of) for part in parts)
    return bent and not passes and any(_ends_on(a, b) for a, b in ((one, other), (other, one)))


def _ends_on(one: Solid, other: Solid) -> list[WorkedEnd]:
    """The ends of one that sit on another or are mitred with it."""
    ends = one.part.ends if isinstance(one.part, LengthPart) else ()
    return [end for end in ends if any(joint.onto == other.mark for joint in end.joints)]


def is_at_joint(one: Solid, other: Solid, at: Array) -> bool:
    """Whether a place where two tubes meet lies in the cut of an end of one that sits on the other.

    Args:
        one, other: tubes.
        at: the place, (3,).
    """
    for first, second in ((one, other), (other, one)):
        for end in _ends_on(first, second):
            assert isinstance(first.part, LengthPart)
            x, y, z = end.frame.inside(at).tolist()
            section, line = first.part.section, end.line.x[~np.isnan(end.line.x)]
            deep = float(line.max(initial=0.0)) + (section.wall or section.width / 2.0)
            if x <= deep and math.hypot(y, z) <= section.reach:
                return True
    return False


def excused(one: Solid, other: Solid) -> float:
    """How deep two may lie in one another, mm: nothing, but for a bush in a hole that is made for it, and a bolt in the
    part that is tapped for it.

    Args:
        one, other: where they stand.
    """
    for first, second in ((one, other), (other, one)):
        part, holds = first.part, second.part
        if isinstance(part, LengthPart) and isinstance(holds, FlatPart) and _is_bored_for(holds, first.mark):
            return PRESSED * part.section.width
        if isinstance(first.source, BoltStack) and _is_tapped(first.source, second.mark):
            return first.source.choice.thread.diameter
    return 0.0


def _is_bored_for(part: FlatPart, mark: str) -> bool:
    return any(hole.bush == mark for hole in part.all_holes)


def _is_tapped(bolt: BoltStack, mark: str) -> bool:
    return bolt.tapped is not None and bolt.tapped.mark == mark


def is_made_for(one: Solid, other: Solid) -> bool:
    """Whether one is cut to the other, bored or tapped for it, or goes through it as a bolt.

    Args:
        one, other: where they stand.
    """
    if excused(one, other) > 0.0 or ends_meet(one, other):
        return True
    bolts = [(first.source, second.mark) for first, second in ((one, other), (other, one))]
    return any(isinstance(bolt, BoltStack) and mark in {seat.passage.mark for line in bolt.lines for seat in line.seats}
               for bolt, mark in bolts)  # fmt: skip


def ends_meet(one: Solid, other: Solid) -> bool:
    """Whether an end of one is cut to the other or mitred with it, slit over it, or goes through it."""
    for first, second in ((one, other), (other, one)):
        part = first.part
        if isinstance(part, LengthPart):
            marks = {weld.onto for weld in part.welds}.union(part.through, part.sleeve_of)
            if second.mark in marks or _ends_on(first, second):
                return True
        if isinstance(part, ProfilePart) and any(second.mark in end.onto for end in part.ends):
            return True
    return False

"""Hollow members that their welds close, and what their own holes do about it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import ENDS, At, LengthPart, Piece, WorkedEnd, made_here
from fabgen.parts.shape.hollow.mouths import Mouths
from fabgen.parts.shape.hollow.open_ends import butts, capped_ends, is_sawn_to_plane
from fabgen.shop.galvanizing import EndHoles, weld_vent

LEVEL = 1.0
"""Ends no farther apart in height than this are level, mm."""


def closed_members(
    job: Definitions, pieces: Sequence[Piece], drilled: bool = True, mouths: Mouths | None = None
) -> list[Piece]:
    """The tubes and links made here without an open end, or whose open ends lead only into others without one.

    Args:
        job: its definitions; some of its welds close an end.
        pieces: of the whole job.
        drilled: whether a hole as wide as a vent opens a member.
        mouths: what lies over its openings, where that is known already.
    """
    mouths = mouths or Mouths(job, pieces)
    hollow = {
        piece.mark: part
        for piece in pieces
        if isinstance(part := piece.shape, LengthPart) and not part.section.is_solid and not part.is_bent_bar
    }
    through: dict[str, set[str]] = {mark: set() for mark in hollow}
    butting = [pair for pair in butts(pieces) if pair[0][0] in hollow and pair[1][0] in hollow]
    meeting = {place for pair in butting for place in pair}
    for one, other in (*_connected(hollow, mouths), *((one, other) for (one, _), (other, _) in butting)):
        through[one].add(other)
        through[other].add(one)
    capped = capped_ends(job, pieces, mouths)
    airy = {
        mark
        for mark, part in hollow.items()
        if (
            not part.is_ring
            and sum(_is_open(mark, part, end, mouths) for end in part.ends if (mark, end.at) not in meeting)
            > capped.get(mark, 0)
        )
        or (drilled and is_vented(mouths.aired(mark, part)))
    }
    open_still = list(airy)
    while open_still:
        reached = through[open_still.pop()] - airy
        airy |= reached
        open_still += reached
    return [piece for piece in made_here(pieces) if piece.mark in hollow and piece.mark not in airy]


def _connected(hollow: Mapping[str, LengthPart], mouths: Mouths) -> Iterator[tuple[str, str]]:
    """The tubes whose bores lead into one another."""
    for mark, part in hollow.items():
        for end in part.ends:
            yield from ((mark, joint.onto) for joint in end.joints if end.opens and joint.onto in hollow)
        yield from ((mark, branch) for hole, branch in mouths.under_branches(part) if branch in hollow)


def _is_open(mark: str, part: LengthPart, end: WorkedEnd, mouths: Mouths) -> bool:
    """Whether air passes: an end crushed flat is as good as closed."""
    if end.line.misses:
        return True
    return is_sawn_to_plane(end) and mouths.end(mark, part, end).is_vent


def is_vented(part: LengthPart) -> bool:
    """Whether one of its own holes is as wide as a vent must be."""
    return any(hole.width >= weld_vent() - 1e-6 for hole in part.drilled if hole.lets_through)


def low_end(part: LengthPart) -> At | None:
    """The lower end of a placed tube; None where both are as high."""
    start, finish = (float(end.frame.origin[2]) for end in part.ends)
    if part.frame is None or abs(start - finish) <= LEVEL:
        return None
    return "start" if start < finish else "finish"


def holes_at(part: LengthPart, at: At) -> list[float]:
    """Widths of its own holes hard by an end, no farther than the tube is wide from its cut, or from where a crushed
    end is round again, mm."""
    to_end = ENDS.index(at)
    near = max(part.section.width, part.section.depth) + part.ends[to_end].flattened
    return [hole.width for hole in part.drilled if hole.lets_through and hole.to_ends[to_end] <= near]


def drains_zinc(part: LengthPart, needed: EndHoles) -> bool:
    """Whether its own holes are those that galvanizing asks for at each end."""
    for at in ENDS:
        widths = holes_at(part, at)
        area = sum(width**2 for width in widths) * math.pi / 4.0
        if needed.sizes and not any(sum(w >= size - 0.01 for w in widths) >= count for count, size in needed.sizes):
            return False
        if not needed.sizes and area < needed.area * 0.999:
            return False
    return True

"""The welds of a job that run round the end of a tube."""

from __future__ import annotations

from collections.abc import Iterable

from fabgen.job.tables.weld_tables import Weld
from fabgen.parts.piece import LengthPart, LinkPart, Piece, WorkedEnd


def end_welds(piece: Piece, known: Iterable[Piece] = ()) -> list[tuple[WorkedEnd, Weld]]:
    """Of each end of a tube that sits on others the welds that the job lists for it.

    Args:
        piece: any; of what is no tube there are none.
        known: all pieces: the weld of two parts may be listed by either.
    """
    part = piece.shape
    if not isinstance(part, LengthPart) or isinstance(part, LinkPart) or part.is_bent_bar:
        return []
    welds = [*piece.welds, *(weld for each in known for weld in each.welds if piece.mark in weld.parts[1:])]
    return [(end, weld) for end in part.ends for weld in welds if meets(end) & ({*weld.parts} - {piece.mark})]


def meets(end: WorkedEnd) -> set[str]:
    """The marks of what an end sits on."""
    met = {joint.onto for joint in end.seats} | {weld.onto for weld in end.welds}
    return met | ({end.stands_on} if end.stands_on else set())

"""The wraps of a profile's ends: which of them need one, and the holes of its own that lie on it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from fabgen.documents.wrap.fold_wrap import FaceHole, FoldPaper, FoldWrap, fold_wraps
from fabgen.parts.piece import ProfileEnd, ProfilePart

_CHORD = 0.01
"""Of the chords of a hole's edge, mm."""


def end_wraps(part: ProfilePart, end: ProfileEnd, paper: FoldPaper) -> tuple[FoldWrap, ...]:
    """The wraps of an end that is notched; () of one that is only sawn.

    Args:
        part: the profile.
        end: one of its ends.
        paper: what they are for.
    """
    if not end.is_notched:
        return ()
    section = part.cross if end.at == "start" else part.cross.flipped()
    return fold_wraps(end.cut, section, paper, tuple(_holes(part, end)))


def _holes(part: ProfilePart, end: ProfileEnd) -> Iterator[FaceHole]:
    """The profile's holes as its end's frame has them."""
    for hole in part.holes:
        station, along = hole.loop.points(_CHORD).T
        if end.at == "finish":
            station, along = end.cut.edge(hole.face).limb.width - station, part.length - along
        yield FaceHole(hole.name, hole.face, np.column_stack((station, along + end.cut.longest)))

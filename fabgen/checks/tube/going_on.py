"""Whether a tube may go on past its end to carry a foot, or the foot is rather moved back onto it."""

from __future__ import annotations

from fabgen.checks.checked import Checked
from fabgen.parts.piece import At, length_parts

FAR = 80.0
"""To carry a foot a tube goes on by no more than this: what stands farther off is at the wrong place (common practice,
no source), mm."""
_DOWN = 0.5
"""Cosine from plumb of an end that looks down."""
_ON_FLOOR = 1.0
"""An end no higher than this over the lowest of the job stands on the floor, mm."""


def may_go_on(job: Checked, mark: str, at: At, past: float) -> bool:
    """Whether a tube is rather let go on past an end than the foot moved back onto it.

    Args:
        job: all of it.
        mark: of the tube.
        at: the end.
        past: how far the foot reaches past that, mm.
    """
    return past <= FAR and not _stands_on_floor(job, mark, at)


def _stands_on_floor(job: Checked, mark: str, at: At) -> bool:
    """Whether the end looks down and is the lowest of the job's: a post does not go on into the floor."""
    ends = {(piece.mark, end.at): end for piece, part in length_parts(job.pieces) for end in part.ends if part.frame}
    end = ends.get((mark, at))
    if end is None or float(end.frame.x[2]) < _DOWN:
        return False
    low = min(float(each.frame.origin[2]) for each in ends.values())
    return float(end.frame.origin[2]) <= low + _ON_FLOOR

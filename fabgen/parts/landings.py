"""What lands on a tube: which ends sit on it, how far from its start and how far round."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.contact import Walls, greatest
from fabgen.parts.openings import Stretch, stretch_at
from fabgen.parts.piece import Piece, WorkedEnd
from fabgen.parts.run import At


@dataclass(frozen=True, slots=True)
class Landing:
    """One end of a branch on a main.

    mm along the main from its start's saw cut, of a bent main as it lies before it is bent:
    `axes` where the two axes are nearest, `skin` where the branch's axis comes through the
    main's outside; None in a bend, `skin` and `round` also where that axis runs past the main.
    `round` rad from the main's top line, clockwise seen from its start, in [0, 2 pi).
    `angle` rad between the axes, acute.
    """

    branch: str
    at: At
    axes: float | None
    skin: float | None
    round: float | None
    angle: float


def landings(main: Piece, pieces: Iterable[Piece]) -> list[Landing]:
    """The coped ends that sit on `main`, from its start on; those in a bend last."""
    part = main.length_part
    if main.kind != "tube" or part is None or part.frame is None:
        return []
    found: list[Landing] = []
    for piece in pieces:
        branch = piece.length_part
        if piece.kind != "tube" or branch is None or branch.frame is None:
            continue
        for end in branch.ends:
            for joint in end.joints if end.cut == "cope" else ():
                if joint.onto == main.mark:
                    stretch = stretch_at(part, end.frame.origin)
                    found.append(_landing(piece.mark, end, stretch, joint.angle))
    return sorted(found, key=lambda each: math.inf if each.axes is None else each.axes)


def _landing(mark: str, end: WorkedEnd, stretch: Stretch | None, angle: float) -> Landing:
    if stretch is None:
        return Landing(mark, end.at, None, None, None, angle)
    outside, branch = stretch.outside, end.frame
    axes = float(outside.frame.inside(branch.origin)[0])
    reach = float(greatest(outside.solid, Walls.lines(branch.origin[np.newaxis], branch.x))[0])
    if math.isnan(reach):
        return Landing(mark, end.at, axes, None, None, angle)
    along, left, up = (float(v) for v in outside.frame.inside(branch.origin + reach * branch.x))
    turn = math.atan2(-left, up) % (2.0 * math.pi)
    # The top line itself, not all but a whole turn from it.
    return Landing(mark, end.at, axes, along, 0.0 if turn > 2.0 * math.pi - 1e-6 else turn, angle)

"""What lands on a tube: which ends sit on it, how far from its start and how far round."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from fabgen.geometry.tube.centreline import Centreline
from fabgen.geometry.tube.contact import greatest
from fabgen.geometry.tube.solids import Walls
from fabgen.parts.holes.openings import Stretch, stretch_at
from fabgen.parts.piece import BendPlace, Landing, LengthPart, WorkedEnd
from fabgen.parts.shape.along_tube import saw_cut_at
from fabgen.parts.shape.tubes import as_met, frame_near


def landings(tubes: Mapping[str, LengthPart]) -> dict[str, list[Landing]]:
    """The coped ends that sit on each tube, by its mark, from its start on; of those that the job places.

    Args:
        tubes: the tubes of the job, by mark.
    """
    found: dict[str, list[Landing]] = {}
    for mark, branch in tubes.items():
        for end in branch.ends if branch.frame is not None else ():
            for joint in end.joints if end.cut == "cope" else ():
                main = tubes.get(joint.onto)
                if main is None or main.frame is None:
                    continue
                stretch = stretch_at(main, end.frame.origin)
                if stretch is None:
                    landing = _in_bend(mark, branch, end, main, joint.angle)
                else:
                    landing = _landing(mark, end, stretch, joint.angle)
                found.setdefault(joint.onto, []).append(landing)
    return {mark: sorted(each, key=lambda landing: landing.axes) for mark, each in found.items()}


def _landing(mark: str, end: WorkedEnd, stretch: Stretch, angle: float) -> Landing:
    outside, branch = stretch.outside, end.frame
    axes = float(outside.frame.inside(branch.origin)[0])
    reach = float(greatest(outside.solid, Walls.lines(branch.origin[np.newaxis], branch.x))[0])
    if math.isnan(reach):
        return Landing(mark, end.at, axes, None, None, angle)
    along, left, up = (float(v) for v in outside.frame.inside(branch.origin + reach * branch.x))
    return Landing(mark, end.at, axes, along, _clockwise(left, up), angle)


def _in_bend(mark: str, branch: LengthPart, end: WorkedEnd, main: LengthPart, angle: float) -> Landing:
    """The same on a main that is bent there."""
    assert main.path is not None
    frame = end.frame
    axes, _ = main.path.locate(frame_near(main, frame.origin, frame.x).origin[np.newaxis])
    ahead = saw_cut_at(main)
    solid = as_met(main, branch, replace(end, gap=0.0))
    assert solid is not None
    reach = float(greatest(solid, Walls.lines(frame.origin[np.newaxis], frame.x))[0])
    if math.isnan(reach):
        s = float(axes[0])
        return Landing(mark, end.at, s - ahead, None, None, angle, _bend_place(main.path, s))
    skin, across = main.path.locate((frame.origin + reach * frame.x)[np.newaxis])
    s, (left, up) = float(skin[0]), (float(v) for v in across[0])
    return Landing(
        mark, end.at, float(axes[0]) - ahead, s - ahead, _clockwise(left, up), angle, _bend_place(main.path, s)
    )


def _bend_place(path: Centreline, s: float) -> BendPlace | None:
    """Which bend a place on a centreline is in, and how far; None on a straight."""
    for number, turn in enumerate(path.turns, 1):
        if turn.at < s < turn.at + turn.length:
            return BendPlace(number, (s - turn.at) / turn.radius)
    return None


def _clockwise(left: float, up: float) -> float:
    """How far round from the top line a place is, clockwise seen from the start, rad in [0, 2 pi)."""
    turn = math.atan2(-left, up) % (2.0 * math.pi)
    # The top line itself, not all but a whole turn from it.
    return 0.0 if turn > 2.0 * math.pi - 1e-6 else turn

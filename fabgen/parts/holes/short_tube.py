"""Short round tubes sawn square that sit in a hole: bushes, crush tubes and sleeves, and the welds round them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fabgen.geometry.space.frame import Frame
from fabgen.geometry.tube.weld_run import weld_run
from fabgen.parts.piece import JointWeld, LengthPart, WorkedEnd
from fabgen.parts.shape.cuts import plain_line
from fabgen.parts.shape.sections import end_profile, section_profile
from fabgen.shop.section import Section

FLUSH = 0.05
"""What stands out by less lies in the face, mm: the weld there has no corner to lie in."""


def short_tube(section: Section, length: float, places: Sequence[Frame] = ()) -> LengthPart:
    """A tube of that length, mm, sawn square.

    Args:
        places: where the start of each stands, x along it; none where that is not known.
    """
    axis = places[0] if places else Frame(np.zeros(3), *np.eye(3))
    line = plain_line(section_profile(section))
    far = Frame.along(axis.origin + length * axis.x, -axis.x, axis.z)
    ends = (
        WorkedEnd("start", "plain", line, Frame.along(axis.origin, axis.x, axis.z), 0.0),
        WorkedEnd("finish", "plain", line, far, 0.0),
    )
    return LengthPart(section, length, length, ends, places[0] if places else None, also=tuple(places[1:]))


@dataclass(frozen=True, slots=True)
class Holder:
    """What a short tube is welded into: its mark, how far the tube stands `proud` of it at either end, mm, and which
    share of all tubes made alike sits in it."""

    mark: str
    proud: float = 0.0
    share: float = 1.0


def welded_in(part: LengthPart, holders: Sequence[Holder]) -> LengthPart:
    """The tube with a weld round its outside at the two outer faces of what it sits in, one for each that such tubes
    sit in.

    Args:
        part: sawn square.
        holders: where the tube is flush with one, the faces have no angle between them.
    """
    start, finish = (
        replace(end, welds=tuple(_weld(part.section, end, holder) for holder in holders)) for end in part.ends
    )
    return replace(part, ends=(start, finish))


def _weld(section: Section, end: WorkedEnd, holder: Holder) -> JointWeld:
    walls = end_profile(section, end).walls(end.frame)
    points = walls.skin + holder.proud * end.frame.x
    run = weld_run(points, -walls.inward, np.tile(-end.frame.x, (len(points), 1)))
    if holder.proud <= FLUSH:
        run = replace(run, angle=np.full(len(points), math.nan))
    return JointWeld(end.at, holder.mark, run, of_all=holder.share)

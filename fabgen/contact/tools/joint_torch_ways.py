"""A torch's way round the joints of tubes: along the weld runs of their ends, past everything else that stands near."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.contact.near import Boxes
from fabgen.contact.solids import Solid
from fabgen.contact.tools.bolt_rooms import bar_between
from fabgen.contact.tools.torch_ways import LONG, Seam, blocked_ways, off_skin
from fabgen.geometry.space.frame import Array, unit
from fabgen.geometry.space.skin import PlacedSkin
from fabgen.parts.piece import JointWeld, LengthPart, LinkPart

_SPACING = 8.0
"""Places along a run lie no farther apart, mm."""
_TOUCH = 1.5
"""A point of a run lies on the skins of both tubes, mm."""
_PIN = 0.2
"""Thickness of what stands for a point of the run when the room beside it is measured, mm."""


@dataclass(frozen=True, eq=False)
class KeptOff:
    """A joint of two tubes where others keep a torch off: how much of its run, mm, of how much; what does so, that
    which does so most first; and how much room is left beside it, mm."""

    weld: JointWeld
    branch: Solid
    main: Solid
    lost: float
    whole: float
    by: tuple[Solid, ...]
    room: float


def kept_off(
    branch: Solid, main: Solid, weld: JointWeld, around: Boxes, passed: Collection[str], torch: float
) -> KeptOff | None:
    """Where others keep a torch off a joint; None where nothing does.  What a torch does not reach past the two tubes
    themselves is not counted.

    Args:
        branch: the tube whose end it is.
        main: what that sits on.
        weld: the run.
        around: everything that has a place.
        passed: marks of what is not in the way: what else meets the two there, and what is not welded with them.
        torch: width of the gap that it goes into, mm.
    """
    seams = list(_seams(branch, main, weld))
    own, by, lost, rooms = {*passed, branch.mark, main.mark}, dict[Solid, float](), 0.0, []
    for seam in seams:
        reach = torch + LONG
        near = around.meeting((seam.at - reach, seam.at + reach))
        others = [each for each in near if each.mark not in own and not isinstance(each.part, LinkPart)]
        if not others:
            continue
        stand = _in_all_ways(seam, [*others, branch, main], {branch.mark, main.mark}, torch / 2.0)
        if not stand:
            continue
        lost += seam.length
        for each in stand:
            by[each] = by.get(each, 0.0) + seam.length
        rooms.append(min(each.cut_skin.gap(_point(seam))[0] for each in stand))
    if not by:
        return None
    first = tuple(sorted(by, key=lambda each: (-round(by[each], 3), each.mark, each.number)))
    return KeptOff(weld, branch, main, lost, sum(seam.length for seam in seams), first, min(rooms))


def _in_all_ways(seam: Seam, near: Sequence[Solid], joined: Collection[str], radius: float) -> list[Solid]:
    """What stands in all ways of a torch that the two tubes leave; nothing where one is free, or they leave none."""
    found: dict[Solid, None] = {}
    for way in blocked_ways(seam, Boxes(near), radius):
        if not way:
            return []
        if not any(each.mark in joined for each in way):
            found.update(dict.fromkeys(way))
    return list(found)


def _point(seam: Seam) -> PlacedSkin:
    out = unit(seam.off_tube + seam.off_sheet)
    return bar_between(seam.at, seam.at + _PIN * out, seam.along, _PIN)


def _seams(branch: Solid, main: Solid, weld: JointWeld) -> Iterator[Seam]:
    """The run cut short, where both skins are known."""
    one, other = branch.part, main.part
    if not isinstance(one, LengthPart) or not isinstance(other, LengthPart):
        return
    points, steps = weld.run.points, weld.run.steps
    whole = float(steps.sum())
    count = max(4, math.ceil(whole / _SPACING))
    done = np.concatenate(([0.0], np.cumsum(steps)))
    for k in range(count):
        i = int(np.searchsorted(done, (k + 0.5) / count * whole, side="right")) - 1
        at, along = points[i], points[(i + 1) % len(points)] - points[i]
        if np.isnan(at).any() or not float(np.linalg.norm(along)):
            continue
        normals = off_skin(other, at, _TOUCH), off_skin(one, at, _TOUCH)
        if normals[0] is not None and normals[1] is not None and not _flush(normals[0], normals[1]):
            yield Seam(at, normals[0], normals[1], unit(along), whole / count)


def _flush(one: Array, other: Array) -> bool:
    """Whether two skins run into one another, or fold over a gap that no torch enters."""
    return abs(float(one @ other)) > 0.94

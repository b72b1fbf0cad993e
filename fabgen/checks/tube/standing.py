"""How tubes stand: which way up a rectangular one, and on what a leaning one."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import FROM_JOB, PRACTICE, Found, found, rule
from fabgen.geometry.space.box_overlap import overlapping
from fabgen.job.expansion.written_keys import Wanted
from fabgen.job.tables.foot_tables import FootGiven
from fabgen.parts.piece import ENDS, At, LengthPart, WorkedEnd
from fabgen.parts.shape.nouns import noun_of
from fabgen.parts.shape.sections import end_profile, half_size
from fabgen.parts.shape.tubes import route_point
from fabgen.shop.section import Section
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, joined, mm, number, sentence

OPEN = 2.0
"""A foot that stands off the floor by more at one side rocks on its edge, mm (common practice, no source)."""

SAME_POINT = 1.0
"""Ends this near meet at one point, mm."""

_OFF = 0.05
"""Less of an end past its plate is held by the weld (common practice, no source)."""

_LYING = math.sin(math.radians(5.0))
"""Upright part of the direction of a tube that lies level."""

_LEVEL = 1.0
"""A point this near to the floor stands on it, mm."""


@rule("which-way-up", Level.NOTE, source=FROM_JOB)
def which_way_up(job: Checked) -> Iterator[Found]:
    """A rectangular tube of two sizes says which of them stands upright."""
    left = [tube for tube in job.own_tables if _is_oblong(tube.section) and "turn" not in tube.model_fields_set]
    if not left:
        return
    sections = {
        tube.section: sentence(f"{tube.section.words(job.units)} its ", mm(tube.section.width)) for tube in left
    }
    told = found(
        "no `turn` is given, so the first figure stands upright (along +x on a vertical tube): of ",
        joined(" and of ", list(sections.values())),
        ". `turn = 90` lays it flat; `turn = 0` says that it is meant",
    )
    yield replace(told, marks=tuple(tube.mark for tube in left))


def _is_oblong(section: Section) -> bool:
    return not section.is_round and section.width != section.depth


@rule("leaning-foot", Level.WARN, source=PRACTICE)
def leaning_foot(job: Checked) -> Iterator[Found]:
    """A leaning tube that ends free at floor height is sawn level there: left square it stands on its edge.  The floor
    is the datum of [measuring], else z = 0 or the underside of the lowest level tube, where no tube's point lies lower
    than z = 0.  An end at which others end is a corner of the frame."""
    floor, shared = _floor(job), _shared_points(job)
    feet = [
        (tube.mark, end, off, float(route_point(part, end.at)[2]) - floor.z)
        for tube in job.own_tables
        if floor is not None and (part := job.tubes.get(tube.mark)) is not None and part.frame is not None
        for end, given in zip(part.ends, (tube.start, tube.finish), strict=True)
        if end.cut == "plain" and given.cut == "auto" and not given.extend and given.crush is None
        and floor.is_near(part, end) and (tube.mark, end.at) not in shared
        and (off := _off_the_floor(part, end)) > OPEN
    ]  # fmt: skip
    if floor is not None and feet:
        saws = " saws it level" if len(feet) == 1 else " saws them level"
        which = job.written.lines((Wanted(mark, end.at, {"cut": "level"}) for mark, end, *_ in feet), saws)
        many = "one end leans and is" if len(feet) == 1 else f"{len(feet)} ends lean and are"
        most = max(off for _, _, off, _ in feet)
        yield found(
            f"{many} left square at floor height, open up to ", mm(most), " under one side: ", which,
            _lower(floor, max(above for *_, above in feet), len(feet)),
            about=[mark for mark, *_ in feet],
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Floor:
    """Where the floor lies.

    Args:
        z: its height, mm.
        points: the height at which points of what stands on it are drawn, mm.
        mark: whose metal reaches down to it, '' where that is no other than the datum or z = 0.
    """

    z: float
    points: float
    mark: str = ""

    def is_near(self, part: LengthPart, end: WorkedEnd) -> bool:
        """Whether an end stands on it: by its point, or by its lowest edge."""
        at = float(route_point(part, end.at)[2])
        lowest = float(end_profile(part.section, end).walls(end.frame).skin[:, 2].min())
        return any(
            abs(height - there) <= _LEVEL for height, there in ((at, self.points), (at, self.z), (lowest, self.z))
        )


def _lower(floor: _Floor, above: float, count: int) -> Sentence:
    """What to do first where the floor lies below the points of feet, at which a level cut is made."""
    if above <= _LEVEL:
        return sentence("")
    whose = f", the underside of {floor.mark}" if floor.mark else ""
    points = "its point" if count == 1 else "their points"
    return sentence(
        f"; the floor{whose}, is " if whose else "; the floor is ",
        mm(above),
        f" below {points}: move {points} down to it first",
    )


@rule("foot-in-air", Level.WARN, source=PRACTICE)
def foot_in_air(job: Checked) -> Iterator[Found]:
    """A foot plate is the lowest metal at its leg: what lands on the leg there does not reach below it."""
    hanging = [
        (tube.mark, at, *lower)
        for tube in job.own_tables
        if (part := job.tubes.get(tube.mark)) is not None and part.frame is not None
        for at, given in zip(ENDS, (tube.start, tube.finish), strict=True)
        if given.foot is not None and part.ends[ENDS.index(at)].frame.x[2] > 0.0
        if (lower := _lower_beside(job, part, at, given.foot)) is not None
    ]
    if not hanging:
        return
    each = [sentence(f"{mark} {at} ", mm(by), f" above the underside of {other}") for mark, at, other, by in hanging]
    feet = "1 foot plate hangs" if len(hanging) == 1 else f"{len(hanging)} foot plates hang"
    framed = any(mark in job.written.expanded.members for mark, *_ in hanging)
    own = ", of a frame's legs by `foot` in the frame's own table" if framed else ""
    yield found(
        f"{feet} in the air (",
        named(each, most=FEW),
        f"): let the leg's point lie as low as the floor{own}",
        about=[mark for mark, *_ in hanging],
    )


@rule("off-plate", Level.WARN, source=PRACTICE)
def off_plate(job: Checked) -> Iterator[Found]:
    """What an end has on the face of a plate or bracket lies on its metal, but for 5 % of it, not past its edge or
    over a hole."""
    past: dict[tuple[str, At], Sentence] = {}
    under: set[str] = set()
    nouns = {piece.mark: noun_of(piece) for piece in job.pieces}
    for tube in job.own_tables:
        part = job.tubes.get(tube.mark)
        for end in part.ends if part is not None else ():
            name = f"{tube.mark} {end.at}"
            if off := [plate for plate in end.plates if plate.off > _OFF]:
                share = number(100.0 * max(plate.off for plate in off), 0)
                past[tube.mark, end.at] = sentence(f"{name} ", share, f" % past the edge of {off[0].onto}")
                under.add(nouns[off[0].onto])
            elif not end.plates and end.cut == "plain" and tube.end(end.at).foot is not None:
                past[tube.mark, end.at] = sentence(f"{name} more than half past its foot plate")
                under.add("plate")
    if past:
        ends = "1 end stands" if len(past) == 1 else f"{len(past)} ends stand"
        yield found(
            f"{ends} in part on nothing (",
            named(list(past.values()), most=FEW),
            f"): {_wider(under.pop()) if len(under) == 1 else 'widen what is under it'}, or move it",
            about=list(dict.fromkeys(mark for mark, _ in past)),
        )


def _wider(under: str) -> str:
    """What to do by what an end stands on."""
    match under:
        case "flat bar":
            return "take a wider flat"
        case "angle":
            return "take an angle with a wider leg, set a cap plate between"
        case "channel" | "T":
            return f"take a wider {under}, set a cap plate between"
        case "square bar" | "hexagon bar":
            return "take a wider bar, set a cap plate between"
        case _:
            return f"widen the {under}"


def _lower_beside(job: Checked, part: LengthPart, at: At, foot: FootGiven) -> tuple[str, float] | None:
    """What lands on a leg near its foot and reaches lowest below the plate, and by how much, mm; None of nothing."""
    point = route_point(part, at)
    under = float(point[2]) - {"bottom": 0.0, "middle": 0.5, "top": 1.0}[foot.point] * foot.thickness
    wide = max(foot.plate) if foot.plate is not None else foot.disc or 0.0
    below: list[tuple[float, str]] = []
    beside = [landing.branch for landing in part.landings]
    beside += [joint.onto for joint in part.ends[ENDS.index(at)].joints]
    for other in dict.fromkeys(beside):
        theirs = job.tubes[other]
        for end in theirs.ends:
            near = float(np.linalg.norm(end.frame.origin - point)) <= wide + part.section.reach
            if near and not np.isnan(end.line.x).all():
                skin = end_profile(theirs.section, end).walls(end.frame).skin
                lowest = np.nanmin((skin + end.line.x[:, None] * end.frame.x)[:, 2])
                below.append((round(under - float(lowest), 6), other))
    by, other = max(below, key=lambda each: each[0], default=(0.0, ""))
    return (other, by) if by > OPEN else None


def _shared_points(job: Checked) -> set[tuple[str, At]]:
    """The ends of tubes whose points other tubes end at too, by their axes or as the job gives them."""
    ends: list[tuple[str, At]] = [(tube.mark, at) for tube in job.job.tube for at in ENDS]
    given = [point for tube in job.job.tube for point in (tube.route[0], tube.route[-1])]
    shared: set[tuple[str, At]] = set()
    for points in (np.array([point.xyz for point in given]), np.array([point.as_given.xyz for point in given])):
        for i, j in overlapping(points - SAME_POINT, points + SAME_POINT, points, points) if ends else ():
            if ends[i][0] != ends[j][0]:
                shared.add(ends[i])
    return shared


def _floor(job: Checked) -> _Floor | None:
    """The floor: the datum of heights, else z = 0 or the lowest metal below it, where no tube's point lies lower; None
    of a job without."""
    if (datum := job.job.measuring.datum) is not None:
        return _Floor(datum, datum)
    points = [point.z for tube in job.job.tube for point in tube.route]
    if not points or min(points) < -_LEVEL:
        return None
    level = {mark: _underside(part) for mark, part in job.tubes.items() if part.frame is not None and part.path is None}
    mark = min(level, key=lambda each: round(level[each], 3), default="")
    return _Floor(level[mark], 0.0, mark) if mark and level[mark] < -_LEVEL else _Floor(0.0, 0.0)


def _underside(part: LengthPart) -> float:
    """The lowest of a level tube's metal, mm; 0 of one that leans or stands."""
    assert part.frame is not None
    if abs(float(part.frame.x[2])) >= _LYING:
        return 0.0
    half = half_size(part.section, part.frame.x, part.frame.z, np.array([0.0, 0.0, 1.0]))
    return min(float(route_point(part, at)[2]) for at in ENDS) - half


def _off_the_floor(part: LengthPart, end: WorkedEnd) -> float:
    """How far one side of a square end stands off the floor when the other is on it, mm; 0 of a level tube."""
    if abs(float(end.frame.x[2])) < _LYING or end.frame.x[2] < 0.0:
        return 0.0
    heights = end_profile(part.section, end).walls(end.frame).skin[:, 2]
    return float(np.ptp(heights))

"""Checks of tubes against one another in space: tubes that run through one another, and feet
of branches that hang past the end of what they sit on."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.rule import Found, found, rule
from fabgen.checks.tube.splices import is_spliced
from fabgen.checks.tube.tube_bodies import Block, Body, Strip, apart, bodies_of
from fabgen.checks.tube.ways_out import ways_out
from fabgen.geometry.space.box_overlap import overlapping
from fabgen.geometry.space.lines import nearest_places
from fabgen.geometry.tube.contact import greatest, least
from fabgen.geometry.tube.solids import distance
from fabgen.parts.piece import ENDS, WorkedEnd
from fabgen.parts.shape.cuts import lines_onto
from fabgen.parts.shape.sections import end_profile
from fabgen.parts.shape.tubes import as_met, route_point
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence, to_paste

CLASH = 0.5
"""Tubes may share less than this, mm: points are seldom better measured."""

MOST = 1.25
"""A tube that carries a foot goes on by at most so many times its own greater size (common practice, no source)."""

LAP = 0.5
"""Tubes that lie into one another by less, or apart by less, lie against one another, mm."""


# -- running through ---------------------------------------------------------------
@rule("tubes-cross", Level.STOP)
def tubes_cross(job: Checked) -> Iterator[Found]:
    """Tubes run into one another only where one is coped onto, or mitred with, the other, or passes through a hole
    in it."""
    for one, other in _near_pairs(job):
        metal = shared(one, other)
        if metal.length > CLASH and metal.depth > LAP:
            cross = sentence(f"runs through {one.mark} over ", mm(metal.length), ", ", mm(metal.depth), " deep")
            yield found(cross, ", and neither is coped onto the other there", ways_out(one, other), about=other.mark)


@rule("tube-lap", Level.NOTE)
def tube_lap(job: Checked) -> Iterator[Found]:
    """Straight tubes that lie against one another are laps or doubled members: a note of their weld lines."""
    for one, other in _near_pairs(job):
        if one.part.path is None and other.part.path is None and (long := _lap(one, other)) > CLASH:
            lines = sentence(
                f"lies against {one.mark}, a lap: weld lines 2 x ", mm(long), ", one along either side of it"
            )
            yield found(lines, about=other.mark)


def _near_pairs(job: Checked) -> Iterator[tuple[Body, Body]]:
    """Tubes near one another of which neither sits on, is mitred with, or passes through the other."""
    bodies = list(bodies_of(job.tubes).values())
    if not bodies:
        return
    low, high = (np.array([body.box[i] for body in bodies]) for i in (0, 1))
    for i, j in overlapping(low - LAP, high + LAP, low, high):
        one, other = bodies[i], bodies[j]
        passes = other.mark in (*one.part.through, *one.part.sleeve_of)
        passes = passes or one.mark in (*other.part.through, *other.part.sleeve_of)
        joined = one.joined_to(other.mark) or other.joined_to(one.mark)
        if i < j and not passes and not joined and not _astray_together(one, other):
            yield one, other


def _astray_together(one: Body, other: Body) -> bool:
    """Whether ends of both are left plain at the corner of one bent tube's route, or an end of one at the other's: this
    is said of the ends (`short-of-bend`)."""
    marks = [{end.astray for end in body.part.ends if end.astray} for body in (one, other)]
    return bool(marks[0] & marks[1]) or other.mark in marks[0] or one.mark in marks[1]


def _lap(one: Body, other: Body) -> float:
    """The length over which two straight tubes lie against one another, mm; 0 where they do not."""
    across = np.cross(one.frame.x, other.frame.x)
    places = nearest_places(one.frame.origin, one.frame.x, other.frame.origin, other.frame.x)
    if places is None or float(np.linalg.norm(across)) < 1e-6:
        apart = other.frame.origin - one.frame.origin
        apart = apart - float(apart @ one.frame.x) * one.frame.x
        ends = sorted(float((other.route_end(at) - one.frame.origin) @ one.frame.x) for at in ENDS)
        long = min(ends[1], one.part.axis) - max(ends[0], 0.0)
    else:
        if not all(_between_ends(body, at) for body, at in zip((one, other), places, strict=True)):
            return 0.0
        apart = other.frame.origin + places[1] * other.frame.x - one.frame.origin - places[0] * one.frame.x
        wide = one.half(np.cross(across, one.frame.x) / np.linalg.norm(across))
        long = 2.0 * wide / float(np.linalg.norm(across))
    away = float(np.linalg.norm(apart))
    if away < CLASH or abs(away - sum(body.half(apart / away) for body in (one, other))) > LAP:
        return 0.0
    return long


def _between_ends(body: Body, at: float) -> bool:
    return body.part.section.reach < at < body.part.axis - body.part.section.reach


@dataclass(frozen=True, slots=True)
class Shared:
    """What two tubes share: the longest stretch of one's outside lines within the other, and how deep they lie, mm."""

    length: float = 0.0
    depth: float = 0.0

    def with_more(self, other: Shared) -> Shared:
        """The greater of either."""
        return Shared(max(self.length, other.length), max(self.depth, other.depth))


def shared(one: Body, other: Body) -> Shared:
    """The metal that two tubes share, each filled up."""
    found = Shared()
    for first, second in ((one, other), (other, one)):
        for strip in first.strips:
            for block in second.blocks:
                if not apart(strip.box, block.box):
                    found = found.with_more(_shared_in(strip, block, second))
    return found


def _shared_in(strip: Strip, block: Block, other: Body) -> Shared:
    walls = strip.walls
    enter = np.maximum(least(block.solid, walls), strip.begin)
    leave = np.minimum(greatest(block.solid, walls), strip.end)
    inside = leave - enter > CLASH
    if not inside.any():
        return Shared()
    enter, leave, skin = enter[inside], leave[inside], walls.skin[inside]
    found = Shared()
    for part in (0.25, 0.5, 0.75):
        # But for flat cuts the block is cut square; on each side the other's metal may begin later than that.
        points = skin + (enter + part * (leave - enter))[:, None] * walls.along
        at, begins, ends = other.extent(points)
        true = (at > begins + CLASH) & (at < ends - CLASH)
        away = distance(block.solid, points)
        if block.curved:
            true &= away < 0.0
        if true.any():
            found = found.with_more(Shared(float((leave - enter)[true].max()), float(-away[true].min())))
    return found


# -- feet ---------------------------------------------------------------------------
@rule("foot-past-end", Level.WARN, Level.STOP)
def foot_past_end(job: Checked) -> Iterator[Found]:
    """The foot of a coped end lies on its main, not past the main's end; where all of it is past it sits on
    nothing."""
    bodies = bodies_of(job.tubes)
    for body in bodies.values():
        for end in body.part.ends:
            if end.cut == "cope":
                yield from foot_hangs(body, end, bodies)


def foot_hangs(body: Body, end: WorkedEnd, bodies: Mapping[str, Body]) -> Iterator[Found]:
    """What is said of a coped end's foot that hangs past the ends of its mains."""
    profile = end_profile(body.part.section, end)
    mains = [bodies[joint.onto] for joint in end.joints if joint.onto in bodies]
    solids = [solid for main in mains if (solid := as_met(main.part, body.part, end)) is not None]
    lines = lines_onto(profile, end.frame, solids, end.fit)
    skin = profile.walls(end.frame).skin
    for main, own in zip(mains, lines, strict=True):
        rules = np.abs(own - end.line.x) < 0.01
        if not rules.any():
            continue
        points = skin[rules] + end.line.x[rules, None] * end.frame.x
        at, begins, ends = main.extent(points)
        for theirs, past in ((main.start, begins - at), (main.finish, at - ends)):
            # Where the main ends on another of this end's mains, that one carries the foot on.
            carried = any(joint.onto in {other.mark for other in mains} for joint in theirs.joints)
            carried = carried or any(
                is_spliced(theirs, far) for other in mains if other is not main for far in other.part.ends
            )
            hang = float(np.nanmax(past)) if not np.isnan(past).all() else 0.0
            if hang > CLASH and not carried:
                off = float(np.nanmin(past)) > 0.0
                past_it = sentence(mm(hang), f" past the {theirs.at} of {main.mark}: ")
                hangs = sentence(f"the foot of its {end.at} hangs ", past_it)
                if off:
                    hangs = sentence(f"its {end.at} sits on nothing, its foot ends ", past_it)
                level = Level.STOP if off else Level.WARN
                yield found(hangs, _remedy(main, theirs, hang), about=body.mark, level=level)


def _remedy(main: Body, end: WorkedEnd, hang: float) -> Sentence:
    if end.cut != "plain" or main.part.frame is None or hang > MOST * max(main.part.section.sizes[:2]):
        # What would have to go on so far is met too flat, or at the wrong place.
        return sentence(f"move the branch along {main.mark}, mitre the two, or name everything it sits on with `onto`")
    already = float((route_point(main.part, end.at) - end.frame.origin) @ end.frame.x)
    extend = math.ceil(round((already + hang) * 10.0, 4)) / 10.0
    paste = sentence(f"`{end.at} = {{ extend = ", to_paste(extend), " }`")
    return sentence(f"let {main.mark} go on there (", paste, "), or mitre the two")

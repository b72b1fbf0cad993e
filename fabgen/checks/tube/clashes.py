"""Checks of tubes against one another in space: tubes that run through one another, and feet
of branches that hang past the end of what they sit on."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.rule import Found, found, rule
from fabgen.checks.tube.tube_bodies import Block, Body, Strip, apart, bodies_of
from fabgen.geometry.space.box_overlap import overlapping
from fabgen.geometry.tube.contact import greatest, least
from fabgen.geometry.tube.solids import distance
from fabgen.parts.piece import WorkedEnd
from fabgen.parts.shape.cuts import lines_onto
from fabgen.parts.shape.sections import end_profile
from fabgen.parts.shape.tubes import as_met, route_point
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence, to_paste

CLASH = 0.5
"""Tubes may share less than this, mm: points are seldom better measured."""


# -- running through ---------------------------------------------------------------
@rule("tubes-cross", Level.STOP)
def tubes_cross(job: Checked) -> Iterator[Found]:
    """Tubes run through one another only where one is coped onto, or mitred with, the other."""
    bodies = list(bodies_of(job.tubes).values())
    if not bodies:
        return
    low, high = (np.array([body.box[i] for body in bodies]) for i in (0, 1))
    for i, j in overlapping(low, high, low, high):
        one, other = bodies[i], bodies[j]
        if i >= j or one.joined_to(other.mark) or other.joined_to(one.mark):
            continue
        shared = max(shared_length(one, other), shared_length(other, one))
        if shared > CLASH:
            cross = sentence(f"runs through {one.mark} over ", mm(shared))
            yield found(cross, ", and neither is coped onto the other there", about=other.mark)


def shared_length(one: Body, other: Body) -> float:
    """The longest stretch of `one`'s outside lines that lies within `other`, mm."""
    pairs = ((strip, block) for strip in one.strips for block in other.blocks if not apart(strip.box, block.box))
    return max((_shared_in(strip, block, other) for strip, block in pairs), default=0.0)


def _shared_in(strip: Strip, block: Block, other: Body) -> float:
    walls = strip.walls
    enter = np.maximum(least(block.solid, walls), strip.begin)
    leave = np.minimum(greatest(block.solid, walls), strip.end)
    inside = leave - enter > CLASH
    if not inside.any():
        return 0.0
    enter, leave, skin = enter[inside], leave[inside], walls.skin[inside]
    longest = 0.0
    for part in (0.25, 0.5, 0.75):
        # The block is cut square; on each side the other's metal may begin later than that.
        points = skin + (enter + part * (leave - enter))[:, None] * walls.along
        at, begins, ends = other.extent(points)
        true = (at > begins + CLASH) & (at < ends - CLASH)
        if block.curved:
            true &= distance(block.solid, points) < 0.0
        if true.any():
            longest = max(longest, float((leave - enter)[true].max()))
    return longest


# -- feet ---------------------------------------------------------------------------
@rule("foot-past-end", Level.WARN, Level.STOP)
def foot_past_end(job: Checked) -> Iterator[Found]:
    """The foot of a coped end lies on its main, not past the main's end; where all of it is past it sits on
    nothing."""
    bodies = bodies_of(job.tubes)
    for body in bodies.values():
        for end in body.part.ends:
            if end.cut == "cope":
                yield from _foot(body, end, bodies)


def _foot(body: Body, end: WorkedEnd, bodies: Mapping[str, Body]) -> Iterator[Found]:
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
    if end.cut != "plain" or main.part.frame is None:
        return sentence(f"move the branch along {main.mark}, or name everything it sits on with `onto`")
    already = float((route_point(main.part, end.at) - end.frame.origin) @ end.frame.x)
    extend = math.ceil(round((already + hang) * 10.0, 4)) / 10.0
    paste = sentence(f"`{end.at} = {{ extend = ", to_paste(extend), " }`")
    return sentence(f"let {main.mark} go on there (", paste, "), or mitre the two")

"""Checks of tubes, their copes, and the holes in mains into which a branch's bore opens."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from fabgen.checks.checked import Checked, Checking
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.geometry.space.frame import Frame, cross
from fabgen.geometry.tube.centreline import Turn
from fabgen.job.expansion.written_keys import Wanted
from fabgen.parts.piece import LengthPart, WorkedEnd, sawn_square
from fabgen.parts.shape.cuts import section_share, side_lengths
from fabgen.parts.shape.sections import section_profile
from fabgen.parts.shape.tubes import frame_near, route_point
from fabgen.parts.shape.welds.weld_families import side_words
from fabgen.shop.section import Section
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, degrees, joined, lengths, mm, number, sentence

LEAST_ANGLE = math.radians(30.0)
ANGLE_SOURCE = "EN 1993-1-8:2005, 7.1.2(3), clause from memory"
WIDTH_SOURCE = "EN 1993-1-8:2005, table 7.1, from memory"

_ON_BEND = 1.0
"""A point this near to the centreline of a bend is meant to lie on it, mm."""

Tube = Checking[LengthPart]


_HALF = 0.5
"""An end that more than this share of its round has nothing to sit on makes no joint (common practice, no source)."""


@rule("end-misses", Level.WARN, Level.STOP)
def end_misses(of: Tube) -> Iterator[Found]:
    """A coped or mitred end meets its mains all the way round: where it does not meet them at all, or runs past them
    over more than half of its round, there is no joint; where it runs past less of them, that part of it has no
    seat."""
    for end in of.part.ends:
        if not end.line.misses or end.cut == "plane":
            continue
        onto = " and ".join(joint.onto for joint in end.joints)
        lost = np.isnan(end.line.x)
        bend = _bend_point(of, end)
        if lost.all():
            nowhere = f"the {end.at} does not meet {onto} anywhere: "
            advice = bend or "check its point, its offset and what it sits on"
            yield found(nowhere, advice, level=Level.STOP)
            continue
        share = _share(of.part, end, lost)
        past = sentence(f"the {end.at} runs past {onto} over ", number(100.0 * share, 0), " % of its round, ")
        cure = bend or "take a thinner branch, a wider main or less offset"
        if share > _HALF:
            yield found(past, _arcs(end, lost), ": that is no joint; ", cure, level=Level.STOP)
        else:
            yield found(past, _arcs(end, lost), ", with nothing to sit on there: ", cure)


def _bend_point(of: Tube, end: WorkedEnd) -> Sentence | None:
    """Where to set the point of an end that aims past the bend of a main; None where it aims at a straight, or well."""
    if of.part.frame is None:
        return None
    for joint in end.joints:
        main = of.job.tubes.get(joint.onto)
        path = main.path if main is not None else None
        point = route_point(of.part, end.at)
        turn = path.nearest(point) if path is not None else None
        if not isinstance(turn, Turn):
            continue
        place = turn.frame_at(float(turn.locate(point[None, :], 0.0, turn.length)[0][0])).origin
        if (off := float(np.linalg.norm(point - place))) > _ON_BEND:
            own = (tube for tube in of.job.job.tube if tube.mark == of.mark)
            moved = of.job.written.points((tube, end.at, place.tolist()) for tube in own)
            return sentence("its point lies ", mm(off), f" off a bend of {joint.onto}; ", moved, ", the nearest on it")
    return None


@rule("shallow-cope", Level.WARN, source=ANGLE_SOURCE)
def shallow_cope(of: Tube) -> Iterator[Found]:
    """The angle between a branch and its main is 30 degrees or more."""
    for end in of.part.ends:
        for joint in end.joints if end.cut == "cope" else ():
            if joint.angle < LEAST_ANGLE - 1e-6:
                tight = "the heel is too tight to weld to the root; have the joint designed for it"
                yield found(f"the {end.at} meets {joint.onto} at ", degrees(joint.angle), f", under 30°: {tight}")


@rule("saw-reach", Level.NOTE)
def saw_reach(of: Tube) -> Iterator[Found]:
    """A straight cut needs no more than 45 degrees of swing or tilt, which is as far as most saws go."""
    if any(end.saw is not None and end.saw.is_beyond_reach for end in of.part.ends):
        instead = "clamp it square to the fence and swing the rest of 90°, or cut by the template"
        yield found(f"a cut of it needs the saw over 45° from square, which few reach: {instead}; see its drawing")


@rule("branch-wider", Level.WARN, source=WIDTH_SOURCE)
def branch_wider(of: Tube) -> Iterator[Found]:
    """A branch is no wider than its main, both measured square to the plane of their axes."""
    for end in of.part.ends:
        for joint in end.joints if end.cut == "cope" else ():
            if (main := of.job.tubes.get(joint.onto)) is None:
                continue
            wide, seat = _widths(of.part.section, end, main.section, frame_near(main, end.frame.origin, end.frame.x))
            if wide > seat + 0.1:
                sizes = sentence(f"at its {end.at} the branch is ", mm(wide), f" wide and {joint.onto} only ", mm(seat))
                yield found(sizes, ": its sides have no seat on the main")


@rule("cut-through", Level.STOP, source=FROM_JOB)
def cut_through(of: Tube) -> Iterator[Found]:
    """The cuts of the two ends do not meet."""
    shortest = side_lengths(of.part)
    if not np.isnan(shortest).all() and np.nanmin(shortest) <= 0.0:
        yield found("the cuts of its two ends cross one another: on one side nothing is left of the tube")


@rule("solid-square", Level.NOTE, source="geometry of the two sections")
def solid_square(job: Checked) -> Iterator[Found]:
    """Solid bar square on a round tube is not left sawn square, open at the sides, unsaid."""
    square = [
        (mark, end, (math.hypot(main.section.width, part.section.width) - main.section.width) / 2.0)
        for mark, part in job.tubes.items()
        for end in part.ends
        if end.joints and (main := job.tubes.get(end.joints[0].onto)) is not None
        and main.section.is_round and part.section.is_round and sawn_square(part.section, end)
    ]  # fmt: skip
    if not square:
        return
    one, (_, end, left) = len(square) == 1, max(square, key=lambda each: each[2])
    whose = f"its {end.at} is sawn square, leaves " if one else f"{len(square)} ends are sawn square, leave up to "
    where = f"of {end.joints[0].onto}, and has no template; " if one else "of what they sit on, and have no template; "
    copes = " copes it" if one else " copes them"
    lines = job.written.lines((Wanted(mark, end.at, {"fit": "outside"}) for mark, end, _ in square), copes)
    yield found(whose, mm(left), " open at the sides ", where, lines, about=[mark for mark, *_ in square])


RULES = (end_misses, shallow_cope, saw_reach, branch_wider, cut_through)


# -- holes in mains -----------------------------------------------------------------
@rule("no-hole", Level.STOP, source=FROM_JOB)
def no_hole(of: Tube) -> Iterator[Found]:
    """The hole for a bore that opens into its main can be marked."""
    for end in of.part.ends:
        for why in end.no_hole:
            yield found(f"no template for the hole at its {end.at}: {why}")


@rule("hole-in-wall", Level.WARN)
def hole_in_wall(of: Tube) -> Iterator[Found]:
    """The hole for a bore comes out in the main's own bore, not in its wall."""
    for hole in (hole for hole in of.part.holes if not hole.through):
        text = (
            f"its bore is too wide for {hole.main}: at its sides the hole for {hole.name} runs down in the "
            f"wall of {hole.main} and never comes out in its bore; keep the hole within that bore there"
        )
        yield found(text, about=hole.branch)


HOLE_RULES = (no_hole, hole_in_wall)


# -- helpers ----------------------------------------------------------------------
def _arcs(end: WorkedEnd, lost: NDArray[np.bool_]) -> Sentence:
    """'at the sides, 20 to 34 mm and 71 to 85 mm along the wrap from its left edge', the lost places taken
    round the tube."""
    count, phi, station = len(lost), end.line.phi, end.line.station
    begins = [i for i in range(count) if lost[i] and not lost[i - 1]]
    places, sides = [], []
    for begin in begins:
        last = begin
        while lost[(last + 1) % count]:
            last = (last + 1) % count
        middle = phi[begin] + (phi[last] - phi[begin]) % (2.0 * math.pi) / 2.0
        sides.append(f"at {side_words(end, float(middle))}")
        places.append(lengths((station[begin], station[last]), " to ", 0))
    where = f"{' and '.join(dict.fromkeys(sides))}, "
    return sentence(where, joined(" and ", places), " along the wrap from its left edge")


def _share(part: LengthPart, end: WorkedEnd, lost: NDArray[np.bool_]) -> float:
    """Share of the round that is lost."""
    return float(section_share(part, part.ends.index(end))[lost].sum())


def _widths(own: Section, end: WorkedEnd, under: Section, axis: Frame) -> tuple[float, float]:
    """Width of a branch and of its main across the plane of their axes, mm."""
    across = cross(end.frame.x, axis.x)
    across = across / np.linalg.norm(across)
    skin = section_profile(own, end.top).skin
    wide = np.ptp(skin @ np.array([across @ end.frame.y, across @ end.frame.z]))
    top = section_profile(under, math.pi / 2.0).skin
    seat = np.ptp(top @ np.array([across @ axis.y, across @ axis.z]))
    return float(wide), float(seat)

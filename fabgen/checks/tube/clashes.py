"""Checks of tubes against one another in space: tubes that run through one another, and feet
of branches that hang past the end of what they sit on."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fabgen.checks.checked import Checked, once
from fabgen.checks.grouped import named
from fabgen.checks.rule import Found, found, rule
from fabgen.checks.tube.crossing_tubes import Crossing, crossing_words, subjects
from fabgen.checks.tube.going_on import may_go_on
from fabgen.checks.tube.in_line import in_line_words, overlap_in_line
from fabgen.checks.tube.splices import is_spliced
from fabgen.checks.tube.tube_bodies import Block, Body, Filled, Strip, apart, tube_bodies
from fabgen.checks.tube.ways_out import Fit, fit_words, ways_out
from fabgen.geometry.space.box_overlap import overlapping
from fabgen.geometry.space.lines import nearest_places
from fabgen.geometry.tube.contact import greatest, least
from fabgen.geometry.tube.solids import distance
from fabgen.job.expansion.written_keys import Wanted, WrittenKeys
from fabgen.parts.piece import ENDS, At, WorkedEnd
from fabgen.parts.shape.cuts import lines_onto
from fabgen.parts.shape.sections import end_profile
from fabgen.parts.shape.tubes import as_met, route_point
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, outward_to_paste, sentence

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
    in it; none lies in another along one line."""
    crossings: list[Crossing] = []
    alike: dict[str, list[_Clash]] = {}
    uncut: list[_Clash] = []
    plain = {(mark, at) for mark, tube in job.tube_tables.items() for at in ENDS if tube.end(at).cut == "plain"}
    for one, other, metal in _run_together(job):
        if (in_line := overlap_in_line(one, other)) is not None:
            yield found(*in_line_words(one, other, in_line, job), about=other.mark)
        else:
            way = ways_out(one, other, metal.length, plain)
            if isinstance(way, Crossing):
                crossings.append(way.turned() if way.body.mark in job.as_it_is else way)
            elif way.mark in job.as_it_is:
                old, new = (one, other) if way.mark == one.mark else (other, one)
                uncut.append(_Clash(old.mark, new.mark, _deep(old, new, metal) if way.at else metal, way))
            else:
                alike.setdefault(way.kind, []).append(_Clash(one.mark, other.mark, metal, way))
    for clashes in alike.values():
        said = sentence(_clash_words(clashes), fit_words([each.way for each in clashes], job))
        yield found(said, about=[each.other for each in clashes])
    if uncut:
        yield found(_uncut_words(uncut), about=[each.other for each in uncut])
    if crossings:
        yield found(*crossing_words(crossings, job), about=subjects(crossings))


@once
def _run_together(job: Checked) -> list[tuple[Body, Body, Shared]]:
    """Tubes that run into one another or lie in one another along one line, with what they share."""
    pairs = ((one, other, shared(one, other)) for one, other in _near_pairs(job))
    return [
        (one, other, metal)
        for one, other, metal in pairs
        if (metal.length > CLASH and metal.depth > LAP) or overlap_in_line(one, other) is not None
    ]


def run_together(job: Checked) -> frozenset[frozenset[str]]:
    """The marks of tubes that run into one another, two by two.

    Args:
        job: as checked.
    """
    return frozenset(frozenset((one.mark, other.mark)) for one, other, _ in _run_together(job))


@dataclass(frozen=True, eq=False)
class _Clash:
    """Two tubes of which one runs into the other, the metal that they share, and what to do."""

    one: str
    other: str
    metal: Shared
    way: Fit


def _clash_words(clashes: Sequence[_Clash]) -> Sentence:
    if len(clashes) == 1:
        (only,) = clashes
        sizes = sentence(mm(only.metal.length), ", ", mm(only.metal.depth), " deep")
        return sentence(f"runs through {only.one} over ", sizes, ", and neither is coped onto the other there: ")
    each = [sentence(f"{clash.other} in {clash.one} ", mm(clash.metal.depth), " deep") for clash in clashes]
    what = f"{len(clashes)} pairs of tubes run into one another, neither coped onto the other ("
    return sentence(what, named(each), "): ")


def _uncut_words(clashes: Sequence[_Clash]) -> Sentence:
    """Of tubes into which the end of one runs that is not made here, so that nothing cuts it."""
    each = [sentence(f"{clash.one} in {clash.other} ", mm(clash.metal.depth), " deep") for clash in clashes]
    olds = list(dict.fromkeys(clash.one for clash in clashes))
    what, it, is_not = ("runs", "it", f"{olds[0]} is not") if len(olds) == 1 else ("run", "them", "they are not")
    return sentence(
        f"{' and '.join(olds)} {what} into what is made here (", named(each), f"): {is_not} made here, so nothing cuts "
        f"{it}: end the new tube on {it}, or lead it clear",
    )  # fmt: skip


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
    """Tubes near one another of which neither sits on, is mitred with, or passes through the other, and of which one is
    made here; what is not comes first."""
    bodies = sorted(tube_bodies(job).values(), key=lambda body: body.mark not in job.as_it_is)
    if not bodies:
        return
    low, high = (np.array([body.box[i] for body in bodies]) for i in (0, 1))
    for i, j in overlapping(low - LAP, high + LAP, low, high):
        one, other = bodies[i], bodies[j]
        passes = other.mark in (*one.part.through, *one.part.sleeve_of)
        passes = passes or one.mark in (*other.part.through, *other.part.sleeve_of)
        joined = one.joined_to(other.mark) or other.joined_to(one.mark)
        if other.mark in job.as_it_is:
            continue
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


def shared(one: Filled, other: Filled) -> Shared:
    """The metal that two share, each filled up."""
    found = Shared()
    for first, second in ((one, other), (other, one)):
        for strip in first.strips:
            for block in second.blocks:
                if not apart(strip.box, block.box):
                    found = found.with_more(_shared_in(strip, block, second))
    return found


def _deep(one: Filled, other: Filled, metal: Shared) -> Shared:
    """What two share, as deep as the first, whose end is in the other, runs in that along itself."""
    pairs = ((strip, block) for strip in one.strips for block in other.blocks if not apart(strip.box, block.box))
    deep = max((_shared_in(strip, block, other).length for strip, block in pairs), default=0.0)
    return replace(metal, depth=deep) if deep > 0.0 else metal


def _shared_in(strip: Strip, block: Block, other: Filled) -> Shared:
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
@dataclass(frozen=True, eq=False)
class _Hang:
    """A foot that hangs past the end of its main.

    Args:
        mark, at: the branch and its end.
        main, end: what it sits on, and that one's end.
        past: how far its foot goes past it, mm.
        is_off: whether all of it is past.
    """

    mark: str
    at: At
    main: Body
    end: WorkedEnd
    past: float
    is_off: bool

    @property
    def level(self) -> Level:
        return Level.STOP if self.is_off else Level.WARN

    @property
    def can_go_on(self) -> bool:
        """Whether the main let go on carries the foot: what would have to go on far is met too flat, or at the wrong
        place."""
        part = self.main.part
        return self.end.cut == "plain" and part.frame is not None and self.past <= MOST * max(part.section.sizes[:2])

    @property
    def extend(self) -> float:
        """What the end of the main is to have, mm; what it has already is in it."""
        already = float((route_point(self.main.part, self.end.at) - self.end.frame.origin) @ self.end.frame.x)
        return already + self.past


@rule("foot-past-end", Level.WARN, Level.STOP)
def foot_past_end(job: Checked) -> Iterator[Found]:
    """The foot of a coped end lies on its main, not past the main's end; where all of it is past it sits on
    nothing."""
    bodies = tube_bodies(job)
    alike: dict[tuple[Level, bool], list[_Hang]] = {}
    for body in bodies.values():
        for end in body.part.ends if body.mark not in job.as_it_is else ():
            for hang in foot_hangs(body, end, bodies) if end.cut == "cope" else ():
                goes_on = hang.can_go_on and hang.main.mark not in job.as_it_is
                goes_on = goes_on and may_go_on(job, hang.main.mark, hang.end.at, hang.past)
                alike.setdefault((hang.level, goes_on), []).append(hang)
    for (level, goes_on), hangs in alike.items():
        about = [hang.mark for hang in hangs]
        do = _goes_on(hangs, job.written) if goes_on else _moved(hangs, job.as_it_is)
        yield found(_hang_words(hangs), ": ", do, about=about, level=level)


def foot_hangs(body: Body, end: WorkedEnd, bodies: Mapping[str, Body]) -> Iterator[_Hang]:
    """Where a coped end's foot hangs past the ends of its mains."""
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
                yield _Hang(body.mark, end.at, main, theirs, hang, float(np.nanmin(past)) > 0.0)


def _hang_words(hangs: Sequence[_Hang]) -> Sentence:
    first = hangs[0]
    if len(hangs) == 1:
        past = sentence(mm(first.past), f" past the {first.end.at} of {first.main.mark}")
        if first.is_off:
            return sentence(f"its {first.at} sits on nothing, its foot ends ", past)
        return sentence(f"the foot of its {first.at} hangs ", past)
    each = [
        sentence(f"{hang.mark} {hang.at} ", mm(hang.past), f" past the {hang.end.at} of {hang.main.mark}")
        for hang in hangs
    ]
    what = "ends sit on nothing, their feet end" if first.is_off else "feet hang past the end of what they sit on"
    return sentence(f"{len(hangs)} {what} (", named(each), ")")


def _moved(hangs: Sequence[_Hang], as_it_is: Container[str]) -> Sentence:
    """What cures feet whose mains cannot go on."""
    if len(hangs) == 1:
        move = sentence("move the foot ", mm(hangs[0].past), f" back along {hangs[0].main.mark}")
    else:
        move = sentence("move each foot back along its main by as much")
    mitre = "" if any(hang.main.mark in as_it_is for hang in hangs) else "mitre the two, "
    return sentence(move, f", {mitre}or name everything it sits on with `onto`")


def _goes_on(hangs: Sequence[_Hang], written: WrittenKeys) -> Sentence:
    """What cures them all; each main is to go on as far as the farthest of its feet."""
    mains = list(dict.fromkeys(hang.main.mark for hang in hangs))
    keys = [Wanted(hang.main.mark, hang.end.at, {"extend": outward_to_paste(hang.extend)}) for hang in hangs]
    them = f"let {mains[0]} go on there" if len(mains) == 1 else "let the mains go on there"
    return sentence(them, ", ", written.lines(keys), ", or mitre the two")

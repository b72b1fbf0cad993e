"""Checks of tubes against one another in space: tubes that run through one another, and feet
of branches that hang past the end of what they sit on."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fabgen.checks.finding import Finding
from fabgen.geometry.contact import Array, HalfSpace, Solid, Trimmed, Walls, greatest, least
from fabgen.geometry.nearby import overlapping
from fabgen.parts.cope import lines_onto, section_profile, section_solid
from fabgen.parts.piece import LengthPart, WorkedEnd

CLASH = 0.5
"""Tubes may share less than this, mm: points are seldom better measured."""

_EVERY = 4
"""Every fourth degree round a tube is looked at for clashes."""


@dataclass(frozen=True, eq=False)
class Body:
    """A made tube in space, between the cut lines of its ends."""

    mark: str
    part: LengthPart

    @property
    def start(self) -> WorkedEnd:
        return self.part.ends[0]

    @property
    def finish(self) -> WorkedEnd:
        return self.part.ends[1]

    @cached_property
    def between(self) -> float:
        """From the start's work point to the finish's, mm."""
        return float((self.finish.frame.origin - self.start.frame.origin) @ self.start.frame.x)

    @cached_property
    def solid(self) -> Solid:
        """Filled up and without ends."""
        assert self.part.frame is not None
        return section_solid(self.part.section, self.part.frame)

    @cached_property
    def block(self) -> Solid:
        """Filled up, from longest point to longest point."""
        return Trimmed(self.solid, tuple(HalfSpace.at(self._longest(end), -end.frame.x) for end in self.part.ends))

    @cached_property
    def box(self) -> tuple[Array, Array]:
        ends = np.array([self._longest(end) for end in self.part.ends])
        reach = self.part.section.reach * np.sqrt(np.maximum(0.0, 1.0 - self.start.frame.x**2))
        return ends.min(axis=0) - reach, ends.max(axis=0) + reach

    @cached_property
    def lines(self) -> tuple[Walls, Array, Array]:
        """Outside skin lines from the start's work point, and where metal begins and ends on each."""
        walls = section_profile(self.part.section, self.start.top).walls(self.start.frame).outer()
        phi = self.start.line.phi
        begin, end = self._metal(phi)
        pick = slice(None, None, _EVERY)
        return Walls(walls.skin[pick], walls.inward[pick], walls.depth[pick], walls.along), begin[pick], end[pick]

    def extent(self, points: Array) -> tuple[Array, Array, Array]:
        """For points (n, 3): how far along from the start's work point they lie, and where
        metal begins and ends on that side of the tube; (n,) mm each."""
        local = self.start.frame.inside(points)
        begin, end = self._metal(np.arctan2(local[:, 2], local[:, 1]))
        return local[:, 0], begin, end

    def _metal(self, phi: Array) -> tuple[Array, Array]:
        turn = 2.0 * math.pi
        begin = np.interp(phi, self.start.line.phi, self.start.line.x, period=turn)
        other = self.finish.top - (phi - self.start.top)
        return begin, self.between - np.interp(other, self.finish.line.phi, self.finish.line.x, period=turn)

    def _longest(self, end: WorkedEnd) -> Array:
        x = end.line.x
        return end.frame.origin + end.frame.x * (0.0 if np.isnan(x).all() else np.nanmin(x))

    def joined_to(self, mark: str) -> bool:
        return any(joint.onto == mark for end in self.part.ends for joint in end.joints)


def bodies_of(parts: Mapping[str, LengthPart]) -> dict[str, Body]:
    """The tubes that the job places, by mark."""
    return {mark: Body(mark, part) for mark, part in parts.items() if part.frame is not None}


# -- running through ---------------------------------------------------------------
def check_through(parts: Mapping[str, LengthPart]) -> Iterator[Finding]:
    """Tubes run through one another only where one is coped onto, or mitred with, the other."""
    bodies = list(bodies_of(parts).values())
    if not bodies:
        return
    low, high = (np.array([body.box[i] for body in bodies]) for i in (0, 1))
    for i, j in overlapping(low, high, low, high):
        one, other = bodies[i], bodies[j]
        if i >= j or one.joined_to(other.mark) or other.joined_to(one.mark):
            continue
        shared = max(_shared(one, other), _shared(other, one))
        if shared > CLASH:
            text = f"runs through {one.mark} over {shared:.1f} mm, and neither is coped onto the other there"
            yield Finding("stop", other.mark, "tubes-cross", text, "common practice, no source")


def _shared(one: Body, other: Body) -> float:
    """The longest stretch of `one`'s outside lines that lies within `other`, mm."""
    walls, begin, end = one.lines
    enter = np.maximum(least(other.block, walls), begin)
    leave = np.minimum(greatest(other.block, walls), end)
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
        if true.any():
            longest = max(longest, float((leave - enter)[true].max()))
    return longest


# -- feet ---------------------------------------------------------------------------
def check_feet(parts: Mapping[str, LengthPart]) -> Iterator[Finding]:
    """The foot of a coped end lies on its main, not past the main's end."""
    bodies = bodies_of(parts)
    for body in bodies.values():
        for end in body.part.ends:
            if end.cut == "cope":
                yield from _foot(body, end, bodies)


def _foot(body: Body, end: WorkedEnd, bodies: Mapping[str, Body]) -> Iterator[Finding]:
    profile = section_profile(body.part.section, end.top)
    mains = [bodies[joint.onto] for joint in end.joints if joint.onto in bodies]
    lines = lines_onto(profile, end.frame, [main.solid for main in mains], end.fit)
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
                text = f"the foot of its {end.at} hangs {hang:.1f} mm past the {theirs.at} of {main.mark}: " + _remedy(
                    main, theirs, hang
                )
                yield Finding("warn", body.mark, "foot-past-end", text, "common practice, no source")


def _remedy(main: Body, end: WorkedEnd, hang: float) -> str:
    if end.cut != "plain" or main.part.frame is None:
        return f"move the branch along {main.mark}, or name everything it sits on with `onto`"
    route_end = main.part.frame.origin + (0.0 if end.at == "start" else main.part.axis) * main.part.frame.x
    extend = float((route_end - end.frame.origin) @ end.frame.x) + hang
    return f'let {main.mark} go on there (`{end.at} = {{ extend = "{math.ceil(extend)} mm" }}`), or mitre the two'

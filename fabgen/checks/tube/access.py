"""Check of room to weld between branches that sit side by side on one main.

Checked are the gap between their feet and the angle between their axes.  Whether a torch
reaches round a joint past other parts is not.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.checks.tube.clashes import CLASH, shared
from fabgen.checks.tube.tube_bodies import Body, bodies_of
from fabgen.geometry.space.box_overlap import overlapping
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import WorkedEnd
from fabgen.parts.shape.sections import end_profile
from fabgen.wording.levels import Level
from fabgen.wording.sentence import degrees, mm, sentence

LEAST_BETWEEN = math.radians(30.0)
TORCH = 20.0
"""Gap between two feet that a torch's nozzle goes into, mm (common practice, no source)."""
PARALLEL = math.radians(5.0)
"""Branches within this of one another count as parallel."""
ANGLE_SOURCE = "EN 1993-1-8:2005, 7.1.2(3), clause from memory"
GAP_SOURCE = "EN 1993-1-8:2005, 7.1.2(5), clause from memory"

_EVERY = 3
"""Every third degree of a foot is checked."""


@dataclass(frozen=True, eq=False)
class Foot:
    """A coped end on one of its mains."""

    body: Body
    end: WorkedEnd

    @cached_property
    def points(self) -> Array:
        """Of its outer edge, (n, 3)."""
        skin = end_profile(self.body.part.section, self.end).walls(self.end.frame).skin
        points = skin + self.end.line.x[:, None] * self.end.frame.x
        return points[~np.isnan(self.end.line.x)][::_EVERY]

    @property
    def wall(self) -> float:
        section = self.body.part.section
        return section.wall or min(section.width, section.depth) / 2.0


@rule("weld-access", Level.WARN, source=f"{ANGLE_SOURCE}; {GAP_SOURCE}; a torch's room: {PRACTICE}")
def weld_access(job: Checked) -> Iterator[Found]:
    """Two branches on one main have a gap of the sum of both walls between them, and 30 degrees unless their feet leave
    a torch 20 mm of room (common practice) and they do not lean together."""
    on: dict[str, list[Foot]] = {}
    for body in bodies_of(job.tubes).values():
        for end in body.part.ends:
            if end.cut == "cope" and not np.isnan(end.line.x).all():
                foot = Foot(body, end)
                for joint in end.joints:
                    on.setdefault(joint.onto, []).append(foot)
    seen: set[tuple[str, str, str, str]] = set()
    for main, feet in on.items():
        for one, other in _near(feet):
            key = (one.body.mark, one.end.at, other.body.mark, other.end.at)
            if key not in seen:
                seen.add(key)
                yield from _pair(main, one, other)


def _pair(main: str, one: Foot, other: Foot) -> Iterator[Found]:
    """Two feet on the same main, the second of the tube fitted later."""
    if one.body is other.body or one.body.joined_to(other.body.mark) or other.body.joined_to(one.body.mark):
        return
    gap, about, beside = _gap(one.points, other.points), other.body.mark, one.body.mark
    if gap > max(one.body.part.section.width, other.body.part.section.width):
        return
    walls = one.wall + other.wall
    between = math.acos(max(-1.0, min(1.0, float(one.end.frame.x @ other.end.frame.x))))
    apart = float((other.end.frame.x - one.end.frame.x) @ (other.points.mean(axis=0) - one.points.mean(axis=0)))
    roomy = gap >= TORCH - 0.05 and (between < PARALLEL or apart > 0.0)
    if between < PARALLEL and walls - 0.05 <= gap < TORCH - 0.05:
        near = sentence(f"its {other.end.at} leaves ", mm(gap, fixed=True), f" to {beside} on {main}")
        yield found(near, ", too little for a torch: ", mm(TORCH), " or more", about=about, source=PRACTICE)
    elif PARALLEL <= between < LEAST_BETWEEN - 1e-6 and not roomy:
        stands = sentence(f"its {other.end.at} is beside {beside} on {main}, only ", degrees(between, fixed=True))
        yield found(stands, " from it: no room to weld between them", about=about, source=ANGLE_SOURCE)
    if gap < walls - 0.05 and not _on_unlike_faces(one.end, other.end) and shared(one.body, other.body).length <= CLASH:
        near = sentence(f"its {other.end.at} leaves ", mm(gap, fixed=True), f" to {beside} on {main}")
        both = sentence(", less than the sum of both walls (", mm(walls, fixed=True), "): too little for two welds; ")
        yield found(near, both, "move it, or cope one onto the other", about=about, source=GAP_SOURCE)


def _on_unlike_faces(one: WorkedEnd, other: WorkedEnd) -> bool:
    """Whether two ends are sawn to faces that meet at an edge of their main, as at a corner of three: there the welds
    of both are one."""
    if not (one.is_sawn_to_face and other.is_sawn_to_face):
        return False
    return abs(float(one.flats[0].inward(one.frame) @ other.flats[0].inward(other.frame))) < math.cos(LEAST_BETWEEN)


def _gap(one: Array, other: Array) -> float:
    """Least distance between two sets of points, mm."""
    middle = one[0]
    a, b = one - middle, other - middle
    squares = (a * a).sum(axis=1)[:, None] + (b * b).sum(axis=1) - 2.0 * a @ b.T
    return math.sqrt(max(0.0, float(squares.min())))


def _near(feet: list[Foot]) -> Iterator[tuple[Foot, Foot]]:
    """Pairs of feet that come within a tube's width of one another, in order."""
    if len(feet) < 2:
        return
    low, high = (np.array([side(foot.points, axis=0) for foot in feet]) for side in (np.min, np.max))
    reach = np.array([[foot.body.part.section.reach] for foot in feet])
    for i, j in overlapping(low - reach, high + reach, low - reach, high + reach):
        if i < j:
            yield feet[i], feet[j]

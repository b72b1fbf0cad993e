"""Holes of profiles that are bolted together: whether what lies over a hole has one that the bolt passes too."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import permutations
from typing import TYPE_CHECKING

import numpy as np

from fabgen.checks.checked import Checked, once
from fabgen.checks.grouped import named
from fabgen.checks.profile.profile_bodies import profile_bodies
from fabgen.checks.profile.two_holes import bolt_of, to_drill
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.checks.tube.tube_bodies import apart
from fabgen.geometry.plane.regions import region
from fabgen.parts.piece import LegHole, ProfilePart
from fabgen.parts.shape.legs import LegPlace, leg_place
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence

if TYPE_CHECKING:
    from shapely import Polygon

_BESIDE = 1.0
"""What lies this far outside a hole, or inside its leg, lies over it, mm."""
_FINE = 0.002
"""Of the chords of holes' edges, mm."""


@dataclass(frozen=True, eq=False)
class _Lap:
    """A hole of one profile over which another lies, and where in that."""

    mark: str
    hole: LegHole
    other: str
    there: ProfilePart
    place: LegPlace
    ring: Polygon


@rule("leg-hole-covered", Level.STOP, source=FROM_JOB)
def leg_hole_covered(job: Checked) -> Iterator[Found]:
    """What lies over a profile's hole has a hole there too."""
    cases, marks = [], []
    for lap, over in _over(job):
        if not over:
            marks += [lap.mark, lap.other]
            cure = to_drill(lap.other, lap.there, lap.place, lap.hole.width)
            cure = cure or sentence(f"which ends there: move it by {lap.other}'s width at least")
            cases.append(sentence(f"{lap.mark} {lap.hole.name} by {lap.other}, ", cure))
    if cases:
        yield found("covered, so no bolt passes: ", named(cases), about=marks)


@rule("leg-holes-out-of-line", Level.STOP, source=FROM_JOB)
def leg_holes_out_of_line(job: Checked) -> Iterator[Found]:
    """Holes of profiles that lie on one another are so far in line that their bolt passes both."""
    cases, marks, told = [], [], set()
    for lap, over in _over(job):
        if not over or any(_passes(lap, hole) for hole in over):
            continue
        hole = min(over, key=lambda each: _off(lap, each))
        pair = frozenset({(lap.mark, lap.hole.number), (lap.other, hole.number)})
        if pair not in told:
            told.add(pair)
            marks += [lap.mark, lap.other]
            cases.append(sentence(f"{lap.mark} {lap.hole.name} and {lap.other} {hole.name} by ", mm(_off(lap, hole))))
    if cases:
        yield found("out of line, so no bolt passes: ", named(cases), ": move one of them", about=marks)


@once
def _over(job: Checked) -> list[tuple[_Lap, list[LegHole]]]:
    """The holes over which another profile lies, each with the holes of that one which it meets."""
    found = []
    for one, other in permutations(profile_bodies(job), 2):
        if one.part.holes and not apart(one.box, other.box, _BESIDE):
            for lap in _laps(one.mark, one.part, other.mark, other.part):
                own = (hole for hole in other.part.holes if hole.face == lap.place.face)
                found.append((lap, [hole for hole in own if region(hole.loop, _FINE).intersects(lap.ring)]))
    return found


def _laps(mark: str, part: ProfilePart, other: str, there: ProfilePart) -> Iterator[_Lap]:
    for hole in part.holes:
        (skin,), (inward,) = part.ends[0].cut.edge(hole.face).limb.skin(np.array([hole.station]))
        for deep in (-_BESIDE, hole.thickness + _BESIDE):
            point = part.frame.outside(np.array([part.begins + hole.along, *(skin + deep * inward)]))
            if (place := leg_place(there, point)) is not None:
                yield _Lap(mark, hole, other, there, place, _ring_in(part, hole, there, place))
                break


def _ring_in(part: ProfilePart, hole: LegHole, there: ProfilePart, place: LegPlace) -> Polygon:
    """A hole's edge as it lies on another's face: station and along."""
    from shapely import Polygon

    ring = hole.loop.points(_FINE)
    skin, _ = part.ends[0].cut.edge(hole.face).limb.skin(ring[:, 0])
    inside = there.frame.inside(part.frame.outside(np.column_stack((part.begins + ring[:, 1], skin))))
    station, _ = there.ends[0].cut.edge(place.face).limb.place(inside[:, 1:])
    return Polygon(np.column_stack((station, inside[:, 0] - there.begins)))


def _off(lap: _Lap, hole: LegHole) -> float:
    """How far the middles of two holes are from one another on the face, mm."""
    return math.hypot(lap.place.station - hole.station, lap.place.along - hole.along)


def _passes(lap: _Lap, hole: LegHole) -> bool:
    """Whether a bolt for either goes through both holes."""
    bolt = bolt_of(lap.hole, hole)
    return not region(hole.loop, _FINE).intersection(lap.ring).buffer(_FINE - bolt / 2.0).is_empty


RULES = (leg_hole_covered, leg_holes_out_of_line)

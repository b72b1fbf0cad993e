"""Ends of profiles that stand on others' edges alone, where a leg set in by the thickness would lap inside."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from fabgen.checks.checked import Checked
from fabgen.checks.profile.profile_bodies import ProfileBody, profile_bodies
from fabgen.checks.rule import Found, found, rule
from fabgen.checks.tube.tube_bodies import apart
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import ProfileEnd
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, coordinate, joined, mm, number, sentence

FLAT = 0.5
"""An end stands on edges where less than this share of what it stands on is the flat of a leg or web (common practice,
no source)."""
LEAST = 0.1
"""A smaller share of an end on metal is a touch in passing."""
_STEP = 0.02
"""Places along an end's limbs stand so far apart, mm."""
_AHEAD = 0.3
"""So far beyond the cut and its gap there is metal where an end stands on it, mm."""
_ONE_SIDED = 1.0
"""A section whose middle lies no farther beside a leg has no inside there, mm."""


@dataclass(frozen=True, slots=True)
class _Edge:
    """An edge that an end stands on: whose, how thick, and the way from it to the inside of that profile, (3,); zeros
    where it has none."""

    mark: str
    thickness: float
    inside: Array


@dataclass(frozen=True, eq=False)
class _OnEdge:
    """An end on edges: how much of its limbs stands there and how long they are, mm."""

    one: ProfileBody
    end: ProfileEnd
    stands: float
    whole: float
    edges: tuple[_Edge, ...]

    @property
    def words(self) -> Sentence:
        thick = {round(edge.thickness, 2): mm(edge.thickness) for edge in self.edges}
        marks = list(dict.fromkeys(edge.mark for edge in self.edges))
        kind = "edge" if len(marks) == 1 else "edges"
        return sentence(
            mm(self.stands), " of ", mm(self.whole), " on the ", joined(" and ", thick.values()),
            f" {kind} of {' and '.join(marks)}",
        )  # fmt: skip

    @property
    def moved(self) -> Array:
        """How far its points are to be set in, (3,) mm."""
        ways: list[tuple[float, Array]] = []
        for edge in self.edges:
            if edge.inside.any() and all(abs(float(edge.inside @ way)) < 0.9 for _, way in ways):
                ways.append((edge.thickness, edge.inside))
        return sum((far * way for far, way in ways), np.zeros(3))


def _held(one: ProfileBody, end: ProfileEnd, others: Sequence[ProfileBody]) -> _OnEdge | None:
    """An end that stands on edges alone."""
    along = -end.frame.x
    places, weights = _places(end)
    flat = np.zeros(len(places), dtype=bool)
    edge = np.zeros(len(places), dtype=bool)
    edges: list[_Edge] = []
    for other in others:
        frame = other.part.frame
        ahead = np.array([along @ frame.y, along @ frame.z])
        local = frame.inside(places)
        within = (local[:, 0] > other.part.begins) & (local[:, 0] < other.part.begins + other.part.length)
        for slab in other.part.cross.slabs:
            corners = np.array(slab)
            on = within & _inside(corners, local[:, 1:])
            if not on.any():
                continue
            sides = sorted(pairwise([*corners, corners[0]]), key=lambda side: float(np.hypot(*(side[1] - side[0]))))
            thin = sides[0][1] - sides[0][0]
            thin = thin / np.hypot(*thin)
            # Of a tapered flange or stem halfway along it.
            mean = float(np.mean([np.hypot(*(other - one)) for one, other in sides[:2]]))
            thick = min(other.part.section.flat_thicknesses, key=lambda each: abs(each - mean))
            if abs(float(ahead @ thin)) > abs(float(ahead @ np.array([-thin[1], thin[0]]))):
                flat |= on
                continue
            edge |= on
            beside = float((np.array(other.part.cross.centroid) - corners.mean(axis=0)) @ thin)
            inside = np.sign(beside) * thin if abs(beside) > _ONE_SIDED else np.zeros(2)
            edges.append(_Edge(other.mark, thick, inside @ np.vstack((frame.y, frame.z))))
    stands = flat | edge
    if weights[stands].sum() < LEAST * weights.sum() or weights[flat].sum() >= FLAT * weights[stands].sum():
        return None
    return _OnEdge(one, end, float(weights[stands].sum()), float(weights.sum()), tuple(edges))


def _places(end: ProfileEnd) -> tuple[Array, Array]:
    """Places just beyond an end's cut, halfway through its limbs, (n, 3), and how much of a limb each is for, mm."""
    places, weights = [], []
    for line in end.cut.lines:
        limb = line.limb
        count = max(2, int(limb.width / _STEP))
        station = (np.arange(count) + 0.5) * limb.width / count
        skin, inward = limb.skin(station)
        across = skin + 0.5 * limb.depth(station)[:, None] * inward
        ahead = end.cut.sawn.x(across) - end.gap / abs(end.cut.sawn.normal[0]) - _AHEAD
        places.append(end.frame.outside(np.column_stack((ahead, across))))
        weights.append(np.full(count, limb.width / count))
    return np.vstack(places), np.concatenate(weights)


def _inside(corners: Array, points: Array) -> NDArray[np.bool_]:
    """Which points (n, 2) lie in a convex polygon, whichever way round it is given."""
    signs = [
        (other - one)[0] * (points - one)[:, 1] - (other - one)[1] * (points - one)[:, 0]
        for one, other in pairwise([*corners, corners[0]])
    ]
    return np.asarray(np.all(np.array(signs) >= 0.0, axis=0) | np.all(np.array(signs) <= 0.0, axis=0))


def _on_edges(job: Checked) -> Iterator[_OnEdge]:
    own = profile_bodies(job)
    profiles = {body.mark for body in own}
    for one in own:
        # They touch there, whatever the last digit says.
        near = [other for other in own if other is not one and not apart(one.box, other.box, _AHEAD)]
        for end in one.part.ends:
            is_sawn = end.kind in ("plain", "plane", "level", "face") and profiles.issuperset(end.onto)
            if near and is_sawn and (held := _held(one, end, near)) is not None:
                yield held


@rule("profile-on-edge", Level.WARN)
def profile_on_edge(job: Checked) -> Iterator[Found]:
    """An end of a profile stands on the flat of a leg or web, not on edges alone."""
    held = list(_on_edges(job))
    if not held:
        return
    marks = list(dict.fromkeys(each.one.mark for each in held))
    moved = {each.one.mark: each for each in held if each.moved.any()}
    lines = [line for each in moved.values() if (line := _line(job, each)) is not None]
    do = (
        "set the points in by that thickness, so that the legs lap inside"
        if moved
        else "let it pass beside the edge, so that it laps"
    )
    tail = (": ", joined(", ", lines)) if lines else ()
    if len(held) == 1:
        yield found(f"its {held[0].end.at} stands edge to edge, ", held[0].words, f": {do}", *tail, about=marks[0])
        return
    each = joined("; ", (sentence(f"{h.one.mark} {h.end.at} ", h.words) for h in held))
    yield found(number(len(held)), " ends stand edge to edge (", each, f"): {do}", *tail, about=marks)


def _line(job: Checked, held: _OnEdge) -> Sentence | None:
    """The route to write; None of a profile that has no table of its own."""
    mark = held.one.mark
    if not any(isinstance(table, dict) and table.get("mark") == mark for table in job.written.raw.get("profile", ())):
        return None
    frame = held.one.part.frame
    ends = (frame.origin + held.moved, frame.origin + held.one.part.axis * frame.x + held.moved)
    points = (sentence("[", joined(", ", (coordinate(float(v) + 0.0) for v in end)), "]") for end in ends)
    return sentence("`route = [", joined(", ", points), f"]` in the table of {mark}")


RULES = (profile_on_edge,)

"""Check of room to weld between branches that sit side by side on one main.

Checked are the gap between their feet and the angle between their axes; whether a torch reaches where sheet meets
tube, and round a tube's joint past other parts, `checks/contact/torch_access.py` asks.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import named
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.checks.tube.clashes import CLASH, shared
from fabgen.checks.tube.tube_bodies import Body, tube_bodies
from fabgen.geometry.space.box_overlap import overlapping
from fabgen.geometry.space.frame import Array
from fabgen.job.expansion.written_keys import Wanted
from fabgen.parts.piece import WorkedEnd
from fabgen.parts.shape.sections import end_profile
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, degrees, mm, sentence

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


@dataclass(frozen=True, eq=False)
class _Tight:
    """Two feet on one main that are too near to weld between them.

    Args:
        why: too little for a torch between parallel ends, too sharp an angle, or a gap too small for two welds.
        main: the mark of what both sit on.
        one, other: the feet; the other is that of the tube fitted later.
        gap: between them, mm.
        angle: between their axes, rad.
        leans_apart: whether their tubes part from their feet on.
    """

    why: Literal["torch", "angle", "gap"]
    main: str
    one: Foot
    other: Foot
    gap: float
    angle: float
    leans_apart: bool

    @property
    def walls(self) -> float:
        return self.one.wall + self.other.wall

    @property
    def names(self) -> str:
        return f"{self.other.body.mark} {self.other.end.at} beside {self.one.body.mark} on {self.main}"

    @property
    def can_cope(self) -> bool:
        """Whether the later one may be coped onto the other besides."""
        return self.why == "gap" and self.angle >= LEAST_BETWEEN


@rule("weld-access", Level.WARN, source=f"{ANGLE_SOURCE}; {GAP_SOURCE}; a torch's room: {PRACTICE}")
def weld_access(job: Checked) -> Iterator[Found]:
    """Two branches on one main have a gap of the sum of both walls between them, and 30 degrees unless their feet leave
    a torch 20 mm of room (common practice) and they do not lean together."""
    on: dict[str, list[Foot]] = {}
    for body in tube_bodies(job).values():
        for end in body.part.ends:
            if end.cut == "cope" and not np.isnan(end.line.x).all():
                foot = Foot(body, end)
                for joint in end.joints:
                    on.setdefault(joint.onto, []).append(foot)
    seen: set[tuple[str, str, str, str]] = set()
    alike: dict[tuple[str, bool], list[_Tight]] = {}
    for main, feet in on.items():
        for one, other in _near(feet):
            key = (one.body.mark, one.end.at, other.body.mark, other.end.at)
            if key not in seen:
                seen.add(key)
                for tight in _pair(main, one, other):
                    alike.setdefault((tight.why, tight.can_cope), []).append(tight)
    words = {"torch": _for_a_torch, "angle": _too_sharp, "gap": _for_two_welds}
    for (why, _), pairs in alike.items():
        said = words[why](pairs, job)
        yield found(said, about=[tight.other.body.mark for tight in pairs], source=_SOURCES[why])


_SOURCES = {"torch": PRACTICE, "angle": ANGLE_SOURCE, "gap": GAP_SOURCE}


def _pair(main: str, one: Foot, other: Foot) -> Iterator[_Tight]:
    """Two feet on the same main, the second of the tube fitted later."""
    if one.body is other.body or one.body.joined_to(other.body.mark) or other.body.joined_to(one.body.mark):
        return
    gap = _gap(one.points, other.points)
    if gap > max(one.body.part.section.width, other.body.part.section.width):
        return
    walls = one.wall + other.wall
    between = math.acos(max(-1.0, min(1.0, float(one.end.frame.x @ other.end.frame.x))))
    apart = float((other.end.frame.x - one.end.frame.x) @ (other.points.mean(axis=0) - one.points.mean(axis=0)))
    roomy = gap >= TORCH - 0.05 and (between < PARALLEL or apart > 0.0)
    if between < PARALLEL and walls - 0.05 <= gap < TORCH - 0.05:
        yield _Tight("torch", main, one, other, gap, between, apart > 0.0)
    elif PARALLEL <= between < LEAST_BETWEEN - 1e-6 and not roomy:
        yield _Tight("angle", main, one, other, gap, between, apart > 0.0)
    if gap < walls - 0.05 and not _on_unlike_faces(one.end, other.end) and shared(one.body, other.body).length <= CLASH:
        yield _Tight("gap", main, one, other, gap, between, apart > 0.0)


# -- words ---------------------------------------------------------------------------
def _for_a_torch(pairs: Sequence[_Tight], job: Checked) -> Sentence:
    if len(pairs) == 1:
        (only,) = pairs
        what = sentence(_leaves(only), ", too little for a torch: ", mm(TORCH), " or more; ")
    else:
        what = sentence(
            f"{len(pairs)} pairs of feet leave too little for a torch between them (", _gaps(pairs), "): ",
            mm(TORCH), " or more; ",
        )  # fmt: skip
    return sentence(what, _apart(pairs, [TORCH - tight.gap for tight in pairs]))


def _too_sharp(pairs: Sequence[_Tight], job: Checked) -> Sentence:
    if len(pairs) == 1:
        (only,) = pairs
        stands = f"its {only.other.end.at} is beside {only.one.body.mark} on {only.main}, only "
        what = sentence(stands, degrees(only.angle, fixed=True), " from it: no room to weld between them; ")
    else:
        each = [sentence(f"{tight.names} ", degrees(tight.angle, fixed=True)) for tight in pairs]
        what = sentence(
            f"{len(pairs)} pairs of ends stand less than 30° apart on what they sit on (", named(each),
            "): no room to weld between them; ",
        )  # fmt: skip
    first = "weld the other one all round before it goes in" if len(pairs) == 1 else "weld each before the next goes in"
    if not all(tight.leans_apart for tight in pairs):
        return sentence(what, first)
    return sentence(what, f"{first}, or let ", mm(TORCH), " stay between their feet, which a torch goes into")


def _for_two_welds(pairs: Sequence[_Tight], job: Checked) -> Sentence:
    if len(pairs) == 1:
        (only,) = pairs
        less = sentence(
            ", less than the sum of both walls (", mm(only.walls, fixed=True), "): too little for two welds; "
        )
        what = sentence(_leaves(only), less)
    else:
        how = "pairs of feet leave less than the sum of both walls between them"
        what = sentence(f"{len(pairs)} {how} (", _gaps(pairs), "), too little for two welds; ")
    move = _apart(pairs, [tight.walls - tight.gap for tight in pairs])
    if not pairs[0].can_cope:
        return sentence(what, move)
    keys = [
        Wanted(
            tight.other.body.mark,
            tight.other.end.at,
            {"onto": [*(joint.onto for joint in tight.other.end.joints), tight.one.body.mark]},
        )
        for tight in pairs
    ]
    onto = " copes it onto the other too" if len(pairs) == 1 else " copes them onto the others too"
    return sentence(what, move, ", or ", job.written.lines(keys, onto))


def _leaves(only: _Tight) -> Sentence:
    return sentence(
        f"its {only.other.end.at} leaves ", mm(only.gap, fixed=True), f" to {only.one.body.mark} on {only.main}"
    )


def _gaps(pairs: Sequence[_Tight]) -> Sentence:
    return named([sentence(f"{tight.names} ", mm(tight.gap, fixed=True)) for tight in pairs])


def _apart(pairs: Sequence[_Tight], by: Sequence[float]) -> Sentence:
    """How far to move them, up to 0.1 mm."""
    far = math.ceil(round(max(by) * 10.0, 4)) / 10.0
    if len(pairs) == 1:
        return sentence("move it ", mm(far), " away")
    return sentence("move them apart by up to ", mm(far))


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

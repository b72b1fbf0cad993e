"""Sides of frames whose leg, back or flange looks the other way than the sides beside it: their corners are not mitred,
and seldom meant so."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import named
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.geometry.plane.outline import Loop
from fabgen.geometry.profile.sawing import apart_on_mitre
from fabgen.geometry.space.frame import Array, Frame
from fabgen.job.tables.lengths.profile_tables import Profile
from fabgen.job.tables.tube_hole_tables import JOB_SIDES
from fabgen.parts.piece import ProfileEnd, ProfilePart, profile_parts
from fabgen.parts.shape.cuts import LEAST_ANGLE
from fabgen.wording.figures import figure
from fabgen.wording.levels import Level

FITS = 0.05
"""Two ends whose outlines lie within this of one another all round would fit on a mitre, mm."""
_POINT = 1.0
"""Ends this near meet at one point, mm."""
_OWN = {"angle": "legs", "channel": "back", "T": "flange"}


@dataclass(frozen=True, eq=False)
class _Side:
    """A side of a frame as it lies, and what the job says of it; `turned`: as its mirror image, `over`: that turned
    half round about its points."""

    mark: str
    part: ProfilePart
    given: Profile
    turned: bool = False
    over: bool = False

    @property
    def is_mitred(self) -> bool:
        return any(end.kind == "mitre" for end in self.part.ends)

    def is_open(self, end: ProfileEnd) -> bool:
        given = self.given.start if end.at == "start" else self.given.finish
        cut = given.cut == "auto" and given.onto is None and given.plane is None and not given.extend
        return cut and end.kind != "mitre"

    def laid(self, end: ProfileEnd) -> tuple[Loop, Frame]:
        """The section's outline as it is seen at an end, and the frame that it lies in there."""
        cross, frame = self.part.cross, end.frame
        cross = cross.flipped() if self.turned != (end.at == "finish") else cross
        return cross.outline, Frame(frame.origin, frame.x, -frame.y, -frame.z) if self.over else frame


End = tuple[_Side, ProfileEnd]


@dataclass(frozen=True, eq=False)
class _Turned:
    """A side that would be mitred with `others` were what `turns` said the other way round: `line` says it so."""

    mark: str
    turns: str
    looks: str
    line: str
    others: tuple[str, ...]

    @property
    def words(self) -> str:
        return f"{self.turns} of {self.mark} looks {self.looks}"


@rule("frame-side", Level.WARN, source=FROM_JOB)
def frame_side(job: Checked) -> Iterator[Found]:
    """Sides of a frame that meet at a corner lie so that they can be mitred, each leg the way of the leg beside it."""
    cases = list(_turned(job))
    if not cases:
        return
    marks = [case.mark for case in cases]
    others = list(dict.fromkeys(mark for case in cases for mark in case.others if mark not in marks))
    corners = sum(len(case.others) for case in cases)
    so = "so that corner is not mitred" if corners == 1 else f"so {corners} corners are not mitred"
    lines = "; ".join(f"`{case.line}` in the table of {case.mark}" for case in cases)
    yield found(
        named([case.words for case in cases]), f", which does not fit {' and '.join(others or marks)}, {so}: {lines} ",
        f"turns {'it' if len(cases) == 1 else 'them'} round", about=marks,
    )  # fmt: skip


def _turned(job: Checked) -> Iterator[_Turned]:
    given = {profile.mark: profile for profile in job.job.profile}
    sides = [
        _Side(piece.mark, part, given[piece.mark])
        for piece, part in profile_parts(job.pieces)
        if part.section.kind in _OWN and piece.mark in given
    ]
    corners = list(_corners(sides))
    while corners:
        best: tuple[int, _Turned, _Side] | None = None
        for one in reversed(sides):
            own = [pair for pair in corners if any(each is one for each, _ in pair)]
            # A side that is mitred at its other end lies as it is meant to.
            if not own or one.given.turn or one.is_mitred:
                continue
            for turned, words in _other_ways(one):
                fit = [_with(pair, one, turned) for pair in own]
                if all(_gap(*pair) <= FITS for pair in fit) and (best is None or len(own) > best[0]):
                    others = tuple(each.mark for pair in own for each, _ in pair if each is not one)
                    best = len(own), replace(words, others=others), one
        if best is None:
            return
        yield best[1]
        corners = [pair for pair in corners if not any(each is best[2] for each, _ in pair)]


def _corners(sides: Sequence[_Side]) -> Iterator[tuple[End, End]]:
    """Pairs of open ends of one section at one point, no other profile's end with them, that part by enough for a mitre
    and do not fit on one."""
    ends = [(each, end) for each in sides for end in each.part.ends]
    for i, (one, end) in enumerate(ends):
        there = [j for j, (_, other) in enumerate(ends) if j != i and _apart(end, other) <= _POINT]
        if len(there) != 1 or there[0] < i:
            continue
        other, theirs = ends[there[0]]
        if other is one or one.part.section.nominal != other.part.section.nominal:
            continue
        turn = math.acos(max(-1.0, min(1.0, float(end.frame.x @ theirs.frame.x))))
        parts = LEAST_ANGLE * 2.0 < turn < math.pi - LEAST_ANGLE
        if parts and one.is_open(end) and other.is_open(theirs) and _gap((one, end), (other, theirs)) > FITS:
            yield (one, end), (other, theirs)


def _apart(one: ProfileEnd, other: ProfileEnd) -> float:
    return math.dist(one.frame.origin, other.frame.origin)


def _gap(one: End, other: End) -> float:
    """How far two ends are from meeting all round on a mitre, mm."""
    return apart_on_mitre(*one[0].laid(one[1]), *other[0].laid(other[1]))


def _with(pair: tuple[End, End], one: _Side, turned: _Side) -> tuple[End, End]:
    first, other = ((turned if each is one else each, end) for each, end in pair)
    return first, other


# -- the other way round ----------------------------------------------------------------------
def _other_ways(one: _Side) -> Iterator[tuple[_Side, _Turned]]:
    """The side with one leg, its back or its flange the other way, and what says so."""
    key, frame = _OWN[one.part.section.kind], one.part.frame
    if key == "legs":
        ways = [frame.z, frame.y * (-1.0 if one.part.flipped else 1.0)]
        for i, leg in enumerate("ab"):
            new = [-way if j == i else way for j, way in enumerate(ways)]
            line = f"legs = [{', '.join(map(_written, new))}]"
            # Mirrored about z is leg b turned; half round after that leg a.
            yield replace(one, turned=True, over=leg == "a"), _Turned(one.mark, f"leg {leg}", _said(ways[i]), line, ())
        return
    way = -frame.y if key == "back" else frame.z
    line = f"{key} = {_written(-way)}"
    yield replace(one, turned=True, over=key == "flange"), _Turned(one.mark, f"the {key}", _said(way), line, ())


def _side(way: Array) -> str | None:
    return next((name for name, other in JOB_SIDES.items() if float(way @ np.array(other)) > 1.0 - 1e-6), None)


def _written(way: Array) -> str:
    """A way as the job takes it: '"left"', '[0.71, 0, 0.71]'."""
    side = _side(way)
    return f'"{side}"' if side else f"[{', '.join(figure(float(v) + 0.0, 4) for v in way)}]"


def _said(way: Array) -> str:
    """'up', 'to the left'."""
    side = _side(way)
    if side is None:
        return f"toward {_written(way)}"
    return {"top": "up", "bottom": "down"}.get(side, f"to the {side}")


RULES = (frame_side,)

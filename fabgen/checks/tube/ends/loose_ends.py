"""Checks of tubes that nothing joins: ends in the air near another tube, braces with one end free, tubes by
themselves."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import named
from fabgen.checks.neighbours import NEAR, TOUCH, Neighbour, along, nearest, neighbours
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.checks.tube.tube_bodies import Body
from fabgen.geometry.space.frame import Array
from fabgen.job.expansion.written_keys import Wanted
from fabgen.parts.piece import ENDS, At, WorkedEnd
from fabgen.parts.shape.sections import end_profile
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence

SHORT = 25.0
"""An end that is off another tube by more than its own size and this is taken to be meant so, mm (common practice, no
source)."""

_BEHIND = (0.25, 0.5, 1.0)
"""What touches a tube's side so far behind its end, as shares of its size, or `_JUST` behind, lies against it."""

_JUST = 3.0 * TOUCH
"""Of a round tube that is lapped at its end no more may be near than this, mm."""

_BRACE = (math.radians(20.0), math.radians(70.0))
"""A tube that sits on another at such an angle is a brace, which has two ends (common practice, no source)."""

_REACH = 0.5
"""A brace whose free end is farther from all others than this share of its length is an arm."""

_ROUGH = 10.0
"""What comes as near to the box round a plate or bracket may touch it, mm."""

_PLACES = 200
"""So many places on a tube, the nearest by a rough measure, are measured from others."""

_AHEAD = 0.5
"""An end that aims at another comes nearer to it by such a share of a step along the tube."""

_LIKE = math.cos(math.radians(15.0))
"""Tubes within this of parallel stand in a row, and their free ends are alike."""


@dataclass(frozen=True, eq=False)
class _Loose:
    mark: str
    at: At
    other: str
    off: float

    @property
    def words(self) -> Sentence:
        if self.off <= TOUCH:
            return sentence(f"{self.at} touches {self.other} by an edge only")
        return sentence(f"{self.at} ends ", mm(self.off), f" from {self.other}")


@rule("loose-end", Level.WARN, source=PRACTICE)
def loose_end(job: Checked) -> Iterator[Found]:
    """An end that the job leaves to be fitted is joined where a tube is near, by more than an edge; so are both ends of
    a brace, and a tube among profiles, or among others that are joined, touches one of them."""
    every = neighbours(job)
    bodies = [each for each in every if isinstance(each.body, Body) and each.mark not in job.as_it_is]
    among_profiles = any(each.body is not None and not isinstance(each.body, Body) for each in every)
    if not among_profiles and not any(_joins(each.body) for each in bodies if isinstance(each.body, Body)):
        return
    lost = {(piece.mark, end.at) for piece in job.pieces for end in piece.missed}
    loose: list[_Loose] = []
    alone: list[tuple[str, float, str]] = []
    for one in bodies:
        body = one.body
        assert isinstance(body, Body)
        others = [other for other in every if other.mark != one.mark and not _are_joined(body, other)]
        if body.part.is_ring:
            continue
        if len(others) == len(every) - 1 and not any((one.mark, at) in lost for at in ENDS):
            gap = _by_itself(body, [other for other in others if other.is_within(one.box, NEAR)])
            if gap is not None:
                alone.append((one.mark, gap[0], gap[1].mark))
                continue
        for end in body.part.ends:
            given = job.tube_tables[one.mark].end(end.at)
            is_left = end.cut == "plain" and given.cut == "auto" and not given.extend and not end.astray
            is_left = is_left and given.crush is None and given.foot is None and (one.mark, end.at) not in lost
            if is_left and (miss := _miss(body, end, others, every)) is not None:
                loose.append(miss)
    by_itself = {mark for mark, *_ in alone}
    loose = [each for each in loose if each.other not in by_itself]
    yield from _loose_words(job, loose)
    if alone:
        each = [sentence(f"{mark} ", mm(gap), f" from {to}") for mark, gap, to in alone]
        far = sentence(mm(alone[0][1]), f" from {alone[0][2]}") if len(alone) == 1 else named(each, "; ")
        yield found(
            "touches nothing, the nearest is ", far, ": nothing holds it; are its points right?",
            about=[mark for mark, *_ in alone],
        )  # fmt: skip


def _loose_words(job: Checked, loose: Sequence[_Loose]) -> Iterator[Found]:
    if not loose:
        return
    meant = " says that it is meant" if len(loose) == 1 else " says that they are meant"
    lines = job.written.lines((Wanted(each.mark, each.at, {"cut": "plain"}) for each in loose), meant)
    if len(loose) == 1:
        what, move = (
            sentence("its ", loose[0].words, " and is joined to nothing"),
            ": move its point to what it is to sit on; ",
        )
    else:
        each = [sentence(f"{one.mark} ", one.words) for one in loose]
        what = sentence(f"{len(loose)} ends are joined to nothing (", named(each), ")")
        move = ": move their points to what they are to sit on; "
    yield found(what, move, lines, about=list(dict.fromkeys(one.mark for one in loose)))


def _by_itself(body: Body, near: Sequence[Neighbour]) -> tuple[float, Neighbour] | None:
    """What a tube that touches nothing is nearest to, and how far off that is, mm; None of one that touches."""
    places, best = along(body), None
    for other in near:
        off = other.off_each(places)
        if float(off.min()) <= (TOUCH if other.blocks else _ROUGH):
            return None
        if other.body is not None and float(off.min()) <= NEAR:
            gap = other.gap(places[np.argsort(off)[:_PLACES]])
            best = min(best or (NEAR, other), (gap, other), key=lambda each: round(each[0], 3))
    return best if best is None or best[0] < NEAR else None


def _joins(body: Body) -> bool:
    return any(end.joints for end in body.part.ends)


def _are_joined(body: Body, other: Neighbour) -> bool:
    """Whether one sits on, is mitred with, or passes through the other."""
    if body.joined_to(other.mark) or other.mark in (*body.part.through, *body.part.sleeve_of):
        return True
    theirs = other.body
    if theirs is None:
        return False
    if theirs.joined_to(body.mark):
        return True
    return isinstance(theirs, Body) and body.mark in (*theirs.part.through, *theirs.part.sleeve_of)


def _miss(body: Body, end: WorkedEnd, others: Sequence[Neighbour], every: Sequence[Neighbour]) -> _Loose | None:
    """What an end should be joined to and is not; None of one that is, or that is meant to be free."""
    size, outward = max(body.part.section.sizes[:2]), -end.frame.x
    walls = end_profile(body.part.section, end).walls(end.frame)
    behind = (_JUST, *(share * size for share in _BEHIND))
    skin = walls.skin + end.line.x[:, None] * end.frame.x
    inner = np.vstack((skin + walls.depth[:, None] * walls.inward, *(skin + x * end.frame.x for x in behind)))
    face = np.vstack((skin.mean(axis=0), skin, (skin + skin.mean(axis=0)) / 2.0))
    box = face.min(axis=0), face.max(axis=0)
    if (touched := _touched(face, inner, [each for each in others if each.is_within(box, TOUCH)])) != "":
        return _Loose(body.mark, end.at, touched, 0.0) if touched is not None else None
    limit = size + SHORT
    if _is_held_near(body, end, limit, every):
        return None
    for other in sorted((each for each in others if each.is_within(box, limit)), key=lambda each: each.off(face)):
        if other.body is None or (gap := other.gap(face)) > limit:
            continue
        if gap - other.gap(face + gap * outward) >= _AHEAD * gap:
            return _Loose(body.mark, end.at, other.mark, gap)
    return _free_brace(body, end, face, others)


def _touched(face: Array, inner: Array, near: Sequence[Neighbour]) -> str | None:
    """The mark of what an end touches by an edge only; '' where it touches nothing, None where it is well held.

    Args:
        face: places on the end, (n, 3) mm.
        inner: places along the inner edge of its wall and behind it, (n, 3) mm.
        near: what may touch it.
    """
    touched = [other for other in near if other.off(face) <= TOUCH]
    if any(other.body is None or other.off(inner) <= TOUCH for other in touched):
        return None
    return touched[0].mark if touched else ""


def _is_held_near(body: Body, end: WorkedEnd, within: float, every: Sequence[Neighbour]) -> bool:
    """Whether something sits on the tube, or passes through it, so near its end that the end is an overhang."""
    for other in every:
        if isinstance(other.body, Body) and other.body.joined_to(body.mark):
            for theirs in other.body.part.ends:
                on = any(joint.onto == body.mark for joint in theirs.joints)
                if (
                    on
                    and float(np.linalg.norm(theirs.frame.origin - end.frame.origin))
                    <= within + body.part.section.reach
                ):
                    return True
    return False


def _free_brace(body: Body, end: WorkedEnd, face: Array, others: Sequence[Neighbour]) -> _Loose | None:
    """Of a brace's free end, not on the floor: the nearest tube that does not stand in a row with it."""
    far = next(each for each in body.part.ends if each is not end)
    slanted = [joint for joint in far.joints if _BRACE[0] <= joint.angle <= _BRACE[1]]
    if body.part.path is not None or len(slanted) != len(far.joints) or not slanted:
        return None
    floor = min(float(other.box[0][2]) for other in (*others,)) if others else -math.inf
    if float(face[:, 2].min()) <= floor + TOUCH:
        return None
    across = [
        other
        for other in others
        if isinstance(other.body, Body)
        and not any(
            abs(float(stretch.frame_at(0.0).x @ body.frame.x)) >= _LIKE for stretch in other.body.path.stretches
        )
    ]
    gap = nearest(
        face, [each for each in across if each.is_within((face.min(axis=0), face.max(axis=0)), _REACH * body.part.axis)]
    )
    if gap is None or gap[0] > _REACH * body.part.axis:
        return None
    return _Loose(body.mark, end.at, gap[1].mark, gap[0])

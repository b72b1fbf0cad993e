"""Checks of profiles' ends and of how many are made: what a notch leaves, its corners, hands, and ends in the air."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.neighbours import NEAR, TOUCH, Neighbour, along, neighbours
from fabgen.checks.profile.profile_bodies import ProfileBody, profile_bodies
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.checks.tube.tube_bodies import Body
from fabgen.geometry.space.frame import Array
from fabgen.geometry.tube.contact import least
from fabgen.geometry.tube.solids import Walls
from fabgen.parts.piece import At, ProfileEnd, profile_parts
from fabgen.parts.shape.profiles import differs_from_mirrored
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, joined, mm, number, sentence

LEAST_LEFT = 0.25
"""A notch that leaves less of the section beside it leaves little to carry by (common practice, no source)."""
LEAST_CORNER = 6.0
"""A smaller hole than is drilled of itself does less (common practice, no source), mm."""
_STANDS = 0.02
"""Where metal lies before less than this share of an end it is touched in passing."""
_AHEAD = 0.5 * TOUCH
_JUST = 3.0 * TOUCH
_BEHIND = (0.25, 0.5, 1.0)
"""What an end laps on is sought so far behind it, as shares of its size, and `_JUST` behind, mm."""
SHORT = 25.0
"""An end that stops short of something by no more is meant to reach it, mm (common practice, no source)."""


def _ends(job: Checked) -> Iterator[tuple[str, ProfileEnd]]:
    return ((piece.mark, end) for piece, part in profile_parts(job.pieces) for end in part.ends)


# -- notches ----------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class _Left:
    """What a notch leaves of a section: its share, its width and that of the whole, and how deep it goes, mm."""

    share: float
    width: float
    whole: float
    deep: float


def left_beside(end: ProfileEnd) -> _Left:
    """What of the legs, web and flanges is left at the deepest place of an end's notch.

    Args:
        end: a notched end.
    """
    edges = end.cut.edges
    metal = [(edge.left, edge.limb.width, edge.limb.thickness) for edge in edges]
    share = sum(left * t for left, _, t in metal) / sum(width * t for _, width, t in metal)
    deep = max(float(edge.x.max()) for edge in edges) - end.longest
    return _Left(share, sum(left for left, *_ in metal), sum(width for _, width, _ in metal), deep)


@rule("profile-notch", Level.WARN)
def profile_notch(job: Checked) -> Iterator[Found]:
    """A notch leaves a quarter of the profile's section beside it."""
    for mark, end in _ends(job):
        if not end.is_notched:
            continue
        left = left_beside(end)
        if left.share < LEAST_LEFT and left.deep > max(edge.limb.thickness for edge in end.cut.edges):
            yield found(
                mm(left.width), " of ", mm(left.whole), f" of its section is left beside the notch at its {end.at}, ",
                mm(left.deep), " deep: move it so that one leg passes, take a larger section, or weld a plate over it",
                about=mark,
            )  # fmt: skip


@rule("profile-corner", Level.WARN, source="EN 1090-2, re-entrant corners are rounded (from memory); " + PRACTICE)
def profile_corner(job: Checked) -> Iterator[Found]:
    """The inner corners of a notch are drilled round before it is sawn."""
    sharp: dict[str, list[str]] = {}
    for mark, end in _ends(job):
        if end.is_notched and end.cut.has_sharp_corner:
            sharp.setdefault(mark, []).append(end.at)
    if sharp:
        where = [f"{mark} {' and '.join(ends)}" for mark, ends in sharp.items()]
        yield found(
            f"inner corners of notches are left sharp ({', '.join(where)}), where cracks start: drill them first, "
            "`corner_hole` of ", mm(LEAST_CORNER), " or more where there is room, else round them with a file",
            about=list(sharp),
        )  # fmt: skip


# -- hands --------------------------------------------------------------------------------------
@rule("profile-hand", Level.NOTE)
def profile_hand(job: Checked) -> Iterator[Found]:
    """Of a profile that differs from its mirror image several of one mark are all of one hand."""
    marks = [
        piece.mark for piece, part in profile_parts(job.pieces) if piece.quantity > 1 and differs_from_mirrored(part)
    ]
    if marks:
        yield found(
            "several are made of a part that differs from its mirror image, all of one hand: where one is for the "
            "other side, list that as a [[profile]] of its own", about=marks,
        )  # fmt: skip


# -- ends in the air ------------------------------------------------------------------------------
@rule("profile-misses", Level.WARN)
def profile_misses(job: Checked) -> Iterator[Found]:
    """An end that aims at a part near by reaches it, by more than an edge; a profile that stands near others touches
    one."""
    own = profile_bodies(job)
    others = neighbours(job) if own else []
    short: list[tuple[str, Sentence]] = []
    aimed: set[str] = set()
    alone: list[tuple[str, Sentence]] = []
    for one in own:
        near = [other for other in others if other.mark != one.mark and other.is_within(one.box, NEAR)]
        misses = [miss for end in one.part.ends if (miss := _miss(one, end, near)) is not None]
        short += [(one.mark, words) for words, _ in misses]
        aimed |= {mark for _, mark in misses}
        is_held = any(one.joined_to(other.mark) for other in near) or _is_sat_on(one.mark, own)
        if near and not misses and not is_held:
            metal = along(one)
            gap, _, to = min((other.off(metal), other.mark, other) for other in near)
            if TOUCH < gap <= NEAR and not _is_alone(to, others):
                alone.append((one.mark, sentence(mm(gap), f" from {to.mark}")))
    if len(short) == 1:
        yield found("its ", short[0][1], ": move its point, or let it go on with `extend`", about=short[0][0])
    elif short:
        each = joined("; ", (sentence(f"{mark} ", miss) for mark, miss in short))
        about = list(dict.fromkeys(mark for mark, _ in short))
        yield found(
            number(len(short)), " ends stop short (", each, "): move their points, or `extend` them", about=about
        )
    by_edge = [edge for one in own for end in one.part.ends if (edge := _by_edge(one, end, others)) is not None]
    if by_edge:
        each = joined(", ", (f"{mark} {at} on {to}" for mark, at, to in by_edge))
        many = f"{len(by_edge)} ends touch" if len(by_edge) > 1 else "1 end touches"
        yield found(
            many, " others along an edge only (", each, "), where no weld holds: move the points in under the metal",
            about=list(dict.fromkeys(mark for mark, *_ in by_edge)),
        )  # fmt: skip
    alone = [(mark, far) for mark, far in alone if mark not in aimed]
    if alone:
        each = joined("; ", (sentence(f"{mark} ", far) if len(alone) > 1 else far for mark, far in alone))
        yield found(
            "touches nothing, the nearest is ", each, ": nothing holds it; are its points right?",
            about=[mark for mark, _ in alone],
        )  # fmt: skip


def _is_alone(other: Neighbour, every: Sequence[Neighbour]) -> bool:
    """Whether a tube touches nothing either, which is said of that."""
    if not isinstance(other.body, Body):
        return False
    metal, joined = along(other.body), (end.joints for end in other.body.part.ends)
    beside = (each for each in every if each is not other and each.is_within(other.box, TOUCH))
    return not any(joined) and not any(each.off(metal) <= TOUCH for each in beside)


def _is_sat_on(mark: str, own: Sequence[ProfileBody]) -> bool:
    return any(other.joined_to(mark) for other in own)


def _by_edge(one: ProfileBody, end: ProfileEnd, every: Sequence[Neighbour]) -> tuple[str, At, str] | None:
    """The mark, the end and what that touches by an edge alone: no metal lies before it, and it laps on nothing
    behind."""
    if end.kind != "plain":
        return None
    (strip,) = one.strips
    points = strip.walls.skin + (strip.begin if end.at == "start" else strip.end)[:, None] * strip.walls.along
    near = (each for each in every if each.mark != one.mark and each.is_within(one.box, TOUCH))
    touched = [other for other in near if _off(other, points) <= TOUCH]
    if not touched or any(_is_joined(one, other) or not other.blocks for other in touched):
        return None
    size = max(one.part.section.sizes[:2])
    behind = np.vstack([points + far * end.frame.x for far in (_JUST, *(share * size for share in _BEHIND))])
    for other in touched:
        if (
            float(np.mean(other.off_each(points - _AHEAD * end.frame.x) <= 0.0)) >= _STANDS
            or _off(other, behind) <= TOUCH
        ):
            return None
    return one.mark, end.at, touched[0].mark


def _off(other: Neighbour, points: Array) -> float:
    """How far points are from a profile, mm; from anything else no more than that."""
    return other.body.gap(points) if isinstance(other.body, ProfileBody) else other.off(points)


def _is_joined(one: ProfileBody, other: Neighbour) -> bool:
    return one.joined_to(other.mark) or (other.body is not None and other.body.joined_to(one.mark))


def _miss(one: ProfileBody, end: ProfileEnd, near: Sequence[Neighbour]) -> tuple[Sentence, str] | None:
    """What an end stops short of, in words, 'finish stops 8 mm short of L1', and the mark; None where it reaches or
    aims at nothing."""
    if end.kind != "plain":
        return None
    (strip,) = one.strips
    at = strip.begin if end.at == "start" else strip.end
    points = strip.walls.skin + at[:, None] * strip.walls.along
    if any(other.off(points) <= TOUCH for other in near):
        return None
    ahead, size = Walls.lines(points, -end.frame.x), max(one.part.section.sizes[:2])
    best: tuple[float, str] | None = None
    for other in near:
        for block in other.blocks:
            x = least(block.solid, ahead)
            x = x[np.isfinite(x) & (x > 0.0)]
            if not len(x) or (best is not None and float(x.min()) >= best[0]):
                continue
            # Between the flanges of a channel or beside the leg of an angle it is nearer than what it aims at.
            if float(x.min()) <= SHORT or (float(x.min()) <= SHORT + size and other.gap(points) <= SHORT):
                best = float(x.min()), other.mark
    if best is None:
        return None
    return sentence(f"{end.at} stops ", mm(best[0]), f" short of {best[1]}"), best[1]


RULES = (profile_notch, profile_corner, profile_hand, profile_misses)

"""Balls and eyes that stand in one another: two of rod ends, links, dampers or ball joints drawn on one point."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from fabgen.checks.checked import Checked, once
from fabgen.checks.grouped import named
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.job.values.point import Point
from fabgen.parts.piece import EyeSetup, LinkPart
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence

SAME = 1.0
"""Joints drawn no farther apart than this are on one point, mm."""


@dataclass(frozen=True, slots=True)
class Ball:
    """A link's or a damper's end, or a ball joint: of which, in words, where, and its width along its bolt, mm; None
    where the job does not say it."""

    of: str
    words: str
    at: Point
    width: float | None


def link_ends(job: Checked) -> Iterator[Ball]:
    """Both ends of every link that runs between points.

    Args:
        job: as checked.
    """
    parts = {piece.mark: piece.shape for piece in job.pieces if isinstance(piece.shape, LinkPart)}
    for link in job.job.link:
        if link.between is None:
            continue
        sides = parts[link.mark].sides if link.mark in parts else (None, None)
        for at, point, side in zip(("start", "finish"), link.between, sides, strict=True):
            width = side.width if isinstance(side, EyeSetup) else side.eye_width if side is not None else None
            yield Ball(link.mark, f"{link.mark} {at}", point, width)


def _damper_ends(job: Checked) -> Iterator[Ball]:
    for damper in job.job.damper:
        for point, at in zip(damper.between, ("first", "second"), strict=True):
            yield Ball(damper.name, f"{damper.name}'s {at} end", point, damper.eye_width)


def _joints(job: Checked) -> Iterator[Ball]:
    for joint in job.job.joint:
        if joint.kind == "ball":
            yield Ball(joint.name, f'joint "{joint.name}"', joint.at, None)


@dataclass(frozen=True, slots=True)
class Crowded:
    """Two ends that stand in one another: the centres `apart`, at least `needed`, mm."""

    one: Ball
    other: Ball
    apart: float
    needed: float

    @property
    def marks(self) -> frozenset[str]:
        """Whose ends they are."""
        return frozenset((self.one.of, self.other.of))


@rule("shared-ball", Level.STOP, source=PRACTICE)
def shared_ball(job: Checked) -> Iterator[Found]:
    """The ends of two links or dampers stand beside one another on their bolt, not in one another."""
    cases = [
        sentence(f"{each.one.words} and {each.other.words} are ", mm(each.apart), " apart, ", mm(each.needed),
                 " needed")
        for each in crowded(job)
    ]  # fmt: skip
    if cases:
        yield found(
            named(cases, "; "), ": two balls do not fit into one place: move one along the bolt, or give it a bolt of "
            "its own", about=[ball.of for each in crowded(job) for ball in (each.one, each.other)],
        )  # fmt: skip


@once
def crowded(job: Checked) -> Sequence[Crowded]:
    """The ends of links and dampers, two by two, that stand in one another."""
    cases = []
    for one, other in combinations((*link_ends(job), *_damper_ends(job)), 2):
        if one.of == other.of or one.width is None or other.width is None:
            continue
        apart, needed = math.dist(one.at.xyz, other.at.xyz), (one.width + other.width) / 2.0
        if apart < needed - 1e-6:
            cases.append(Crowded(one, other, apart, needed))
    return cases


@rule("shared-joint", Level.WARN, source=PRACTICE)
def shared_joint(job: Checked) -> Iterator[Found]:
    """No ball joint is drawn where another one, or a link's end, is, and no damper whose eyes have no size where any of
    them is."""
    joints, ends, dampers = list(_joints(job)), list(link_ends(job)), list(_damper_ends(job))
    pairs = [*combinations(joints, 2), *((joint, end) for joint in joints for end in ends)]
    plain = combinations((*joints, *ends, *dampers), 2)
    pairs += [(one, other) for one, other in plain if other in dampers and (one.width is None or other.width is None)]
    shared = [(one, other) for one, other in pairs if math.dist(one.at.xyz, other.at.xyz) <= SAME]
    if shared:
        cases = [f"{one.words} and {other.words}" for one, other in shared]
        yield found(
            named(cases, "; "), ": two on one point: if they are one ball, leave one out; if not, draw them as far "
            "apart as they are made", about=[ball.of for pair in shared for ball in pair],
        )  # fmt: skip


RULES = (shared_ball, shared_joint)

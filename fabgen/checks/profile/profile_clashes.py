"""Profiles against one another and against tubes: what runs through what."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import FEW, named
from fabgen.checks.profile.profile_bodies import ProfileBody, profile_bodies
from fabgen.checks.rule import Found, found, rule
from fabgen.checks.tube.clashes import CLASH, LAP, shared
from fabgen.checks.tube.tube_bodies import Body, apart, tube_bodies
from fabgen.parts.piece import ENDS, At
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence


@dataclass(frozen=True, slots=True)
class Clash:
    """Two parts that share metal: the longest stretch of one within the other, and how deep, mm; `end` of the first
    lies there where that is so."""

    one: str
    other: str
    length: float
    depth: float
    end: At | None = None

    def turned(self) -> Clash:
        """The same, said of the other."""
        return Clash(self.other, self.one, self.length, self.depth)


@rule("profile-clash", Level.STOP)
def profile_clash(job: Checked) -> Iterator[Found]:
    """Profiles run into other profiles and tubes only where one is cut to the other."""
    every = list(_with_lengths(job))
    clashes = [each.turned() if each.one in job.as_it_is else each for each in every]
    clashes = [each for each in clashes if each.one not in job.as_it_is]
    if not clashes:
        return
    first = clashes[0]
    if len(clashes) == 1:
        yield found(
            f"runs into {first.other} over ", mm(first.length), ", ", mm(first.depth),
            f" deep, and is not cut to it there: {_remedy(first)}", about=first.one,
        )  # fmt: skip
        return
    each = [sentence(f"{c.one} into {c.other} over ", mm(c.length), ", ", mm(c.depth), " deep") for c in clashes]
    yield found(
        f"{len(clashes)} run into others and are not cut to them there (", named(each, "; ", FEW),
        f"): {_remedy(first)}", about=list(dict.fromkeys(c.one for c in clashes)),
    )  # fmt: skip


def _remedy(clash: Clash) -> str:
    if clash.end is not None:
        return f'{clash.one} {clash.end} = {{ onto = "{clash.other}" }}, or move its points'
    return "move one aside by its depth, or make one of two pieces with an end on either side"


def _with_lengths(job: Checked) -> Iterator[Clash]:
    own = profile_bodies(job)
    tubes = list(tube_bodies(job).values()) if own else []
    pairs: list[tuple[ProfileBody, ProfileBody | Body]] = [(b, a) for a, b in combinations(own, 2)]
    pairs += [(profile, tube) for profile in own for tube in tubes]
    for one, other in pairs:
        if apart(one.box, other.box) or one.joined_to(other.mark) or other.joined_to(one.mark):
            continue
        metal = shared(one, other)
        if metal.length > CLASH and metal.depth > LAP:
            yield _clash(one, other, metal.length, metal.depth)


def _clash(one: ProfileBody, other: ProfileBody | Body, length: float, depth: float) -> Clash:
    """The clash, told of the one of the two whose end lies there."""
    for first, second in ((one, other), (other, one)):
        if isinstance(first, ProfileBody) and (at := _end_in(first, second)) is not None:
            return Clash(first.mark, second.mark, length, depth, at)
    return Clash(one.mark, other.mark, length, depth)


def _end_in(one: ProfileBody, other: ProfileBody | Body) -> At | None:
    """The end of a profile that lies in the box of another part."""
    for at, end in zip(ENDS, one.part.ends, strict=True):
        outline = end.cut.lines[0].limb.outline.points(0.5)
        x = end.cut.sawn.x(outline)
        points = end.frame.outside(np.column_stack((x, outline)))
        if not apart((points.min(axis=0), points.max(axis=0)), other.box):
            return at
    return None


RULES = (profile_clash,)

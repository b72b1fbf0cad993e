"""Ears of placed saddles, held against what they are bolted down to.

What is no farther from a saddle than that is long is what it holds something down to.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import named
from fabgen.checks.neighbours import NEAR, TOUCH, neighbours
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.checks.sheet.straps import straps
from fabgen.geometry.space.frame import Array
from fabgen.parts.shape.bored.hole_ways import HoleWay, hole_ways
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence


@dataclass(frozen=True, slots=True)
class _InAir:
    """A saddle of whose `ears` some stand on nothing, and what is nearest to these, mm."""

    mark: str
    over: int
    ears: int
    nearest: str
    off: float

    @property
    def words(self) -> Sentence:
        ears = f"{self.over} of {self.ears}" if self.over < self.ears else f"{self.ears}"
        return sentence(f"{self.mark} {ears} ears, ", mm(self.off), f" from {self.nearest}")


@rule("strap-ears", Level.WARN, source=PRACTICE)
def strap_ears(job: Checked) -> Iterator[Found]:
    """The ears of a saddle that has its place lie on the part that they are bolted to, where the job has any near."""
    cases = list(_in_air(job))
    if cases:
        lie, them = ("its ears lie", "it") if len(cases) == 1 else ("ears of saddles lie", "them")
        yield found(
            f"{lie} on nothing (", named([case.words for case in cases], "; "), f"): move {them} onto what they are "
            "bolted to, or turn `along` and `up` of the place", about=[case.mark for case in cases],
        )  # fmt: skip


def _in_air(job: Checked) -> Iterator[_InAir]:
    saddles = [
        of for of in straps(job) if of.part.band is not None and of.part.band.shape == "saddle" and of.part.places
    ]
    every = neighbours(job) if saddles else []
    for of in saddles:
        assert of.part.band is not None
        others = [each for each in every if each.mark not in (of.mark, of.part.band.mark)]
        ears = list(hole_ways(of.piece))
        free = [ear for ear in ears if not any(each.off(_skins(ear)) <= TOUCH for each in others)]
        own = next((each.box for each in every if each.mark == of.mark), None)
        if not free or own is None:
            continue
        near = [each for each in others if each.is_within(own, max(NEAR, float((own[1] - own[0]).max())))]
        if off := [(each.gap(_skins(ear)), each.mark) for ear in free for each in near]:
            yield _InAir(of.mark, len(free), len(ears), min(off)[1], min(off)[0])


def _skins(ear: HoleWay) -> Array:
    """Places at the rim and in the middle of an ear's hole, on both skins, (n, 3) mm."""
    level = ear.edge - np.outer(ear.edge @ ear.axis, ear.axis)
    rim = np.vstack([level + at * ear.axis for at in ear.span])
    return np.vstack((rim, *ear.mouths(0.0)))


RULES = (strap_ears,)

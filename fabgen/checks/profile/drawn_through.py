"""Ends of profiles that are drawn through what they are cut to: what lies beyond it is lost unsaid."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import FEW, named
from fabgen.checks.profile.profile_bodies import ProfileBody, profile_bodies
from fabgen.checks.rule import Found, found, rule
from fabgen.checks.tube.tube_bodies import Body, tube_bodies
from fabgen.geometry.space.frame import Array
from fabgen.geometry.tube.contact import least
from fabgen.geometry.tube.solids import Walls
from fabgen.parts.piece import At, ProfileEnd
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence

BEYOND = 2.0
"""An end that is drawn no farther out of the far side of what it sits on is drawn to that side, mm (common practice, no
source)."""


@dataclass(frozen=True, slots=True)
class _Through:
    """An end that is drawn through what it is cut to: how far it comes out beyond, and how much is cut off, mm."""

    mark: str
    at: At
    main: str
    beyond: float
    lost: float

    @property
    def words(self) -> Sentence:
        return sentence(f"{self.mark} {self.at} ", mm(self.beyond), f" out of {self.main}, ", mm(self.lost), " lost")

    @property
    def line(self) -> str:
        return f'{self.at} = {{ onto = "{self.main}" }}'


@rule("profile-drawn-through", Level.STOP)
def profile_drawn_through(job: Checked) -> Iterator[Found]:
    """An end that is drawn through another part, past the line on which that one's points lie, is cut off at its near
    side only where the job says so."""
    cases = list(_drawn_through(job))
    if not cases:
        return
    first = cases[0]
    about = list(dict.fromkeys(case.mark for case in cases))
    if len(cases) == 1:
        yield found(
            f"its {first.at} is drawn through {first.main}, ", mm(first.beyond), " out of the far side, and cut off "
            "before it, ", mm(first.lost), f" shorter than drawn: move its point to {first.main}, or "
            f"`{first.line}` in the table of {first.mark} says that it is meant", about=about,
        )  # fmt: skip
        return
    yield found(
        f"{len(cases)} ends are drawn through what they meet and cut off before it (",
        named([case.words for case in cases], "; ", FEW), "): move their points to it, or "
        f"`{first.line}` in the table of {first.mark}, and so on, says that it is meant", about=about,
    )  # fmt: skip


def _drawn_through(job: Checked) -> Iterator[_Through]:
    given = {profile.mark: profile for profile in job.job.profile}
    own = profile_bodies(job)
    mains: dict[str, ProfileBody | Body] = {body.mark: body for body in own}
    mains |= tube_bodies(job) if own else {}
    for one in own:
        for end in one.part.ends:
            table = given.get(one.mark)
            named = table is not None and getattr(table, end.at).onto is not None
            if end.kind not in ("notch", "face") or named:
                continue
            over = [(_beyond(one, end, mains[mark]), mark) for mark in end.onto if mark in mains]
            beyond, main = max(over, default=(0.0, ""))
            if beyond > BEYOND:
                yield _Through(one.mark, end.at, main, beyond, end.longest)


def _beyond(one: ProfileBody, end: ProfileEnd, main: ProfileBody | Body) -> float:
    """How far an end as drawn stands out of the far side of what it is cut to, mm; 0 or less where it does not, or
    where it is drawn no farther than the line on which the points of that lie."""
    inward, past = end.frame.x, np.inf
    if isinstance(main, ProfileBody):
        frame = main.part.frame
        across = inward - float(inward @ frame.x) * frame.x
        past = float((frame.origin - end.frame.origin) @ across) / float(across @ across)
    if past <= BEYOND:
        return 0.0
    (strip,) = one.strips
    skin = strip.walls.skin + (0.0 if end.at == "start" else one.part.axis) * strip.walls.along
    cut = strip.begin if end.at == "start" else one.part.axis - strip.end
    x = _first(main, Walls.lines(skin, inward))
    met = np.isfinite(x) & (x <= cut) & (cut > BEYOND)
    return float(np.median(x[met])) if met.any() else 0.0


def _first(main: ProfileBody | Body, lines: Walls) -> Array:
    """Where lines into a profile first meet the metal of a main, mm from its end as drawn; nan where they miss."""
    return np.asarray(np.fmin.reduce([least(block.solid, lines) for block in main.blocks]))


RULES = (profile_drawn_through,)

"""Sleeves inside spliced tubes: whether they go in, fill the bore, reach far enough, and are of the tubes' metal."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import ENDS, LengthPart, WorkedEnd
from fabgen.parts.shape.sections import half_size
from fabgen.parts.shape.tubes import route_point
from fabgen.shop.section import Section
from fabgen.shop.sleeves import LEAST_PLAY, MOST_PLAY, half_sleeve
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm

_NEAR = 0.01
"""Lengths that differ by less are alike, mm."""


@dataclass(frozen=True, eq=False)
class _In:
    """A sleeve in one of its two tubes; both are straight there."""

    mark: str
    sleeve: LengthPart
    main_mark: str
    main: LengthPart

    @cached_property
    def _places(self) -> Array:
        return np.array([route_point(self.sleeve, at) for at in ENDS])

    @cached_property
    def end(self) -> WorkedEnd:
        """The tube's end that is nearest to the sleeve's middle."""
        middle = self._places.mean(axis=0)
        return min(self.main.ends, key=lambda end: float(np.linalg.norm(end.frame.origin - middle)))

    @property
    def reach(self) -> float:
        """How far the sleeve reaches into the tube, mm; 0 or less where it does not."""
        along = sorted(((self._places - self.end.frame.origin) @ self.end.frame.x).tolist())
        return float(min(along[1], self.main.length) - max(along[0], 0.0))

    @property
    def beside(self) -> float:
        """How far the sleeve's axis lies off the tube's at most, mm."""
        away = self._places - self.end.frame.origin
        away = away - np.outer(away @ self.end.frame.x, self.end.frame.x)
        return float(np.linalg.norm(away, axis=1).max())

    @cached_property
    def bores(self) -> tuple[tuple[float, float], ...]:
        """What the bore and the sleeve measure, mm, across the tube either way."""
        section = self.main.section
        if section.is_round:
            return ((section.bore, 2.0 * self.sleeve.section.reach),)
        frame = self.end.frame
        assert self.main.frame is not None
        assert self.sleeve.frame is not None
        top = np.sin(self.end.top) * frame.z + np.cos(self.end.top) * frame.y
        left = np.cross(top, frame.x)
        return tuple(
            (
                2.0 * (half_size(section, frame.x, top, way) - section.wall),
                2.0 * half_size(self.sleeve.section, self.sleeve.frame.x, self.sleeve.frame.z, way),
            )
            for way in (left, top)
        )

    @property
    def tight(self) -> tuple[float, float]:
        """Bore and sleeve the way the sleeve has least play, mm."""
        return min(self.bores, key=lambda sizes: sizes[0] - sizes[1])

    @property
    def corners_foul(self) -> bool:
        """Whether a rectangular sleeve's corners are too sharp for those of the bore."""
        section = self.main.section
        if section.is_round or self.sleeve.section.is_round:
            return False
        across, up = section.width - 2.0 * section.wall, section.depth - 2.0 * section.wall
        bore = Section(section.shape, across, up, 0.0, section.inner_corner)
        return self.sleeve.section.reach > bore.reach


def _sleeves(job: Checked) -> Iterator[_In]:
    for mark, part in job.tubes.items():
        for other in part.sleeve_of:
            if (main := job.tubes.get(other)) is not None and part.frame is not None and main.frame is not None:
                yield _In(mark, part, other, main)


def _tightest(job: Checked) -> Iterator[_In]:
    """Each sleeve in that of its tubes which it fills most."""
    both: dict[str, list[_In]] = {}
    for each in _sleeves(job):
        both.setdefault(each.mark, []).append(each)
    return (min(each, key=lambda one: one.tight[0] - one.tight[1]) for each in both.values())


@rule("sleeve-fit", Level.STOP, Level.WARN, source=PRACTICE)
def sleeve_fit(job: Checked) -> Iterator[Found]:
    """The sleeve of a splice goes into the bore, and fills it."""
    for each in _tightest(job):
        if each.main.section.is_solid:
            yield found(f"{each.main_mark} is solid: no sleeve goes in, weld the splice instead", about=each.mark)
            continue
        tight = each.tight
        loose = max(each.bores, key=lambda sizes: sizes[0] - sizes[1])
        if tight[0] - tight[1] < LEAST_PLAY - 1e-6:
            yield found(
                mm(tight[1], 2), " do not go into a bore of ", mm(tight[0], 2), ": take a sleeve of ",
                mm(tight[0] - LEAST_PLAY, 2), " or less",
                about=each.mark,
            )  # fmt: skip
        elif each.corners_foul:
            yield found(
                "its corners are too sharp for those of the bore: grind them, or take one smaller", about=each.mark
            )
        elif loose[0] - loose[1] > MOST_PLAY + 1e-6:
            yield found(
                mm(loose[0] - loose[1], 2), " of play in a bore of ", mm(loose[0], 2), ", ", mm(MOST_PLAY),
                " at most: take a tube nearer to ", mm(loose[0] - LEAST_PLAY, 2), ", or turn one down to that",
                about=each.mark, level=Level.WARN,
            )  # fmt: skip


@rule("sleeve-place", Level.STOP, source=PRACTICE)
def sleeve_place(job: Checked) -> Iterator[Found]:
    """The sleeve of a splice lies inside both tubes, in their line."""
    for each in _sleeves(job):
        if each.reach <= 0.0:
            yield found(
                f"it does not reach into {each.main_mark}: put its middle where the two tubes meet", about=each.mark
            )
        elif each.beside > MOST_PLAY / 2.0 + 1e-6:
            yield found(mm(each.beside), f" off the axis of {each.main_mark}: put it in that line", about=each.mark)


@rule("sleeve-short", Level.WARN, source=PRACTICE)
def sleeve_short(job: Checked) -> Iterator[Found]:
    """The sleeve of a splice goes into either tube by twice that one's greater size."""
    for each in _sleeves(job):
        need = half_sleeve(each.main.section)
        if 0.0 < each.reach < need - _NEAR:
            more = "make it longer"
            if each.main.length < need:
                more = "splice where a longer piece is left"
            yield found(
                "reaches ", mm(each.reach), f" into {each.main_mark}, ", mm(need), f" needed: {more}", about=each.mark
            )


@rule("sleeve-metal", Level.WARN, source=PRACTICE)
def sleeve_metal(job: Checked) -> Iterator[Found]:
    """The sleeve of a splice is of the metal of its tubes."""
    said: set[str] = set()
    metal = {piece.mark: piece.material for piece in job.pieces}
    for each in _sleeves(job):
        if metal[each.mark] != metal[each.main_mark] and each.mark not in said:
            said.add(each.mark)
            theirs = metal[each.main_mark]
            yield found(f"of {metal[each.mark]} inside {theirs}: make it of {theirs}", about=each.mark)


RULES = (sleeve_fit, sleeve_place, sleeve_short, sleeve_metal)

"""Checks of coped ends by their sizes: how flat they meet, how wide they are, and what is left between them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import named
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.geometry.space.frame import Frame, cross
from fabgen.job.expansion.written_keys import Wanted
from fabgen.parts.piece import Joint, LengthPart, WorkedEnd
from fabgen.parts.shape.cuts import side_lengths
from fabgen.parts.shape.sections import section_profile
from fabgen.parts.shape.tubes import frame_near
from fabgen.shop.section import Section
from fabgen.wording.figures import figure
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, degrees, mm, sentence

LEAST_ANGLE = math.radians(30.0)
ANGLE_SOURCE = "EN 1993-1-8:2005, 7.1.2(3), clause from memory"
WIDTH_SOURCE = "EN 1993-1-8:2005, table 7.1, from memory"

_ASKEW = math.radians(0.1)
"""A branch turned by less lies square on its main."""

_SPARE = 0.1
"""A branch wider by less is as wide, mm."""


@dataclass(frozen=True, eq=False)
class Seated:
    """A coped end on one of its mains."""

    mark: str
    part: LengthPart
    end: WorkedEnd
    joint: Joint

    @property
    def name(self) -> str:
        return f"{self.mark} {self.end.at} on {self.joint.onto}"


def _seated(job: Checked) -> Iterator[Seated]:
    for mark, part in job.own_tubes.items():
        for end in part.ends:
            yield from (Seated(mark, part, end, joint) for joint in end.joints if end.cut == "cope")


@rule("shallow-cope", Level.WARN, source=ANGLE_SOURCE)
def shallow_cope(job: Checked) -> Iterator[Found]:
    """The angle between a branch and its main is 30 degrees or more."""
    flat = [each for each in _seated(job) if each.joint.angle < LEAST_ANGLE - 1e-6]
    if len(flat) == 1:
        ((each,), tight) = flat, "the heel is too tight to weld to the root; have the joint designed for it"
        meets = f"the {each.end.at} meets {each.joint.onto} at "
        yield found(meets, degrees(each.joint.angle), f", under 30°: {tight}", about=each.mark)
    elif flat:
        cases = [sentence(f"{each.name} ", degrees(each.joint.angle)) for each in flat]
        tight = "their heels are too tight to weld to the root; have the joints designed for it"
        what = f"{len(flat)} ends meet what they sit on at less than 30° ("
        yield found(what, named(cases), f"): {tight}", about=[each.mark for each in flat])


# -- width --------------------------------------------------------------------------
@dataclass(frozen=True, eq=False)
class _Wide:
    """A branch that is `wide` mm, on a main that has a seat of `seat` mm; `turned` is the `turn`, degrees, that lays
    it so that its sides have one, None where none does; `askew`: whether it lies askew on its main as it is; `unlike`:
    the turn that this end needs where the other needs another, so that none suits both."""

    seated: Seated
    wide: float
    seat: float
    turned: float | None
    askew: bool
    unlike: float | None = None

    @property
    def kind(self) -> tuple[bool, bool, bool]:
        """What those that are told in one finding have in common."""
        return self.turned is not None, self.askew, self.unlike is not None


@rule("branch-wider", Level.WARN, source=WIDTH_SOURCE)
def branch_wider(job: Checked) -> Iterator[Found]:
    """A branch is no wider than its main, both measured square to the plane of their axes."""
    every = _with_one_turn([wide for each in _seated(job) if (wide := _wider(each, job)) is not None])
    for kind in ((True, True, False), (True, False, False), (False, False, True), (False, False, False)):
        if those := [each for each in every if each.kind == kind]:
            yield found(_wide_words(those), _wide_cure(those, job), about=[each.seated.mark for each in those])


def _wider(each: Seated, job: Checked) -> _Wide | None:
    main = job.tubes.get(each.joint.onto)
    if main is None:
        return None
    axis = frame_near(main, each.end.frame.origin, each.end.frame.x)
    wide, seat = _widths(each.part.section, each.end, main.section, axis)
    if wide <= seat + _SPARE:
        return None
    section, end = each.part.section, each.end
    given = job.tube_tables.get(each.mark)
    if section.is_round or each.part.path is not None or given is None:
        return _Wide(each, wide, seat, None, askew=False)
    across = cross(end.frame.x, axis.x)
    aside = math.atan2(float(across @ end.frame.z), float(across @ end.frame.y))
    along = math.remainder(aside - end.top, math.pi / 2.0)  # what lays a side along the plane of the two axes
    alike = 90.0 if section.width == section.depth else 180.0
    for roll in (along, along + math.pi / 2.0):
        if _widths(section, replace(end, top=end.top + roll), main.section, axis)[0] <= seat + _SPARE:
            # phi runs the other way at the finish.
            turn = math.degrees(given.turn + (roll if end.at == "start" else -roll))
            return _Wide(each, wide, seat, math.remainder(turn, alike), askew=abs(along) > _ASKEW)
    return _Wide(each, wide, seat, None, askew=False)


def _with_one_turn(wide: Sequence[_Wide]) -> list[_Wide]:
    """The same, without a turn that both have where the two ends of a tube need unlike ones."""
    turns: dict[str, set[float | None]] = {}
    for each in wide:
        turns.setdefault(each.seated.mark, set()).add(None if each.turned is None else round(each.turned, 1))
    return [
        each
        if len(turns[each.seated.mark]) == 1
        else replace(each, turned=None, askew=False, unlike=None if None in turns[each.seated.mark] else each.turned)
        for each in wide
    ]


def _wide_words(wide: Sequence[_Wide]) -> Sentence:
    if len(wide) == 1:
        (only,) = wide
        onto, at = only.seated.joint.onto, only.seated.end.at
        sizes = sentence(f"at its {at} the branch is ", mm(only.wide), f" wide and {onto} only ", mm(only.seat))
        return sentence(sizes, ": its sides have no seat on the main; ")
    cases = [
        sentence(
            f"{each.seated.mark} {each.seated.end.at} ", mm(each.wide), f" on {each.seated.joint.onto}, ", mm(each.seat)
        )
        for each in wide
    ]
    what = f"{len(wide)} ends are wider than what they sit on ("
    return sentence(what, named(cases, "; "), "): their sides have no seat there; ")


def _wide_cure(wide: Sequence[_Wide], job: Checked) -> Sentence:
    if wide[0].turned is not None:
        turned = [Wanted(each.seated.mark, "", {"turn": sentence(figure(each.turned or 0.0, 2))}) for each in wide]
        it = "it" if len(wide) == 1 else "them"
        lays = f" turns {it} to lie square on what carries {it}" if wide[0].askew else f" lays {it} the other way"
        both = all(sum(other.seated.mark == each.seated.mark for other in wide) == 2 for each in wide)
        return sentence(job.written.lines(turned, lays), "" if both else " (check the other end then)")
    if wide[0].unlike is not None:
        needs = [sentence(f"{e.seated.mark} {e.seated.end.at} {figure(e.unlike or 0.0, 2)}°") for e in wide]
        mends = ": turn one of the mains, or take branches no wider than their mains"
        return sentence("its two ends need unlike turns" if len(needs) == 2 else "their two ends need unlike turns",
                        " (", named(needs), "), and no one `turn` suits both", mends)  # fmt: skip
    if len(wide) == 1:
        return sentence("take a branch of ", mm(wide[0].seat), " or less, or a main of ", mm(wide[0].wide), " or more")
    return sentence("take branches no wider than their mains, or wider mains")


def _widths(own: Section, end: WorkedEnd, under: Section, axis: Frame) -> tuple[float, float]:
    """Width of a branch and of its main across the plane of their axes, mm."""
    across = cross(end.frame.x, axis.x)
    across = across / np.linalg.norm(across)
    skin = section_profile(own, end.top).skin
    wide = np.ptp(skin @ np.array([across @ end.frame.y, across @ end.frame.z]))
    top = section_profile(under, math.pi / 2.0).skin
    seat = np.ptp(top @ np.array([across @ axis.y, across @ axis.z]))
    return float(wide), float(seat)


# -- length -------------------------------------------------------------------------
@rule("cut-through", Level.STOP, source=FROM_JOB)
def cut_through(job: Checked) -> Iterator[Found]:
    """The cuts of the two ends do not meet."""
    over: list[tuple[str, float]] = []
    for mark, part in job.own_tubes.items():
        shortest = side_lengths(part)
        if not np.isnan(shortest).all() and float(np.nanmin(shortest)) <= 0.0:
            over.append((mark, -float(np.nanmin(shortest))))
    apart = "of the tube is left there: what it sits on must lie farther apart by more than that, or leave it out"
    if len(over) == 1:
        ((mark, by),) = over
        yield found("the cuts of its two ends cross by ", mm(by), f" on one side, and nothing {apart}", about=mark)
    elif over:
        cases = [sentence(f"{mark} ", mm(by)) for mark, by in over]
        what = f"of {len(over)} tubes the cuts of the two ends cross on one side ("
        apart = (
            "), and nothing is left there: what they sit on must lie farther apart by more than that, or leave them out"
        )
        yield found(what, named(cases), apart, about=[mark for mark, _ in over])


RULES = (shallow_cope, branch_wider, cut_through)

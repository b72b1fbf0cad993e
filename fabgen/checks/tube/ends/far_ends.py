"""Check of ends that are cut far from their own points."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import named
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.lines import nearest_places
from fabgen.job.expansion.written import written_value
from fabgen.job.expansion.written_keys import Wanted
from fabgen.job.tables.part_tables import Tube
from fabgen.parts.piece import LengthPart, WorkedEnd
from fabgen.parts.shape.tubes import frame_near, route_point
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence


@dataclass(frozen=True, eq=False)
class _Far:
    """An end whose cut lies far from its own point.

    Args:
        tube: as the job has it.
        end: that end.
        onto: the marks of what it sits on.
        off: how far the nearest side of the cut is from the point, mm.
        grows: whether it lies beyond the point, so that the tube would grow.
        near: the marks of those at the point.
        place: where the point would be at home, (3,) mm.
        crosses: whether the tube runs on past what it is cut at, both being straight.
    """

    tube: Tube
    end: WorkedEnd
    onto: tuple[str, ...]
    off: float
    grows: bool
    near: tuple[str, ...]
    place: Array
    crosses: bool

    @property
    def way(self) -> tuple[bool, bool, bool]:
        """What is said of all that are alike in it."""
        return self.grows, self.is_given, self.crosses

    @property
    def is_given(self) -> bool:
        """Whether the job names what the end sits on."""
        return self.tube.end(self.end.at).onto is not None

    @property
    def wanted(self) -> list[Wanted]:
        """The keys with which it sits only on what stands at its point."""
        near = sentence(written_value(list(self.near))) if self.near else None
        wanted = [Wanted(self.tube.mark, self.end.at, {"onto": near})]
        return [*wanted, Wanted(self.tube.mark, "", {"crossings": "cut"})] if self.crosses else wanted


@rule("end-far-from-point", Level.STOP, source=FROM_JOB)
def end_far_from_point(job: Checked) -> Iterator[Found]:
    """The cut of an end lies no farther from its own point than what it sits on is thick, measured along the tube."""
    alike: dict[tuple[bool, bool, bool], list[_Far]] = {}
    for tube in job.own_tables:
        part = job.tubes.get(tube.mark)
        for end in part.ends if part is not None and part.frame is not None else ():
            if part is not None and (far := _far(tube, part, end, job)) is not None:
                alike.setdefault(far.way, []).append(far)
    for those in alike.values():
        yield found(_where(those), _what_to_do(those, job), about=[far.tube.mark for far in those])


def _far(tube: Tube, part: LengthPart, end: WorkedEnd, job: Checked) -> _Far | None:
    joints = [joint for joint in end.joints if joint.onto in job.tubes] if end.cut == "cope" else []
    if not joints or np.isnan(end.line.x).all():
        return None
    own = route_point(part, end.at)
    point = float((own - end.frame.origin) @ end.frame.x)
    goes, grows = float(np.nanmin(end.line.x)) - point, point - float(np.nanmax(end.line.x))
    mains = [job.tubes[joint.onto] for joint in joints]
    sizes = [
        max(main.section.width, main.section.depth) / math.sin(joint.angle)
        for main, joint in zip(mains, joints, strict=True)
    ]
    if max(goes, grows) <= max(sizes):
        return None
    away = [_along(main, own, end.frame.x) for main in mains]
    near = [joint.onto for joint, at, size in zip(joints, away, sizes, strict=True) if abs(at) <= size]
    farthest = max(away, key=abs)
    straight = part.path is None and all(main.path is None for main in mains) and not tube.holes
    crosses = straight and goes > max(sizes) and part.axis - goes > max(sizes) + part.section.reach
    onto = tuple(joint.onto for joint in joints)
    place = own + farthest * end.frame.x
    return _Far(tube, end, onto, max(goes, grows), grows > goes, tuple(near), place, crosses)


def _along(main: LengthPart, point: Array, along: Array) -> float:
    """How far along a tube from its point its axis comes nearest to a main's, mm."""
    axis = frame_near(main, point, along)
    places = nearest_places(point, along, axis.origin, axis.x)
    return 0.0 if places is None else float(places[0])


def _where(far: Sequence[_Far]) -> Sentence:
    how = "beyond" if far[0].grows else "from"
    if len(far) == 1:
        (one,) = far
        what = "the tube would grow by so much; " if one.grows else "so much of the tube would go; "
        at = f" {how} its own point, at {' and '.join(one.onto)}: "
        return sentence(f"its {one.end.at} is cut ", mm(one.off), at, what)
    cases = [sentence(f"{one.tube.mark} {one.end.at} ", mm(one.off), f" at {' and '.join(one.onto)}") for one in far]
    what = "so much would the tubes grow; " if far[0].grows else "so much of the tubes would go; "
    return sentence(f"{len(far)} ends are cut far {how} their own points (", named(cases), f"): {what}")


def _what_to_do(far: Sequence[_Far], job: Checked) -> Sentence:
    moved = job.written.points((one.tube, one.end.at, one.place.tolist()) for one in far)
    if not far[0].is_given:
        return moved
    it, its = ("it", "its point") if len(far) == 1 else ("them", "their points")
    do = f" cuts {it} in pieces there" if far[0].crosses else f" fits {it} to what stands at {its}"
    return sentence(job.written.lines((want for one in far for want in one.wanted), do), ", or ", moved)

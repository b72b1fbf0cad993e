"""Who sits on whom: what is done to every tube end, by the order in which tubes are fitted.

An end that the job leaves open *reaches* an earlier tube when the tube's section, set square
across the route's last point, goes into the earlier tube by more than `OVERLAP`; or when it
comes within `TOUCH` of it and the branch's axis, carried on, runs into it.  The earlier tube
counts from end to end of its own route, bends and all.  So axes may pass one another (an offset), the point
may lie anywhere along the earlier tube or where it ends, on its axis or on its skin; a tube
alongside, or a gap, is not reached.  Tubes within five degrees of parallel are never coped:
they butt, and the end stays plain.

Of the tubes reached those are kept that shape the cut; one whose metal lies wholly within
another's there (two braces on one chord) is left out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.space.box_overlap import overlapping
from fabgen.geometry.tube.contact import Array, Walls, distance, greatest
from fabgen.job.errors import InputError, Problem, nearest
from fabgen.parts.piece import ENDS, At
from fabgen.parts.shape.cuts import LEAST_ANGLE
from fabgen.parts.tube.route import Run

OVERLAP = 0.5
TOUCH = 1.0
"""mm; measured points are seldom better than this."""

SAME_POINT = 1.0
"""Ends this near meet at one point, mm."""


@dataclass(frozen=True)
class Work:
    """What is done to one end: coped onto `mains` (by index), mitred with the ends in `partners`,
    or cut to the plane that the job gives."""

    cut: str
    mains: tuple[int, ...] = ()
    partners: tuple[tuple[int, At], ...] = ()
    automatic: bool = False


PLAIN = Work("plain")

Works = dict[tuple[int, At], Work]


class Fitting:
    """Decides the work of all ends of a job's runs; faults gather in `problems`.

    `runs` stand as the job lists them and `marks` are theirs; a run that could not be built
    is None, and what names it is passed over.
    """

    def __init__(self, runs: Sequence[Run | None], marks: Sequence[str]) -> None:
        self.runs = runs
        self._marks = frozenset(marks)
        self.sound = [run for run in runs if run is not None]
        self.by_mark = {run.mark: run for run in self.sound}
        self.problems: list[Problem] = []
        self.works: Works = {}
        self._candidates = self._neighbours()
        ends = [(run, at) for run in self.sound for at in ENDS]
        for run, at in ends:
            if run.given(at).plane is not None:
                self.works[run.index, at] = Work("plane")
            elif run.given(at).cut == "plain":
                self.works[run.index, at] = PLAIN
        for step in (self._listed, self._mitred, self._joined, self._automatic):
            for run, at in ends:
                if (run.index, at) in self.works:
                    continue
                try:
                    if (work := step(run, at)) is not None:
                        self.works[run.index, at] = work
                except InputError as fault:
                    self.works[run.index, at] = PLAIN
                    self.problems.append(Problem.of(("tube", run.index, at), fault))

    # -- ends that say what they sit on -------------------------------------------
    def _listed(self, run: Run, at: At) -> Work | None:
        given = run.given(at)
        if given.onto is None or given.cut == "mitre":
            return None
        _no_extension(run, at, "is coped, as it names what it sits on")
        mains = [self._named(run, mark, i) for i, mark in enumerate(given.onto)]
        found = [main for main in mains if main is not None]
        for main in found:
            if between(run, at, main) < LEAST_ANGLE:
                raise InputError(
                    f"{run.mark} runs within 5 degrees of parallel to {main.mark}, so it cannot be coped onto it",
                    'cut = "plain" for a butt joint, or cut = "mitre"',
                    key=("onto",),
                )
            for other in ENDS:
                back = main.given(other)
                meet = math.dist(run.point(at), main.point(other)) <= SAME_POINT
                if meet and back.cut in ("auto", "cope") and back.onto and run.mark in back.onto:
                    raise InputError(
                        f"{run.mark} and {main.mark} are each coped onto the other here",
                        "`onto` at one of the two ends only",
                        key=("onto",),
                    )
        return Work("cope", tuple(main.index for main in found)) if found else PLAIN

    def _named(self, run: Run, mark: str, place: int) -> Run | None:
        main = self.by_mark.get(mark)
        if main is run:
            raise InputError(f"{mark} is named as its own partner", "the marks of other tubes", key=("onto", place))
        if main is None and mark not in self._marks:
            raise InputError(
                f'there is no tube "{mark}"',
                f"marks of tubes: {_some(self.by_mark)}",
                nearest(mark, self.by_mark),
                ("onto", place),
            )
        return main

    # -- mitres -------------------------------------------------------------------
    def _joined(self, run: Run, at: At) -> Work | None:
        """An open end with which a mitre was asked is mitred too."""
        if run.given(at).cut != "auto":
            return None
        asking = tuple(
            (other.index, end)
            for other, end in self._ends_at(run, at)
            if (run.index, at) in self.works.get((other.index, end), PLAIN).partners
        )
        return Work("mitre", partners=asking) if asking else None

    def _mitred(self, run: Run, at: At) -> Work | None:
        if run.given(at).cut != "mitre":
            return None
        partners = self._partners(run, at)
        if not partners:
            raise InputError(
                "no other tube ends here that could be mitred with this end",
                'two or more tubes that end at one point, each with cut = "mitre"',
                key=("cut",),
            )
        for other, end in partners:
            theirs = other.given(end)
            if theirs.plane is not None or theirs.cut in ("plain", "cope") or (theirs.onto and theirs.cut == "auto"):
                given = "cut to a plane" if theirs.plane is not None else f"given as {theirs.cut}"
                raise InputError(
                    f"the {end} of {other.mark} is to be mitred with this end, but is {given}",
                    f'cut = "mitre" at the {end} of {other.mark} too',
                    key=("cut",),
                )
            _no_extension(other, end, f"is mitred with {run.mark}")
            if math.acos(max(-1.0, min(1.0, float(run.inward(at) @ other.inward(end))))) < 2.0 * LEAST_ANGLE:
                raise InputError(
                    f"{run.mark} and {other.mark} leave this point within 10 degrees of one another: no mitre",
                    "tubes that part by 10 degrees or more",
                    key=("cut",),
                )
        if len(partners) > 1 and run.given(at).seam == "edges":
            raise InputError("three tubes have no seam from edge to edge", 'seam = "bisect"', key=("seam",))
        return Work("mitre", partners=tuple((other.index, end) for other, end in partners))

    def _partners(self, run: Run, at: At) -> list[tuple[Run, At]]:
        """Ends mitred with this one: those it names; or those at its point that ask for a
        mitre too; or, where none does, the only other end there that says nothing else."""
        there = self._ends_at(run, at)
        given = run.given(at)
        if given.onto is not None:
            marks = [self._named(run, mark, i) for i, mark in enumerate(given.onto)]
            missing = [main.mark for main in marks if main and not any(other is main for other, _ in there)]
            if missing:
                raise InputError(f"{missing[0]} has no end at this point", "tubes that end here", key=("onto",))
            return [(other, end) for other, end in there if any(other is main for main in marks)]
        asking = [(o, end) for o, end in there if o.given(end).cut == "mitre"]
        if asking:
            return [(o, e) for o, e in asking if (named := o.given(e).onto) is None or run.mark in named]
        open_ends = [
            (o, end)
            for o, end in there
            if (theirs := o.given(end)).cut == "auto" and theirs.onto is None and theirs.plane is None
        ]
        if len(open_ends) > 1:
            raise InputError(
                f"{' and '.join(o.mark for o, _ in open_ends)} all end here: it is not said which one is mitred",
                'cut = "mitre" at every end that takes part, or `onto` with the marks',
                key=("cut",),
            )
        return open_ends

    def _ends_at(self, run: Run, at: At) -> list[tuple[Run, At]]:
        """Other tubes' ends at the same point, in fit order."""
        point = run.point(at)
        return [
            (other, end)
            for j in self._candidates[run.index, at]
            if (other := self._run(j)) is not run
            for end in ENDS
            if math.dist(point, other.point(end)) <= SAME_POINT
        ]

    # -- open ends ----------------------------------------------------------------
    def _automatic(self, run: Run, at: At) -> Work:
        mains = [
            j
            for j in self._candidates[run.index, at]
            if j < run.index and not self._sits_on(self._run(j), run, at) and reaches(run, at, self._run(j))
        ]
        if mains:
            _no_extension(run, at, f"is coped, as it reaches {self._run(mains[0]).mark}")
            return Work("cope", tuple(mains), automatic=True)
        if run.given(at).cut == "cope":
            raise InputError(
                "this end reaches no earlier tube that it could be coped onto",
                "`onto` with the marks it sits on, or a tube listed before it that runs through its point",
                key=("cut",),
            )
        return PLAIN

    def _sits_on(self, earlier: Run, run: Run, at: At) -> bool:
        """Whether an end of `earlier` here is already worked to sit on `run`, or mitred with it."""
        for end in ENDS:
            work = self.works.get((earlier.index, end))
            if work is None or math.dist(earlier.point(end), run.point(at)) > run.section.reach + earlier.section.reach:
                continue
            if run.index in work.mains or any(j == run.index for j, _ in work.partners):
                return True
        return False

    # -- helpers --------------------------------------------------------------------
    def _run(self, index: int) -> Run:
        run = self.runs[index]
        assert run is not None
        return run

    def _neighbours(self) -> dict[tuple[int, At], list[int]]:
        """For every end the runs whose boxes come near it, in fit order."""
        if not self.sound:
            return {}
        low, high = (np.array([run.box[i] for run in self.sound]) for i in (0, 1))
        ends = [(run, at) for run in self.sound for at in ENDS]
        points = np.array([run.point(at) for run, at in ends])
        reach = np.array([run.section.reach + TOUCH for run, _ in ends])[:, None]
        near: dict[tuple[int, At], list[int]] = {(run.index, at): [] for run, at in ends}
        for i, j in overlapping(points - reach, points + reach, low, high):
            run, at = ends[i]
            if self.sound[j] is not run:
                near[run.index, at].append(self.sound[j].index)
        return near


def reaches(run: Run, at: At, main: Run) -> bool:
    """Whether an end reaches a main, by the rule at the head of this module."""
    if between(run, at, main) < LEAST_ANGLE:
        return False
    gap = float(distance(main.body, run.face(at)).min())
    if gap <= -OVERLAP:
        return True
    return gap <= TOUCH and _runs_into(run.point(at), run.inward(at), main)


def between(run: Run, at: At, main: Run) -> float:
    """Acute angle between an end's axis and a main's, as it lies there, rad."""
    along = run.inward(at)
    return math.acos(min(1.0, abs(float(along @ main.axis_near(run.point(at), along).x))))


def _runs_into(point: Array, along: Array, main: Run) -> bool:
    return not np.isnan(greatest(main.body, Walls.lines(point[None, :], along))).any()


def _no_extension(run: Run, at: At, why: str) -> None:
    if run.given(at).extend:
        raise InputError(
            f"the {at} of {run.mark} {why}, so it cannot be extended",
            'cut = "plain" for an end that goes on past its point, or no `extend`',
            key=("extend",),
        )


def _some(marks: dict[str, Run]) -> str:
    return ", ".join(list(marks)[:12]) + (", …" if len(marks) > 12 else "")

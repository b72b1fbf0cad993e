"""From what was measured on the tacked frame to the places of its points as built."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fabgen.geometry.survey.frame_as_built import FrameAsBuilt, FrameReadings, alike, frame_as_built, levelled, one_out
from fabgen.job.errors import Path, Problem, listed, nearest, shown
from fabgen.job.tables.measuring_tables import COVER, AsBuilt
from fabgen.job.tables.part_tables import Tube
from fabgen.job.values.point import Point
from fabgen.wording.sentence import mm, sentence

SAME = 0.005
"""Places that differ by less are the same, mm."""


@dataclass(frozen=True, eq=False)
class ReadingAsBuilt:
    """One reading, mm: in words, as drawn, as read, and as the adjusted frame has it."""

    words: str
    drawn: float
    read: float
    made: float


@dataclass(frozen=True, eq=False)
class Heights:
    """The heights that were measured: how far each is above what it should be, mm (`off`, by point), over `datum`, or
    but for one and the same amount where no datum is given; and the points, three or more and most of them, that agree
    (`alike`), none where there are no such."""

    off: Mapping[str, float]
    datum: float | None
    alike: tuple[str, ...]

    @property
    def tell(self) -> bool:
        """Whether they say which corners are out, the others being alike: three over a datum, four without."""
        return len(self.alike) > (2 if self.datum is not None else 3) and bool(self.others)

    @property
    def lift(self) -> float:
        """By how much those alike are out, mm."""
        return float(np.mean([self.off[name] for name in self.alike])) if self.alike else 0.0

    @property
    def others(self) -> dict[str, float]:
        """The points that differ from those alike (of none: from the datum), and by how much, mm."""
        return {name: off - self.lift for name, off in self.off.items() if name not in self.alike}


@dataclass(frozen=True, eq=False)
class Built:
    """The frame as built.  `names` of its points go with the rows of `frame`; `points` are their places as built;
    `made` the marks that are cut already; `readings` what was measured, the last `places` of them coordinates."""

    given: AsBuilt
    names: tuple[str, ...]
    frame: FrameAsBuilt
    points: Mapping[str, Point]
    made: frozenset[str]
    readings: tuple[ReadingAsBuilt, ...]
    error: float
    heights: Heights


def built_frame(
    given: AsBuilt,
    drawn: Mapping[str, Point],
    tubes: Sequence[Tube],
    marks: Sequence[str],
    error: float,
    datum: float | None = None,
) -> tuple[Built | None, list[Problem]]:
    """A frame as it was built, from what was measured on it.

    Args:
        given: what was measured.
        drawn: the job's points, by name.
        tubes: of the job.
        marks: of all parts of the job.
        error: within this of the truth lie 95 of 100 readings, mm, where `given` does not say.
        datum: z of the level that heights were measured from, mm; None where the job does not say.
    Returns: the frame, or None and every fault in what was measured.
    """
    problems = _faults(given, marks)
    wanted = {name for one, other, _ in given.distances for name in (one, other)} | {*given.heights, *given.points}
    names = tuple(name for name in drawn if name in wanted)
    number = {name: i for i, name in enumerate(names)}
    at = np.array([drawn[name].xyz for name in names])
    for i, (one, other, length) in enumerate(given.distances):
        far = math.dist(drawn[one].xyz, drawn[other].xyz)
        if abs(length - far) > max(100.0, 0.2 * far):
            what = sentence(
                f"{one} to {other} is ",
                mm(far, 1, fixed=True),
                " as drawn, ",
                mm(length, 1, fixed=True),
                " measured: no frame is so far out",
            )
            problems.append(Problem(("as_built", "distances", i), what, "the distance as measured"))
    if len(given.points) in (1, 2):
        few = "one or two measured places do not give the frame's shape"
        problems.append(Problem(("as_built", "points"), few, "three or more"))
    if problems:
        return None, problems
    error = given.error or error
    readings = FrameReadings(
        tuple((number[one], number[other]) for one, other, _ in given.distances),
        np.array([length for *_, length in given.distances]),
        tuple(number[name] for name in given.heights),
        np.array(list(given.heights.values())),
        tuple(number[name] for name in given.points),
        np.array(list(given.points.values())).reshape(-1, 3),
    )
    frame = frame_as_built(at, readings)
    heights = _heights(given, drawn, datum)
    # What is as drawn stays there; the points that are out do not draw it along.
    if heights.tell:
        frame = levelled(frame, heights.lift - (datum or 0.0))
    elif (single := one_out(frame, given.allowed)) is not None:
        frame = single.laid
    words = [f"{one} to {other}" for one, other, _ in given.distances]
    words += [f"height of {name}" for name in given.heights]
    words += [f"{name}: {axis}" for name in given.points for axis in "xyz"]
    read = np.concatenate((readings.lengths, readings.heights, readings.places.ravel()))
    as_drawn = [math.dist(drawn[one].xyz, drawn[other].xyz) for one, other, _ in given.distances]
    as_drawn += [drawn[name].z - (datum or 0.0) for name in given.heights] + [
        c for name in given.points for c in drawn[name].xyz
    ]
    readings_built = tuple(
        ReadingAsBuilt(w, float(d), float(r), float(m))
        for w, d, r, m in zip(words, as_drawn, read, frame.made, strict=True)
    )
    points = {name: _point(drawn[name], frame, i, words, error) for i, name in enumerate(names)}
    made = _made(given, tubes, set(names))
    return Built(given, names, frame, points, made, readings_built, error, heights), []


def _heights(given: AsBuilt, drawn: Mapping[str, Point], datum: float | None) -> Heights:
    off = {name: height - (drawn[name].z - (datum or 0.0)) for name, height in given.heights.items()}
    names, values = list(off), np.array(list(off.values()))
    same = [names[i] for i in alike(values, given.allowed)]
    if datum is not None:
        as_drawn = [name for name in names if abs(off[name]) <= given.allowed]
        same = as_drawn if len(as_drawn) >= len(same) else same
    return Heights(off, datum, tuple(same) if len(same) > 2 and 2 * len(same) > len(names) else ())


def _point(drawn: Point, frame: FrameAsBuilt, index: int, words: list[str], error: float) -> Point:
    """The point as built, with what each reading of the frame moves it by; as drawn where it is out by nothing."""
    if float(np.linalg.norm(frame.off[index])) < SAME:
        return drawn
    x, y, z = (round(float(v), 6) + 0.0 for v in frame.places[index])
    gain = frame.gain[3 * index : 3 * index + 3] * (error / COVER)
    scatter = {
        f"as built: {word}": (float(gain[0, j]), float(gain[1, j]), float(gain[2, j])) for j, word in enumerate(words)
    }
    return replace(drawn, x=x, y=y, z=z, scatter=scatter)


def _made(given: AsBuilt, tubes: Sequence[Tube], measured: set[str]) -> frozenset[str]:
    """The marks that are made already; where the job does not say, the tubes all of whose points were measured."""
    if given.made is not None:
        return frozenset(given.made)
    return frozenset(tube.mark for tube in tubes if all(point.as_given.name in measured for point in tube.route))


def _faults(given: AsBuilt, marks: Sequence[str]) -> list[Problem]:
    problems: list[Problem] = []
    for i, mark in enumerate(given.made or ()):
        if mark not in marks:
            path: Path = ("as_built", "made", i)
            accepted = f"the mark of a part: {listed(marks)}"
            problems.append(Problem(path, f"there is no part {shown(mark)}", accepted, nearest(mark, marks)))
    first: dict[frozenset[str], int] = {}
    for i, (one, other, _) in enumerate(given.distances):
        if first.setdefault(frozenset((one, other)), i) != i:
            what = f"the distance from {one} to {other} is given twice"
            problems.append(Problem(("as_built", "distances", i), what, "each distance once, as best measured"))
    return problems

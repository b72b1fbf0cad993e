"""Points in space: three lengths, or so far from another point."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from fabgen.job.errors import FollowOnError, InputError, Path, listed, nearest, shown
from fabgen.job.values.formulas import Names
from fabgen.job.values.units import parse_length
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence

_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,23}")
POINT_ADVICE = 'a name under [points], three lengths [x, y, z], or {from = "name", by = [x, y, z]}'
EXACT = frozenset(("from", "by"))
"""Keys of a point that is so far from another one, exactly; any other key says how it was measured."""

Scatter = Mapping[str, tuple[float, float, float]]
"""By each reading that a point depends on: what one standard deviation of it moves the point by, mm."""


@dataclass(frozen=True, slots=True)
class ReadingAccuracy:
    """How near the truth 95 of 100 readings lie, mm: those of a tape, and plumb and level offsets."""

    tape: float
    offset: float


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading of a measured point, mm: what it is in words, as `read`, as the point `made` of all has it,
    its `error` (95 of 100 lie within it), and its misfit in units of what chance makes it (None where no other
    reading checks it)."""

    words: str
    read: float
    made: float
    error: float
    stands_out: float | None = None


@dataclass(frozen=True, slots=True)
class Remark:
    """A remark on a measured point."""

    level: Level
    rule: str
    text: Sentence


@dataclass(frozen=True, slots=True)
class Taped:
    """What a point by the tape was read to: the names of known points, then coordinates (0 to 2) known besides.

    `other`: the place on the other side that fits as well, so that the job's `side` alone tells the two apart.
    """

    to: tuple[str, ...]
    axes: tuple[int, ...]
    other: tuple[float, float, float] | None = None

    @property
    def spare(self) -> int:
        """How many readings there are more than are needed."""
        return len(self.to) + len(self.axes) - 3


@dataclass(frozen=True, slots=True)
class Record:
    """How a point was measured, with its readings and the remarks on it.

    `widened`: how many times its tolerance is what the readings' stated error makes, for readings that disagree;
    `of`: the points it comes from; `taped`: of one by the tape.
    """

    how: str
    readings: tuple[Reading, ...] = ()
    remarks: tuple[Remark, ...] = ()
    widened: float = 1.0
    of: tuple[str, ...] = ()
    taped: Taped | None = None


@dataclass(frozen=True, slots=True)
class Point:
    """A point, mm: x forward, y left, z up.  `name` is '' for one that has none.

    `scatter`: what the readings it depends on move it by; `record`: how it was measured, if it was; `drawn`: of one
    on a tube's centre line, the point on the tube's face that the job gives for it.
    """

    x: float
    y: float
    z: float
    name: str = ""
    scatter: Scatter = field(default_factory=dict, compare=False, repr=False)
    record: Record | None = field(default=None, compare=False, repr=False)
    drawn: Point | None = field(default=None, compare=False, repr=False)

    @property
    def as_given(self) -> Point:
        """The point that the job gives for it."""
        return self.drawn or self

    @property
    def xyz(self) -> tuple[float, float, float]:
        return (self.x, self.y, self.z)


Points = Mapping[str, Point | None]
"""Named points; None is one that has a fault of its own, reported already."""


def is_point_name(name: str) -> bool:
    """Whether a point may be called so."""
    return _NAME.fullmatch(name) is not None


def names_accepted(points: Points) -> str:
    """What the name of a point may be."""
    return "names given under [points]" + (f": {listed(points)}" if points else "; none yet")


class PointReading:
    """Reads points of a job with its units, named dimensions and named points."""

    def __init__(self, units: str, dimensions: Names, points: Points) -> None:
        self.units, self.dimensions, self.points = units, dimensions, points

    def read(self, written: object) -> tuple[Point | None, list[InputError]]:
        """The point, or None and every fault in it, each with its key below the point."""
        if isinstance(written, Point):
            return written, []
        faults: list[InputError] = []
        if isinstance(written, dict):
            point = self._relative(written, faults)
        elif isinstance(written, str):
            point = self._named(written, (), faults)
        else:
            point = self._three(written, (), faults)
        return (None if faults else point), faults

    def _named(self, name: str, key: Path, faults: list[InputError]) -> Point | None:
        if name not in self.points:
            accepted = names_accepted(self.points)
            faults.append(InputError(f"there is no point {shown(name)}", accepted, nearest(name, self.points), key))
            return None
        point = self.points[name]
        if point is None:
            faults.append(FollowOnError(f"the point {shown(name)} has a fault of its own", key=key))
        return point

    def _three(self, written: object, key: Path, faults: list[InputError]) -> Point | None:
        if not isinstance(written, list | tuple) or len(written) != 3:
            faults.append(InputError(f"cannot read {shown(written)} as a point", POINT_ADVICE, key=key))
            return None
        at: list[float] = []
        for i, part in enumerate(written):
            try:
                at.append(parse_length(part, self.units, self.dimensions))
            except InputError as fault:
                faults.append(fault.below(*key, i))
        return Point(at[0], at[1], at[2]) if len(at) == 3 else None

    def _relative(self, written: Mapping[str, object], faults: list[InputError]) -> Point | None:
        for key in written:
            if key not in EXACT:
                what = f"there is no key {shown(key)} here"
                accepted = "from, by; a point that is measured or fitted has its name under [points]"
                faults.append(InputError(what, accepted, key=(key,)))
        for key in ("from", "by"):
            if key not in written:
                faults.append(InputError(f"the key {key} is missing", POINT_ADVICE))
        if faults:
            return None
        start, by = written["from"], self._three(written["by"], ("by",), faults)
        if isinstance(start, str):
            origin = self._named(start, ("from",), faults)
        else:
            origin = self._three(start, ("from",), faults)
        if origin is None or by is None:
            return None
        return Point(origin.x + by.x, origin.y + by.y, origin.z + by.z, scatter=origin.scatter)

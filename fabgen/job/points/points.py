"""Points in space: three lengths, or so far from another point, named and in any order."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from fabgen.job.errors import FollowOnError, InputError, Path, Problem, listed, nearest, shown
from fabgen.job.values.dimensions import RESERVED
from fabgen.job.values.formulas import Names
from fabgen.job.values.ordering import in_order
from fabgen.job.values.units import parse_length

POINT_ADVICE = 'a name under [points], three lengths [x, y, z], or {from = "name", by = [x, y, z]}'
EXACT = frozenset(("from", "by"))
"""Keys of a point that is so far from another one, exactly; any other key says how it was measured."""
NAMING = frozenset(("from", "toward", "tape", "mirror", "foot", "plane", "axis", "middle"))
"""Keys of a point whose values name other points."""

_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,23}")


Scatter = Mapping[str, tuple[float, float, float]]
"""By each reading that a point hangs on: what one standard deviation of it moves the point by, mm."""


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
    """What is to be told of a measured point."""

    level: Literal["stop", "warn", "note"]
    rule: str
    text: str


@dataclass(frozen=True, slots=True)
class Record:
    """How a point was measured, with its readings and what is to be told; `widened`: how many times its tolerance
    is what the readings' stated error makes, for readings that disagree."""

    how: str
    readings: tuple[Reading, ...] = ()
    remarks: tuple[Remark, ...] = ()
    widened: float = 1.0


@dataclass(frozen=True, slots=True)
class Point:
    """A point, mm: x forward, y left, z up.  `name` is '' for one that has none.

    `scatter`: what the readings it hangs on move it by; `record`: how it was measured, if it was.
    """

    x: float
    y: float
    z: float
    name: str = ""
    scatter: Scatter = field(default_factory=dict, compare=False, repr=False)
    record: Record | None = field(default=None, compare=False, repr=False)

    @property
    def xyz(self) -> tuple[float, float, float]:
        return (self.x, self.y, self.z)


Points = Mapping[str, Point | None]
"""Named points; None is one that has a fault of its own, told already."""


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
                fault.key = (*key, i)
                faults.append(fault)
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


@dataclass(frozen=True, slots=True)
class Errors:
    """Within what of the truth 95 of 100 readings lie, mm: of a tape, and of plumb and level offsets."""

    tape: float
    offset: float


def resolve_points(
    given: Mapping[str, object],
    units: str,
    dimensions: Names,
    errors: Errors = Errors(2.0, 2.0),
    built: Mapping[str, Point] | None = None,
) -> tuple[dict[str, Point | None], list[Problem]]:
    """The points of [points], whatever order they stand in, and every fault among them.

    A point with a fault has the value None.  `built` are places found on the frame as built, which
    go before what [points] says; points that are so far from them follow.
    """
    points: dict[str, Point | None] = dict.fromkeys(given)
    reading = PointReading(units, dimensions, points)
    problems: list[Problem] = []
    named: list[str] = []
    for name in given:
        try:
            _check_name(name)
            named.append(name)
        except InputError as fault:
            problems.append(Problem.of(("points", name), fault))
    order, loops = in_order({name: _needs(given[name]) for name in named})
    for loop in loops:
        problems.append(Problem(("points", loop[0]), f"these points go round in a loop: {' -> '.join(loop)}"))
    for name in order:
        if built and name in built:
            points[name] = built[name]
            continue
        written = given[name]
        if is_measured(written):
            from fabgen.job.points.measured_points import measured_point  # few jobs measure points

            point, found = measured_point(name, written, reading, errors)
            problems += found
        else:
            point, faults = reading.read(written)
            problems += [Problem.of(("points", name), f) for f in faults if not isinstance(f, FollowOnError)]
        points[name] = replace(point, name=name) if point else None
    return points, problems


def is_measured(written: object) -> bool:
    """Whether a point is given by how it was measured or fitted, not outright."""
    return isinstance(written, dict) and bool(written) and not EXACT.issuperset(written)


def _needs(written: object) -> set[str]:
    """The names that a point as written may hang on."""
    if not isinstance(written, dict):
        return {written} if isinstance(written, str) else set()
    found: set[str] = set()
    for value in (value for key, value in written.items() if key in NAMING):
        found |= {value} if isinstance(value, str) else set()
        found |= {each for each in value if isinstance(each, str)} if isinstance(value, list | dict) else set()
    return found


def _check_name(name: str) -> None:
    if name in RESERVED:
        raise InputError(f"{shown(name)} is a unit or a function, not free as a name", "a name of your own, e.g. FL")
    if not _NAME.fullmatch(name):
        raise InputError(
            f"{shown(name)} will not do as a point's name",
            "letters and digits, then also . _ and -, at most 24 of them",
        )

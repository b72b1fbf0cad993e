"""The named points of a job, in any order, and the distances between them as names for formulas.

In the sizes of parts, `A_to_B` is the distance between the points A and B.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from fabgen.job.errors import FollowOnError, InputError, Problem, Problems, shown
from fabgen.job.points.point_names import needs
from fabgen.job.tables.measuring_tables import TAPE_ERROR
from fabgen.job.values.formulas import Names
from fabgen.job.values.named_dimensions import RESERVED
from fabgen.job.values.ordering import in_order
from fabgen.job.values.point import EXACT, Point, PointReading, Points, ReadingAccuracy, is_point_name
from fabgen.job.values.quantity import Quantity

USUAL = ReadingAccuracy(TAPE_ERROR, TAPE_ERROR)
"""Of readings where nothing is said of them."""
if TYPE_CHECKING:
    from fabgen.job.points.tube_routes import TubeRoutes


def resolve_points(
    given: Mapping[str, object],
    units: str,
    dimensions: Names,
    accuracy: ReadingAccuracy = USUAL,
    built: Mapping[str, Point] | None = None,
    routes: TubeRoutes | None = None,
) -> tuple[dict[str, Point | None], list[Problem]]:
    """The points of [points], in any order.

    Args:
        given: by name as the file has them.
        units: "mm" or "in", of bare numbers.
        dimensions: named ones, for formulas.
        accuracy: of readings, where a point does not say.
        built: places found on the frame as built, which go before what `given` says; points that are so far from
            them follow.
        routes: of the job's tubes, for points that lie on them.
    Returns: the points, None for one with a fault, and every fault among them.
    """
    points: dict[str, Point | None] = dict.fromkeys(given)
    reading = PointReading(units, dimensions, points)
    problems = Problems()
    named: list[str] = []
    for name in given:
        with problems.at("points", name):
            _check_name(name)
            named.append(name)
    order, loops = in_order({name: _needs(given[name], routes) for name in named})
    for loop in loops:
        problems.append(Problem(("points", loop[0]), f"these points go round in a loop: {' -> '.join(loop)}"))
    for name in order:
        if built and name in built:
            points[name] = built[name]
            continue
        written = given[name]
        if is_measured(written):
            from fabgen.job.points.measured_points import measured_point  # few jobs measure points

            point, found = measured_point(name, written, reading, accuracy, routes)
            problems += found
        else:
            point, faults = reading.read(written)
            problems += [Problem.of(("points", name), f) for f in faults if not isinstance(f, FollowOnError)]
        points[name] = replace(point, name=name) if point else None
    return points, problems


def is_measured(written: object) -> bool:
    """Whether a point is given by how it was measured or fitted, not outright."""
    return isinstance(written, dict) and bool(written) and not EXACT.issuperset(written)


def _needs(written: object, routes: TubeRoutes | None) -> set[str]:
    """The names that a point as written may depend on, by way of the tubes it lies on too."""
    found = needs(written)
    if routes is not None and isinstance(written, dict) and "on" in written:
        found |= routes.needs(written["on"]) | routes.needs(written.get("cross"))
    return found


def _check_name(name: str) -> None:
    if name in RESERVED:
        raise InputError(f"{shown(name)} is a unit or a function, not free as a name", "a name of your own, e.g. FL")
    if not is_point_name(name):
        what = f"{shown(name)} is not a valid point name"
        raise InputError(what, "letters and digits, then also . _ and -, at most 24 of them")


_TO = "_to_"


class DistanceNames(Mapping[str, Quantity | None]):
    """The named dimensions, and beside them every distance between two named points; a dimension goes first."""

    def __init__(self, dimensions: Names, points: Points) -> None:
        self._dimensions, self._points = dimensions, points

    def __getitem__(self, name: str) -> Quantity | None:
        if name in self._dimensions:
            return self._dimensions[name]
        ends = self._ends(name)
        if ends is None:
            raise KeyError(name)
        one, other = ends
        if one is None or other is None:
            return None  # a faulty point, reported already
        return Quantity(math.dist(one.xyz, other.xyz), length=1)

    def __contains__(self, name: object) -> bool:
        return name in self._dimensions or (isinstance(name, str) and self._ends(name) is not None)

    def __iter__(self) -> Iterator[str]:
        """The dimensions, and one distance to show how they are called."""
        yield from self._dimensions
        if len(self._points) > 1:
            one, other = list(self._points)[:2]
            yield f"{one}{_TO}{other}"

    def __len__(self) -> int:
        return len(self._dimensions) + (len(self._points) > 1)

    def _ends(self, name: str) -> tuple[Point | None, Point | None] | None:
        """The two points that a name is made of; None where it is made of no two."""
        at = name.find(_TO)
        while at >= 0:
            one, other = name[:at], name[at + len(_TO) :]
            if one in self._points and other in self._points:
                return self._points[one], self._points[other]
            at = name.find(_TO, at + 1)
        return None

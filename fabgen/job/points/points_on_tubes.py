"""Points on the centre line of a tube: so far along it, nearest to a point, or where another tube crosses it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.geometry.tube.centreline import Centreline
from fabgen.job.errors import InputError
from fabgen.job.points.tube_routes import Route, TubeRoutes
from fabgen.job.tables.measuring_tables import PointGiven
from fabgen.job.values.point import Point, PointReading, Remark
from fabgen.wording.figures import figure
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence

APART = 1.0
"""Centre lines that pass one another by more do not cross, mm."""
_STEP = 50.0
_FINEST = math.radians(5.0)


class PointOnTube:
    """Where a point lies on a tube, from the points that the tube, and what it is nearest to, run through.

    `known`: these by name, those without one by a name made for them, in the order in which `found` takes their
    places.
    """

    def __init__(self, given: PointGiven, routes: TubeRoutes, reading: PointReading) -> None:
        assert given.on is not None
        self.given, self.mark = given, given.on
        self._route = self._read(routes, given.on, reading, "on")
        self._other = self._read(routes, given.cross, reading, "cross") if given.cross else None
        near = reading.points[given.near] if given.near else None
        others = self._other.points if self._other else (near,) if near else ()
        self.known: dict[str, Point] = {
            f"{point.name} ({i})" if point.name else f"point {i} of {self.mark}": point
            for i, point in enumerate((*self._route.points, *others), 1)
        }
        length = self._line.length
        along = given.along
        if along is not None and not 0.0 <= along <= length:
            what = sentence(mm(along), f" from its start lies past the end of {self.mark}")
            raise InputError(what, sentence("from 0 to ", mm(length)), key=("along",))

    @staticmethod
    def _read(routes: TubeRoutes, mark: str, reading: PointReading, key: str) -> Route:
        try:
            return routes.route(mark, reading)
        except InputError as fault:
            raise fault.below(key) from None

    @cached_property
    def _at(self) -> Array:
        return np.array([point.xyz for point in self.known.values()])

    @cached_property
    def _line(self) -> Centreline:
        return self._route.line(np.array([point.xyz for point in self._route.points]))

    def found(self, at: Array) -> Array:
        """The point, (3,) mm.

        Args:
            at: (n, 3) places of the points in `known`, mm.
        """
        count = len(self._route.points)
        line = self._route.line(at[:count])
        if self.given.along is not None:
            return line.frame_at(self.given.along).origin
        if self._other is None:
            return line.frame_at(_held(line, float(line.locate(at[count:])[0][0]))).origin
        return _nearest_places(line, self._other.line(at[count:]))[0]

    @property
    def how(self) -> str:
        """How it was found, in words."""
        if self.given.along is not None:
            return f"{figure(self.given.along)} mm along {self.mark} from its start"
        return f"on {self.mark}, nearest to {self.given.near or self.given.cross}"

    @property
    def remarks(self) -> Sequence[Remark]:
        """A remark where the two tubes pass one another."""
        if self._other is None:
            return ()
        count = len(self._route.points)
        one, other = _nearest_places(self._line, self._other.line(self._at[count:]))
        apart = float(np.linalg.norm(one - other))
        if apart <= APART:
            return ()
        text = sentence(f"the centre lines of {self.mark} and {self.given.cross} pass one another by ", mm(apart))
        return (Remark(Level.NOTE, "fitted", text),)


def _held(line: Centreline, s: float) -> float:
    return min(max(s, 0.0), line.length)


def _nearest_places(one: Centreline, other: Centreline) -> tuple[Array, Array]:
    """The places where two centre lines come nearest to one another, within their ends, each (3,) mm."""
    count = max(2, math.ceil(one.length / _STEP)) + 1
    places = np.unique(np.concatenate((np.linspace(0.0, one.length, count), list(one.stations(_FINEST)))))
    points = np.array([one.frame_at(s).origin for s in places])
    there = [_held(other, s) for s in other.locate(points)[0].tolist()]
    apart = [math.dist(p, other.frame_at(t).origin) for p, t in zip(points, there, strict=True)]
    best = int(np.argmin(apart))
    s, t = float(places[best]), there[best]
    for _ in range(60):  # Newton's steps on the two tangents; each place stays within its line
        a, b = one.frame_at(s), other.frame_at(t)
        step, *_ = np.linalg.lstsq(np.column_stack((a.x, -b.x)), b.origin - a.origin, rcond=None)
        nearer = _held(one, s + float(step[0])), _held(other, t + float(step[1]))
        if abs(nearer[0] - s) + abs(nearer[1] - t) < 1e-9:
            break
        s, t = nearer
    return one.frame_at(s).origin, other.frame_at(t).origin

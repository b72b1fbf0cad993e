"""The routes of a job's tubes while its points are still being worked out: for points that lie on a tube."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from string import ascii_lowercase
from typing import Any

import numpy as np
from pydantic import ValidationError

from fabgen.geometry.space.frame import Array, upright
from fabgen.geometry.tube.centreline import Centreline, RouteError, centreline
from fabgen.job.document import entries, mark_of
from fabgen.job.errors import FollowOnError, InputError, listed, nearest, shown
from fabgen.job.points.point_names import needs
from fabgen.job.tables.fields import Context
from fabgen.job.values.point import Point, PointReading
from fabgen.job.values.units import parse_length


@dataclass(frozen=True)
class Route:
    """A tube's route: its points, with their names and scatter where they have any, and its bend radii, mm."""

    points: tuple[Point, ...]
    radii: tuple[float, ...] = ()

    def line(self, at: Array) -> Centreline:
        """Its centreline with the points elsewhere.

        Args:
            at: (n, 3), mm.
        Raises:
            RouteError: no tube can follow it.
        """
        return centreline(at, self.radii, upright(at[0], at[1] - at[0]))


class TubeRoutes:
    """The tubes of a job file, those of its frames too, by mark."""

    def __init__(self, raw: Mapping[str, Any]) -> None:
        self._tubes = {mark_of(entry): entry for _, entry in entries(raw, "tube")}
        self._frames = {mark_of(entry): entry for _, entry in entries(raw, "frame")}

    def needs(self, mark: object) -> set[str]:
        """The names of points that a tube's route may depend on."""
        if isinstance(mark, str) and (tube := self._tubes.get(mark) or self._frame_with(mark)):
            route = tube.get("route")
            return {name for point in (route if isinstance(route, list) else []) for name in needs(point)}
        frame = self._frame_of(mark)
        return {name for key in ("at", "along", "up") for name in needs(frame.get(key))} if frame else set()

    def route(self, mark: str, reading: PointReading) -> Route:
        """The route of a tube.

        Raises:
            InputError: there is no such tube; a FollowOnError where its own table is at fault.
        """
        if mark in self._tubes:
            return self._read(self._tubes[mark], reading)
        if (closed := self._frame_with(mark)) is not None:
            for side in self._become(closed, reading):
                if side["mark"] == mark:
                    return Route(tuple(side["route"]))
        if (frame := self._frame_of(mark)) is not None:
            for tube in self._of_frame(frame, reading):
                if tube["mark"] == mark:
                    return Route(tuple(tube["route"]))
        known = [*self._tubes, *self._frames]
        raise InputError(f"there is no tube {shown(mark)}", f"marks of tubes: {listed(known)}", nearest(mark, known))

    def _frame_of(self, mark: object) -> Mapping[str, Any] | None:
        text = mark if isinstance(mark, str) else ""
        return next((entry for name, entry in self._frames.items() if name and text.startswith(f"{name}-")), None)

    def _frame_with(self, mark: str) -> Mapping[str, Any] | None:
        """The tube with a closed route of which a mark, with a letter after its own, is a side."""
        return self._tubes.get(mark.rstrip(ascii_lowercase)) if mark not in self._tubes else None

    @staticmethod
    def _become(entry: Mapping[str, Any], reading: PointReading) -> list[dict[str, Any]]:
        """The tables of the tubes that one with a closed route becomes."""
        from fabgen.job.expansion.rings import is_closed, ring_of

        if not is_closed(entry, reading):
            return [dict(entry)]
        try:
            return ring_of(entry, Context(reading.units, reading.dimensions, reading.points))
        except InputError:
            raise FollowOnError("the route of this tube has a fault of its own") from None

    def _of_frame(self, frame: Mapping[str, Any], reading: PointReading) -> Iterator[dict[str, Any]]:
        from fabgen.job.expansion.whole_frames.frames import parts_of
        from fabgen.job.tables.frame_tables import FrameGiven

        context = Context(reading.units, reading.dimensions, reading.points)
        try:
            table, made = parts_of(FrameGiven.model_validate(frame, context=context))
            yield from made if table == "tube" else ()
        except (ValidationError, InputError):
            raise FollowOnError("the frame of this tube has a fault of its own") from None

    def _read(self, entry: Mapping[str, Any], reading: PointReading) -> Route:
        follow_on = FollowOnError("the route of this tube has a fault of its own")
        entry, *sides = self._become(entry, reading)
        if sides:
            marks = listed([side["mark"] for side in (entry, *sides)])
            raise InputError("a frame of straight sides is no single tube", f"the mark of a side: {marks}")
        written, radius = entry.get("route"), entry.get("bend_radius", [])
        if not isinstance(written, list) or len(written) < 2:
            raise follow_on
        points = [reading.read(each)[0] for each in written]
        found = tuple(point for point in points if point is not None)
        if len(found) < len(written):
            raise follow_on
        given = radius if isinstance(radius, list) else [radius] * (len(written) - 2)
        try:
            radii = [parse_length(each, reading.units, reading.dimensions) for each in given]
            route = Route(found, tuple(radii * (len(found) - 2) if len(radii) == 1 else radii))
            route.line(np.array([point.xyz for point in found]))
        except (InputError, RouteError, ValueError):
            raise follow_on from None
        return route

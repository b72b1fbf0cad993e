"""Where a straight tube runs through a bent one, which stays whole."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from fabgen.geometry.space.frame import Array, upright
from fabgen.geometry.space.lines import nearest_places, unit_or_none
from fabgen.geometry.tube.centreline import Centreline, RouteError, centreline
from fabgen.job.document import mark_of
from fabgen.job.errors import InputError
from fabgen.job.tables.fields import Context
from fabgen.shop.section import Section

_STEP = math.radians(2.0)
"""A bend counts as chords over this much of it: off the arc by 0.02 mm where its radius is 130."""

_LEAST = math.sin(math.radians(5.0))
"""Sine of the angle between two tubes that are nearer to parallel than is coped."""


@dataclass(frozen=True, eq=False)
class BentTube:
    """A bent tube of the job as its table has it."""

    number: int
    entry: Mapping[str, Any]
    section: Section
    path: Centreline

    @staticmethod
    def of(number: int, entry: Mapping[str, Any], context: Context) -> BentTube | None:
        """As far as the table can be read; its faults are reported with the other tables."""
        route, given = entry.get("route"), entry.get("bend_radius")
        if not isinstance(route, list) or len(route) < 3 or given is None or not mark_of(entry):
            return None
        points = [context.point_reading.read(written)[0] for written in route]
        try:
            section = context.section(entry.get("section"))
            radii = [context.length(each) for each in (given if isinstance(given, list) else [given])]
        except InputError:
            return None
        corners = np.array([point.xyz for point in points if point is not None])
        if len(corners) < len(points):
            return None
        radii = radii * (len(points) - 2) if len(radii) == 1 else radii
        try:
            path = centreline(corners, radii, upright(corners[0], corners[1] - corners[0], 0.0))
        except (RouteError, ValueError):
            return None
        return BentTube(number, entry, section, path)

    @property
    def half(self) -> float:
        """The least half of what it measures square to its axis, mm."""
        return min(self.section.width, self.section.depth) / 2.0

    def nearest_to(self, start: Array, along: Array) -> Iterator[tuple[float, float, float, float]]:
        """For each chord of its centre line where that comes nearest to a line: the place on the line and on the
        centre line, how far they are apart, and the sine between the two."""
        stations = list(self.path.stations(_STEP))
        points = [self.path.frame_at(s).origin for s in stations]
        for (s, end), (one, other) in zip(pairwise(stations), pairwise(points), strict=True):
            way = unit_or_none(other - one)
            if way is None or (places := nearest_places(start, along, one, way)) is None:
                continue
            there = min(max(places[1], 0.0), end - s)
            place = one + there * way
            here = float((place - start) @ along)
            apart = place - start - here * along
            sine = float(np.linalg.norm(np.cross(along, way)))
            yield here, s + there, float(np.linalg.norm(apart)), sine


def places_through(
    bent: BentTube, start: Array, along: Array, length: float, reach: float, touches: float
) -> list[float]:
    """Where a straight tube runs through a bent one between its own ends and those of the bent one, mm along it.

    Args:
        bent: the tube that it runs through.
        start: (3,) the straight tube's start, mm.
        along: (3,) its unit direction.
        length: its own, mm.
        reach: from its axis to the farthest of its outside, mm.
        touches: centre lines farther apart than this are clear of one another, mm.
    Returns: one place for each stretch of the bent tube that is so near.
    """
    best: list[tuple[float, float]] = []  # how far apart, and where, of each stretch
    before = -math.inf
    for here, there, apart, sine in bent.nearest_to(start, along):
        if apart > touches or sine < _LEAST:
            continue
        within, beside = bent.section.reach / sine, reach / sine
        ends_on = not bent.path.closed and not beside < there < bent.path.length - beside
        if not within < here < length - within or ends_on:
            continue
        if best and there - before < 2.0 * touches:
            best[-1] = min(best[-1], (apart, here))
        else:
            best.append((apart, here))
        before = there
    return sorted(here for _, here in best)

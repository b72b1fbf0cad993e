"""A frame in plan and from the side for the jig: tubes and profiles as lines, its places with their names."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from fabgen.documents.points.mechanism_view import ABOVE, BEHIND, SIDE, Direction
from fabgen.documents.points.point_names import disc, gathered, write_names
from fabgen.documents.render.picture import Fill, Text, polyline
from fabgen.documents.render.sketch import Sketch
from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.space.frame import Array
from fabgen.job.tables.definitions import Definitions
from fabgen.job.values.point import Point
from fabgen.parts.survey.check_distances import CROSSWISE, SAME, Distance

Xyz = tuple[float, float, float]

_TOP = 6.0
_GAP = 12.0
_NAMES = 24.0
"""Room for names beside the views, mm of paper."""
_FORWARD = Direction("seen from above, forward up", BEHIND.right, ABOVE.right)
_PAIRS = ((ABOVE, SIDE), (_FORWARD, BEHIND))
"""A plan, and what stands above it."""


def frame_views(
    job: Definitions, places: Sequence[Point], rows: Sequence[Distance], room: tuple[float, float]
) -> tuple[Sketch, float]:
    """Plan with the longest crosswise distances dashed, and above it the view from the right or, where the frame is
    wider than it is long, from behind, as large as they go within `room` mm; and the scale."""
    every = np.array([*(p.xyz for p in places), *(p for line in _lines(job) for p in line)])
    (below, other), size, scale = max((_sized(pair, every, room) for pair in _PAIRS), key=lambda each: each[2])
    sketch = Sketch()
    spots: list[list[tuple[str, Xy]]] = []
    for view, y, tall in ((below, 0.0, size[1]), (other, size[1] * scale + _GAP + _TOP, size[2])):
        if view is other and size[2] < 1.0:
            continue
        corner = view.flat(every).min(axis=0) * scale
        origin = _NAMES / 2.0 - float(corner[0]), y - float(corner[1])
        sketch.write(Text(0.0, y + tall * scale + _TOP - 1.0, view.name, 2.6, bold=True))
        spots.append(_draw(sketch, job, places, rows if view is below else (), view, scale, origin))
    # The names of both views keep clear of the lines and titles of both.
    for named in spots:
        write_names(sketch, gathered(named), most=room[0], least=0.0)
    return sketch, scale


def _sized(
    pair: tuple[Direction, Direction], every: Array, room: tuple[float, float]
) -> tuple[tuple[Direction, Direction], tuple[float, float, float], float]:
    """Two views with how wide they are and how tall each is, mm, and the scale at which they go into the room."""
    (wide, deep), (_, tall) = (np.ptp(view.flat(every), axis=0).tolist() for view in pair)
    scale = min((room[0] - _NAMES) / max(wide, 1.0), (room[1] - 2 * _TOP - _GAP) / max(deep + tall, 1.0))
    return pair, (wide, deep, tall), scale


def _lines(job: Definitions) -> list[list[Xyz]]:
    """The axes of the tubes, and the lines of the profiles that their points lie on."""
    routes = [*(tube.route for tube in job.tube), *(profile.route for profile in job.profile)]
    return [[point.xyz for point in route] for route in routes]


def _draw(
    sketch: Sketch,
    job: Definitions,
    places: Sequence[Point],
    rows: Sequence[Distance],
    view: Direction,
    scale: float,
    shift: Xy,
) -> list[tuple[str, Xy]]:
    """Draw the lines and dots of one view; the places' names with where their dots are."""

    def at(points: Sequence[Xyz]) -> list[Xy]:
        flat = view.flat(np.array(points)) * scale + shift
        return [(float(x), float(y)) for x, y in flat]

    for route in _lines(job):
        line = at(route)
        if any(math.dist(line[0], other) > 0.2 for other in line[1:]):
            sketch.draw(polyline(line, "visible"))
    for link in job.link:
        if link.between is not None:
            sketch.draw(polyline(at([p.xyz for p in link.between]), "centre"))
    longest = max((row.length for row in rows if row.kind == CROSSWISE), default=0.0)
    for row in rows:
        if row.kind == CROSSWISE and row.length > longest - SAME:
            sketch.draw(polyline(at([row.one.xyz, row.other.xyz]), "hidden"))
    spots = at([p.xyz for p in places])
    sketch.draw(*(Fill(disc(spot, 0.6, 12)) for spot in spots))
    return [(place.name, spot) for place, spot in zip(places, spots, strict=True)]

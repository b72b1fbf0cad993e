"""A frame in plan and from the side for the jig: tubes and profiles as lines, its places with their names."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from fabgen.documents.points.mechanism_view import ABOVE, BEHIND, SIDE, Chain, Direction
from fabgen.documents.points.point_names import disc, gathered, write_names
from fabgen.documents.render.lettering import TEXT
from fabgen.documents.render.picture import Fill, Text, polyline
from fabgen.documents.render.sketch import Sketch
from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.space.frame import Array
from fabgen.job.tables.definitions import Definitions
from fabgen.job.values.point import Point
from fabgen.parts.survey.check_distances import CROSSWISE, SAME, Distance

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
    """A frame's lines, link rods dash-dotted, its places dots with names, and in plan the longest crosswise distances
    dashed; as `views_of` says."""
    routes = [*(tube.route for tube in job.tube), *(profile.route for profile in job.profile)]
    chains = [Chain(_at(route), "visible") for route in routes]
    chains += [Chain(_at(link.between), "centre") for link in job.link if link.between is not None]
    crosswise = [row for row in rows if row.kind == CROSSWISE]
    longest = max((row.length for row in crosswise), default=0.0)
    dashed = [_at((row.one, row.other)) for row in crosswise if row.length > longest - SAME]
    return views_of(chains, [(place.name, np.array(place.xyz)) for place in places], room, dashed, dots=True)


def _at(points: Sequence[Point]) -> Array:
    return np.array([point.xyz for point in points])


def views_of(
    chains: Sequence[Chain],
    named: Sequence[tuple[str, Array]],
    room: tuple[float, float],
    dashed: Sequence[Array] = (),
    dots: bool = False,
) -> tuple[Sketch, float]:
    """Lines in plan and above that from the right or, where they reach farther across than along, from behind, as large
    as they go within `room` mm; and the scale.

    Args:
        chains: the lines.
        named: places of names, (3,) mm each; with `dots` dots as well.
        room: width and height, mm of paper.
        dashed: what is dashed in plan, (n, 3) mm each.
    """
    every = np.vstack([*(chain.points for chain in chains), *(at[None] for _, at in named)])
    (below, other), size, scale = max((_sized(pair, every, room) for pair in _PAIRS), key=lambda each: each[2])
    sketch = Sketch()
    spots: list[list[tuple[str, Xy]]] = []
    for view, y, tall in ((below, 0.0, size[1]), (other, size[1] * scale + _GAP + _TOP, size[2])):
        if view is other and size[2] < 1.0:
            continue
        corner = view.flat(every).min(axis=0) * scale
        shift = np.array([_NAMES / 2.0 - float(corner[0]), y - float(corner[1])])
        sketch.write(Text(0.0, y + tall * scale + _TOP - 1.0, view.name, TEXT, bold=True))
        _draw(sketch, [*chains, *(Chain(line, "hidden") for line in dashed if view is below)], view, scale, shift)
        at = _on_paper(view, np.array([each for _, each in named]).reshape(-1, 3), scale, shift)
        if dots:
            sketch.draw(*(Fill(disc(spot, 0.6, 12)) for spot in at))
        spots.append([(name, spot) for (name, _), spot in zip(named, at, strict=True)])
    # The names of both views keep clear of the lines and titles of both.
    for spot in spots:
        write_names(sketch, gathered(spot), most=room[0], least=0.0)
    return sketch, scale


def _draw(sketch: Sketch, chains: Sequence[Chain], view: Direction, scale: float, shift: Array) -> None:
    """The lines of one view; what is seen end on is none."""
    for chain in chains:
        line = _on_paper(view, chain.points, scale, shift)
        if any(math.dist(line[0], other) > 0.2 for other in line[1:]):
            sketch.draw(polyline(line, chain.pen))


def _on_paper(view: Direction, points: Array, scale: float, shift: Array) -> list[Xy]:
    return [(float(x), float(y)) for x, y in view.flat(points) * scale + shift]


def _sized(
    pair: tuple[Direction, Direction], every: Array, room: tuple[float, float]
) -> tuple[tuple[Direction, Direction], tuple[float, float, float], float]:
    """Two views with how wide they are and how tall each is, mm, and the scale at which they go into the room."""
    (wide, deep), (_, tall) = (np.ptp(view.flat(every), axis=0).tolist() for view in pair)
    scale = min((room[0] - _NAMES) / max(wide, 1.0), (room[1] - 2 * _TOP - _GAP) / max(deep + tall, 1.0))
    return pair, (wide, deep, tall), scale

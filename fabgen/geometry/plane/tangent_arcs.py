"""Arcs tangent to edges: fillets at the corners of outlines of lines and arcs, and the rounded end of an ear."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from fabgen.geometry.plane.offset import bulge_about, centre_between
from fabgen.geometry.plane.outline import Edge, Outline, OutlineError, Vertex, Xy
from fabgen.wording.sentence import mm, sentence

SMOOTH = 1e-6
"""Edges that meet in a smaller angle than this, rad, run into one another: no corner."""


def filleted(outline: Outline, radius: float) -> Outline:
    """The outline counter-clockwise with a fillet at every corner, tangent to both edges, lines or arcs.

    Args:
        outline: of lines and arcs.
        radius: of the fillets, mm.
    Raises:
        OutlineError: an edge is too short for its fillets; its key is the number of the corner in the
            counter-clockwise outline.
    """
    edges = list(outline.counter_clockwise().edges())
    corners = list(zip([edges[-1], *edges[:-1]], edges, strict=True))
    centres = [_centre(before, after, radius, i) for i, (before, after) in enumerate(corners)]
    worked: list[Vertex] = []
    for i, (edge, (here, there)) in enumerate(zip(edges, pairwise([*centres, centres[0]]), strict=True)):
        start = edge.start if here is None else _foot(edge, here)
        end = edge.end if there is None else _foot(edge, there)
        if here is not None:
            before = _foot(edges[i - 1], here)
            worked.append(Vertex(*before, bulge_about(here, before, start)))
        worked.append(Vertex(*start, _kept(edge, start, end, radius, i)))
    return Outline(tuple(worked))


def _centre(before: Edge, after: Edge, radius: float, corner: int) -> Xy | None:
    if abs(math.remainder(after.heading_in - before.heading_out, 2.0 * math.pi)) < SMOOTH:
        return None
    try:
        return centre_between(before, after, radius)
    except OutlineError as error:
        what = sentence("there is no room for a radius of ", mm(radius, 3), f" at corner {corner + 1}")
        raise OutlineError(what, key=(corner,)) from error


def _foot(edge: Edge, centre: Xy) -> Xy:
    """Where a circle about `centre` that is tangent to the edge touches it."""
    if edge.is_arc:
        (cx, cy), r = edge.centre, edge.radius
        away = math.dist((cx, cy), centre)
        return cx + (centre[0] - cx) * r / away, cy + (centre[1] - cy) * r / away
    (x0, y0), c, s = edge.start, math.cos(edge.heading_in), math.sin(edge.heading_in)
    along = (centre[0] - x0) * c + (centre[1] - y0) * s
    return x0 + along * c, y0 + along * s


def _kept(edge: Edge, start: Xy, end: Xy, radius: float, corner: int) -> float:
    """The bulge of what is left of an edge."""
    if edge.is_arc:
        (cx, cy), way = edge.centre, math.copysign(1.0, edge.sweep)
        first = math.atan2(edge.start[1] - cy, edge.start[0] - cx)
        a, b = (((math.atan2(y - cy, x - cx) - first) * way + 1e-9) % (2.0 * math.pi) for x, y in (start, end))
        if a < b < abs(edge.sweep) + 2e-9:
            return math.tan(way * (b - a) / 4.0)
    else:
        c, s = math.cos(edge.heading_in), math.sin(edge.heading_in)
        if (end[0] - start[0]) * c + (end[1] - start[1]) * s > 1e-6:
            return 0.0
    what = sentence(f"the side that begins at corner {corner + 1} is too short for radii of ", mm(radius, 3))
    raise OutlineError(what, key=(corner,))


@dataclass(frozen=True, slots=True)
class RoundedEnd:
    """Where the sides touch the arc, on the right and on the left, and the arc's bulge from right to left."""

    right: Xy
    left: Xy
    bulge: float


def rounded_end(left: Xy, right: Xy, centre: Xy, radius: float) -> RoundedEnd:
    """The end of an ear: an arc about `centre`, its sides the outer tangents from the corners of the foot.

    Args:
        left: corner of the foot, mm.
        right: its other corner, mm.
        centre: of the arc, above the foot, mm.
        radius: of the arc, mm.
    Raises:
        OutlineError: a corner lies inside the arc.
    """
    touches = []
    for corner, way in ((right, 1.0), (left, -1.0)):
        apart = math.dist(corner, centre)
        if apart < radius - 1e-9:
            raise OutlineError(
                sentence("the rounded end of ", mm(radius, 2, fixed=True), " reaches over a corner of its foot")
            )
        turn = way * math.acos(min(1.0, radius / apart))
        heading = math.atan2(corner[1] - centre[1], corner[0] - centre[0]) + turn
        touches.append((centre[0] + radius * math.cos(heading), centre[1] + radius * math.sin(heading)))
    start, end = (math.atan2(y - centre[1], x - centre[0]) for x, y in touches)
    return RoundedEnd(touches[0], touches[1], math.tan(((end - start) % (2.0 * math.pi)) / 4.0))

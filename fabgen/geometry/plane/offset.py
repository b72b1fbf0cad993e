"""Moving an outline in or out by a constant distance, lines staying lines and arcs staying arcs."""

from __future__ import annotations

import math
from dataclasses import dataclass

from fabgen.geometry.plane.outline import Circle, Edge, Loop, Outline, OutlineError, Vertex, Xy
from fabgen.wording.sentence import mm, sentence

SAME = 1e-7
LONGEST_POINT = 4.0
"""A sharp corner stays sharp until its point would reach this many times the distance; then it is rounded."""


@dataclass(frozen=True, slots=True)
class _Moved:
    """One edge of the outline moved sideways: its ends and, for an arc, its centre and radius."""

    start: Xy
    end: Xy
    edge: Edge
    radius: float

    def bulge(self, start: Xy, end: Xy) -> float:
        """The bulge of this edge once trimmed to run from `start` to `end`."""
        if not self.edge.is_arc:
            return 0.0
        cx, cy = self.edge.centre
        turn = math.atan2(end[1] - cy, end[0] - cx) - math.atan2(start[1] - cy, start[0] - cx)
        turn = turn % (2.0 * math.pi) if self.edge.sweep > 0.0 else -((-turn) % (2.0 * math.pi))
        return math.tan(turn / 4.0)


def offset(loop: Loop, distance: float) -> Loop:
    """The loop moved outward by a constant distance, lines staying lines and arcs staying arcs.

    Every fillet keeps its centre and its radius changes by the distance.  A sharp corner stays sharp, its two
    edges lengthened or shortened to where they meet; a very acute one is rounded.

    Args:
        loop: an outline or a circle.
        distance: mm, inward when negative.
    Raises:
        OutlineError: a fillet or an edge vanishes, or the moved outline crosses itself; the place is named.
    """
    if isinstance(loop, Circle):
        if loop.diameter + 2.0 * distance <= SAME:
            raise OutlineError(sentence("nothing is left of a disc of ", mm(loop.diameter, 3)))
        return Circle(loop.x, loop.y, loop.diameter + 2.0 * distance)
    if distance == 0.0:
        return loop
    outline = loop.counter_clockwise()
    moved = [each for edge in outline.edges() if (each := _move(edge, distance)) is not None]
    joints = [_joint(moved[i - 1], moved[i], distance) for i in range(len(moved))]
    vertices: list[Vertex] = []
    for i, each in enumerate(moved):
        arrive, leave = joints[i][0], joints[i][-1]
        if len(joints[i]) == 2:
            x, y = _meeting(moved[i - 1].edge, each.edge)
            vertices.append(Vertex(*arrive, bulge_about((x, y), arrive, leave)))
        end = joints[(i + 1) % len(moved)][0]
        _must_run_on(each, leave, end)
        vertices.append(Vertex(*leave, each.bulge(leave, end)))
    result = Outline(tuple(vertices))
    _must_be_simple(result, distance)
    return result


def centre_between(before: Edge, after: Edge, radius: float) -> Xy:
    """The centre of a fillet: the point `radius` mm from two edges, on the side that their corner opens to.

    Args:
        before: the edge that ends in the corner, of a counter-clockwise outline.
        after: the edge that begins there.
        radius: of the fillet, mm.
    Raises:
        OutlineError: there is no such point.
    """
    turn = math.remainder(after.heading_in - before.heading_out, 2.0 * math.pi)
    distance = -math.copysign(radius, turn)
    one, other = _move(before, distance), _move(after, distance)
    if one is None or other is None:
        raise OutlineError(sentence("a radius of ", mm(radius, 3), " is that of the edge beside it"))
    return _joint(one, other, distance)[0]


def _move(edge: Edge, distance: float) -> _Moved | None:
    """The edge moved to its right (outward of a counter-clockwise loop); None for a fillet that becomes a point."""
    (x0, y0), (x1, y1) = edge.start, edge.end
    h0, h1 = edge.heading_in, edge.heading_out
    start = (x0 + distance * math.sin(h0), y0 - distance * math.cos(h0))
    end = (x1 + distance * math.sin(h1), y1 - distance * math.cos(h1))
    if not edge.is_arc:
        return _Moved(start, end, edge, math.inf)
    radius = edge.radius + (distance if edge.bulge > 0.0 else -distance)
    if abs(radius) < SAME:
        return None
    if radius < 0.0:
        raise OutlineError(
            sentence(
                "the radius of ",
                mm(edge.radius, 2),
                f" near ({(x0 + x1) / 2:.1f}, {(y0 + y1) / 2:.1f}) vanishes when the outline moves ",
                f"{'out' if distance > 0 else 'in'} by ",
                mm(abs(distance), 3),
            )
        )
    return _Moved(start, end, edge, radius)


def _joint(before: _Moved, after: _Moved, distance: float) -> tuple[Xy, ...]:
    """Where two moved neighbours meet: one point, or the two ends of a rounding about the old corner."""
    if math.dist(before.end, after.start) < SAME:
        return (after.start,)
    corner = _meeting(before.edge, after.edge)
    points = _crossings(before, after)
    if points:
        nearest = min(points, key=lambda p: math.dist(p, corner))
        if math.dist(nearest, corner) <= LONGEST_POINT * abs(distance) or not _opens(before, after, distance):
            return (nearest,)
    if _opens(before, after, distance):
        return before.end, after.start
    raise OutlineError(
        sentence(f"the edges at ({corner[0]:.1f}, {corner[1]:.1f}) are too short to move by ", mm(abs(distance), 3))
    )


def _meeting(before: Edge, after: Edge) -> Xy:
    """The old corner between two edges, also where a fillet between them became a point."""
    if math.dist(before.end, after.start) < SAME:
        return after.start
    return ((before.end[0] + after.start[0]) / 2.0, (before.end[1] + after.start[1]) / 2.0)


def _opens(before: _Moved, after: _Moved, distance: float) -> bool:
    """Whether moving pulls the two edges apart (and does not push them into one another)."""
    turn = math.remainder(after.edge.heading_in - before.edge.heading_out, 2.0 * math.pi)
    return turn * distance > 0.0


def bulge_about(centre: Xy, start: Xy, end: Xy) -> float:
    """Bulge of the lesser arc about a centre.

    Args:
        centre: mm.
        start: where the arc begins, mm.
        end: where it ends, mm.
    """
    a, b = (math.atan2(y - centre[1], x - centre[0]) for x, y in (start, end))
    return math.tan(math.remainder(b - a, 2.0 * math.pi) / 4.0)


def _crossings(one: _Moved, other: _Moved) -> list[Xy]:
    """Where the full lines or circles that two moved edges lie on meet."""
    if one.edge.is_arc and other.edge.is_arc:
        return _circle_circle(one.edge.centre, one.radius, other.edge.centre, other.radius)
    if one.edge.is_arc:
        return _line_circle(other, one.edge.centre, one.radius)
    if other.edge.is_arc:
        return _line_circle(one, other.edge.centre, other.radius)
    return _line_line(one, other)


def _line_line(one: _Moved, other: _Moved) -> list[Xy]:
    (ax, ay), (bx, by) = _direction(one), _direction(other)
    across = ax * by - ay * bx
    if abs(across) < 1e-12:
        return []
    dx, dy = other.start[0] - one.start[0], other.start[1] - one.start[1]
    along = (dx * by - dy * bx) / across
    return [(one.start[0] + along * ax, one.start[1] + along * ay)]


def _line_circle(line: _Moved, centre: Xy, radius: float) -> list[Xy]:
    ux, uy = _direction(line)
    dx, dy = centre[0] - line.start[0], centre[1] - line.start[1]
    along, beside = dx * ux + dy * uy, dx * uy - dy * ux
    if abs(beside) > radius:
        return []
    half = math.sqrt(radius * radius - beside * beside)
    return [(line.start[0] + s * ux, line.start[1] + s * uy) for s in (along - half, along + half)]


def _circle_circle(a: Xy, ra: float, b: Xy, rb: float) -> list[Xy]:
    apart = math.dist(a, b)
    if apart < SAME or apart > ra + rb or apart < abs(ra - rb):
        return []
    along = (apart * apart + ra * ra - rb * rb) / (2.0 * apart)
    half = math.sqrt(max(0.0, ra * ra - along * along))
    ux, uy = (b[0] - a[0]) / apart, (b[1] - a[1]) / apart
    return [(a[0] + along * ux - s * half * uy, a[1] + along * uy + s * half * ux) for s in (-1.0, 1.0)]


def _direction(line: _Moved) -> Xy:
    heading = line.edge.heading_in
    return math.cos(heading), math.sin(heading)


def _must_run_on(each: _Moved, start: Xy, end: Xy) -> None:
    """Raises OutlineError when an edge, trimmed at both ends, would run backwards."""
    if each.edge.is_arc:
        swept = 4.0 * math.atan(each.bulge(start, end))
        if abs(swept) <= abs(each.edge.sweep) + math.pi / 2.0:
            return
    else:
        ux, uy = _direction(each)
        if (end[0] - start[0]) * ux + (end[1] - start[1]) * uy > -SAME:
            return
    (x0, y0), (x1, y1) = each.edge.start, each.edge.end
    raise OutlineError(f"the edge near ({(x0 + x1) / 2:.1f}, {(y0 + y1) / 2:.1f}) vanishes when the outline is moved")


def _must_be_simple(outline: Outline, distance: float) -> None:
    from fabgen.geometry.plane.regions import crossing

    spot = crossing(outline)
    if spot is not None:
        raise OutlineError(
            sentence(
                f"moved {'out' if distance > 0 else 'in'} by ",
                mm(abs(distance), 3),
                f" the outline crosses itself near ({spot[0]:.1f}, {spot[1]:.1f})",
            )
        )

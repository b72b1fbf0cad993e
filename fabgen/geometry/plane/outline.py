"""Flat outlines made of straight lines and true arcs.

An :class:`Outline` is a closed loop of vertices in millimetres.  Each vertex
carries the *bulge* of the edge that leaves it: the tangent of a quarter of the
arc's included angle, positive when the arc runs counter-clockwise (the
convention of the DXF polyline entity, DXF Reference, group code 42).  A bulge of
0 is a straight line.  Keeping arcs as arcs is the whole point: a cutting service
gets a fillet, not a string of chords.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from fabgen.wording.input_error import InputError
from fabgen.wording.sentence import mm, sentence

Xy = tuple[float, float]
Box = tuple[float, float, float, float]


def box_of(points: Iterable[Xy]) -> Box:
    """(xmin, ymin, xmax, ymax) of points.

    Args:
        points: one at least.
    """
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


class OutlineError(InputError):
    """An outline that cannot be built, e.g. a fillet too large for its corner.

    Its `key` is the number, from 0, of the corner at fault, where there is one.
    """


@dataclass(frozen=True, slots=True)
class Vertex:
    """A corner at (x, y) mm and the bulge of the edge that leaves it."""

    x: float
    y: float
    bulge: float = 0.0


@dataclass(frozen=True, slots=True)
class Corner:
    """A corner to be worked: a fillet of `radius` mm or a `chamfer` of mm a side."""

    x: float
    y: float
    radius: float = 0.0
    chamfer: float = 0.0


@dataclass(frozen=True, slots=True)
class Edge:
    """One edge of an outline: a line, or an arc where `bulge` is not zero."""

    start: Xy
    end: Xy
    bulge: float

    @property
    def chord(self) -> float:
        """Distance between the ends, mm."""
        return math.dist(self.start, self.end)

    @property
    def is_arc(self) -> bool:
        """Whether it is an arc and not a line."""
        return self.bulge != 0.0

    @property
    def sweep(self) -> float:
        """Included angle, rad, positive counter-clockwise; 0 for a line."""
        return 4.0 * math.atan(self.bulge)

    @property
    def radius(self) -> float:
        """Arc radius, mm; infinite for a line."""
        if not self.is_arc:
            return math.inf
        b = abs(self.bulge)
        return self.chord * (1.0 + b * b) / (4.0 * b)

    @property
    def centre(self) -> Xy:
        """Arc centre, mm.

        Raises:
            OutlineError: the edge is a line.
        """
        if not self.is_arc:
            raise OutlineError("a straight edge has no centre")
        (x0, y0), (x1, y1) = self.start, self.end
        # Signed distance from the chord's middle to the centre, to the left of the edge.
        apothem = (1.0 - self.bulge**2) / (4.0 * self.bulge)
        return (
            (x0 + x1) / 2.0 - (y1 - y0) * apothem,
            (y0 + y1) / 2.0 + (x1 - x0) * apothem,
        )

    @property
    def length(self) -> float:
        """Length along the edge, mm."""
        return abs(self.sweep) * self.radius if self.is_arc else self.chord

    @property
    def heading_in(self) -> float:
        """Direction of travel at the start, rad from +x."""
        return math.atan2(self.end[1] - self.start[1], self.end[0] - self.start[0]) - self.sweep / 2.0

    @property
    def heading_out(self) -> float:
        """Direction of travel at the end, rad from +x."""
        return self.heading_in + self.sweep

    def points(self, tolerance: float) -> list[Xy]:
        """Points along the edge, its start included and its end left out.

        Args:
            tolerance: greatest distance of a chord from the arc, mm.
        """
        if not self.is_arc:
            return [self.start]
        radius = self.radius
        step = 2.0 * math.acos(max(0.0, 1.0 - tolerance / radius)) if tolerance < radius else 1.0
        count = max(2, math.ceil(abs(self.sweep) / step))
        cx, cy = self.centre
        first = math.atan2(self.start[1] - cy, self.start[0] - cx)
        turns = [first + self.sweep * i / count for i in range(1, count)]
        return [self.start] + [(cx + radius * math.cos(a), cy + radius * math.sin(a)) for a in turns]


@dataclass(frozen=True)
class Outline:
    """A closed loop of lines and arcs; counter-clockwise when built by this module."""

    vertices: tuple[Vertex, ...]
    _box: list[Box] = field(default_factory=list, init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if len(self.vertices) < 2:
            raise OutlineError("an outline needs at least two vertices")

    # -- building ---------------------------------------------------------
    @staticmethod
    def polygon(points: Iterable[Xy]) -> Outline:
        """Outline of straight edges, turned counter-clockwise.

        Args:
            points: three or more, mm.
        """
        return Outline(tuple(Vertex(x, y) for x, y in points)).counter_clockwise()

    @staticmethod
    def rectangle(width: float, height: float, radius: float = 0.0) -> Outline:
        """Rectangle with its lower left corner at the origin.

        Args:
            width: along x, mm.
            height: along y, mm.
            radius: of all four corners, mm.
        """
        box = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]
        return Outline.from_corners([Corner(x, y, radius=radius) for x, y in box])

    @staticmethod
    def stadium(length: float, width: float) -> Outline:
        """Slot shape centred on the origin.

        Args:
            length: over all, along x, mm.
            width: across, mm.
        Raises:
            OutlineError: it is not longer than wide.
        """
        if length <= width:
            raise OutlineError("a stadium must be longer than it is wide")
        a, r = (length - width) / 2.0, width / 2.0
        return Outline((Vertex(-a, -r), Vertex(a, -r, 1.0), Vertex(a, r), Vertex(-a, r, 1.0)))

    @staticmethod
    def from_corners(corners: Sequence[Corner]) -> Outline:
        """Outline through corners, each filleted or chamfered as it says.

        Args:
            corners: three or more, in order.
        Raises:
            OutlineError: neighbouring corners need more edge than there is, or two are the same point.
        """
        if len(corners) < 3:
            raise OutlineError("an outline needs at least three corners")
        count = len(corners)
        setbacks: list[float] = []
        for i, corner in enumerate(corners):
            before, after = corners[i - 1], corners[(i + 1) % count]
            setbacks.append(_setback(before, corner, after))
        for i, corner in enumerate(corners):
            after = corners[(i + 1) % count]
            edge = math.hypot(after.x - corner.x, after.y - corner.y)
            if edge == 0.0:
                raise OutlineError(f"corners {i + 1} and {(i + 1) % count + 1} are the same point", key=(i,))
            if setbacks[i] + setbacks[(i + 1) % count] > edge + 1e-9:
                raise OutlineError(
                    sentence(
                        f"the radius or chamfer at corners {i + 1} and {(i + 1) % count + 1} needs ",
                        mm(setbacks[i] + setbacks[(i + 1) % count], 2, fixed=True),
                        " of an edge ",
                        mm(edge, 2, fixed=True),
                        " long",
                    ),
                    key=(i,),
                )
        vertices: list[Vertex] = []
        for i, corner in enumerate(corners):
            vertices += _worked(corners[i - 1], corner, corners[(i + 1) % count], setbacks[i])
        return Outline(without_repeats(vertices)).counter_clockwise()

    # -- measures ---------------------------------------------------------
    def edges(self) -> Iterator[Edge]:
        """The edges in order, the last one back to the first vertex."""
        for here, there in zip(self.vertices, self.vertices[1:] + self.vertices[:1], strict=True):
            yield Edge((here.x, here.y), (there.x, there.y), here.bulge)

    @property
    def signed_area(self) -> float:
        """Area, mm2, positive when counter-clockwise: shoelace plus the arcs' segments."""
        total = 0.0
        for edge in self.edges():
            (x0, y0), (x1, y1) = edge.start, edge.end
            total += (x0 * y1 - x1 * y0) / 2.0
            if edge.is_arc:
                total += edge.radius**2 * (edge.sweep - math.sin(edge.sweep)) / 2.0
        return total

    @property
    def area(self) -> float:
        """Enclosed area, mm2."""
        return abs(self.signed_area)

    @property
    def perimeter(self) -> float:
        """Length all round, mm."""
        return sum(edge.length for edge in self.edges())

    @property
    def bounds(self) -> Box:
        """(xmin, ymin, xmax, ymax), arcs counted exactly."""
        if not self._box:
            points = [(v.x, v.y) for v in self.vertices]
            for edge in self.edges():
                if edge.is_arc:
                    points += _arc_extremes(edge)
            self._box.append(box_of(points))
        return self._box[0]

    def points(self, tolerance: float = 0.05) -> NDArray[np.float64]:
        """Corner points (n, 2) of the flattened outline, mm, not closed.

        Args:
            tolerance: greatest distance of a chord from its arc, mm.
        """
        return np.array([p for edge in self.edges() for p in edge.points(tolerance)], dtype=float)

    # -- moving -----------------------------------------------------------
    def moved(self, dx: float, dy: float) -> Outline:
        """The same outline elsewhere.

        Args:
            dx: along x, mm.
            dy: along y, mm.
        """
        return Outline(tuple(Vertex(v.x + dx, v.y + dy, v.bulge) for v in self.vertices))

    def turned(self, angle: float) -> Outline:
        """Turned about the origin.

        Args:
            angle: counter-clockwise, rad.
        """
        c, s = math.cos(angle), math.sin(angle)
        return Outline(tuple(Vertex(v.x * c - v.y * s, v.x * s + v.y * c, v.bulge) for v in self.vertices))

    def by_half_turns(self) -> Outline:
        """The same outline, each arc past a half turn as two, for readers that take such an arc for its chord."""
        parted: list[Vertex] = []
        for edge in self.edges():
            (x0, y0), (x1, y1), bulge = edge.start, edge.end, edge.bulge
            if abs(bulge) <= 1.0:
                parted.append(Vertex(x0, y0, bulge))
                continue
            middle = (x0 + x1 + bulge * (y1 - y0)) / 2.0, (y0 + y1 - bulge * (x1 - x0)) / 2.0
            half = math.tan(math.atan(bulge) / 2.0)
            parted += [Vertex(x0, y0, half), Vertex(*middle, half)]
        return Outline(tuple(parted))

    def flipped(self) -> Outline:
        """Mirrored in the y axis (x to -x), still counter-clockwise if it was."""
        return Outline(tuple(Vertex(-v.x, v.y, -v.bulge) for v in self.vertices)).reversed()

    def reversed(self) -> Outline:
        """The same outline the other way round."""
        count = len(self.vertices)
        return Outline(
            tuple(
                Vertex(
                    self.vertices[count - 1 - i].x,
                    self.vertices[count - 1 - i].y,
                    -self.vertices[(count - 2 - i) % count].bulge,
                )
                for i in range(count)
            )
        )

    def counter_clockwise(self) -> Outline:
        """The same outline, counter-clockwise."""
        return self if self.signed_area >= 0.0 else self.reversed()


@dataclass(frozen=True, slots=True)
class Circle:
    """A full circle, centre (x, y) and diameter, mm; kept apart so that DXF gets a true CIRCLE."""

    x: float
    y: float
    diameter: float

    @property
    def area(self) -> float:
        """Enclosed area, mm2."""
        return math.pi * self.diameter**2 / 4.0

    @property
    def perimeter(self) -> float:
        """Length all round, mm."""
        return math.pi * self.diameter

    @property
    def bounds(self) -> Box:
        """The box (xmin, ymin, xmax, ymax), mm."""
        r = self.diameter / 2.0
        return (self.x - r, self.y - r, self.x + r, self.y + r)

    def points(self, tolerance: float = 0.05) -> NDArray[np.float64]:
        """Corner points (n, 2) of the flattened circle, mm.

        Args:
            tolerance: greatest distance of a chord from the circle, mm.
        """
        r = self.diameter / 2.0
        half = math.acos(max(0.0, 1.0 - tolerance / r)) if tolerance < r else 1.0
        turn = np.linspace(0.0, 2.0 * math.pi, max(12, math.ceil(math.pi / half)), endpoint=False)
        return np.column_stack((self.x + r * np.cos(turn), self.y + r * np.sin(turn)))

    def moved(self, dx: float, dy: float) -> Circle:
        """The same circle elsewhere.

        Args:
            dx: along x, mm.
            dy: along y, mm.
        """
        return Circle(self.x + dx, self.y + dy, self.diameter)

    def turned(self, angle: float) -> Circle:
        """Its centre turned about the origin.

        Args:
            angle: counter-clockwise, rad.
        """
        c, s = math.cos(angle), math.sin(angle)
        return Circle(self.x * c - self.y * s, self.x * s + self.y * c, self.diameter)

    def flipped(self) -> Circle:
        """Mirrored in the y axis (x to -x)."""
        return Circle(-self.x, self.y, self.diameter)


Loop = Outline | Circle


def _unit(from_: Corner, to: Corner) -> Xy:
    dx, dy = to.x - from_.x, to.y - from_.y
    length = math.hypot(dx, dy)
    if length == 0.0:
        raise OutlineError(f"two neighbouring corners are the same point ({to.x:g}, {to.y:g})")
    return dx / length, dy / length


def _setback(before: Corner, corner: Corner, after: Corner) -> float:
    """How much of either edge the fillet or chamfer at `corner` uses, mm."""
    if corner.radius and corner.chamfer:
        raise OutlineError("a corner takes a radius or a chamfer, not both")
    if not corner.radius:
        return corner.chamfer
    ax, ay = _unit(corner, before)
    bx, by = _unit(corner, after)
    angle = math.acos(max(-1.0, min(1.0, ax * bx + ay * by)))
    if angle < 1e-6:
        raise OutlineError(f"the outline doubles back at ({corner.x:g}, {corner.y:g})")
    return 0.0 if math.pi - angle < 1e-9 else corner.radius / math.tan(angle / 2.0)


def worked_corner(before: Corner, corner: Corner, after: Corner) -> list[Vertex]:
    """The vertices of a corner, filleted or chamfered as it says.

    Args:
        before: the corner before it.
        corner: the corner itself.
        after: the corner after it.
    Raises:
        OutlineError: the corner and a neighbour are one point, or the outline doubles back.
    """
    return _worked(before, corner, after, _setback(before, corner, after))


def _worked(before: Corner, corner: Corner, after: Corner, setback: float) -> list[Vertex]:
    if setback == 0.0:
        return [Vertex(corner.x, corner.y)]
    ax, ay = _unit(corner, before)
    bx, by = _unit(corner, after)
    bulge = 0.0
    if corner.radius:
        turn = math.atan2(-ax * by + ay * bx, -ax * bx - ay * by)
        bulge = math.tan(turn / 4.0)
    return [
        Vertex(corner.x + ax * setback, corner.y + ay * setback, bulge),
        Vertex(corner.x + bx * setback, corner.y + by * setback),
    ]


def without_repeats(vertices: list[Vertex]) -> tuple[Vertex, ...]:
    """The vertices without straight edges of no length (two fillets that share an edge's middle).

    Args:
        vertices: of a closed outline, in order.
    """
    kept = [
        here
        for here, there in zip(vertices, vertices[1:] + vertices[:1], strict=True)
        if math.hypot(there.x - here.x, there.y - here.y) > 1e-9
    ]
    return tuple(kept)


def _arc_extremes(edge: Edge) -> Iterator[Xy]:
    cx, cy = edge.centre
    r = edge.radius
    first = math.atan2(edge.start[1] - cy, edge.start[0] - cx)
    low, high = sorted((first, first + edge.sweep))
    quarter = math.ceil(low / (math.pi / 2.0))
    while quarter * math.pi / 2.0 <= high:
        angle = quarter * math.pi / 2.0
        yield cx + r * math.cos(angle), cy + r * math.sin(angle)
        quarter += 1

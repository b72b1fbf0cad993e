"""Edges of sheet that sit on a tube: the true crossing of a plate with a solid, its thickness counted.

The edge is cut square to the sheet.  At each place along it the wall of the plate is a flat strip
from skin to skin, and the edge lies where that strip, followed back from the plate's body, first meets
the tube (`contact.py`): so no metal of the plate lies in the tube, and one of its skins touches.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fabgen.geometry.plane.arc_fit import arcs_through
from fabgen.geometry.plane.outline import Edge, Vertex, Xy
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.contact import greatest
from fabgen.geometry.tube.solids import RoundBar, RoundedPrism, Walls

SAMPLES = 65
"""Places on each smooth stretch of an edge that arcs are put through."""
STRAIGHT = 0.003
"""A vertex this near to the line between its neighbours is left out, mm."""
LEAST_STRETCH = 0.25
"""A change of course nearer than this to the end of the edge makes no vertex, mm."""
SAME = 1e-6


@dataclass(frozen=True, eq=False)
class PlateEdge:
    """A plate between z = 0 and `thickness` of `frame`, whose body lies on the +y side of an edge that
    sits on `tube`."""

    frame: Frame
    thickness: float
    tube: RoundBar | RoundedPrism

    def heights(self, x: Array) -> Array:
        """y of the edge, (n,) mm; nan where the plate passes the tube by.

        Args:
            x: places along the edge, (n,), mm.
        """
        ones = np.ones(len(x))
        skin = self.frame.outside(np.column_stack((x, 0.0 * ones, self.thickness * ones)))
        inward = np.tile(-self.frame.z, (len(x), 1))
        return greatest(self.tube, Walls(skin, inward, self.thickness * ones, self.frame.y))

    def height(self, x: float) -> float:
        """y of the edge at one place, mm; nan where the plate passes the tube by.

        Args:
            x: along the edge, mm.
        """
        return float(self.heights(np.array([x]))[0])

    def stops(self, start: float, end: float) -> list[float]:
        """Places where the edge may change its course.

        There a line along the tube, on which its surface changes or turns from one skin of the plate to the
        other, comes through a skin.

        Args:
            start: from this x on, mm.
            end: up to this x, mm.
        """
        axis, found = _axis(self.tube), []
        rise = float(axis @ self.frame.z)
        if abs(rise) > 1e-9:
            for point in _lines(self.tube, axis, self.frame):
                for skin in (0.0, self.thickness):
                    along = (skin - float((point - self.frame.origin) @ self.frame.z)) / rise
                    found.append(float((point + along * axis - self.frame.origin) @ self.frame.x))
        inner = sorted(x for x in found if start + LEAST_STRETCH < x < end - LEAST_STRETCH)
        return [start, *(x for i, x in enumerate(inner) if i == 0 or x - inner[i - 1] > 1e-3), end]

    def vertices(self, start: float, end: float, stops: Sequence[float] = ()) -> list[Vertex]:
        """The edge as lines and arcs, from x = `start` up to, and without, x = `end`; all of it must lie on the tube.

        Args:
            start: mm.
            end: mm.
            stops: places that must be vertices, mm.
        """
        places = sorted({*self.stops(start, end), *stops})
        vertices: list[Vertex] = []
        for a, b in pairwise(places):
            vertices += arcs_through(self._points(a, b))
        return joined(vertices, (end, self.height(end)), stops)

    def _points(self, a: float, b: float) -> list[Xy]:
        """Points of one stretch, closer toward its ends, where an edge may run off steeply."""
        turn = np.linspace(0.0, math.pi, SAMPLES)
        x = (a + b) / 2.0 - (b - a) / 2.0 * np.cos(turn)
        x[0], x[-1] = a, b
        y = self.heights(x)
        if np.abs(y - np.interp(x, [a, b], [y[0], y[-1]])).max() < 1e-7:
            x, y = x[[0, -1]], y[[0, -1]]
        return [(float(px), float(py)) for px, py in zip(x, y, strict=True)]


def _axis(tube: RoundBar | RoundedPrism) -> Array:
    return tube.axis if isinstance(tube, RoundBar) else tube.frame.x


def _lines(tube: RoundBar | RoundedPrism, axis: Array, frame: Frame) -> list[Array]:
    """A point of each line along the tube, on the side of the plate's body, where its surface lies
    square to the plate or along it, or where a face of it goes over into a corner."""
    if isinstance(tube, RoundBar):
        return [tube.origin + tube.radius * normal for normal in _normals(axis, frame)]
    a, b, radius = tube.width / 2.0, tube.depth / 2.0, tube.corner
    found: list[Array] = []
    for i, j in ((1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)):
        sides = [i * tube.frame.y, j * tube.frame.z]
        round_it = [n for n in _normals(axis, frame) if min(float(n @ side) for side in sides) > SAME]
        normals = [*(round_it if radius > 0.0 else []), *(n for n in sides if float(n @ frame.y) > -SAME)]
        centre = tube.frame.outside(np.array([0.0, i * (a - radius), j * (b - radius)]))
        found += [centre + radius * normal for normal in normals]
    return found


def _normals(axis: Array, frame: Frame) -> list[Array]:
    """Unit normals of a round surface along the axis that lie in the plate, or square to its body's side."""
    crossed = [way * np.cross(axis, plane) for plane in (frame.y, frame.z) for way in (1.0, -1.0)]
    units = [n / length for n in crossed if (length := float(np.linalg.norm(n))) > SAME]
    return [n for n in units if float(n @ frame.y) > -SAME]


def joined(vertices: Sequence[Vertex], end: Xy, kept: Sequence[float] = ()) -> list[Vertex]:
    """The path without needless vertices: straight runs and arcs of one circle made one, up to half a turn.

    Args:
        vertices: of an open path.
        end: where it ends, mm.
        kept: vertices at these x stay, mm.
    """
    path = list(vertices)
    i = 1
    while i < len(path):
        after = (path[i + 1].x, path[i + 1].y) if i + 1 < len(path) else end
        merged = _one(path[i - 1], path[i], after)
        if merged is None or any(abs(path[i].x - x) < SAME for x in kept):
            i += 1
        else:
            path[i - 1 : i + 1] = [merged]
    return path


def _one(first: Vertex, second: Vertex, end: Xy) -> Vertex | None:
    """The one line or arc that two make together, as the vertex it starts from; None where they do not."""
    one = Edge((first.x, first.y), (second.x, second.y), first.bulge)
    other = Edge((second.x, second.y), end, second.bulge)
    if one.is_arc != other.is_arc:
        return None
    turn = abs(math.remainder(other.heading_in - one.heading_out, 2.0 * math.pi))
    if not one.is_arc:
        # How far the middle vertex lies off the line between the outer two.
        off = math.sin(turn) * one.length * other.length / max(math.dist(one.start, other.end), 1e-12)
        return first if turn < math.pi / 4.0 and off < STRAIGHT else None
    if turn > 1e-5:
        return None
    sweep = one.sweep + other.sweep
    if abs(one.radius - other.radius) > 1e-4 * one.radius or math.dist(one.centre, other.centre) > 1e-3:
        return None
    return Vertex(first.x, first.y, math.tan(sweep / 4.0)) if abs(sweep) < math.pi + 1e-6 else None

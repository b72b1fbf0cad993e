"""Where one flat shape may lie beside or inside another: the sets of moves behind true-shape nesting.

A shape B moved by t meets a shape A exactly when t lies in A + (-B), the Minkowski sum of A
and B turned upside down; in packing it is called the no-fit polygon.  For convex shapes the
sum is found by sorting the edges of both by direction (de Berg, Cheong, van Kreveld and
Overmars, *Computational Geometry*, 3rd ed., 2008, section 13.3); for others it is the union
of the sums of convex pieces.  The moves that keep B inside a region are those that keep it
clear of what lies round the region.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fabgen.geometry.plane.outline import Circle, Edge, Loop, Xy
from fabgen.geometry.space.frame import Array

GRID = 1e-4
"""Areas that rounding keeps from being combined are laid on a grid of this, mm."""
_FLAT = 1e-9
"""Corners that turn the other way by less than this (sine of the turn) still count as convex."""


# -- polygons that cover an outline ------------------------------------------
def covering(loop: Loop, tolerance: float) -> Array:
    """Corners (n, 2) of a polygon that covers the loop, mm: arcs that bulge outward become tangents, others chords.

    Args:
        loop: straight edges of it stay as they are.
        tolerance: how far the polygon may stand out from it, mm.
    """
    if isinstance(loop, Circle):
        count = max(8, math.ceil(math.pi / _half_step(loop.diameter / 2.0, tolerance)))
        turn = (np.arange(count) + 0.5) * 2.0 * math.pi / count
        reach = loop.diameter / 2.0 / math.cos(math.pi / count)
        return np.column_stack((loop.x + reach * np.cos(turn), loop.y + reach * np.sin(turn)))
    return np.array([p for e in loop.counter_clockwise().edges() for p in _edge_points(e, tolerance)], dtype=float)


def _edge_points(edge: Edge, tolerance: float) -> list[Xy]:
    """The start of an edge and what the polygon has between its ends."""
    if edge.bulge <= 0.0:
        return edge.points(tolerance)
    radius, (cx, cy) = edge.radius, edge.centre
    count = max(1, math.ceil(edge.sweep / (2.0 * _half_step(radius, tolerance))))
    step = edge.sweep / count
    first = math.atan2(edge.start[1] - cy, edge.start[0] - cx)
    reach = radius / math.cos(step / 2.0)
    turns = [first + step * (i + 0.5) for i in range(count)]
    return [edge.start, *((cx + reach * math.cos(a), cy + reach * math.sin(a)) for a in turns)]


def _half_step(radius: float, tolerance: float) -> float:
    """Half the arc between two tangents whose corner stands out by `tolerance`; 45 degrees at most."""
    return min(math.pi / 4.0, math.acos(radius / (radius + tolerance)))


# -- convex pieces ------------------------------------------------------------
def convex_pieces(shape: Polygon) -> list[Array]:
    """The polygon cut into convex pieces, counter-clockwise, each (n, 2); holes are left out of them.

    Args:
        shape: any polygon, mm.
    Source: triangles of a constrained Delaunay triangulation, joined across shared edges while the result
        stays convex, after S. Hertel and K. Mehlhorn, 1983: at most four times the least number.
    """
    if not shape.interiors:
        ring = _ring(shape)
        if _is_convex(ring):
            return [ring]
    triangles = shapely.constrained_delaunay_triangles(shape).geoms
    corners: dict[tuple[float, float], int] = {}
    pieces: list[list[int]] = []
    for triangle in triangles:
        pieces.append([corners.setdefault((float(x), float(y)), len(corners)) for x, y in _ring(triangle)])
    points = np.array(list(corners))
    return [points[piece] for piece in _joined(pieces, points)]


def _joined(pieces: list[list[int]], points: Array) -> list[list[int]]:
    owner = {(p[i - 1], p[i]): k for k, p in enumerate(pieces) for i in range(len(p))}
    for a, b in sorted(owner, key=lambda edge: (-float(np.linalg.norm(np.subtract(*points[list(edge)]))), edge)):
        one, other = owner.get((a, b)), owner.get((b, a))
        if one is None or other is None or one == other:
            continue
        left, right = _starting(pieces[one], b), _starting(pieces[other], a)
        # left runs b ... a, right runs a ... b: the shared edge falls out.
        both = left[:-1] + right[:-1]
        if len(set(both)) == len(both) and _is_convex(points[both]):
            del owner[a, b], owner[b, a]
            pieces[one], pieces[other] = both, []
            owner.update({(both[i - 1], both[i]): one for i in range(len(both))})
    return [piece for piece in pieces if piece]


def _starting(ring: list[int], at: int) -> list[int]:
    i = ring.index(at)
    return ring[i:] + ring[:i]


def _is_convex(ring: Array) -> bool:
    """Whether a counter-clockwise ring turns left at every corner."""
    x, y = np.diff(ring, axis=0, append=ring[:1]).T
    size = np.maximum(np.hypot(x, y), _FLAT)
    x, y = x / size, y / size
    return bool((x * np.append(y[1:], y[0]) - y * np.append(x[1:], x[0]) > -_FLAT).all())


# -- moves --------------------------------------------------------------------
def no_fit(fixed: Sequence[Array], moving: Sequence[Array]) -> BaseGeometry:
    """The no-fit polygon: the moves, as an area, that make `moving` overlap `fixed`; on its edge they only touch.

    Args:
        fixed: convex pieces, each (n, 2) counter-clockwise, mm.
        moving: the same.
    Source: Minkowski sums by sorting edges, de Berg and others, Computational Geometry, 3rd ed., 2008, 13.3.
    """
    rings_a = [_Edges.of(piece) for piece in fixed]
    rings_b = [_Edges.of(-piece) for piece in moving]
    return united(shapely.polygons([shapely.linearrings(a.sum(b)) for a in rings_a for b in rings_b]))


def united(shapes: Sequence[BaseGeometry]) -> BaseGeometry:
    """The union of areas, on a grid of `GRID` where rounding keeps an exact one from being found.

    Args:
        shapes: areas, mm.
    """
    try:
        return shapely.union_all(shapes)
    except shapely.errors.GEOSException:
        return shapely.union_all([shapely.make_valid(shape) for shape in shapes], grid_size=GRID)


def less(area: BaseGeometry, taken: BaseGeometry) -> BaseGeometry:
    """What is left of an area, on a grid of `GRID` where rounding keeps the exact rest from being found.

    Args:
        area: mm.
        taken: what is cut out of it, mm.
    """
    try:
        return area.difference(taken)
    except shapely.errors.GEOSException:
        return shapely.difference(shapely.make_valid(area), shapely.make_valid(taken), grid_size=GRID)


def inner_fit(region: Polygon, moving: Polygon) -> BaseGeometry:
    """The inner-fit polygon: the moves, as an area, that keep `moving` inside `region`; empty when there are none.

    Args:
        region: the room, mm.
        moving: the shape that is to lie in it, mm.
    """
    x0, y0, x1, y1 = region.bounds
    left, low, right, high = moving.bounds
    if right - left > x1 - x0 or high - low > y1 - y0:
        return Polygon()
    moves = shapely.box(x0 - left, y0 - low, x1 - right, y1 - high)
    if region.area >= (x1 - x0) * (y1 - y0) * (1.0 - _FLAT):
        return moves
    if not region.interiors and _is_convex(_ring(region)):
        # Inside a convex region lies what has all corners of its hull there.
        corners = shapely.get_coordinates(moving.convex_hull)[:-1]
        return shapely.intersection_all([_moved(region, -corner) for corner in corners])
    # What lies round the region, far enough out to stop any move within the region's box.
    round_about = shapely.box(x0 - 1.0, y0 - 1.0, x1 + 1.0, y1 + 1.0).difference(region)
    pieces = [piece for part in shapely.get_parts(round_about) for piece in convex_pieces(part)]
    return less(moves, no_fit(pieces, convex_pieces(moving)))


@dataclass(frozen=True, eq=False)
class _Edges:
    """A convex ring's edges (n, 2), their directions (n,), and its least x and y."""

    edges: Array
    turn: Array
    least: Array

    @staticmethod
    def of(ring: Array) -> _Edges:
        edges = np.diff(ring, axis=0, append=ring[:1])
        return _Edges(edges, np.arctan2(edges[:, 1], edges[:, 0]), ring.min(axis=0))

    def sum(self, other: _Edges) -> Array:
        """Minkowski sum of the two rings: all edges in the order of their directions."""
        order = np.argsort(np.concatenate((self.turn, other.turn)), kind="stable")
        corners: Array = np.cumsum(np.concatenate((self.edges, other.edges))[order], axis=0)
        # Edges alone leave open where the sum lies: its least x and y are those of both added.
        corners += self.least + other.least - corners.min(axis=0)
        return corners


def _ring(shape: Polygon) -> Array:
    ring: Array = shapely.get_coordinates(shapely.orient_polygons(shape).exterior)[:-1]
    return ring


def _moved(shape: BaseGeometry, by: Array) -> BaseGeometry:
    return shapely.transform(shape, lambda points: points + by)

"""Sheet parts as bodies: a folded surface, or a flat carried round the cylinder or cone it is rolled to.

Everything is in mm.  A flat part lies with its lower left corner at the origin, its back at z = 0; of a folded
part the first face stands so, in its own coordinates; what is rolled stands upright about z.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from fabgen.geometry.plane.outline import Circle, Loop, Outline, Vertex
from fabgen.geometry.sheet.folded import Facet, fold_up, placed_faces
from fabgen.geometry.sheet.folds import Face, FoldTree
from fabgen.geometry.space.frame import Array, Frame, any_across
from fabgen.geometry.space.mesh import EdgedMesh, round_edges
from fabgen.parts.piece import FlatPart, Rolled
from fabgen.parts.shape.band_body import band_facets

Places = NDArray[np.int64]

TOLERANCE = 0.15
"""Chords of arcs and bends stay this near to the true shape, mm."""
ROLL_STEP = math.radians(5.0)


# -- flat parts -------------------------------------------------------------------
def sheet_body(part: FlatPart, tolerance: float = TOLERANCE) -> EdgedMesh:
    """A plate, a folded part, a rolled one, or what surface its family made of it; first face near z = 0."""
    if part.band is not None:
        return faceted(band_facets(part, part.band, tolerance))
    rolled = part.rolled
    if rolled is not None and (_is_cylinder(rolled) or rolled.sector is not None):
        holes = tuple(hole.shape for hole in part.holes)
        return _rolled_body(_RolledSheet(part.thickness, part.outline, holes, rolled), tolerance)
    if part.tree is not None:
        return _folded_body(part.tree, part.thickness, tolerance)
    if part.surface:
        return faceted(part.surface)
    return _flat_body(part.outline, tuple(hole.shape for hole in part.holes), part.thickness, tolerance)


# Many ask for the same few shapes, wherever the parts stand that have them.
@lru_cache(maxsize=512)
def _folded_body(tree: FoldTree, thickness: float, tolerance: float) -> EdgedMesh:
    return faceted(fold_up(tree, thickness, tolerance))


@lru_cache(maxsize=512)
def _flat_body(outline: Loop, holes: tuple[Loop, ...], thickness: float, tolerance: float) -> EdgedMesh:
    return faceted(fold_up(_flat_tree(outline, holes), thickness, tolerance))


def fold_tree_of(part: FlatPart) -> FoldTree:
    """The faces of a part that is flat or folded; of a flat one its only face."""
    return part.tree or _flat_tree(part.outline, tuple(hole.shape for hole in part.holes))


def _flat_tree(outline: Loop, holes: tuple[Loop, ...]) -> FoldTree:
    return FoldTree(Face("", _as_outline(outline), holes))


def faces_in_space(part: FlatPart) -> Iterator[tuple[Frame, Face]]:
    """Every flat face of a plate or a folded part at each of its places, its frame with z = 0 on its back; none of what
    is rolled, of a strap, and of a surface that is no fold."""
    if part.rolled is not None or part.band is not None or (part.tree is None and part.surface):
        return
    faces = placed_faces(fold_tree_of(part)) if part.places else []
    for place in part.places:
        for placed in faces:
            axes = placed.frame.axes @ place.frame.axes
            yield Frame(place.frame.outside(placed.frame.origin), *axes), placed.face


def _as_outline(loop: Loop) -> Outline:
    if not isinstance(loop, Circle):
        return loop
    r = loop.diameter / 2.0
    return Outline((Vertex(loop.x - r, loop.y, 1.0), Vertex(loop.x + r, loop.y, 1.0)))


def faceted(facets: Iterable[Facet]) -> EdgedMesh:
    """Flat facets cut into triangles, corners at one place shared."""
    points: list[Array] = []
    triangles: list[tuple[int, int, int]] = []
    edges: list[tuple[int, int]] = []
    base = 0
    for facet in facets:
        rings = [facet.points, *facet.holes]
        triangles += [(a + base, b + base, c + base) for a, b, c in _triangles(facet)]
        count = len(facet.points)
        edges += [(base + i, base + (i + 1) % count) for i in range(count) if facet.drawn[i]]
        start = base + count
        for hole in facet.holes:
            edges += round_edges(start, len(hole))
            start += len(hole)
        points += rings
        base = start
    return _shared(np.vstack(points), np.array(triangles), np.array(edges or [(0, 0)]))


def _triangles(facet: Facet) -> list[tuple[int, int, int]]:
    count = len(facet.points)
    if not facet.holes and (count == 3 or (count == 4 and facet.part in ("wall", "bend"))):
        return [(0, i, i + 1) for i in range(1, count - 1)]
    every = np.vstack([facet.points, *facet.holes])
    normal = np.cross(facet.points, np.roll(facet.points, -1, axis=0)).sum(axis=0)
    plane = Frame.along(facet.points[0], normal / np.linalg.norm(normal), any_across(normal))
    flat = plane.inside(every)[:, 1:]
    starts = np.cumsum([0, count, *(len(hole) for hole in facet.holes)])
    rings = [flat[a:b] for a, b in pairwise(starts.tolist())]
    return _cut_up(shapely.Polygon(rings[0], rings[1:]), flat)


def _cut_up(polygon: shapely.Polygon, known: Array) -> list[tuple[int, int, int]]:
    """Counter-clockwise triangles of a polygon, as places in `known`, where its corners are."""
    at = {(x, y): i for i, (x, y) in enumerate(known.tolist())}
    found = []
    for triangle in shapely.constrained_delaunay_triangles(polygon).geoms:
        ring = shapely.get_coordinates(triangle)[:3].tolist()
        a, b, c = (at[x, y] for x, y in ring)
        (x0, y0), (x1, y1), (x2, y2) = ring
        found.append((a, b, c) if (x1 - x0) * (y2 - y0) > (x2 - x0) * (y1 - y0) else (a, c, b))
    return found


def _shared(points: Array, triangles: Places, edges: Places) -> EdgedMesh:
    _, first, place = np.unique(np.round(points, 3), axis=0, return_index=True, return_inverse=True)
    place = place.reshape(-1)
    corners = place[triangles]
    proper = (corners[:, 0] != corners[:, 1]) & (corners[:, 1] != corners[:, 2]) & (corners[:, 2] != corners[:, 0])
    lines = np.unique(np.sort(place[edges], axis=1), axis=0)
    return EdgedMesh(points[first], corners[proper], lines[lines[:, 0] != lines[:, 1]])


# -- rolled parts -----------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class _RolledSheet:
    """A rolled part's thickness, mm, its flat and what it is rolled to."""

    thickness: float
    outline: Loop
    holes: tuple[Loop, ...]
    rolled: Rolled


def _is_cylinder(rolled: Rolled) -> bool:
    return abs(rolled.bottom - rolled.top) < 1e-6


@lru_cache(maxsize=128)
def _rolled_body(part: _RolledSheet, tolerance: float) -> EdgedMesh:
    """The flat cut into narrow strips across the rolling direction, each carried round."""
    rolled = part.rolled
    x0, _, x1, _ = part.outline.bounds
    flat = shapely.Polygon(part.outline.points(tolerance), [hole.points(tolerance) for hole in part.holes])
    finest = 2.0 * math.acos(1.0 - min(1.0, 2.0 * tolerance / max(rolled.bottom, rolled.top)))
    step = ROLL_STEP if tolerance >= TOLERANCE else min(ROLL_STEP, finest)
    strips = max(8, math.ceil(rolled.arc / step))
    pieces: list[shapely.Polygon] = []
    for i in range(strips):
        cut = flat.intersection(_strip_area(part, i / strips, (i + 1) / strips, (x0, x1)))
        pieces += [each for each in getattr(cut, "geoms", [cut]) if isinstance(each, shapely.Polygon) and each.area > 0]
    points: list[Array] = []
    triangles: list[tuple[int, int, int]] = []
    base = 0
    for each in pieces:
        known = np.unique(shapely.get_coordinates(each), axis=0)
        triangles += [(a + base, b + base, c + base) for a, b, c in _cut_up(each, known)]
        points.append(known)
        base += len(known)
    spread = np.vstack(points)
    inside, outside = (_carried(part, spread, side) for side in (-0.5, 0.5))
    skins = [*_flipped(triangles), *((a + base, b + base, c + base) for a, b, c in triangles)]
    vertices = [inside, outside]
    edges: list[tuple[int, int]] = []
    start = 2 * base
    for polygon in pieces:
        for index, ring in enumerate((polygon.exterior, *polygon.interiors)):
            path = shapely.get_coordinates(ring)[:-1]
            if ring.is_ccw != (index == 0):
                path = path[::-1]
            on_rim = _on_rim(flat, path)
            count = len(path)
            vertices += [_carried(part, path, side) for side in (-0.5, 0.5)]
            for i in np.flatnonzero(on_rim).tolist():
                a, b = start + i, start + (i + 1) % count
                skins += [(a, b, b + count), (a, b + count, a + count)]
                edges += [(a, b), (a + count, b + count)]
            start += 2 * count
    return _shared(np.vstack(vertices), np.array(skins), np.array(edges))


def _flipped(triangles: Iterable[tuple[int, int, int]]) -> list[tuple[int, int, int]]:
    return [(a, c, b) for a, b, c in triangles]


def _on_rim(flat: shapely.Polygon, path: Array) -> NDArray[np.bool_]:
    """Whether each side of a strip's ring lies on the flat's own edge rather than on a cut between strips."""
    middles = shapely.points((path + np.roll(path, -1, axis=0)) / 2.0)
    return np.asarray(shapely.distance(flat.boundary, middles) < 1e-6)


def _strip_area(part: _RolledSheet, a: float, b: float, x: tuple[float, float]) -> shapely.Polygon:
    """The part of the flat's plane between two shares of the way round."""
    rolled = part.rolled
    _, y0, _, y1 = part.outline.bounds
    if rolled.sector is None:
        left, right = (x[0] + (x[1] - x[0]) * share for share in (a, b))
        return shapely.box(left, y0 - 1.0, right, y1 + 1.0)
    s = rolled.sector
    rays = [s.start + s.sweep * share for share in (a, b)]
    reach = s.outer * 1.5
    far = [(s.apex[0] + reach * math.cos(ray), s.apex[1] + reach * math.sin(ray)) for ray in rays]
    return shapely.Polygon([s.apex, *far])


def _carried(part: _RolledSheet, flat: Array, side: float) -> Array:
    """Points of the flat on the rolled sheet: `side` -0.5 its inside, 0.5 its outside; z up from the bottom."""
    rolled = part.rolled
    # A cone's wall leans, so that across it the sheet is thicker than square through it.
    across = part.thickness * math.hypot(1.0, (rolled.bottom - rolled.top) / (2.0 * rolled.height))
    low, high = (d / 2.0 - part.thickness / 2.0 + side * across for d in (rolled.bottom, rolled.top))
    if rolled.sector is None:
        x0, y0, x1, _ = part.outline.bounds
        angle = ((flat[:, 0] - x0) / (x1 - x0) - 0.5) * rolled.arc
        z = flat[:, 1] - y0
        radius = np.full(len(flat), low)
    else:
        s = rolled.sector
        away = flat - np.array(s.apex)
        turn = np.remainder(np.arctan2(away[:, 1], away[:, 0]) - s.start - s.sweep / 2.0 + math.pi, 2.0 * math.pi)
        angle = (turn - math.pi) / s.sweep * rolled.arc
        share = (s.outer - np.hypot(away[:, 0], away[:, 1])) / (s.outer - s.inner)
        if rolled.bottom < rolled.top:  # the apex is below, and what turns left about it goes left seen from outside
            angle, share = -angle, 1.0 - share
        z, radius = share * rolled.height, low + (high - low) * share
    return np.column_stack((radius * np.cos(angle), radius * np.sin(angle), z))

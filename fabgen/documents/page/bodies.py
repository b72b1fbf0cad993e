"""Pieces as bodies to look at: a skin of triangles and the edges a drawing would show.

Everything is in mm.  A tube is the strip between its two cut lines, outside and bore; a sheet
part is its folded surface, or its flat carried round the cylinder or cone it is rolled to.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from fabgen.geometry.centreline import Turn
from fabgen.geometry.folded import Facet, fold_up
from fabgen.geometry.folds import Face, FoldTree
from fabgen.geometry.frame import Frame
from fabgen.geometry.outline import Circle, Loop, Outline, Vertex
from fabgen.parts.cope import section_profile
from fabgen.parts.link_ends import EyeSetup
from fabgen.parts.link_rod import LinkPart
from fabgen.parts.piece import FlatPart, LengthPart, Piece, Rolled, WorkedEnd
from fabgen.shop.section import Section

Array = NDArray[np.float64]
Places = NDArray[np.int64]

TOLERANCE = 0.15
"""Chords of arcs and bends stay this near to the true shape, mm."""
STEP = 5
"""A round tube has a place every so many degrees."""
BEND_STEP = math.radians(6.0)
ROLL_STEP = math.radians(5.0)
_CREASE = 0.9
"""Cosine of the turn between two places of a section below which an edge is drawn along the tube."""


@dataclass(frozen=True, eq=False)
class Body:
    """`vertices` (n, 3); `triangles` (m, 3) counter-clockwise from outside and `edges` (k, 2), places in them."""

    vertices: Array
    triangles: Places
    edges: Places

    @property
    def bounds(self) -> tuple[Array, Array]:
        """Lower and upper corner of the box that holds it."""
        return self.vertices.min(axis=0), self.vertices.max(axis=0)

    def moved(self, shift: Array) -> Body:
        return replace(self, vertices=self.vertices + shift)

    def turned_square(self) -> Body:
        """A quarter turn about z."""
        return replace(self, vertices=self.vertices @ np.array([[0.0, 1.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 0.0, 1.0]]))


def body(piece: Piece) -> Body:
    """The piece as it is made; where the job places it, there."""
    shape = piece.shape
    if isinstance(shape, LinkPart):
        return joined([tube_body(shape), *_rod_ends(shape)])
    return tube_body(shape) if isinstance(shape, LengthPart) else sheet_body(shape)


def joined(bodies: Sequence[Body]) -> Body:
    starts = np.cumsum([0, *(len(each.vertices) for each in bodies[:-1])])
    return Body(
        np.vstack([each.vertices for each in bodies]),
        np.vstack([each.triangles + start for each, start in zip(bodies, starts, strict=True)]),
        np.vstack([each.edges + start for each, start in zip(bodies, starts, strict=True)]),
    )


# -- lengths of section ---------------------------------------------------------
def tube_body(part: LengthPart) -> Body:
    """A tube between its cut lines, wall and bore; solid bar has closed ends.

    A cut runs square to the tube's axis through the wall (DESIGN 6), so the bore's edge lies
    as far along the tube as the skin's edge beside it.
    """
    places, skin, bore = _section_places(part.section)
    rows = _rows(part, places)
    rings = [_ring(frame, along, skin) for frame, along in rows]
    count, last = len(places), len(rows) - 1
    sharp = _sharp_places(skin)
    along = [(r * count + i, (r + 1) * count + i) for r in range(last) for i in sharp]
    around = _loop(0, count) + _loop(last * count, count)
    triangles = _strip(len(rows), count, 0)
    if part.section.is_solid:
        (first, near), (end, far) = rows[0], rows[-1]
        middles = [first.origin + near.mean() * first.x, end.origin + far.mean() * end.x]
        top = len(rows) * count
        lids = [(top, (i + 1) % count, i) for i in range(count)]
        lids += [(top + 1, last * count + i, last * count + (i + 1) % count) for i in range(count)]
        return Body(np.vstack([*rings, middles]), np.array(triangles + lids), np.array(around + along))
    inside = [_ring(frame, at, bore) for frame, at in rows]
    base = len(rows) * count
    triangles += [(a, c, b) for a, b, c in _strip(len(rows), count, base)]
    for row, flip in ((0, False), (last, True)):
        for i in range(count):
            j = (i + 1) % count
            a, b, c, d = row * count + i, row * count + j, base + row * count + j, base + row * count + i
            triangles += [(a, d, c), (a, c, b)] if not flip else [(a, c, d), (a, b, c)]
    around += _loop(base, count) + _loop(base + last * count, count)
    return Body(np.vstack([*rings, *inside]), np.array(triangles), np.array(around + along))


def _section_places(section: Section) -> tuple[Array, Array, Array]:
    """Angles from the tube's top toward its right seen from the start, rad, and there the skin and bore as
    (up, right) mm."""
    profile = section_profile(section)
    kept = np.arange(len(profile.phi)) % STEP == 0
    if not section.is_round:
        turns = (profile.inward * np.roll(profile.inward, 1, axis=0)).sum(axis=1) < 1.0 - 1e-6
        kept = (kept & ~turns & ~np.roll(turns, -1)) | turns | np.roll(turns, -1)
        kept &= ~(turns & np.roll(turns, -1)) | (np.arange(len(kept)) % 3 == 0)
    skin, inward, depth = profile.skin[kept], profile.inward[kept], profile.depth[kept]
    return profile.phi[kept], skin, skin + inward * depth[:, None]


def _rows(part: LengthPart, places: Array) -> list[tuple[Frame, Array]]:
    """Where the rings stand: a frame (x along the tube, z its top) and how far along it each place lies."""
    start, finish = part.ends
    first, last = top_frame(start), top_frame(finish)
    rows = [(first, _cut_at(start, places))]
    none = np.zeros(len(places))
    for stretch in part.path.stretches if part.path is not None else ():
        if isinstance(stretch, Turn):
            steps = max(2, math.ceil(stretch.angle / BEND_STEP))
            rows += [(stretch.frame_at(stretch.length * i / steps), none) for i in range(steps + 1)]
    rows.append((last, -_cut_at(finish, places)))
    return rows


def top_frame(end: WorkedEnd) -> Frame:
    """The tube's own frame at an end's work point: x from start to finish, z the top line."""
    x = end.frame.x if end.at == "start" else -end.frame.x
    z = end.frame.y * math.cos(end.top) + end.frame.z * math.sin(end.top)
    return Frame(end.frame.origin, x, np.cross(z, x), z)


def _cut_at(end: WorkedEnd, places: Array) -> Array:
    """x of the cut line at angles from the top; the saw cut where the end misses its main."""
    x = end.line.x
    missing = np.isnan(x)
    filled = np.zeros_like(x) if missing.all() else np.where(missing, np.nanmin(x), x)
    phi = end.top + places if end.at == "start" else end.top - places
    return np.asarray(np.interp(phi, end.line.phi, filled, period=2.0 * math.pi))


def _ring(frame: Frame, along: Array, skin: Array) -> Array:
    return np.asarray(frame.origin + along[:, None] * frame.x + skin[:, :1] * frame.z - skin[:, 1:] * frame.y)


def _strip(rows: int, count: int, base: int) -> list[tuple[int, int, int]]:
    """The wall through rings of `count` places, seen from outside."""
    found = []
    for row in range(rows - 1):
        for i in range(count):
            j = (i + 1) % count
            a, b = base + row * count + i, base + row * count + j
            c, d = b + count, a + count
            found += [(a, b, c), (a, c, d)]
    return found


def _loop(base: int, count: int) -> list[tuple[int, int]]:
    return [(base + i, base + (i + 1) % count) for i in range(count)]


def _sharp_places(skin: Array) -> list[int]:
    sides = np.roll(skin, -1, axis=0) - skin
    sides /= np.linalg.norm(sides, axis=1)[:, None]
    return np.flatnonzero((sides * np.roll(sides, 1, axis=0)).sum(axis=1) < _CREASE).tolist()


def _rod_ends(part: LinkPart) -> list[Body]:
    """Shanks and eyes of a link's rod ends, simplified: what is bought, shown so that the pins can be seen."""
    found = []
    for end, rod in zip(part.ends, part.sides, strict=True):
        if isinstance(rod, EyeSetup):
            continue  # its sleeve is a part of its own
        frame = top_frame(end)
        out = frame.x if end.at == "finish" else -frame.x
        face = end.frame.origin + float(np.nanmin(end.line.x)) * end.frame.x
        pin = face + out * rod.reach
        d = rod.thread.diameter
        found.append(_round_bar(face, pin - out * d * 0.8, frame.z, d, 0.0))
        width = rod.eye_width or d
        found.append(_round_bar(pin - frame.y * width / 2.0, pin + frame.y * width / 2.0, frame.z, 2.2 * d, d))
    return found


def _round_bar(a: Array, b: Array, up: Array, diameter: float, bore: float) -> Body:
    x = (b - a) / np.linalg.norm(b - a)
    frame = Frame.along(a, x, np.cross(up, x))
    turn = np.linspace(0.0, 2.0 * math.pi, 32, endpoint=False)
    circle = np.column_stack((np.cos(turn), np.sin(turn)))
    none, length, count = np.zeros(32), np.full(32, float(np.linalg.norm(b - a))), 32
    rings = [_ring(frame, at, circle * d / 2.0) for d in (diameter, bore) for at in (none, length)]
    triangles = _strip(2, count, 0)
    triangles += [(p, r, q) for p, q, r in _strip(2, count, 2 * count)]
    for row, flip in ((0, False), (1, True)):
        for i in range(count):
            j = (i + 1) % count
            p, q, r, s = row * count + i, row * count + j, (2 + row) * count + j, (2 + row) * count + i
            triangles += [(p, s, r), (p, r, q)] if not flip else [(p, r, s), (p, q, r)]
    edges = _loop(0, count) + _loop(count, count)
    edges += (_loop(2 * count, count) + _loop(3 * count, count)) if bore else []
    return Body(np.vstack(rings), np.array(triangles), np.array(edges))


# -- flat parts -------------------------------------------------------------------
def sheet_body(part: FlatPart) -> Body:
    """A plate, a folded part, a rolled one, or what surface its family made of it; first face near z = 0."""
    if part.rolled is not None and (_is_cylinder(part.rolled) or part.rolled.sector is not None):
        return _rolled_body(part, part.rolled)
    if part.tree is None and part.surface:
        return faceted(part.surface)
    tree = part.tree or FoldTree(Face("", _as_outline(part.outline), tuple(hole.shape for hole in part.holes)))
    return faceted(fold_up(tree, part.thickness, TOLERANCE))


def _as_outline(loop: Loop) -> Outline:
    if not isinstance(loop, Circle):
        return loop
    r = loop.diameter / 2.0
    return Outline((Vertex(loop.x - r, loop.y, 1.0), Vertex(loop.x + r, loop.y, 1.0)))


def faceted(facets: Iterable[Facet]) -> Body:
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
            edges += _loop(start, len(hole))
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
    spare = np.eye(3)[int(np.argmin(np.abs(normal)))]
    plane = Frame.along(facet.points[0], normal / np.linalg.norm(normal), spare)
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


def _shared(points: Array, triangles: Places, edges: Places) -> Body:
    _, first, place = np.unique(np.round(points, 3), axis=0, return_index=True, return_inverse=True)
    place = place.reshape(-1)
    corners = place[triangles]
    whole = (corners[:, 0] != corners[:, 1]) & (corners[:, 1] != corners[:, 2]) & (corners[:, 2] != corners[:, 0])
    lines = np.unique(np.sort(place[edges], axis=1), axis=0)
    return Body(points[first], corners[whole], lines[lines[:, 0] != lines[:, 1]])


# -- rolled parts -----------------------------------------------------------------
def _is_cylinder(rolled: Rolled) -> bool:
    return abs(rolled.bottom - rolled.top) < 1e-6


def _rolled_body(part: FlatPart, rolled: Rolled) -> Body:
    """The flat cut into narrow strips across the rolling direction, each carried round."""
    x0, _, x1, _ = part.outline.bounds
    flat = shapely.Polygon(part.outline.points(TOLERANCE), [hole.shape.points(TOLERANCE) for hole in part.holes])
    strips = max(8, math.ceil(rolled.arc / ROLL_STEP))
    pieces: list[shapely.Polygon] = []
    for i in range(strips):
        cut = flat.intersection(_strip_area(part, rolled, i / strips, (i + 1) / strips, (x0, x1)))
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
    inside, outside = (_carried(part, rolled, spread, side) for side in (-0.5, 0.5))
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
            vertices += [_carried(part, rolled, path, side) for side in (-0.5, 0.5)]
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


def _strip_area(part: FlatPart, rolled: Rolled, a: float, b: float, x: tuple[float, float]) -> shapely.Polygon:
    """The part of the flat's plane between two shares of the way round."""
    _, y0, _, y1 = part.outline.bounds
    if rolled.sector is None:
        left, right = (x[0] + (x[1] - x[0]) * share for share in (a, b))
        return shapely.box(left, y0 - 1.0, right, y1 + 1.0)
    s = rolled.sector
    rays = [s.start + s.sweep * share for share in (a, b)]
    reach = s.outer * 1.5
    far = [(s.apex[0] + reach * math.cos(ray), s.apex[1] + reach * math.sin(ray)) for ray in rays]
    return shapely.Polygon([s.apex, *far])


def _carried(part: FlatPart, rolled: Rolled, flat: Array, side: float) -> Array:
    """Points of the flat on the rolled sheet: `side` -0.5 its inside, 0.5 its outside; z up from the bottom."""
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

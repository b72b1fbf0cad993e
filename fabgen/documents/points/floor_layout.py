"""The frame in plan at true size, to lay on the floor or the jig: a DXF file, and pages to join.

Every tube is seen from straight above with both its sides and its axis; a place has a cross and
its height over the datum, to plumb down to.  Pages that would be empty are left out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.documents.dxf.dxf_file import PartFile
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import Page
from fabgen.documents.render.picture import Picture, Stroke, Text, cross, polyline
from fabgen.documents.render.prose import prose
from fabgen.documents.render.sketch import Sketch, grown
from fabgen.documents.render.text_room import Lettering, draw_joins
from fabgen.documents.render.tiling import HEAD, Joins, Tiled, arranged, tile_map
from fabgen.documents.render.words import figure
from fabgen.geometry.plane.lettering import strokes
from fabgen.geometry.plane.outline import Box, Xy
from fabgen.job.tables.definitions import Definitions, Header
from fabgen.parts.piece import Array, LengthPart, Piece, ProfilePart, profile_parts
from fabgen.parts.shape.profiles import profile_body
from fabgen.parts.survey.check_distances import heights, places

MOST_PAGES = 160
"""A layout of more pages than this is left to the DXF file: nobody joins so many."""
_ARM = 25.0
"""Reach of a place's cross, mm."""
_STEP = math.radians(5.0)
_EDGE = 12.0
_STEEP = 0.2
"""A tube whose plan is shorter than this share of its length has no sides worth drawing from above."""


@dataclass(frozen=True, eq=False)
class FloorPlan:
    """The plan, its lower left corner at (0, 0), mm: sides and axes of the tubes, and places with what is written."""

    sides: tuple[tuple[Xy, ...], ...]
    axes: tuple[tuple[Xy, ...], ...]
    spots: tuple[tuple[Xy, str], ...]
    width: float
    height: float

    @property
    def box(self) -> Box:
        """What it covers."""
        return (0.0, 0.0, self.width, self.height)

    @property
    def landmarks(self) -> tuple[list[float], list[float]]:
        """x and y at which no page ends: so near to a cross that one page has the middle of it."""
        xs = [at[0] + off for at, _ in self.spots for off in (-6.0, 0.0, 6.0)]
        ys = [at[1] + off for at, _ in self.spots for off in (-6.0, 0.0, 6.0)]
        return xs, ys


def floor_plan(job: Definitions, pieces: Sequence[Piece]) -> FloorPlan | None:
    """x forward to the right, y left upward; None where the job places nothing."""
    axes = [(part, _axis(part)) for piece in pieces if piece.kind == "tube" and (part := _placed(piece))]
    sides = [ring for part, axis in axes for ring in _sides(part, axis)]
    sides += [ring for _, profile in profile_parts(pieces) for ring in _profile_sides(profile)]
    _, above = heights(job)
    spots = [((p.x, p.y), f"{p.name} +{figure(above[p.name])}") for p in places(job)]
    spots = [(at, text.replace("+-", "-")) for at, text in spots]
    every = [at for at, _ in spots] + [at for ring in sides for at in ring]
    if not every:
        return None
    low, high = np.min(every, axis=0) - _ARM - _EDGE, np.max(every, axis=0) + _ARM + _EDGE

    def moved(points: Sequence[Xy]) -> tuple[Xy, ...]:
        return tuple((float(x - low[0]), float(y - low[1])) for x, y in points)

    lines = tuple(moved([(float(x), float(y)) for x, y in axis[:, :2]]) for _, axis in axes)
    named = tuple((moved([at])[0], text) for at, text in spots)
    return FloorPlan(tuple(map(moved, sides)), lines, named, float(high[0] - low[0]), float(high[1] - low[1]))


def _placed(piece: Piece) -> LengthPart | None:
    part = piece.length_part
    return part if part is not None and part.frame is not None else None


def _profile_sides(part: ProfilePart) -> Iterator[tuple[Xy, ...]]:
    """The outline of a profile from above."""
    from shapely import MultiPoint

    if math.hypot(*part.frame.x[:2]) < _STEEP:
        return
    seen = MultiPoint(profile_body(part).in_frame(part.frame).vertices[:, :2]).convex_hull
    if seen.geom_type == "Polygon":
        yield tuple((float(x), float(y)) for x, y in seen.exterior.coords[:-1])


def _axis(part: LengthPart) -> Array:
    """Points (n, 3) of the tube's axis."""
    if part.path is not None:
        return np.array([part.path.frame_at(s).origin for s in part.path.stations(_STEP)])
    assert part.frame is not None
    return np.array([part.frame.origin, part.frame.origin + part.axis * part.frame.x])


def _sides(part: LengthPart, axis: Array) -> Iterator[tuple[Xy, ...]]:
    """The tube's outline from above."""
    from shapely import LineString

    flat = axis[:, :2]
    long = float(np.linalg.norm(np.diff(flat, axis=0), axis=1).sum())
    if long < _STEEP * part.axis:
        return
    assert part.frame is not None
    section = part.section
    # Of a rectangular section the half width square to its axis and level.
    across = np.array([-part.frame.x[1], part.frame.x[0], 0.0])
    across = across / max(float(np.linalg.norm(across)), 1e-9)
    y, z = abs(float(across @ part.frame.y)), abs(float(across @ part.frame.z))
    half = section.width / 2.0 if section.is_round else (y * section.depth + z * section.width) / 2.0
    outline = LineString(flat).buffer(half, cap_style="flat", join_style="round", quad_segs=16)
    if not outline.is_empty and outline.geom_type == "Polygon":
        yield tuple((float(x), float(y)) for x, y in outline.exterior.coords[:-1])


# -- DXF -----------------------------------------------------------------------------------
def floor_dxf(plan: FloorPlan) -> bytes:
    """The plan in mm, all on layer MARK: nothing of it is cut.  The same plan gives the same bytes."""
    file = PartFile()
    for ring in plan.sides:
        file.add_line([*ring, ring[0]], "MARK")
    for axis in plan.axes:
        file.add_line(axis, "MARK")
    for at, text in plan.spots:
        for arm in cross(at, _ARM, _ARM):
            file.add_line(arm.points, "MARK")
        for stroke in strokes(text, 10.0):
            file.add_line([(x + at[0] + 3.0, y + at[1] + 3.0) for x, y in stroke], "MARK")
    return file.written(plan.width, plan.height)


# -- pages -----------------------------------------------------------------------------------
def floor_pages(plan: FloorPlan, header: Header, paper: Paper) -> list[Page]:
    """A map, then the pages that have a place, a side or an axis on them, in rows from the upper left; none where there
    would be too many."""
    count = floor_page_count(plan, paper)
    if count > MOST_PAGES:
        return []
    tiled = Tiled.of(plan.box, paper, plan.landmarks, lambda joins: _drawing(plan, joins, plan.box).items)
    spots = [at for at, _ in plan.spots]
    tiles = [tile for tile in tiled.joins.tiles() if tile.has(_lines(plan), spots)]
    numbers = {(tile.column, tile.row): number for number, tile in enumerate(tiles, 2)}
    pages = [_map_page(tiled, numbers, header, count)]
    for number, tile in enumerate(tiles, 2):
        items = tiled.page(tile, f"row {tile.row + 1}, column {tile.column + 1}", numbers)
        pages.append(tiled.sheet.page(Picture.of(items), header, number, count, "floor layout"))
    return pages


def floor_page_count(plan: FloorPlan, paper: Paper) -> int:
    """How many pages the layout takes, the map among them, before any is drawn."""
    _, joins = arranged(plan.box, paper, plan.landmarks)
    lines, spots = _lines(plan), [at for at, _ in plan.spots]
    return 1 + sum(tile.has(lines, spots) for tile in joins.tiles())


def _lines(plan: FloorPlan) -> list[Stroke]:
    """What is drawn of the parts: a cross's arm alone is worth no page."""
    return [
        *(polyline(ring, "visible", closed=True) for ring in plan.sides),
        *(polyline(axis, "centre") for axis in plan.axes),
    ]


def _map_page(tiled: Tiled, numbers: Mapping[tuple[int, int], int], header: Header, count: int) -> Page:
    x0, y0, x1, y1 = tiled.sheet.room
    panel = tile_map(tiled, numbers, x1 - x0, y1 - y0 - 2.0 * HEAD)
    items = [
        Text(x0, y1 - 5.0, "map of the pages", 5.0, bold=True),
        Text(x0, y1 - 11.0, prose("floor_layout", "map"), 3.5),
        *panel.at(x0, y1 - 2.0 * HEAD - panel.height).picture.items,
    ]
    return tiled.sheet.map_page(Picture.of(items), header, 1, count, "floor layout")


def _drawing(plan: FloorPlan, joins: Joins, box: Box) -> Sketch:
    sketch = Sketch()
    sketch.draw(*_lines(plan))
    for at, _ in plan.spots:
        sketch.draw(*cross(at, _ARM, _ARM))
    draw_joins(sketch, joins, box)
    put = Lettering(sketch, grown(box, -1.0)).put
    for (x, y), text in plan.spots:
        near = [
            (x + dx, y + dy) for dx, dy in ((3, 3), (3, -7), (3, 12), (3, -16), (30, 3), (30, -7), (3, 22), (3, -26))
        ]
        put(text, near, (5.0, 2.6), bold=True, clear=1.5)
    return sketch

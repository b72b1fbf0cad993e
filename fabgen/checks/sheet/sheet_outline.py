"""Checks on outlines, marks and sizes of sheet parts, each with its reason and source: what a cutter would ask."""

from __future__ import annotations

import math
from collections.abc import Iterator

from shapely import LineString, STRtree, box, prepare

from fabgen.checks.finding import Finding
from fabgen.checks.sheet.flat_words import place
from fabgen.checks.sheet.workshop import Workshop
from fabgen.geometry.plane.lettering import text_box
from fabgen.geometry.plane.outline import Circle, Outline, Xy
from fabgen.geometry.plane.regions import crossing, cut_region, region
from fabgen.parts.piece import DRAIN, FlatBend, FlatPart, Mark, Piece
from fabgen.parts.shape.hole_groups import centre_of
from fabgen.shop.sheet_cutting import COMMON, LEAST_SEGMENT
from fabgen.shop.trade_sizes import SHEETS_METRIC
from fabgen.wording.figures import mm
from fabgen.wording.levels import Level

SHARP = math.radians(20.0)
"""An inside corner that turns less than this counts as smooth."""
LEAST_AREA, LEAST_HOLE = 1.0, 0.1
"""A closed outline holds at least this much, and a hole, mm2."""


def outline(piece: Piece, flat: FlatPart, shop: Workshop) -> Iterator[Finding]:
    """Closed lines that cross themselves or one another, or hold nothing, have no inside to keep."""
    loops = [("the outline", flat.outline), *((f"hole {hole.label}", hole.shape) for hole in flat.holes)]
    sound = True
    for name, loop in loops:
        spot = crossing(loop)
        if spot is not None:
            sound = False
            text = f"{name} crosses or touches itself ({place(flat, spot)})"
            yield Finding(Level.STOP, (piece.mark,), "outline", text, COMMON)
        elif loop.area < (LEAST_AREA if loop is flat.outline else LEAST_HOLE):
            sound = False
            yield Finding(Level.STOP, (piece.mark,), "outline", f"{name} closes round no area to speak of", COMMON)
    if not sound or not flat.holes:
        return
    shapes = [region(loop) for _, loop in loops]
    prepare(shapes[0])
    for (name, loop), shape in zip(loops[1:], shapes[1:], strict=True):
        if not shapes[0].contains_properly(shape):
            text = f"{name} ({place(flat, centre_of(loop))}) crosses the outline"
            yield Finding(Level.STOP, (piece.mark,), "outline", text, COMMON)
    for i, j in sorted((int(i), int(j)) for i, j in STRtree(shapes[1:]).query(shapes[1:], "intersects").T if i < j):
        (one, loop), (other, _) = loops[i + 1], loops[j + 1]
        yield Finding(
            Level.STOP, (piece.mark,), "outline", f"{one} ({place(flat, centre_of(loop))}) crosses {other}", COMMON
        )


def tiny_edge(piece: Piece, flat: FlatPart, shop: Workshop) -> Iterator[Finding]:
    """An edge shorter than the cut is wide makes the machine stop and burn."""
    short = [edge for loop in _outlines(flat) for edge in loop.edges() if edge.length < LEAST_SEGMENT]
    if short:
        least = min(short, key=lambda edge: edge.length)
        x, y = least.start
        many = f"{len(short)} edges are" if len(short) > 1 else "an edge is"
        text = (
            f"{many} shorter than {mm(LEAST_SEGMENT)}, about the width of a cut, the shortest {mm(least.length, 2)} "
            f"({place(flat, (x, y))}): machines stop and burn there"
        )
        yield Finding(Level.WARN, (piece.mark,), "tiny-edge", text, COMMON)


def inside_corner(piece: Piece, flat: FlatPart, shop: Workshop) -> Iterator[Finding]:
    """A sharp inside corner is where a crack begins."""
    if isinstance(flat.outline, Circle):
        return
    corners = [p for p in _sharp_inside(flat.outline) if not _is_of_a_bend(p, flat)]
    if corners:
        x, y = corners[0]
        many = f"{len(corners)} sharp inside corners, the first" if len(corners) > 1 else "a sharp inside corner"
        text = f"{many} ({place(flat, (x, y))}): a crack begins there under load; a radius helps"
        yield Finding(Level.NOTE, (piece.mark,), "inside-corner", text, COMMON)


def mark_outside(piece: Piece, flat: FlatPart, shop: Workshop) -> Iterator[Finding]:
    """Etching that runs off the metal is lost, or is cut."""
    metal = cut_region(flat.outline, (hole.shape for hole in flat.holes))
    for mark in flat.marks:
        if mark.text and not metal.contains(box(*_mark_box(mark))):
            text = f'the mark "{mark.text}" runs off the metal, or over a hole: another mark_at, or leave it out'
            yield Finding(Level.WARN, (piece.mark,), "mark-outside", text, COMMON)
        elif mark.text and any(LineString([b.start, b.end]).intersects(box(*_mark_box(mark))) for b in flat.bends):
            text = f'the mark "{mark.text}" lies across a bend, where it will be drawn out: another mark_at'
            yield Finding(Level.WARN, (piece.mark,), "mark-outside", text, COMMON)


def _mark_box(mark: Mark) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = text_box(mark.text, mark.height)
    return mark.at[0] + x0, mark.at[1] + y0, mark.at[0] + x1, mark.at[1] + y1


def drain(piece: Piece, flat: FlatPart, shop: Workshop) -> Iterator[Finding]:
    """A cap without a drain hole keeps the water that gets in."""
    if flat.closes and not any(hole.label.startswith(DRAIN) for hole in flat.holes):
        text = "no drain hole: what it closes will hold water, from rain or condensation, and rust from inside"
        yield Finding(Level.WARN, (piece.mark,), "drain", text, COMMON)


def sheet_size(piece: Piece, flat: FlatPart, shop: Workshop) -> Iterator[Finding]:
    """A flat larger than the largest usual sheet, where the job's [[stock]] gives none; with stock of the job's
    own the cut plan says what fits no sheet (stock-size)."""
    if shop.stocks(piece.material, flat.thickness):
        return
    x0, y0, x1, y1 = flat.outline.bounds
    long, short = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
    most_long, most_short = max(SHEETS_METRIC)
    if long > most_long or short > most_short:
        text = (
            f"the flat is {mm(long)} x {mm(short)}, larger than the largest usual sheet of "
            f"{mm(most_long)} x {mm(most_short)}: make it in two parts or ask the merchant"
        )
        yield Finding(Level.STOP, (piece.mark,), "sheet-size", text, COMMON)


# -- measuring ----------------------------------------------------------------
def _outlines(flat: FlatPart) -> Iterator[Outline]:
    for loop in (flat.outline, *(hole.shape for hole in flat.holes)):
        if isinstance(loop, Outline):
            yield loop


def _is_of_a_bend(point: Xy, flat: FlatPart) -> bool:
    """Whether the corner is one that a fold makes: where a crease of a transition begins, or where a flange, which the
    root of the bend bears and not this corner, begins beside its bend.  Notches into the sheet beside are none."""
    if flat.surface:
        return any(math.dist(point, end) < flat.thickness for bend in flat.bends for end in (bend.start, bend.end))
    return flat.tree is not None and any(_begins_flange(point, bend) for bend in flat.bends)


def _begins_flange(point: Xy, bend: FlatBend) -> bool:
    """Whether a point lies within two thicknesses of an end of a bend's zone on the flange's side, its left."""
    half, near = bend.bend.allowance / 2.0, 2.0 * bend.bend.thickness
    ux, uy = bend.end[0] - bend.start[0], bend.end[1] - bend.start[1]
    length = math.hypot(ux, uy)
    dx, dy = point[0] - bend.start[0], point[1] - bend.start[1]
    along, off = (dx * ux + dy * uy) / length, (dy * ux - dx * uy) / length
    return min(abs(along), abs(along - length)) < near and -half - 1e-6 < off < half + near


def _sharp_inside(outline: Outline) -> Iterator[Xy]:
    edges = list(outline.counter_clockwise().edges())
    for before, after in zip([edges[-1], *edges[:-1]], edges, strict=True):
        if math.remainder(after.heading_in - before.heading_out, 2.0 * math.pi) < -SHARP:
            yield after.start

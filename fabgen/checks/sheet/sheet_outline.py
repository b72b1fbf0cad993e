"""Checks of outlines, marks and openings of sheet parts: what a cutter would ask, and who cuts without a service."""

from __future__ import annotations

import math
from collections.abc import Iterator

from shapely import LineString, STRtree, box, prepare

from fabgen.checks.checked import Checking
from fabgen.checks.closed_members import mouths
from fabgen.checks.concerns import concerns
from fabgen.checks.rule import Found, found, rule
from fabgen.checks.sheet.flat_words import place
from fabgen.geometry.plane.lettering import text_box
from fabgen.geometry.plane.outline import Circle, Outline, OutlineError, Xy
from fabgen.geometry.plane.regions import crossing, cut_region, region
from fabgen.parts.piece import FlatBend, FlatPart, Mark, Purpose
from fabgen.parts.shape.hole_groups import centre_of, hole_words
from fabgen.parts.shape.hollow.closed_members import low_end
from fabgen.parts.shape.hollow.open_ends import is_sawn_to_plane
from fabgen.parts.shape.kerf import with_kerf
from fabgen.shop.sheet_cutting import COMMON, LEAST_SEGMENT
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence

SHARP = math.radians(20.0)
"""An inside corner that turns less than this counts as smooth."""
LEAST_AREA, LEAST_HOLE = 1.0, 0.1
"""A closed outline holds at least this much, and a hole, mm2."""

Flat = Checking[FlatPart]


@rule("outline", Level.STOP, source=COMMON)
def outline(of: Flat) -> Iterator[Found]:
    """Closed lines that cross themselves or one another, or hold nothing, have no inside to keep."""
    flat = of.part
    loops = [("the outline", flat.outline), *((f"hole {hole.label}", hole.shape) for hole in flat.holes)]
    sound = True
    for name, loop in loops:
        spot = crossing(loop)
        if spot is not None:
            sound = False
            yield found(f"{name} crosses or touches itself (", place(flat, spot), ")")
        elif loop.area < (LEAST_AREA if loop is flat.outline else LEAST_HOLE):
            sound = False
            yield found(f"{name} encloses almost no area")
    if not sound or not flat.holes:
        return
    shapes = [region(loop) for _, loop in loops]
    prepare(shapes[0])
    for (name, loop), shape in zip(loops[1:], shapes[1:], strict=True):
        if not shapes[0].contains_properly(shape):
            yield found(f"{name} (", place(flat, centre_of(loop)), ") crosses the outline")
    for i, j in sorted((int(i), int(j)) for i, j in STRtree(shapes[1:]).query(shapes[1:], "intersects").T if i < j):
        (one, loop), (other, _) = loops[i + 1], loops[j + 1]
        yield found(f"{one} (", place(flat, centre_of(loop)), f") crosses {other}")


@rule("tiny-edge", Level.WARN, source=COMMON)
def tiny_edge(of: Flat) -> Iterator[Found]:
    """An edge shorter than the cut is wide makes the machine stop and burn."""
    short = [edge for loop in _outlines(of.part) for edge in loop.edges() if edge.length < LEAST_SEGMENT]
    if short:
        least = min(short, key=lambda edge: edge.length)
        many = f"{len(short)} edges are" if len(short) > 1 else "an edge is"
        edges = sentence(f"{many} shorter than ", mm(LEAST_SEGMENT), ", about the width of a cut, the shortest ")
        where = place(of.part, (least.start[0], least.start[1]))
        yield found(edges, mm(least.length, 2), " (", where, "): machines stop and burn there")


@rule("inside-corner", Level.NOTE, source=COMMON)
def inside_corner(of: Flat) -> Iterator[Found]:
    """A sharp inside corner is where a crack begins."""
    flat = of.part
    if isinstance(flat.outline, Circle):
        return
    corners = [p for p in _sharp_inside(flat.outline) if not _is_of_a_bend(p, flat)]
    if corners:
        many = f"{len(corners)} sharp inside corners, the first" if len(corners) > 1 else "a sharp inside corner"
        where = place(flat, (corners[0][0], corners[0][1]))
        yield found(f"{many} (", where, "): a crack begins there under load; a radius helps")


@rule("mark-outside", Level.WARN, source=COMMON)
def mark_outside(of: Flat) -> Iterator[Found]:
    """Etching that runs off the metal is lost, or is cut; across a bend it is drawn out."""
    flat = of.part
    metal = cut_region(flat.outline, (hole.shape for hole in flat.holes))
    for mark in flat.marks:
        if mark.text and not metal.contains(box(*_mark_box(mark))):
            yield found(f'the mark "{mark.text}" runs off the metal, or over a hole: another mark_at, or leave it out')
        elif mark.text and any(LineString([b.start, b.end]).intersects(box(*_mark_box(mark))) for b in flat.bends):
            yield found(f'the mark "{mark.text}" lies across a bend, where it will be drawn out: another mark_at')


@rule("drain", Level.WARN, source=COMMON)
def drain(of: Flat) -> Iterator[Found]:
    """A cap without a drain hole, or with one that the lap closes, keeps the water that gets in."""
    yield from concerns(of, "drain")
    if of.part.closes and not any(hole.purpose is Purpose.DRAIN for hole in of.part.holes) and not _is_on_top(of):
        yield found("no drain hole: what it closes will hold water, from rain or condensation, and rust from inside")


@rule("kerf", Level.WARN, Level.NOTE, source=COMMON)
def kerf(of: Flat) -> Iterator[Found]:
    """Notches, corners and holes that are narrower than the kerf of those who cut themselves: a file that cannot be
    made, or that leaves metal behind."""
    flat, width = of.part, of.job.shop.kerf
    if not width:
        return
    try:
        cut = with_kerf(flat, width)
    except OutlineError as error:
        why = f": {error}; wider notches (relief_width) or larger inside radii, or have it cut"
        yield found("no file in own-cut/ for a kerf of ", mm(width), why)
        return
    if cut.drilled:
        many = f"{len(cut.drilled)} holes are" if len(cut.drilled) > 1 else "one hole is"
        first = cut.drilled[0]
        small = sentence(f"{many} too small or too tightly rounded for a kerf of ", mm(width))
        one = sentence(", hole ", hole_words(first), " (", place(flat, centre_of(first.shape)), ") for one")
        yield found(small, one, ": marked with a cross in own-cut/, to drill", level=Level.NOTE)
    if cut.short:
        corner, left = max(cut.short, key=lambda each: each[1])
        many = f"{len(cut.short)} inside corners, the worst" if len(cut.short) > 1 else "the inside corner"
        short = sentence("a kerf of ", mm(width), " stays ", mm(left), f" short of {many} (", place(flat, corner), ")")
        yield found(short, ": own-cut/ leaves metal there; saw it out")


RULES = (outline, tiny_edge, inside_corner, mark_outside, drain, kerf)


def _is_on_top(of: Flat) -> bool:
    """Whether a cap lies on the upper end of a tube: a drain there lets rain in, and whether the tube itself is vented
    and drained is asked of that."""
    known = mouths(of.job)
    for mark, part in of.job.tubes.items():
        low = low_end(part)
        top = next((end for end in part.ends if low is not None and end.at != low), None)
        if top is not None and is_sawn_to_plane(top) and of.mark in known.end(mark, part, top).by:
            return True
    return False


# -- measuring ----------------------------------------------------------------
def _mark_box(mark: Mark) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = text_box(mark.text, mark.height)
    return mark.at[0] + x0, mark.at[1] + y0, mark.at[0] + x1, mark.at[1] + y1


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

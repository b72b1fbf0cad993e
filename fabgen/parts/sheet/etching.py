"""Marks etched on sheet parts besides the part's number: which way a bend folds, and where tubes stand.

All are lines, arcs and single-stroke text, clear of edges, holes and bend zones.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from fabgen.geometry.plane.arc_fit import arcs_through
from fabgen.geometry.plane.lettering import text_box
from fabgen.geometry.plane.outline import Circle, Loop, Outline, Vertex, Xy
from fabgen.geometry.plane.regions import cut_region
from fabgen.job.errors import Path, Problem
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.etch_tables import TubeOn
from fabgen.parts.piece import FlatBend, Hole, Mark
from fabgen.parts.sheet.features import MARK_ROOM
from fabgen.parts.sheet.seats import section_of
from fabgen.shop.section import Section

LETTERS = (4.0, 3.0)
"""Heights of fold texts that are tried, mm."""
TICK = 6.0
"""Length of the ticks at the ends of a bend line, mm, a quarter of the bend at most."""
CROSS = 5.0
"""Half the length of a cross at a tube's axis, mm."""
LINE_ROOM = 1.0
"""An etched line ends this far from the edge of the metal, mm."""
PLACES = (-0.42, -0.38, -0.34, -0.3, -0.25, -0.2, -0.1, 0.0, 0.1, 0.2, 0.3, 0.4)
"""Where along a bend its text is tried, as a share of its length from its middle: by its left end first, so
that the middle stays free."""
AROUND = 96
"""Points on an arc of a leaning tube's outline that arcs are put through."""


@dataclass(frozen=True, eq=False)
class Metal:
    """The flat that is etched on, its lower left corner at the origin."""

    outline: Loop
    holes: Sequence[Hole]
    bends: Sequence[FlatBend] = ()

    def clipped(self, line: Sequence[Xy]) -> Iterator[Mark]:
        """The parts of a line that lie on flat metal, well off its edges."""
        on_metal = shapely.LineString(line).intersection(self.flat(LINE_ROOM))
        for part in getattr(on_metal, "geoms", [on_metal]):
            if part.length > LINE_ROOM:
                yield Mark(line=tuple((float(x), float(y)) for x, y in part.coords))

    def bears(self, loop: Loop) -> bool:
        """Whether all of a closed line lies on flat metal."""
        ring = shapely.LinearRing(loop.points(0.01))
        return bool(self.flat(LINE_ROOM).contains(ring))

    def flat(self, space: float) -> shapely.Polygon:
        """The metal outside bend zones, `space` mm off its edges."""
        metal = cut_region(self.outline, (hole.shape for hole in self.holes)).buffer(-space)
        return metal.difference(shapely.union_all([_zone(bend) for bend in self.bends])) if self.bends else metal


def _zone(bend: FlatBend) -> shapely.Polygon:
    line = shapely.LineString([bend.start, bend.end])
    return line.buffer(bend.bend.allowance / 2.0, cap_style="flat")


# -- folds ----------------------------------------------------------------------
def fold_marks(metal: Metal, taken: Sequence[Mark]) -> tuple[Mark, ...]:
    """'UP 90' or 'DOWN 90' beside each bend where there is room for it, and ticks at both ends of the bend
    lines that fold up.

    Up is toward the etched side, which is the hollow of the bend; on the outside of one that folds down a
    tick could start a crack, so there the text alone is etched.
    """
    marks = list(taken)
    made: list[Mark] = []
    for bend in metal.bends:
        ticks = _ticks(bend) if bend.up and not bend.bend.is_hem else []
        word = _word(metal, bend, marks)
        made += [*ticks, *([] if word is None else [word])]
        marks += [] if word is None else [word]
    return tuple(made)


def fold_words(bend: FlatBend) -> str:
    """'UP 90', 'HEM DOWN'."""
    way = "UP" if bend.up else "DOWN"
    return f"HEM {way}" if bend.bend.is_hem else f"{way} {math.degrees(bend.bend.angle):.3g}"


def _ticks(bend: FlatBend) -> list[Mark]:
    length = math.dist(bend.start, bend.end)
    long = min(TICK, length / 4.0)
    ux, uy = (bend.end[0] - bend.start[0]) / length, (bend.end[1] - bend.start[1]) / length
    (x0, y0), (x1, y1) = bend.start, bend.end
    ends = (((x0, y0), (x0 + long * ux, y0 + long * uy)), ((x1 - long * ux, y1 - long * uy), (x1, y1)))
    return [Mark(line=line) for line in ends]


def _word(metal: Metal, bend: FlatBend, taken: Sequence[Mark]) -> Mark | None:
    """The text beside a bend, as near its left end as there is room on either side."""
    text, length = fold_words(bend), math.dist(bend.start, bend.end)
    ux, uy = (bend.end[0] - bend.start[0]) / length, (bend.end[1] - bend.start[1]) / length
    middle = ((bend.start[0] + bend.end[0]) / 2.0, (bend.start[1] + bend.end[1]) / 2.0)
    others = shapely.union_all([_box_of(mark) for mark in taken])
    for height in LETTERS:
        left, low, right, high = text_box(text, height)
        width, tall = right - left, high - low
        space = max(MARK_ROOM, height / 2.0)
        room = metal.flat(space).difference(others.buffer(space))
        shapely.prepare(room)
        off = bend.bend.allowance / 2.0 + space + abs(uy) * width / 2.0 + abs(ux) * tall / 2.0
        for share in PLACES:
            for way in (1.0, -1.0):
                cx = middle[0] + share * length * ux - way * (off + 0.01) * uy
                cy = middle[1] + share * length * uy + way * (off + 0.01) * ux
                box = shapely.box(cx - width / 2.0, cy - tall / 2.0, cx + width / 2.0, cy + tall / 2.0)
                if room.contains(box):
                    return Mark((cx - width / 2.0 - left, cy - tall / 2.0 - low), text, height)
    return None


def _box_of(mark: Mark) -> shapely.Polygon:
    if mark.text:
        x0, y0, x1, y1 = text_box(mark.text, mark.height)
        return shapely.box(mark.at[0] + x0, mark.at[1] + y0, mark.at[0] + x1, mark.at[1] + y1)
    points = mark.line or tuple((float(x), float(y)) for x, y in mark.curve.points(0.1)) if mark.curve else mark.line
    return shapely.LineString(points).buffer(0.1)


# -- tubes ------------------------------------------------------------------------
@dataclass(frozen=True, eq=False)
class Footprint:
    """A tube's outline on the sheet and the lines of its axis, in the coordinates it was given in."""

    outline: Loop | None
    lines: tuple[tuple[Xy, Xy], ...]

    def carried(self, loop: Callable[[Loop], Loop], point: Callable[[Xy], Xy]) -> Footprint:
        """The same in other coordinates."""
        outline = None if self.outline is None else loop(self.outline)
        return Footprint(outline, tuple((point(a), point(b)) for a, b in self.lines))


def footprints(
    tubes: Sequence[TubeOn], outline: Loop, job: Definitions, path: Path, problems: list[Problem]
) -> list[tuple[TubeOn, Footprint]]:
    """The footprint of each tube that a job puts on a part of that outline.  Raises Unfit."""
    x0, y0, x1, y1 = outline.bounds
    found = []
    for i, tube in enumerate(tubes):
        section = section_of(tube.tube, job, (*path, "tubes", i, "tube"), problems)
        assert section is not None  # a tube is no flat
        found.append((tube, footprint(tube, section, math.hypot(x1 - x0, y1 - y0))))
    return found


def footprint(given: TubeOn, section: Section, reach: float) -> Footprint:
    """The true outline of a tube that stands or leans on a sheet, with a cross at its axis; of one
    that lies along it, its sides and its axis, `reach` mm either way."""
    c, s = math.cos(given.turn), math.sin(given.turn)

    def at(x: float, y: float) -> Xy:
        return given.at[0] + x * c - y * s, given.at[1] + x * s + y * c

    if given.lean == 0.0:
        half = _half_width(section, given.roll)
        return Footprint(None, tuple((at(-reach, y), at(reach, y)) for y in (-half, 0.0, half)))
    shape = _section_outline(section).turned(given.roll) if not section.is_round else _section_outline(section)
    cross = ((at(-CROSS, 0.0), at(CROSS, 0.0)), (at(0.0, -CROSS), at(0.0, CROSS)))
    if abs(given.lean - math.pi / 2.0) > 1e-9:
        shape = _stretched(shape, 1.0 / math.sin(given.lean))
    return Footprint(shape.turned(given.turn).moved(given.at[0], given.at[1]), cross)


def _section_outline(section: Section) -> Loop:
    """The tube's outside about its axis, the first figure along x, toward which it leans."""
    if section.is_round:
        return Circle(0.0, 0.0, section.width)
    outline = Outline.rectangle(section.width, section.depth, section.corner)
    return outline.moved(-section.width / 2.0, -section.depth / 2.0)


def _half_width(section: Section, roll: float) -> float:
    """Half the width of a tube that lies on the sheet, its first figure upright before it is rolled, mm."""
    shape = _section_outline(section)
    return (shape.turned(roll) if isinstance(shape, Outline) else shape).bounds[3]


def _stretched(shape: Loop, times: float) -> Outline:
    """The shape made longer along x: an ellipse for a circle, as arcs."""
    if isinstance(shape, Circle):
        shape = Outline((Vertex(shape.diameter / 2.0, 0.0, 1.0), Vertex(-shape.diameter / 2.0, 0.0, 1.0)))
    vertices: list[Vertex] = []
    for edge in shape.edges():
        if not edge.is_arc:
            vertices.append(Vertex(times * edge.start[0], edge.start[1]))
            continue
        (cx, cy), radius = edge.centre, edge.radius
        first = math.atan2(edge.start[1] - cy, edge.start[0] - cx)
        turn = first + np.linspace(0.0, edge.sweep, AROUND + 1)
        vertices += arcs_through(np.column_stack((times * (cx + radius * np.cos(turn)), cy + radius * np.sin(turn))))
    return Outline(tuple(vertices))


def tube_marks(metal: Metal, feet: Sequence[Footprint]) -> tuple[Mark, ...]:
    """Tubes' outlines on the flat: as true curves where all of them is on the metal, else what is of them."""
    made: list[Mark] = []
    for foot in feet:
        if foot.outline is not None and metal.bears(foot.outline):
            made.append(Mark(curve=foot.outline))
        elif foot.outline is not None:
            ring = [(float(x), float(y)) for x, y in foot.outline.points(0.01)]
            made += metal.clipped([*ring, ring[0]])
        for line in foot.lines:
            made += metal.clipped(line)
    return tuple(made)

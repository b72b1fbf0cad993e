"""Where tubes stand on sheet parts, to be etched: their outlines on the sheet and the lines of their axes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from fabgen.geometry.plane.arc_fit import arcs_through
from fabgen.geometry.plane.outline import Circle, Loop, Outline, Vertex, Xy
from fabgen.job.tables.bracket_tables import Bracket
from fabgen.job.tables.etch_tables import TubeOn
from fabgen.job.tables.flat_tables import Plate
from fabgen.parts.piece import Mark
from fabgen.parts.shape.etching import Metal
from fabgen.parts.sheet.request import SheetRequest
from fabgen.parts.sheet.seats import section_of
from fabgen.shop.section import Section

CROSS = 5.0
"""Half the length of a cross at a tube's axis, mm."""
AROUND = 96
"""Points on an arc of a leaning tube's outline that arcs are put through."""


class Carrier(Protocol):
    """What carries points and loops from one set of coordinates to another."""

    def point(self, at: Xy) -> Xy: ...
    def loop(self, loop: Loop) -> Loop: ...


@dataclass(frozen=True, eq=False)
class Footprint:
    """A tube's outline on the sheet and the lines of its axis, in the coordinates it was given in."""

    outline: Loop | None
    lines: tuple[tuple[Xy, Xy], ...]

    def carried(self, to: Carrier) -> Footprint:
        """The same in other coordinates."""
        outline = None if self.outline is None else to.loop(self.outline)
        return Footprint(outline, tuple((to.point(a), to.point(b)) for a, b in self.lines))


def footprints(request: SheetRequest[Plate] | SheetRequest[Bracket], outline: Loop) -> list[tuple[TubeOn, Footprint]]:
    """The footprint of each tube that the job puts on a part, in the coordinates the tube is given in.

    Args:
        outline: of the part's flat; the lines of a tube that lies on it reach as far.
    Raises:
        Unfit: a mark that no tube has.
    """
    x0, y0, x1, y1 = outline.bounds
    found = []
    for i, tube in enumerate(request.given.tubes):
        section = section_of(request, tube.tube, "tubes", i, "tube")
        assert section is not None  # a tube is no flat
        found.append((tube, footprint(tube, section, math.hypot(x1 - x0, y1 - y0))))
    return found


def footprint(given: TubeOn, section: Section, reach: float) -> Footprint:
    """The true outline of a tube that stands or leans on a sheet, with a cross at its axis; of one
    that lies along it, its sides and its axis, `reach` mm either way, or ahead from its saw cut where it ends."""
    c, s = math.cos(given.turn), math.sin(given.turn)

    def at(x: float, y: float) -> Xy:
        return given.at[0] + x * c - y * s, given.at[1] + x * s + y * c

    if given.lean == 0.0:
        half = _half_width(section, given.roll)
        behind, saw_cut = (0.0, ((at(0.0, -half), at(0.0, half)),)) if given.ends else (-reach, ())
        sides = tuple((at(behind, y), at(reach, y)) for y in (-half, 0.0, half))
        return Footprint(None, (*sides, *saw_cut))
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


def tube_marks(metal: Metal, tubes: Sequence[Footprint]) -> Iterator[Mark]:
    """Tubes' outlines on the flat: as true curves where all of them is on the metal, else what is of them."""
    for tube in tubes:
        if tube.outline is not None and metal.bears(tube.outline):
            yield Mark(curve=tube.outline)
        elif tube.outline is not None:
            ring = [(float(x), float(y)) for x, y in tube.outline.points(0.01)]
            yield from metal.clipped([*ring, ring[0]])
        for line in tube.lines:
            yield from metal.clipped(line)

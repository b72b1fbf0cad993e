"""Panels that are nearly square: their corners numbered, the four sides and one diagonal dimensioned.

Positions of the corners from two edges would have to be set out square to a side that is not; sides and a diagonal
are what a tape measures and a trammel sets out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from fabgen.documents.drawing.flat.drawn_sizes import DrawnSize
from fabgen.documents.drawing.flat.what_follows import bracketed
from fabgen.documents.drawing.sheet.dimensions import FIGURE, DimensionLine, Length, dot, draw_length, unit_vector
from fabgen.documents.drawing.sheet.lanes import FIRST
from fabgen.documents.render.picture import Arc, Text
from fabgen.documents.render.sketch import Sketch, grown
from fabgen.geometry.plane.outline import Xy
from fabgen.wording.figures import Figures

NEARLY = math.radians(5.0)
"""A corner within this of a right angle looks square."""
EXACT = math.radians(0.02)
"""A side within this of level or upright is drawn so."""
LEVEL = 0.005
"""Ends of a side no farther apart than this along an axis: it is drawn level or upright, mm."""
_TRIES = 12


def corners_of_panel(corners: tuple[Xy, ...], sides: int) -> tuple[Xy, ...]:
    """The four corners of a panel that is nearly, but not, square, from the lower left one on against the clock; empty
    of any other outline.

    Args:
        corners: of the outline, sharp.
        sides: how many straight edges the outline has.
    """
    if len(corners) != 4 or sides != 4:
        return ()
    middle = (sum(p[0] for p in corners) / 4.0, sum(p[1] for p in corners) / 4.0)
    ordered = sorted(corners, key=lambda p: math.atan2(p[1] - middle[1], p[0] - middle[0]))
    headings = [math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in zip(ordered, ordered[1:] + ordered[:1], strict=True)]
    off = [abs(math.remainder(h, math.pi / 2.0)) for h in headings]
    turns = [
        abs(math.remainder(b - a - math.pi / 2.0, 2.0 * math.pi))
        for a, b in zip(headings, headings[1:] + headings[:1], strict=True)
    ]
    if max(off) < EXACT or max(turns) > NEARLY:
        return ()
    return tuple(ordered)


def side_sizes(panel: tuple[Xy, ...], figures: Figures) -> list[DrawnSize]:
    """The four sides from corner 1 on, and the diagonal from 1 to 3."""
    pairs = [(panel[i], panel[(i + 1) % 4]) for i in range(4)]
    across = figures.length(math.dist(panel[0], panel[2]))
    # With one corner drawn square the sides alone fix the panel, and the diagonal is there to check it by.
    drawn = [{axis for axis in (0, 1) if abs(a[axis] - b[axis]) < LEVEL} for a, b in pairs]
    square = any(one and other for one, other in pairwise([*drawn, drawn[0]]))
    sides = [DrawnSize("straight", pair, figures.length(math.dist(*pair))) for pair in pairs]
    return [*sides, DrawnSize("straight", (panel[0], panel[2]), bracketed(across, square), square)]


def draw_panel_sides(
    sketch: Sketch, panel: tuple[Xy, ...], holes: Sequence[Xy], scale: float, figures: Figures
) -> list[DrawnSize]:
    """Draw the sides outside the metal, the diagonal across it, and the numbers of the corners inside it.

    Args:
        holes: their middles, mm, whose extension lines the figures keep off.
    Returns: what was drawn.
    """
    sizes = side_sizes(panel, figures)
    middle = (sum(p[0] for p in panel) / 4.0 * scale, sum(p[1] for p in panel) / 4.0 * scale)
    for number, corner in enumerate(panel, 1):
        _number(sketch, str(number), (corner[0] * scale, corner[1] * scale), middle)
    for size in sizes:
        a, b = ((x * scale, y * scale) for x, y in size.points)
        along = unit_vector(a, b)
        diagonal = size is sizes[-1]
        out = (along[1], -along[0])
        first = dot(a, out) + (0.0 if diagonal else FIRST)
        dim = Length(a, b, size.text)
        lines = [DimensionLine(along, out, first + (0.0 if diagonal else 2.5 * i)) for i in range(_TRIES)]
        avoid = [] if diagonal else [dot(hole, along) * scale for hole in holes]
        placed = any(draw_length(sketch, dim, line, avoid, passing=diagonal) for line in lines)
        if not placed:
            draw_length(sketch, dim, lines[0], force=True)
    return sizes


def _number(sketch: Sketch, number: str, corner: Xy, middle: Xy) -> None:
    """The corner's number in a circle, on the metal beside it."""
    ux, uy = unit_vector(corner, middle)
    for off in (6.5, 9.0, 12.0, 16.0):
        for turn in (0.35, -0.35, 0.0):
            c, s = math.cos(turn), math.sin(turn)
            x, y = corner[0] + off * (c * ux - s * uy), corner[1] + off * (s * ux + c * uy)
            box = (x - 2.6, y - 2.6, x + 2.6, y + 2.6)
            if sketch.free(grown(box, 0.3)):
                sketch.draw(Arc(x, y, 2.6, pen="thin"))
                sketch.write(Text(x, y - FIGURE * 0.36, number, FIGURE, "middle"))
                return

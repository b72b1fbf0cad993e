"""Pieces of the flat pattern's view: loops, etched marks, bend lines and places for texts along them."""

from __future__ import annotations

import math

from fabgen.documents.drawing.sheet.dimensions import LIFT, SMALL
from fabgen.documents.render.pdf import text_width
from fabgen.documents.render.picture import Arc, Pen, Text, edge_item, line, polyline
from fabgen.documents.render.sketch import Sketch
from fabgen.geometry.plane.lettering import strokes
from fabgen.geometry.plane.outline import Circle, Loop, Xy
from fabgen.parts.piece import Mark


def draw_mark(sketch: Sketch, mark: Mark, scale: float) -> None:
    """What is etched: lines, a closed curve, single-stroke text."""
    if mark.curve is not None:
        draw_loop(sketch, mark.curve, scale, "mark")
    for a, b in zip(mark.line, mark.line[1:], strict=False):
        sketch.draw(line((a[0] * scale, a[1] * scale), (b[0] * scale, b[1] * scale), "mark"))
    for stroke in strokes(mark.text, mark.height) if mark.text else ():
        points = [((x + mark.at[0]) * scale, (y + mark.at[1]) * scale) for x, y in stroke]
        sketch.draw(polyline(points, "mark"))


def draw_loop(sketch: Sketch, loop: Loop, scale: float, pen: Pen = "visible") -> None:
    """An outline or circle at that scale, arcs kept as arcs."""
    if isinstance(loop, Circle):
        sketch.draw(Arc(loop.x * scale, loop.y * scale, loop.diameter * scale / 2.0, pen=pen))
        return
    for e in loop.edges():
        (xa, ya), (xb, yb) = e.start, e.end
        sketch.draw(edge_item((xa * scale, ya * scale), (xb * scale, yb * scale), e.bulge, pen))


def beside_line(a: Xy, b: Xy, text: str) -> list[Text]:
    """Places for a text on either side of a line, reading along it."""
    length = math.dist(a, b)
    if length < text_width(text, SMALL) + 2.0:
        return []
    turn = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
    turn = turn - 180.0 if turn > 90.01 else turn + 180.0 if turn <= -89.99 else turn
    up = (-math.sin(math.radians(turn)), math.cos(math.radians(turn)))
    spare = (length - text_width(text, SMALL) - 2.0) / 2.0 / length
    places = []
    for share in (0.0, -0.5, 0.5, -1.0, 1.0, -0.25, 0.25, -0.75, 0.75):
        for rise in (LIFT, -LIFT - SMALL * 0.8):
            f = 0.5 + share * spare
            x, y = a[0] + (b[0] - a[0]) * f + up[0] * rise, a[1] + (b[1] - a[1]) * f + up[1] * rise
            places.append(Text(x, y, text, SMALL, "middle", turn))
    return places


def longer(a: Xy, b: Xy, by: float) -> tuple[Xy, Xy]:
    """The line from a to b, longer by that at both ends."""
    length = math.dist(a, b)
    ux, uy = (b[0] - a[0]) / length * by, (b[1] - a[1]) / length * by
    return (a[0] - ux, a[1] - uy), (b[0] + ux, b[1] + uy)

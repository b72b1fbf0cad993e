"""Bend lines on a flat: up and down told apart by their line, and each named at its own end.

At the end of its line a bend has its number, a small sign of the fold as seen along the line, which way it folds, the
angle and the inside radius, so that it is read without a legend.  Of one that runs square across the part this stands
after the figure of its position (`lanes.py`), or where that takes too much paper on the metal, on the line itself by
its end; others have it beyond one of their ends.  Many bends, as of a rounded
part, are numbered only, every one of them, and described in their table.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from fabgen.documents.drawing.sheet.dimensions import (
    FIGURE,
    LIFT,
    Target,
    dot,
    draw_leader,
    place_leader,
    unit_vector,
)
from fabgen.documents.drawing.sheet.lanes import LineEnd
from fabgen.documents.render.pdf import text_width
from fabgen.documents.render.picture import Pen, Text, line
from fabgen.documents.render.sketch import ASCENT, Sketch, grown, text_box, within
from fabgen.documents.render.text_room import reading_turn
from fabgen.documents.render.words import degrees
from fabgen.geometry.plane.outline import Box, Xy, box_of
from fabgen.parts.piece import FlatBend, FlatPart
from fabgen.parts.shape.hole_groups import NEAR
from fabgen.wording.figures import Figures

MANY_BENDS = 8
"""More bends than this are numbered on the view and described in their table alone."""
SQUARE = 0.01
"""Ends no farther apart along an axis than this make a line that runs square across, mm."""
_BEYOND, _BEYOND_MANY = 2.0, 0.5
"""A bend line runs on past the metal by this, mm of paper."""
_LEG = 2.6
"""Length of the legs of the sign of a fold, mm of paper."""
_INSIDE, _STEPS = 1.5, 24
"""A label on the metal keeps this off the ends of its line, mm of paper, and is tried in so many places between."""
_CLOSE = 6.0
_NUMBER_REACHES = (3.4, 4.6, 6.0, 8.0, 10.5, 13.0, 16.0, 20.0)
"""How far beyond the end of its line the middle of a bend's number is tried, mm of paper."""


def draw_bend_lines(sketch: Sketch, part: FlatPart, scale: float) -> None:
    """The lines alone, each with the pen of its way."""
    beyond = _BEYOND if len(part.bends) <= MANY_BENDS else _BEYOND_MANY
    for bend in part.bends:
        (ax, ay), (bx, by) = ((x * scale, y * scale) for x, y in (bend.start, bend.end))
        ux, uy = unit_vector((ax, ay), (bx, by))
        ends = (ax - beyond * ux, ay - beyond * uy), (bx + beyond * ux, by + beyond * uy)
        pen: Pen = "bend" if bend.up else "bend down"
        sketch.draw(line(*ends, pen))


def square_axis(bend: FlatBend) -> int | None:
    """The axis that a bend line's position is measured along, 0 of one that runs along y; None of one askew."""
    return next((axis for axis in (0, 1) if abs(bend.start[axis] - bend.end[axis]) < SQUARE), None)


def bend_says(number: int, bend: FlatBend, figures: Figures) -> LineEnd:
    """What stands at the end of a bend's line: the sign of the fold, and '1 up 90° R8'."""
    way = "up" if bend.up else "down"
    if bend.bend.is_hem:
        return LineEnd(_sign(bend), f"{number} hem {way}")
    radius = f"R{figures.size(bend.bend.radius, 2)}"
    return LineEnd(_sign(bend), f"{number} {way} {degrees(bend.bend.angle)} {radius}")


def _sign(bend: FlatBend) -> tuple[Xy, ...]:
    """The sheet seen along the bend: a level leg, and one that rises or falls by the angle."""
    turn = bend.bend.angle if bend.up else -bend.bend.angle
    foot = 0.0 if bend.up else _LEG
    if bend.bend.is_hem:
        rise = 0.9 if bend.up else -0.9
        return ((0.0, foot), (_LEG, foot), (_LEG, foot + rise), (0.6, foot + rise))
    return ((0.0, foot), (_LEG, foot), (_LEG + _LEG * math.cos(turn), foot + _LEG * math.sin(turn)))


def label_inside(sketch: Sketch, bend: FlatBend, says: LineEnd, scale: float) -> bool:
    """What is said of a bend standing on its own line, on the metal, as near to an end as it is free.

    Returns: False, and nothing drawn, where there is no room.
    """
    a, b = ((x * scale, y * scale) for x, y in (bend.start, bend.end))
    turn = math.radians(reading_turn(unit_vector(a, b)))
    along = (math.cos(turn), math.sin(turn))
    low, high = sorted((a, b), key=lambda p: dot(p, along))
    spare = math.dist(low, high) - says.width - 2.0 * _INSIDE
    for step in range(_STEPS + 1):
        for far in (1.0 - step / _STEPS, step / _STEPS):
            if spare < 0.0:
                continue
            off = _INSIDE + spare * far
            foot = (low[0] + off * along[0] - LIFT * along[1], low[1] + off * along[1] + LIFT * along[0])
            end = (foot[0] + says.width * along[0], foot[1] + says.width * along[1])
            box = grown(box_of(_corners(foot, end, along)), -0.05)
            if sketch.free(box):
                sketch.draw(*says.items(foot, along))
                return True
    return False


def _corners(foot: Xy, end: Xy, along: Xy) -> list[Xy]:
    """The corners of what stands on a base line from `foot` to `end`."""
    high = ASCENT * FIGURE
    return [foot, end, *((x - high * along[1], y + high * along[0]) for x, y in (foot, end))]


def label_askew(sketch: Sketch, bend: FlatBend, says: LineEnd, scale: float, limit: Box) -> bool:
    """What is said of a bend that runs askew, beyond one of its ends, else on a leader to an end.

    Returns: False, and nothing drawn, where there is no room.
    """
    a, b = ((x * scale, y * scale) for x, y in (bend.start, bend.end))
    for off in (3.0, 4.5, 6.5, 9.0):
        for end, other in ((b, a), (a, b)):
            ux, uy = unit_vector(other, end)
            x, y = end[0] + off * ux, end[1] + off * uy - FIGURE * 0.36
            # Beyond the end: to its right where the line runs to the right, else to its left.
            foot = (x if ux >= 0.0 else x - says.width, y + (1.0 if uy >= 0.0 else -1.0) * abs(uy) * FIGURE * 0.4)
            box = (foot[0] - 0.4, foot[1] - 1.0, foot[0] + says.width + 0.4, foot[1] + FIGURE)
            if within(box, limit) and sketch.free(box):
                sketch.draw(*says.items(foot, (1.0, 0.0)))
                return True
    return _on_leader(sketch, (b, a), says, limit)


def _on_leader(sketch: Sketch, ends: tuple[Xy, Xy], says: LineEnd, limit: Box) -> bool:
    targets = [Target(end) for end in ends]
    text = place_leader(sketch, targets, says.text, limit, FIGURE, says.text_at)
    if text is None:
        return False
    sign = LineEnd(says.sign, "").items((text.x - says.text_at, text.y), (1.0, 0.0))
    sketch.draw(*sign[:1])
    return True


def number_bends(sketch: Sketch, bends: Sequence[FlatBend], scale: float, limit: Box) -> None:
    """The number alone of each bend, beyond an end of its line that no other comes to."""
    for index, bend in enumerate(bends):
        a, b = ((x * scale, y * scale) for x, y in (bend.start, bend.end))
        others = [p for i, each in enumerate(bends) if i != index for p in (each.start, each.end)]
        own = [(b, a)] if _alone(bend.end, others) >= _alone(bend.start, others) - NEAR else []
        own += [(a, b)] if _alone(bend.start, others) >= _alone(bend.end, others) - NEAR else []
        _number_bend(sketch, own, str(index + 1), limit)


def _alone(end: Xy, others: Sequence[Xy]) -> float:
    return min(math.dist(end, other) for other in others)


def _number_bend(sketch: Sketch, ends: Sequence[tuple[Xy, Xy]], number: str, limit: Box) -> None:
    """Beyond one of the ends, each given with its line's other end, with a thin line to there where it has to stand
    farther off."""
    near = text_width(number, FIGURE) / 2.0 + 0.6
    for off in _NUMBER_REACHES:
        for end, other in ends:
            ux, uy = unit_vector(other, end)
            text = Text(end[0] + off * ux, end[1] + off * uy - FIGURE * 0.36, number, FIGURE, "middle")
            box = grown(text_box(text), 0.2)
            start = (end[0] + 0.8 * ux, end[1] + 0.8 * uy)
            stop = (text.x - near * ux, text.y + FIGURE * 0.36 - near * uy)
            if not within(box, limit) or not sketch.free(box) or sketch.board.text_on_line(start, stop):
                continue
            if off > _CLOSE:
                sketch.draw(line(start, stop, "thin"))
            sketch.write(text)
            return
    draw_leader(sketch, [Target(end) for end, _ in ends], number, limit, FIGURE)

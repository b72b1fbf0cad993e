"""Dimensions in the manner of ISO 129-1: arrows, extension lines, figures, leaders.

Lengths are millimetres of paper.  Figures stand above the dimension line and read from the bottom or from the right, in
the least step of lettering (`lettering.py`).  Extension lines leave a gap of 1 mm at the feature and pass the dimension
line by 2 mm; arrowheads are closed, filled and 3 mm long.  Sizes quoted from memory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise, product

from fabgen.documents.render.lettering import TEXT
from fabgen.documents.render.pdf import text_width
from fabgen.documents.render.picture import Arc, Fill, Text, line
from fabgen.documents.render.sketch import ASCENT, DESCENT, Sketch, arc_points, grown, text_box, within
from fabgen.documents.render.text_room import reading_turn
from fabgen.geometry.plane.outline import Box, Xy

FIGURE = TEXT
ARROW, HALF_ARROW = 3.0, 0.45
GAP, OVERSHOOT = 1.0, 2.0
LIFT = 0.9
"""Base line of a figure above its dimension line, mm."""


def unit_vector(a: Xy, b: Xy) -> Xy:
    length = math.dist(a, b)
    return ((b[0] - a[0]) / length, (b[1] - a[1]) / length)


def arrow(tip: Xy, heading: Xy) -> Fill:
    """A filled arrowhead with its point at `tip`, flying along the unit vector `heading`."""
    (x, y), (u, v) = tip, heading
    bx, by = x - ARROW * u, y - ARROW * v
    return Fill(((x, y), (bx - HALF_ARROW * v, by + HALF_ARROW * u), (bx + HALF_ARROW * v, by - HALF_ARROW * u)))


@dataclass(frozen=True, slots=True)
class Length:
    """A linear dimension to be drawn: from feature point `a` to `b`, with its figure.

    `gap_a`, `gap_b` are the gaps at the features (0 where the extension line carries on a
    centre line)."""

    a: Xy
    b: Xy
    text: str
    gap_a: float = GAP
    gap_b: float = GAP


def natural_room(text: str) -> float:
    """Room between the extension lines that holds the figure and both arrows, mm."""
    return max(text_width(text, FIGURE) + 1.6, 2.0 * ARROW + 1.5)


@dataclass(frozen=True, slots=True)
class DimensionLine:
    """Where a dimension's line lies: `along` is its unit direction, `out` the unit direction away from the part, square
    to it, and `level` how far out it lies, mm of paper (a point p lies at p . out)."""

    along: Xy
    out: Xy
    level: float

    def at(self, t: float, level: float | None = None) -> Xy:
        """The point `t` along and `level` out: on the line itself where no other level is given."""
        far = self.level if level is None else level
        return (self.along[0] * t + self.out[0] * far, self.along[1] * t + self.out[1] * far)


def draw_length(
    sketch: Sketch,
    dim: Length,
    on: DimensionLine,
    avoid: Sequence[float] = (),
    force: bool = False,
    passing: bool = False,
) -> bool:
    """Draw a linear dimension.

    Args:
        on: where its line lies.
        avoid: positions along the line where extension lines of other dimensions will pass; the figure keeps off them.
        force: draw it all the same, across lines if it must.
        passing: its lines may cross a text.
    Returns: False, and nothing drawn, when its figure finds no free place on the line or when one of its lines would
        cross a text.
    """
    along, out, level = on.along, on.out, on.level
    ta, tb = dot(dim.a, along), dot(dim.b, along)
    low, high = min(ta, tb), max(ta, tb)
    middle = _figure_place(sketch, dim.text, on, (low, high), avoid, force)
    if middle is None:
        return False
    inside = high - low >= 2.0 * ARROW + 0.5
    width = text_width(dim.text, FIGURE)
    first = min(low - (0.0 if inside else ARROW + 2.0), middle - width / 2.0 if middle < low else low)
    last = max(high + (0.0 if inside else ARROW + 2.0), middle + width / 2.0 if middle > high else high)
    lines = [(on.at(first), on.at(last))]
    for point, t, gap in ((dim.a, ta, dim.gap_a), (dim.b, tb, dim.gap_b)):
        rise = level - dot(point, out)
        way = 1.0 if rise >= 0.0 else -1.0
        if abs(rise) > gap:
            lines.append((on.at(t, dot(point, out) + way * gap), on.at(t, level + way * OVERSHOOT)))
    if not (force or passing) and any(sketch.board.text_on_line(a, b) for a, b in lines):
        return False
    sketch.draw(*(line(a, b, "thin") for a, b in lines))
    back = (-along[0], -along[1])
    sketch.draw(arrow(on.at(low), back if inside else along), arrow(on.at(high), along if inside else back))
    sketch.write(_figure_text(dim.text, along, on.at(middle)))
    return True


def _figure_place(
    sketch: Sketch, text: str, on: DimensionLine, span: Xy, avoid: Sequence[float], force: bool
) -> float | None:
    """Where along the line the middle of the figure goes: centred if it can be, else aside, else outside."""
    low, high = span
    width = text_width(text, FIGURE)
    room = (high - low - width) / 2.0
    centre = (low + high) / 2.0
    places = [centre + room * share for share in (0.0, 0.4, -0.4, 0.8, -0.8)] if room > 0.4 else []
    outside = ARROW + 2.5 + width / 2.0
    places += [high + outside, low - outside]
    for across_lines in (False, True) if force else (False,):
        for place in places:
            crossed = any(place - width / 2.0 - 0.6 < t < place + width / 2.0 + 0.6 for t in avoid)
            box = grown(text_box(_figure_text(text, on.along, on.at(place))), 0.2)
            if across_lines and not sketch.board.text_under(box):
                return place
            if not crossed and sketch.free(box):
                return place
    return places[0] if force else None


def _figure_text(text: str, along: Xy, at: Xy) -> Text:
    turn = reading_turn(along)
    up = (-math.sin(math.radians(turn)), math.cos(math.radians(turn)))
    return Text(at[0] + LIFT * up[0], at[1] + LIFT * up[1], text, FIGURE, "middle", turn)


def draw_angle(sketch: Sketch, centre: Xy, radius: float, start: float, end: float, text: str) -> bool:
    """An angular dimension: an arc with its figure near the middle.

    Args:
        centre: of the arc, mm of paper, as is its `radius`.
        start, end: rad, counter-clockwise from start to end.
    Returns: False, and nothing drawn, when the figure finds no free place or the arc would cross a text.
    """
    end = end if end > start else end + 2.0 * math.pi
    figure_text = _angle_text(sketch, centre, radius, (start + end) / 2.0, text)
    if figure_text is None:
        return False
    inside = (end - start) * radius >= 2.0 * ARROW + 1.0
    pad = 0.0 if inside else (ARROW + 2.0) / radius
    arc = Arc(centre[0], centre[1], radius, math.degrees(start - pad), math.degrees(end + pad), "thin")
    if any(sketch.board.text_on_line(a, b) for a, b in pairwise(arc_points(arc))):
        return False
    sketch.draw(arc)
    for angle, way in ((start, -1.0), (end, 1.0)):
        tip = (centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle))
        way = way if inside else -way
        sketch.draw(arrow(tip, (-math.sin(angle) * way, math.cos(angle) * way)))
    sketch.write(figure_text)
    return True


def _angle_text(sketch: Sketch, centre: Xy, radius: float, middle: float, text: str) -> Text | None:
    width = text_width(text, FIGURE)
    for more in (0.0, 1.5, -radius * 0.4, 4.0, 8.0):
        for aside in (0.0, 0.25, -0.25, 0.5, -0.5):
            c, s = math.cos(middle + aside), math.sin(middle + aside)
            reach = radius + more + 1.0 + abs(c) * width / 2.0 + abs(s) * FIGURE * 0.36
            x, y = centre[0] + reach * c, centre[1] + reach * s - FIGURE * 0.36
            candidate = Text(x, y, text, FIGURE, "middle")
            box = grown(text_box(candidate), 0.3)
            # The arc itself is not drawn yet: keep off it, and inside it off its flanks too.
            far = max(math.dist(centre, corner) for corner in product((box[0], box[2]), (box[1], box[3])))
            clear = abs(reach - radius) > abs(c) * width / 2.0 + abs(s) * FIGURE * 0.36
            if clear and (reach > radius or far < radius) and sketch.free(box):
                return candidate
    return None


# -- leaders ------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Target:
    """What a leader may point at: the arrow's point lies on the circle of `radius` about `centre`
    (0: at the point itself); only directions within `spread` rad of `heading` are used."""

    centre: Xy
    radius: float = 0.0
    heading: float = 0.0
    spread: float = math.pi


@dataclass(frozen=True, slots=True)
class _Place:
    cost: float
    tip: Xy
    knee: Xy
    shelf: Xy
    text: Text


_DIRECTIONS = [
    math.radians(d) for d in (45, 135, 315, 225, 30, 60, 120, 150, 330, 300, 240, 210, 15, 165, 345, 195, 75, 105)
]
_REACHES = (7.0, 11.0, 15.0, 20.0, 26.0, 33.0, 42.0, 54.0, 70.0)


def draw_leader(sketch: Sketch, targets: Sequence[Target], text: str, limit: Box, size: float = FIGURE) -> bool:
    """The same as `place_leader`; False, and nothing drawn, when there is no place."""
    return place_leader(sketch, targets, text, limit, size) is not None


def place_leader(
    sketch: Sketch, targets: Sequence[Target], text: str, limit: Box, size: float = FIGURE, before: float = 0.0
) -> Text | None:
    """Place a leader with its text in the cheapest free place.

    Tries every target, direction and reach; a place where the text would lie on a line or a
    text, or where the leader would cross a text, is not taken.

    Args:
        targets: what the leader may point at, any of them.
        limit: (xmin, ymin, xmax, ymax) that holds the text, mm of paper.
        size: height of the letters, mm.
        before: room kept on the shelf before the text, mm.
    Returns: the text as it stands; None, and nothing drawn, when there is no place.
    """
    best: _Place | None = None
    for target in targets:
        for angle in _DIRECTIONS:
            if abs(math.remainder(angle - target.heading, 2.0 * math.pi)) > target.spread + 1e-9:
                continue
            for reach in _REACHES:
                if best is not None and reach >= best.cost:
                    break
                place = _leader_place(sketch, target, angle, reach, (text, size, before), limit)
                if place is not None and (best is None or place.cost < best.cost):
                    best = place
    if best is None:
        return None
    sketch.draw(line(best.tip, best.knee, "thin"), line(best.knee, best.shelf, "thin"))
    sketch.draw(arrow(best.tip, unit_vector(best.knee, best.tip)))
    sketch.write(best.text)
    return best.text


def _leader_place(
    sketch: Sketch, target: Target, angle: float, reach: float, said: tuple[str, float, float], limit: Box
) -> _Place | None:
    c, s = math.cos(angle), math.sin(angle)
    text, size, before = said
    width = text_width(text, size) + before
    tip = (target.centre[0] + target.radius * c, target.centre[1] + target.radius * s)
    knee = (tip[0] + reach * c, tip[1] + reach * s)
    way = 1.0 if c >= 0.0 else -1.0
    shelf = (knee[0] + way * (width + 1.0), knee[1])
    x, y = min(knee[0], shelf[0]) + 0.5, knee[1] + LIFT
    box = (x, y - DESCENT * size, x + width, y + ASCENT * size)
    if not within((box[0], knee[1], box[2], box[3]), limit):
        return None
    board = sketch.board
    if board.text_under(grown(box, 0.4)) or board.is_inked((box[0] - 0.5, knee[1] - 0.8, box[2] + 0.5, box[3] + 0.5)):
        return None
    if board.text_on_line(tip, knee) or board.text_on_line(knee, shelf):
        return None
    start = (tip[0] + 1.0 * c, tip[1] + 1.0 * s)
    crossed = board.ink_on_line(start, knee)
    return _Place(reach + 1.2 * crossed, tip, knee, shelf, Text(x + before, y, text, size))


def dot(point: Xy, direction: Xy) -> float:
    """How far a point lies along a unit vector."""
    return point[0] * direction[0] + point[1] * direction[1]

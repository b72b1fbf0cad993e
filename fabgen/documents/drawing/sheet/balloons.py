"""Marks in circles with leaders to the parts they name (ISO 6433), where both find room."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from fabgen.documents.drawing.sheet.dimensions import FIGURE
from fabgen.documents.render.pdf import text_width
from fabgen.documents.render.picture import Arc, Fill, Text, line
from fabgen.documents.render.sketch import Sketch, arc_points, grown, text_box, within
from fabgen.geometry.plane.outline import Box, Xy

RADIUS = 4.0
_ASIDE = 1.4
"""Text this much narrower than the circle, mm on each side."""
_NEAREST, _FARTHEST, _STEP = 9.0, 90.0, 3.0
_DIRECTIONS = 24
_INK = 1.2
"""A leader that crosses a half-millimetre cell of ink counts as so much longer, mm."""
_DOT = 0.55


def radius_of(mark: str) -> float:
    return max(RADIUS, text_width(mark, FIGURE) / 2.0 + _ASIDE)


def balloon(sketch: Sketch, mark: str, spot: Xy, limit: Box) -> bool:
    """A circle with the mark, its leader ending in a dot on `spot`; False where `limit` leaves it no room.

    The nearest free place whose leader passes no text, one that crosses few lines before a nearer one.
    """
    radius = radius_of(mark)
    best, least = None, math.inf
    for reach in _reaches():
        if reach >= least:
            break
        for centre in _round_about(spot, reach):
            box = grown((*centre, *centre), radius + 0.6)
            if not within(box, limit) or not sketch.free(box):
                continue
            rim = _rim(centre, spot, radius)
            if sketch.board.text_on_line(spot, rim):
                continue
            cost = reach + _INK * sketch.board.ink_on_line(spot, rim)
            if cost < least:
                best, least = centre, cost
    if best is None:
        return False
    draw_balloon(sketch, mark, best, spot, radius, Fill(arc_points(Arc(*spot, _DOT))))
    return True


def draw_balloon(sketch: Sketch, mark: str, centre: Xy, spot: Xy, radius: float, tip: Fill) -> None:
    """A mark in a circle about `centre`, its leader to `spot`, and what that ends in there."""
    sketch.draw(Arc(*centre, radius, pen="thin"), line(_rim(centre, spot, radius), spot, "thin"), tip)
    text = Text(centre[0], centre[1] - FIGURE * 0.36, mark, FIGURE, "middle")
    sketch.write(text)
    sketch.board.add_text(grown(text_box(text), 0.6))


def balloons(sketch: Sketch, spots: Sequence[tuple[str, Xy]], limit: Box) -> list[str]:
    """A balloon for each (mark, place); the marks that found no room."""
    for _, spot in spots:  # no circle where another leader will end
        sketch.board.add_line(spot, spot)
    return [mark for mark, spot in spots if not balloon(sketch, mark, spot, limit)]


def _reaches() -> Iterator[float]:
    count = int((_FARTHEST - _NEAREST) / _STEP) + 1
    return (_NEAREST + _STEP * i for i in range(count))


def _round_about(spot: Xy, reach: float) -> Iterator[Xy]:
    """Places about a spot, slanting ones first: a leader should not run with the drawing's own lines."""
    for i in range(_DIRECTIONS):
        turn = 2.0 * math.pi * (i + 0.5) / _DIRECTIONS
        yield (spot[0] + reach * math.cos(turn), spot[1] + reach * math.sin(turn))


def _rim(centre: Xy, spot: Xy, radius: float) -> Xy:
    away = math.dist(centre, spot)
    return (centre[0] + (spot[0] - centre[0]) * radius / away, centre[1] + (spot[1] - centre[1]) * radius / away)

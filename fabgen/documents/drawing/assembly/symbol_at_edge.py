"""A weld's symbol placed beside a part, its arrow on the edge that is welded."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from fabgen.documents.drawing.sheet.dimensions import arrow
from fabgen.documents.render.picture import line
from fabgen.documents.render.sketch import Panel, Sketch, grown, within
from fabgen.geometry.plane.outline import Box, Xy

Tip = tuple[Xy, float]
"""Where an arrow may end, mm of paper, and the heading away from the metal there, rad."""

_ASIDE = tuple(math.radians(turn) for turn in (30, -30, 45, -45, 60, -60, 15, -15, 75, -75, 0))
"""How far an arrow may lean from square to its edge."""
_REACHES = (7.0, 10.0, 14.0, 19.0, 25.0, 32.0, 40.0, 50.0, 62.0)
_UPRIGHT = 0.3
"""Of an arrow as steep as this the symbol may run either way."""
_BARE = 0.6
"""Bare paper round a symbol, mm."""
_LATER = 2.0
"""What each later tip costs, mm of arrow, and a crossed cell of ink."""
_CROSSED = 1.2


@dataclass(frozen=True)
class _Place:
    cost: float
    tip: Xy
    foot: Xy
    panel: Panel


def symbol_at_edge(
    sketch: Sketch, tips: Iterable[Tip], symbol: Callable[..., Panel], limit: Box, most: float = math.inf
) -> bool:
    """Draw a symbol in the cheapest free place: it lies on nothing, and its arrow crosses no text.

    Args:
        sketch: with all that it has to keep clear of.
        tips: where its arrow may end, the best first.
        symbol: makes it, `leftward` or not, its arrow meeting it at the origin.
        limit: holds it, mm of paper.
        most: what its place may cost at most: the arrow's length, mm, and more for each line that it crosses.
    Returns: False, and nothing drawn, where there is no place.
    """
    panels = {leftward: symbol(leftward=leftward) for leftward in (False, True)}
    best: _Place | None = None
    for order, (tip, out) in enumerate(tips):
        for aside in _ASIDE:
            way = (math.cos(out + aside), math.sin(out + aside))
            for reach in _REACHES:
                if best is not None and reach + _LATER * order >= best.cost:
                    break
                foot = (tip[0] + reach * way[0], tip[1] + reach * way[1])
                for leftward in (False, True) if abs(way[0]) < _UPRIGHT else (way[0] < 0.0,):
                    panel = panels[leftward].moved(*foot)
                    if not _is_free(sketch, panel, (tip, foot), limit):
                        continue
                    start = (tip[0] + way[0], tip[1] + way[1])
                    cost = reach + _LATER * order + _CROSSED * sketch.board.ink_on_line(start, foot)
                    if cost <= most and (best is None or cost < best.cost):
                        best = _Place(cost, tip, foot, panel)
    if best is None:
        return False
    reach = math.dist(best.tip, best.foot)
    toward = ((best.tip[0] - best.foot[0]) / reach, (best.tip[1] - best.foot[1]) / reach)
    sketch.draw(line(best.foot, best.tip, "thin"), arrow(best.tip, toward), *best.panel.picture.items)
    sketch.board.add_text(best.panel.box)
    return True


def _is_free(sketch: Sketch, panel: Panel, leader: tuple[Xy, Xy], limit: Box) -> bool:
    """Whether a symbol has room, and its arrow crosses no text."""
    if not within(panel.box, limit) or not sketch.free(grown(panel.box, _BARE)):
        return False
    return not sketch.board.text_on_line(*leader)

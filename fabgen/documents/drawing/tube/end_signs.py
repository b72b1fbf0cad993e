"""Symbols of the welds round a tube's ends, in its view: each arrow ends on the cut edge, where its weld runs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import partial

import numpy as np

from fabgen.documents.drawing.assembly.symbol_at_edge import Tip, symbol_at_edge
from fabgen.documents.drawing.assembly.weld_symbol import weld_symbol
from fabgen.documents.drawing.sheet.long_axis import LongAxis
from fabgen.documents.drawing.sheet.sheet_frame import Projection
from fabgen.documents.drawing.tube.tube_shape import Side, TubeShape
from fabgen.documents.render.sketch import Sketch
from fabgen.geometry.plane.outline import Xy
from fabgen.job.tables.weld_tables import Weld
from fabgen.parts.piece import WorkedEnd
from fabgen.parts.shape.alike import names
from fabgen.parts.shape.bodies.length_body import top_frame
from fabgen.parts.shape.welds.end_welds import meets
from fabgen.wording.figures import Figures

_ROOMS = ((0.0, 16.0), (12.0, 30.0), (60.0, 60.0))
"""How far beyond what is drawn a symbol may reach, to the sides and up or down, mm of paper."""
_NEAR = 3.0
"""The line of a weld is no farther than this from the edge that a view draws, mm."""


def draw_end_signs(
    sketch: Sketch,
    shape: TubeShape,
    view: tuple[Side, LongAxis],
    welds: Sequence[tuple[WorkedEnd, Weld]],
    manner: tuple[Projection, Figures],
) -> None:
    """Draw the symbols of the welds round a tube's ends.

    Args:
        sketch: of one view, with all its dimensions.
        shape: the tube.
        view: from which side it is seen, and where its length lies on paper.
        welds: each with its end.
        manner: the drawing's projection and the job's units.
    """
    projection, figures = manner
    for end, weld in welds:
        marks = sorted(meets(end) & {*weld.parts})
        symbol = partial(weld_symbol, weld, projection, figures=figures, tail=f"on {names(marks)}")
        tips = _tips(shape, end, marks, view)
        x0, y0, x1, y1 = sketch.box
        any(symbol_at_edge(sketch, tips, symbol, (x0 - a, y0 - b, x1 + a, y1 + b)) for a, b in _ROOMS)


def _tips(shape: TubeShape, end: WorkedEnd, marks: Sequence[str], view: tuple[Side, LongAxis]) -> list[Tip]:
    """The uppermost and the lowest point of the edge along which an end is welded to some parts, and one in the
    middle of what the view sees of it."""
    side, axis = view
    finish = end.at == "finish"
    chains = shape.seen_edge(finish, side).solid
    edge = np.array([point for chain in chains for point in chain])
    run = _run(shape, end, marks, side)
    if run is not None and (near := _beside(edge, run)).any():
        edge = edge[near]
    low, high = edge[int(np.argmin(edge[:, 1]))], edge[int(np.argmax(edge[:, 1]))]
    middle = edge[int(np.argmin(np.abs(edge[:, 1] - (low[1] + high[1]) / 2.0)))]
    found: list[tuple[Xy, float]] = [
        ((float(high[0]), float(high[1])), math.pi / 2.0),
        ((float(low[0]), float(low[1])), -math.pi / 2.0),
        ((float(middle[0]), float(middle[1])), 0.0 if finish else math.pi),
    ]
    return [(axis.at(point), heading) for point, heading in found]


def _run(shape: TubeShape, end: WorkedEnd, marks: Sequence[str], side: Side) -> np.ndarray | None:
    """The welds' lines in the view, (n, 2) as (s, height); None where the job does not place the tube."""
    runs = [weld.run.points for weld in end.welds if weld.onto in marks]
    if not runs or shape.part.frame is None:
        return None
    points = top_frame(end).inside(np.vstack(runs))
    points = points[~np.isnan(points).any(axis=1)]
    s = points[:, 0] + (shape.span if end.at == "finish" else 0.0)
    return np.column_stack((s, points[:, 2 if side == "front" else 1]))


def _beside(edge: np.ndarray, run: np.ndarray) -> np.ndarray:
    """Which points of an edge have a weld's line beside them."""
    if not len(run):
        return np.zeros(len(edge), dtype=bool)
    away = np.linalg.norm(edge[:, None] - run[None], axis=2).min(axis=1)
    return np.asarray(away < _NEAR)

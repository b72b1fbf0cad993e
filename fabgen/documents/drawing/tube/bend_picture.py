"""Pictures of a bent tube: the straight tube with its marks, not to scale, and the bent one seen square to its first
bend and, where it does not lie in one plane, from above that as well, to scale with its sizes.

The outline of the bent tube is the union of what its straights and short parts of its bends cover,
seen along parallel lines.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from shapely import MultiPoint, unary_union

from fabgen.documents.drawing.sheet.blocks import titled
from fabgen.documents.drawing.sheet.dimensions import (
    FIGURE,
    GAP,
    DimensionLine,
    Length,
    Target,
    draw_leader,
    draw_length,
)
from fabgen.documents.drawing.sheet.lanes import Side, draw_sides, spread
from fabgen.documents.drawing.sheet.views import FARTHEST, FINER, SCALES, scale_name
from fabgen.documents.render.picture import Anchor, Arc, Fill, Picture, Text, line, polyline, rectangle
from fabgen.documents.render.sketch import Panel, Sketch, grown, joined
from fabgen.documents.render.words import length_text
from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.centreline import Centreline
from fabgen.parts.piece import LengthPart, WorkedEnd
from fabgen.parts.shape.sections import section_profile
from fabgen.wording.figures import Figures

BAR = 7.0
"""Height of the straight tube on paper, mm."""
_STEP = math.radians(4.0)
_LEVEL = 4.0
_APART = 10.0
"""Bare paper between two views, mm."""
_TRUE = 0.9998
"""What leans less than this cosine out of a view's plane is dimensioned there."""
_MOST_LEGS = 9
"""Of more straights than this the table has the lengths."""
_FLAT = math.radians(1.0)
"""Bends within this of one plane are drawn in one view."""


# -- the straight tube with its marks ------------------------------------------------
def marked_bar(part: LengthPart, width: float, units: str) -> Panel:
    """The tube before it is bent, `width` mm of paper long: where the marks go and what the bends take."""
    sketch = Sketch()
    scale = width / part.length
    for bend in part.bends:
        x0, x1 = bend.at * scale, (bend.at + bend.length) * scale
        sketch.draw(Fill(((x0, 0.0), (x1, 0.0), (x1, BAR), (x0, BAR)), 0.82))
        sketch.draw(line((x0, 0.0), (x0, BAR), "thin"), line((x1, 0.0), (x1, BAR), "thin"))
    sketch.draw(rectangle(0.0, 0.0, width, BAR), line((-3.0, BAR / 2.0), (width + 3.0, BAR / 2.0), "centre"))
    true = [bend.mark * scale for bend in part.bends]
    pitch = FIGURE * 1.15
    for bend, x, place in zip(part.bends, true, spread(true, pitch), strict=True):
        sketch.draw(line((x, -1.0), (x, BAR + 2.0)))
        if len(true) * pitch < width:
            sketch.draw(line((x, BAR + 2.0), (place, BAR + 2.0 + _LEVEL), "thin"))
            figure = Text(place + FIGURE * 0.36, BAR + 2.6 + _LEVEL, length_text(bend.mark, units), FIGURE, turn=90.0)
            sketch.write(figure)
    middles = [(bend.at + bend.length / 2.0) * scale for bend in part.bends]
    for i, x in enumerate(spread(middles, 1.6 * FIGURE), 1):
        sketch.write(Text(x, -1.0 - FIGURE, str(i), FIGURE, "middle", bold=True))
    sketch.write(Text(0.0, -2.0 - 2.0 * FIGURE, "start, saw cut", FIGURE))
    sketch.write(Text(width, -2.0 - 2.0 * FIGURE, f"finish, {length_text(part.length, units)}", FIGURE, "end"))
    return sketch.panel()


# -- the bent tube ---------------------------------------------------------------------
@dataclass(frozen=True, eq=False)
class _TubeRing:
    """The tube's outside at one place: (n, 3), and the centre."""

    outside: Array
    centre: Array


def bent_views(part: LengthPart, room: Xy, figures: Figures) -> Panel:
    """The bent tube in one or two views, beside or below one another, as large as a scale of ISO 5455 lets them be in
    `room` mm of paper: overall sizes, what is straight between the bends, and radii of the centreline.

    Args:
        part: the tube.
        room: width and height, mm of paper.
        figures: of the job's units.
    """
    path = part.path
    assert path is not None
    rings = _rings(part, path)
    first = path.turns[0]
    up = np.cross(first.axis, first.frame.x)
    looks = [("Square to bend 1", np.vstack((first.frame.x, up)))]
    if any(abs(math.sin(turn.from_top - first.from_top)) > math.sin(_FLAT) for turn in path.turns):
        looks.append(("From above that", np.vstack((first.frame.x, -first.axis))))
    flats = [
        (title, _Flat(part, path, rings, look, looks[0][1] if i else None, figures))
        for i, (title, look) in enumerate(looks)
    ]
    scales = sorted({*SCALES, *FINER, *FARTHEST}, reverse=True)
    least = max(0.0, *(max(flat.size[0] / room[0], flat.size[1] / room[1]) for _, flat in flats))
    made = Panel(Picture.of(()), (0.0, 0.0, 0.0, 0.0))
    for scale in (each for each in scales if each <= 1.0 and each * least <= 1.0):
        views = [titled(flat.sketch(scale).panel(), f"{title}, {scale_name(scale)}", FIGURE * 0.8)
                 for title, flat in flats]  # fmt: skip
        for arranged in (_side_by_side, _stacked):
            made = arranged(views)
            if made.width <= room[0] and made.height <= room[1]:
                return made
    return made


class _Flat:
    """The bent tube seen along one direction: `look` holds the page's two directions in space, (2, 3), and `before`
    those of a view before, which has the same first one."""

    def __init__(
        self,
        part: LengthPart,
        path: Centreline,
        rings: Sequence[_TubeRing],
        look: Array,
        before: Array | None,
        figures: Figures,
    ) -> None:
        self.part, self.path, self.look, self.before, self.figures = part, path, look, before, figures
        self.outlines = [ring.outside @ look.T for ring in rings]
        self.middles = [ring.centre @ look.T for ring in rings]
        every = np.vstack(self.outlines)
        self.size = np.ptp(every, axis=0)
        self.corners = (*every.min(axis=0).tolist(), *every.max(axis=0).tolist())
        self.shape = unary_union([MultiPoint(np.vstack(pair)).convex_hull for pair in pairwise(self.outlines)])
        self.ends = (rings[0].centre, rings[-1].centre)

    def sketch(self, scale: float) -> Sketch:
        sketch = Sketch()
        for polygon in getattr(self.shape, "geoms", [self.shape]):
            for ring in (polygon.exterior, *polygon.interiors):
                points = np.array(ring.simplify(0.02 / scale).coords)[:-1] * scale
                sketch.draw(polyline(points.tolist(), "visible", True))
        sketch.draw(polyline((np.array(self.middles) * scale).tolist(), "centre"))
        for turn in self.path.turns:
            for frame in (turn.frame, turn.end):
                _limit(sketch, self.part, frame, self.look, scale)
        for i, turn in enumerate(self.path.turns, 1):
            middle = turn.frame_at(turn.length / 2.0)
            ways = ((middle.origin - turn.centre) @ self.look.T, np.array([0.0, 1.0]), np.array([1.0, 0.0]))
            _number(sketch, middle.origin @ self.look.T, ways, self.part.section.reach, scale, str(i))
        self._radii(sketch, scale)
        self._legs(sketch, scale)
        self._overall(sketch, scale)
        ends = (self.middles[0], self.middles[1]), (self.middles[-1], self.middles[-2])
        for (place, before), at in zip(ends, ("start", "finish"), strict=True):
            _name(sketch, place * scale, place - before, at)
        return sketch

    def _overall(self, sketch: Sketch, scale: float) -> None:
        """Height over all, and width where no view before has it."""
        x0, y0, x1, y1 = (float(v) * scale for v in self.corners)
        below, left = Side("below"), Side("left")
        if self.before is None:
            below.lengths.append(Length((x0, y0), (x1, y0), self.figures.tape(float(self.size[0]))))
        left.lengths.append(Length((x0, y0), (x0, y1), self.figures.tape(float(self.size[1]))))
        draw_sides(sketch, sketch.box, below, left)

    def _legs(self, sketch: Sketch, scale: float) -> None:
        """What is straight before, between and after the bends, of straights that lie in the view's plane and in that
        of none before."""
        straights = self.path.straights
        if len(straights) > _MOST_LEGS:
            return
        middle = np.mean(self.middles, axis=0)
        last = self.path.length
        for each in straights:
            a = self.ends[0] if each.at < 1e-6 else each.frame.origin
            b = self.ends[1] if each.at + each.length > last - 1e-6 else each.end.origin
            long = float(np.linalg.norm(b - a))
            if long < 1.0 or not _lies_in(self.look, b - a) or (
                self.before is not None and _lies_in(self.before, b - a)
            ):  # fmt: skip
                continue
            (p, q) = ((end @ self.look.T) * scale for end in (a, b))
            along = (q - p) / float(np.linalg.norm(q - p))
            if along[0] < -1e-9 or (abs(along[0]) < 1e-9 and along[1] < 0.0):
                along = -along
            out = np.array([-along[1], along[0]])
            if float((p - middle * scale) @ out) < 0.0:
                out = -out
            dim = Length((float(p[0]), float(p[1])), (float(q[0]), float(q[1])), self.figures.tape(long))
            _beside(sketch, dim, (along, out), self.part.section.reach * scale)

    def _radii(self, sketch: Sketch, scale: float) -> None:
        """Radii of the centreline, of bends that lie in the view's plane; of many alike of the first."""
        normal = np.cross(*self.look)
        said: set[float] = set()
        for turn in self.path.turns:
            if abs(float(turn.axis @ normal)) < _TRUE or (len(self.path.turns) > 2 and round(turn.radius, 2) in said):
                continue
            said.add(round(turn.radius, 2))
            on = turn.frame_at(turn.length / 2.0).origin
            (x, y), (u, v) = (on @ self.look.T) * scale, (turn.centre - on) @ self.look.T
            limit = grown(sketch.box, 15.0)
            inward = Target((float(x), float(y)), 0.0, math.atan2(float(v), float(u)), 0.9)
            draw_leader(sketch, [inward, replace(inward, spread=math.pi)], f"R{self.figures.size(turn.radius)}", limit)


def _lies_in(look: Array, way: Array) -> bool:
    """Whether a direction lies in a view's plane."""
    return float(np.linalg.norm(look @ way)) > _TRUE * float(np.linalg.norm(way))


def _beside(sketch: Sketch, dim: Length, axes: tuple[Array, Array], reach: float) -> None:
    """A dimension beside a straight, on its outer side if that can be, as near as it finds room."""
    along, out = (tuple(float(v) for v in way) for way in axes)
    for sign in (1.0, -1.0):
        way = (sign * out[0], sign * out[1])
        foot = dim.a[0] * way[0] + dim.a[1] * way[1]
        clear = replace(dim, gap_a=reach + GAP, gap_b=reach + GAP)
        for more in (7.0, 10.0, 14.0, 19.0):
            if draw_length(sketch, clear, DimensionLine((along[0], along[1]), way, foot + reach + more)):
                return


def _limit(sketch: Sketch, part: LengthPart, frame: Frame, look: Array, scale: float) -> None:
    """A thin line across the tube where a bend begins or ends."""
    along, middle = frame.x @ look.T, frame.origin @ look.T
    long = float(np.linalg.norm(along))
    if long < 0.3:
        return
    across = np.array([-along[1], along[0]]) / long * part.section.reach
    ends = (middle - across) * scale, (middle + across) * scale
    sketch.draw(line((float(ends[0][0]), float(ends[0][1])), (float(ends[1][0]), float(ends[1][1])), "thin"))


def _number(sketch: Sketch, place: Array, ways: Sequence[Array], reach: float, scale: float, text: str) -> None:
    """The bend's number in a ring beside it, on its outside where that is seen."""
    for way in ways:
        long = float(np.linalg.norm(way))
        if long < 1e-6:
            continue
        for sign in (1.0, -1.0):
            for extra in (4.5, 7.0, 10.0):
                x, y = (float(v) for v in place * scale + sign * (reach * scale + extra) * way / long)
                if sketch.free((x - 2.8, y - 2.8, x + 2.8, y + 2.8)):
                    sketch.draw(Arc(x, y, 2.6, pen="thin"))
                    sketch.write(Text(x, y - FIGURE * 0.36, text, FIGURE, "middle", bold=True))
                    return


def _name(sketch: Sketch, place: Array, way: Array, text: str) -> None:
    """'start' or 'finish', beyond the end."""
    long = float(np.linalg.norm(way))
    ahead = way / long if long > 1e-9 else np.array([1.0, 0.0])
    anchors: tuple[Anchor, ...] = ("start", "end") if ahead[0] >= -0.3 else ("end", "start")
    spots = [
        Text(float(x), float(y) + dy - FIGURE * 0.36, text, FIGURE, anchor, bold=True)
        for x, y in (place + beyond * ahead for beyond in (3.5, 6.0, 10.0, 15.0))
        for anchor in anchors
        for dy in (0.0, 3.5, -3.5, 7.0, -7.0)
    ]
    sketch.write_free(spots)


def _rings(part: LengthPart, path: Centreline) -> list[_TubeRing]:
    """The outside at places along the tube, from saw cut to saw cut."""
    first = _saw_cut(part.ends[0], path.start.origin)
    last = path.length - _saw_cut(part.ends[1], path.finish.origin)
    inner = [s for s in path.stations(_STEP) if first < s < last]
    skin = section_profile(part.section, math.pi / 2.0).skin[::6]
    rings = []
    for s in (first, *inner, last):
        frame = path.frame_at(s)
        rings.append(_TubeRing(frame.origin + skin @ np.vstack((frame.y, frame.z)), frame.origin))
    return rings


def _saw_cut(end: WorkedEnd, route: Array) -> float:
    """How far inside the route's end the tube is sawn off, mm."""
    return float((end.frame.origin - route) @ end.frame.x) + end.line.longest


def _side_by_side(panels: Sequence[Panel]) -> Panel:
    """From left to right, their upper edges level."""
    placed: list[Panel] = []
    for panel in panels:
        left = placed[-1].box[2] + _APART if placed else 0.0
        placed.append(panel.moved(left - panel.box[0], -panel.box[3]))
    return joined(placed)


def _stacked(panels: Sequence[Panel]) -> Panel:
    """Below one another."""
    placed: list[Panel] = []
    for panel in panels:
        top = placed[-1].box[1] - _APART / 2.0 if placed else 0.0
        placed.append(panel.moved(-panel.box[0], top - panel.box[3]))
    return joined(placed)

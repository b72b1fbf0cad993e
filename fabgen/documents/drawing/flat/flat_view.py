"""The dimensioned view of a flat pattern: outline, holes, bends, and every size a shop needs to check it.

Datum is the lower left corner (the centre for a disc).  Hole positions and overall sizes go
below and to the left, steps of the outline and bend lines above and to the right, diameters
and radii on leaders.  When holes or corners are many their positions go into a table, as do
points of freely curved lines (`point_tables.py`).  A panel that is nearly square has its sides
and a diagonal dimensioned instead (`panel_sides.py`).

All that is dimensioned is kept as data too (`drawn_sizes.py`).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from fabgen.documents.drawing.flat.bend_lines import (
    MANY_BENDS,
    bend_says,
    draw_bend_lines,
    label_askew,
    label_inside,
    number_bends,
    square_axis,
)
from fabgen.documents.drawing.flat.drawn_sizes import DrawnSize, Kind
from fabgen.documents.drawing.flat.edge_signs import EdgeSigns
from fabgen.documents.drawing.flat.outline_features import CutOut, Fillet, OutlineFeatures, outline_features
from fabgen.documents.drawing.flat.panel_sides import corners_of_panel, draw_panel_sides
from fabgen.documents.drawing.flat.point_tables import (
    NamedPoint,
    etched_lines,
    is_curved,
    named_curves,
    tabled_corners,
)
from fabgen.documents.drawing.flat.what_follows import WhatFollows, bracketed
from fabgen.documents.drawing.sheet.dimensions import FIGURE, Length, Target, draw_leader
from fabgen.documents.drawing.sheet.lanes import Side, SideName, Station, edge
from fabgen.documents.render.lettering import HEADING
from fabgen.documents.render.pdf import text_width
from fabgen.documents.render.picture import Arc, Pen, Text, line, loop_items, polyline
from fabgen.documents.render.sketch import Sketch
from fabgen.geometry.plane.lettering import strokes
from fabgen.geometry.plane.outline import Box, Circle, Loop, Xy
from fabgen.parts.piece import FlatPart, Mark
from fabgen.parts.shape.alike import names
from fabgen.parts.shape.hole_groups import BoltCircle, HoleGroup, Lattice, distinct, hole_groups, tabled_holes
from fabgen.wording.figures import Figures

FEW = 2
"""Up to this many positions on one side are single lengths; more are running dimensions."""
_SIDES: tuple[SideName, ...] = ("below", "left", "above", "right")
_NEAR: tuple[SideName, SideName] = ("below", "left")
_FAR: tuple[SideName, SideName] = ("above", "right")
"""The sides that positions along x and along y are dimensioned on: near the datum, and far from it."""
_AXIS: dict[SideName, int] = {"below": 0, "above": 0, "left": 1, "right": 1}
ON_BEND = 0.1
"""A corner this near to the end of a bend line lies there, mm."""
STANDS = ("bottom edge", "foot")
"""Feet of a placed part that are the lowest edge of its flat."""
ETCHED = 3.5
"""Etched letters are drawn no lower than this, mm of paper."""
DOT = 0.5
"""Radius of the dot at a point that a table names, mm of paper."""


@dataclass
class FlatDrawing:
    """The view and what found no place in it."""

    sketch: Sketch
    scale: float
    left_out: list[str] = field(default_factory=list)
    sizes: list[DrawnSize] = field(default_factory=list)


def draw_flat(
    part: FlatPart,
    scale: float,
    figures: Figures,
    room: Xy,
    more: Callable[[Sketch, FlatPart, float], None],
    signs: EdgeSigns | None = None,
) -> FlatDrawing:
    """The flat with its dimensions; what is said of bends stands on the metal only where that makes it fit the room.

    Args:
        scale: mm of paper to 1 mm.
        room: (width, height), mm of paper, that leaders stay within if they can.
        more: draws further dimensions on the metal, before those beside it.
        signs: what stands at edges that meet others; None where nobody looked which do, or none does.
    """
    beyond = _drawn(_FlatView(part, scale, figures, signs), room, more)
    if _fits(beyond, room) or not 0 < len(part.bends) <= MANY_BENDS:
        return beyond
    inside = _drawn(_FlatView(part, scale, figures, signs, bends_inside=True), room, more)
    return inside if _fits(inside, room) and len(inside.left_out) <= len(beyond.left_out) else beyond


def _drawn(view: _FlatView, room: Xy, more: Callable[[Sketch, FlatPart, float], None]) -> FlatDrawing:
    view.draw_metal()
    more(view.sketch, view.part, view.scale)
    view.draw_sides()
    view.draw_labels(room)
    return view.drawing


def _fits(drawing: FlatDrawing, room: Xy) -> bool:
    x0, y0, x1, y1 = drawing.sketch.box
    return x1 - x0 <= room[0] and y1 - y0 <= room[1]


class _FlatView:
    def __init__(
        self, part: FlatPart, scale: float, figures: Figures, signs: EdgeSigns | None, bends_inside: bool = False
    ) -> None:
        self.part, self.scale, self.figures, self.bends_inside = part, scale, figures, bends_inside
        self.signs = signs
        self.sketch = Sketch()
        self.drawing = FlatDrawing(self.sketch, scale)
        self.features: OutlineFeatures = outline_features(part.outline)
        self.groups = hole_groups(part, figures)
        self.disc = isinstance(part.outline, Circle)
        x0, y0, x1, y1 = part.outline.bounds
        self.box: Box = (x0 * scale, y0 * scale, x1 * scale, y1 * scale)
        self.datum: Xy = (part.outline.x, part.outline.y) if isinstance(part.outline, Circle) else (x0, y0)
        self.tabled = tabled_holes(self.groups)
        self.hole_values: tuple[list[float], list[float]] = ([], [])
        """Positions along x and y that holes' dimensions give already."""
        self.in_table = {id(each.group) for each in self.tabled}
        self.panel = corners_of_panel(self.features.corners, _sides_of(part.outline))
        self.curves = [] if part.surface else named_curves(part, self.features)
        self.corners = tabled_corners(part, self.features)
        self.etched = etched_lines(part, figures)
        self.sizes = self.drawing.sizes
        self.radii: dict[str, bool] = {}
        """Of each radius whether it follows from other sizes."""
        self.follows = WhatFollows(part.outline, (edge for run in self.features.runs for edge in run))

    def at(self, point: Xy) -> Xy:
        return (point[0] * self.scale, point[1] * self.scale)

    # -- the metal ----------------------------------------------------------
    def draw_metal(self) -> None:
        self.sketch.draw(*loop_items(self.part.outline, scale=self.scale))
        for hole in self.part.all_holes:
            self.sketch.draw(*loop_items(hole.shape, "hidden" if hole.drilled else "visible", self.scale))
        for group in self.groups:
            for centre, hole in zip(group.centres, group.holes, strict=True):
                if not (self.disc and math.dist(centre, self.datum) < 0.05):
                    self._centre_mark(centre, hole.shape)
            if isinstance(group.pattern, BoltCircle):
                c = self.at(group.pattern.centre)
                self.sketch.draw(Arc(c[0], c[1], group.pattern.diameter * self.scale / 2.0, pen="centre"))
                if math.dist(group.pattern.centre, self.datum) > 0.05 or not self.disc:
                    self._cross(c, (2.0, 2.0))
        if self.disc:
            r = (self.box[2] - self.box[0]) / 2.0 + 2.0
            self._cross(self.at(self.datum), (r, r))
        draw_bend_lines(self.sketch, self.part, self.scale)
        for sharp, *ends in self.features.virtual if not self.part.surface else ():
            for end in map(self.at, ends):
                if math.dist(end, self.at(sharp)) > 1.0:
                    self.sketch.draw(line(end, _longer(end, self.at(sharp), 1.5)[1], "thin"))
        for point in (*self.corners, *(point for curve in self.curves for point in curve.points)):
            self.sketch.draw(Arc(*self.at(point.at), DOT, pen="thin"))
        for mark in self.part.marks:
            if mark.text and mark.height * self.scale < ETCHED:
                continue
            _draw_mark(self.sketch, mark, self.scale)

    def _etch(self) -> None:
        """Etched letters that at their size would be too low to read."""
        small = [mark for mark in self.part.marks if mark.text and mark.height * self.scale < ETCHED]
        shown = {mark.text for mark in small if self._etched_larger(mark)}
        if hidden := [mark.text for mark in small if mark.text not in shown]:
            self._leave_out(f"etched besides: {', '.join(dict.fromkeys(hidden))}")

    def _etched_larger(self, mark: Mark) -> bool:
        """Etched letters that would be too low on paper, where they stand but larger."""
        wide = text_width(mark.text, mark.height * self.scale)
        x, y = self.at(mark.at)
        cx, cy = x + wide / 2.0, y + mark.height * self.scale / 2.0
        size = HEADING
        places = ((dx, dy) for dx in (0.0, 2.0, -2.0, 5.0, -5.0, 9.0, -9.0, 14.0) for dy in (0.0, 1.0, -1.0, 2.0, -2.0))
        texts = (Text(cx + dx, cy + dy - ETCHED / 2.0, mark.text, size, "middle") for dx, dy in places)
        return self.sketch.write_free(texts, self.box, 0.3)

    def _centre_mark(self, centre: Xy, shape: Loop) -> None:
        x0, y0, x1, y1 = shape.bounds
        self._cross(self.at(centre), ((x1 - x0) * self.scale / 2.0 + 1.5, (y1 - y0) * self.scale / 2.0 + 1.5))

    def _cross(self, c: Xy, arms: Xy) -> None:
        pens: list[Pen] = ["centre" if arm > 6.0 else "thin" for arm in arms]
        self.sketch.draw(line((c[0] - arms[0], c[1]), (c[0] + arms[0], c[1]), pens[0]))
        self.sketch.draw(line((c[0], c[1] - arms[1]), (c[0], c[1] + arms[1]), pens[1]))

    # -- beside the view ----------------------------------------------------
    def draw_sides(self) -> None:
        sides: dict[SideName, Side] = {name: Side(name) for name in _SIDES}
        stations: dict[SideName, list[Station]] = {name: [] for name in _SIDES}
        start = self.box
        if self.panel:
            holes = [centre for group in self.groups for centre in group.centres]
            self.sizes += draw_panel_sides(self.sketch, self.panel, holes, self.scale, self.figures)
            start = self.sketch.box
        for axis in (0, 1):
            self._hole_positions(axis, sides[_NEAR[axis]], stations[_NEAR[axis]])
            self._line_positions(axis, stations)
        overall = [self._overall_follows(axis) for axis in (0, 1)]
        for fillet in self._fillets():
            if (text := self._radius_text(fillet)) not in self.radii:
                self.radii[text] = self.follows.radius(fillet.radius) or self._of_sector(fillet)
        if self.part.rolled is None or not self.features.fillets:
            for axis in (0, 1) if not (self.corners or self.panel) else ():
                self._steps(axis, stations)
            for cut in self.features.cut_outs:
                self._cut_out(cut, sides, stations)
        for name in _SIDES:
            stations[name] = _once(stations[name], _AXIS[name])
        if not self.disc:
            for axis in (0, 1):
                self._overall(axis, sides, stations, overall[axis])
        for name, side in sides.items():
            self._fill(side, stations[name])
            without = side.draw(self.sketch, edge(name, start))
            self.drawing.left_out += [f"row of holes along {'xy'[_AXIS[name]]}: {dim.text}" for dim in without]

    def _overall(
        self, axis: int, sides: dict[SideName, Side], stations: dict[SideName, list[Station]], follows: bool
    ) -> None:
        """The size over all: outermost on a side without running dimensions, else the last of these."""
        bounds = self.part.outline.bounds
        text = bracketed(self.figures.length(bounds[axis + 2] - bounds[axis]), follows)
        for name in (_NEAR[axis], _FAR[axis]):
            if not _runs(stations[name]):
                ends = [self._corner(name, bounds[i]) for i in (axis, axis + 2)]
                sides[name].outermost.append(Length(self.at(ends[0]), self.at(ends[1]), text))
                self._along(axis, ends[0], ends[1], text, follows)
                return
        near = _NEAR[axis]
        far = self._corner(near, bounds[axis + 2])
        stations[near].append(Station(self.at(far), text))
        self._along(axis, self._corner(near, bounds[axis]), far, text, follows)

    def _overall_follows(self, axis: int) -> bool:
        """Whether the size over all follows from other sizes: from arcs that touch the outermost edges, a panel's
        sides, or a table of corners or of a cone's sector."""
        if self.disc:
            return False
        for corner in self.corners:
            self.follows.place(axis, corner.at[axis])
        known = self.follows.place(axis, self.part.outline.bounds[axis + 2])
        if self.panel:
            level = any(
                abs(a[i] - b[i]) < 0.005 for a, b in zip(self.panel, self.panel[1:], strict=False) for i in (0, 1)
            )
            return level or axis == 1
        return known or (self.part.rolled is not None and self.part.rolled.sector is not None)

    def _along(self, axis: int, start: Xy, end: Xy, text: str, reference: bool = False) -> None:
        """Keep a length along an axis."""
        kind: Kind = "x" if axis == 0 else "y"
        self.sizes.append(DrawnSize(kind, (start, end), text, reference))

    def _corner(self, side: SideName, wanted: float) -> Xy:
        """The outline's point at that position along a side, the one nearest to the side."""
        axis, way = _AXIS[side], 1.0 if side in ("below", "left") else -1.0
        points = [p for p in self.features.corners if abs(p[axis] - wanted) < 0.05]
        if not points:
            flat = ((float(x), float(y)) for x, y in self.part.outline.points(0.05))
            nearest = min(flat, key=lambda p: (round(abs(p[axis] - wanted), 1), way * p[1 - axis]))
            return (wanted, nearest[1]) if axis == 0 else (nearest[0], wanted)
        return min(points, key=lambda p: way * p[1 - axis])

    def _hole_positions(self, axis: int, side: Side, stations: list[Station]) -> None:
        wanted: list[tuple[Xy, float]] = []  # centre, half height across the side
        for group in self.groups:
            if is_curved(group.holes[0].shape):
                continue
            pattern = group.pattern
            if isinstance(pattern, BoltCircle):
                if math.dist(pattern.centre, self.datum) > 0.05 or not self.disc:
                    wanted.append((pattern.centre, 2.0 / self.scale))
            elif isinstance(pattern, Lattice):
                values = (pattern.xs, pattern.ys)[axis]
                lowest = (pattern.xs, pattern.ys)[1 - axis][0]
                points = [(v, lowest) if axis == 0 else (lowest, v) for v in values]
                half = self._half(group, axis)
                if len(values) > 2:
                    pitch = self._pitch(points, half, axis)
                    side.lengths.append(pitch)
                    self.sizes.append(DrawnSize("row x" if axis == 0 else "row y", tuple(points), pitch.text))
                    points = points[:1]
                wanted += [(p, half) for p in points]
            elif id(group) not in self.in_table:
                wanted += [(p, self._half(group, axis)) for p in group.centres]
        for value in distinct(p[axis] for p, _ in wanted if abs(p[axis] - self.datum[axis]) > 0.05):
            p, half = min((w for w in wanted if abs(w[0][axis] - value) <= 0.05), key=lambda w: w[0][1 - axis])
            self.hole_values[axis].append(value)
            follows = not self.disc and self.follows.place(axis, value)
            text = bracketed(self.figures.length(abs(value - self.datum[axis])), follows)
            stations.append(Station(self._foot(p, half, axis), text, 0.0))
            self._along(axis, self.datum, p, text, follows)

    def _half(self, group: HoleGroup, axis: int) -> float:
        bounds = group.holes[0].shape.bounds
        return (bounds[3 - axis] - bounds[1 - axis]) / 2.0

    def _foot(self, centre: Xy, half: float, axis: int) -> Xy:
        """Where the extension line leaves a hole's centre mark, mm of paper."""
        x, y = self.at(centre)
        drop = half * self.scale + 1.5
        return (x, y - drop) if axis == 0 else (x - drop, y)

    def _pitch(self, points: Sequence[Xy], half: float, axis: int) -> Length:
        count, total = len(points) - 1, points[-1][axis] - points[0][axis]
        text = f"{count} x {self.figures.length(total / count)} (= {self.figures.length(total)})"
        return Length(self._foot(points[0], half, axis), self._foot(points[-1], half, axis), text, 0.0, 0.0)

    def _fill(self, side: Side, stations: list[Station]) -> None:
        """Few positions as lengths from the datum, more as running dimensions."""
        axis = _AXIS[side.name]
        datum = self.at(self.datum if self.disc else self._corner(side.name, self.part.outline.bounds[axis]))
        if not _runs(stations):
            side.lengths += [Length(datum, s.at, s.text, 0.0 if self.disc else 1.0, s.gap) for s in stations]
        else:
            side.origin = datum
            side.stations += stations

    def _steps(self, axis: int, stations: dict[SideName, list[Station]]) -> None:
        """Corners of the outline between its ends, each on the side that it is nearer to."""
        bounds = self.part.outline.bounds
        known = self.hole_values[axis]
        # Of a made shape the ends of its bend lines are in their table.
        bends = self.part.bends if self.part.surface else ()
        tabled = [end for bend in bends if square_axis(bend) is None for end in (bend.start, bend.end)]
        shown = [p for p in self.features.corners if all(math.dist(p, end) > ON_BEND for end in tabled)]
        for value in distinct(p[axis] for p in shown):
            if not bounds[axis] + 0.05 < value < bounds[axis + 2] - 0.05 or any(abs(value - k) <= 0.05 for k in known):
                continue
            if self.follows.place(axis, value):
                continue
            near, far = self._corner(_NEAR[axis], value), self._corner(_FAR[axis], value)
            to_near, to_far = near[1 - axis] - bounds[1 - axis], bounds[3 - axis] - far[1 - axis]
            name, p = (_NEAR[axis], near) if to_near < to_far - 0.05 else (_FAR[axis], far)
            text = self.figures.length(value - bounds[axis])
            stations[name].append(Station(self.at(p), text))
            self._along(axis, self._corner(name, bounds[axis]), p, text)

    def _cut_out(self, cut: CutOut, sides: dict[SideName, Side], stations: dict[SideName, list[Station]]) -> None:
        """A curved cut-out: how far from the end it begins, its width, and its height on the side nearer to it."""
        bounds, axis = self.part.outline.bounds, cut.axis
        near = abs(cut.ends[0][1 - axis] - bounds[1 - axis]) < 0.05
        name = (_NEAR if near else _FAR)[axis]
        (first, last), low = cut.ends, bounds[axis]
        begins = self.figures.length(first[axis] - low)
        stations[name].append(Station(self.at(first), begins))
        self._along(axis, self._corner(name, low), first, begins)
        width = self.figures.length(last[axis] - first[axis])
        sides[name].lengths.append(Length(self.at(first), self.at(last), width))
        self._along(axis, first, last, width)
        level, deepest = cut.ends[0][1 - axis], cut.deepest
        middle = (bounds[axis] + bounds[axis + 2]) / 2.0
        beside = (_FAR if deepest[axis] >= middle - 0.05 else _NEAR)[1 - axis]
        # From the cut-out's nearer end, so that the figure stands beside what it measures.
        foot = last if beside == _FAR[1 - axis] else first
        height = self.figures.length(abs(deepest[1 - axis] - level))
        sides[beside].lengths.append(Length(self.at(foot), self.at(deepest), height))
        self._along(1 - axis, foot, deepest, height)

    def _line_positions(self, axis: int, stations: dict[SideName, list[Station]]) -> None:
        """Bend lines that run square across, and etched ones, from the datum edge: each at its own nearer end."""
        low, high = self.part.outline.bounds[1 - axis], self.part.outline.bounds[3 - axis]
        ends = [
            (bend.start, bend.end, number)
            for number, bend in enumerate(self.part.bends, 1)
            if square_axis(bend) == axis
        ]
        ends += [(*line, 0) for at, line in self.etched.square if at == axis]
        for a, b, number in ends:
            near, far = sorted((a, b), key=lambda p: p[1 - axis])
            at_far = high - far[1 - axis] <= near[1 - axis] - low + 0.05
            name, p = (_FAR[axis], far) if at_far else (_NEAR[axis], near)
            x, y = self.at(p)
            off = 2.0 if at_far else -2.0
            tip = (x, y + off) if axis == 0 else (x + off, y)
            text = self.figures.length(p[axis] - self.part.outline.bounds[axis])
            labelled = number and len(self.part.bends) <= MANY_BENDS and not self.bends_inside
            says = bend_says(number, self.part.bends[number - 1], self.figures) if labelled else None
            stations[name].append(Station(tip, text, 0.0, says=says))
            self.follows.place(axis, p[axis])
            if not any(abs(p[axis] - k) <= 0.05 for k in self.hole_values[axis]):
                self._along(axis, self._corner(name, self.part.outline.bounds[axis]), p, text)
            self.hole_values[axis].append(p[axis])

    def _leave_out(self, text: str) -> None:
        if text not in self.drawing.left_out:
            self.drawing.left_out.append(text)

    # -- labels -------------------------------------------------------------
    def draw_labels(self, room: Xy) -> None:
        x0, y0, x1, y1 = self.sketch.box
        limit = (min(x0, x1 - room[0]), y0, max(x1, x0 + room[0]), max(y1, y0 + room[1]))
        if len(self.part.bends) > MANY_BENDS:
            number_bends(self.sketch, self.part.bends, self.scale, limit)
        for number, bend in enumerate(self.part.bends, 1) if len(self.part.bends) <= MANY_BENDS else ():
            if square_axis(bend) is None or self.bends_inside:
                says = bend_says(number, bend, self.figures)
                on_line = square_axis(bend) is not None and label_inside(self.sketch, bend, says, self.scale)
                if not on_line and not label_askew(self.sketch, bend, says, self.scale, limit):
                    self.drawing.left_out.append(says.text)
        self._name_points()
        for each in self.tabled:
            self._letter_at(each.name, each.hole.shape, limit)
            self.sizes.append(DrawnSize("place", (each.centre,), each.name))
        for targets, text in self._callouts():
            if not draw_leader(self.sketch, targets, text, limit) and not draw_leader(
                self.sketch, targets, text, (x0 - 80.0, y0 - 40.0, x1 + 80.0, y1 + 60.0)
            ):
                self.drawing.left_out.append(text)
        self._etch()
        if self.signs is not None:
            around = (x0 - 80.0, y0 - 40.0, x1 + 80.0, y1 + 60.0)
            self.drawing.left_out += self.signs.draw(self.sketch, self.scale, (limit, around))
        for text in self.drawing.left_out:
            x0, y0, _, _ = self.sketch.box
            self.sketch.write(Text(x0, y0 - 1.2 * FIGURE, text, FIGURE))

    def _name_points(self) -> None:
        """Names of the corners that a table gives, and of the first and last point of each curve."""
        x0, y0, x1, y1 = self.sketch.box
        around = (x0 - 10.0, y0 - 10.0, x1 + 10.0, y1 + 10.0)
        in_tables = [*self.corners, *(point for curve in self.curves for point in curve.points)]
        self.sizes += [DrawnSize("place", (point.at,), point.name) for point in in_tables]
        named: list[NamedPoint] = [*self.corners]
        for curve in self.curves:
            named += [curve.points[0], curve.points[-1]]
        named += [each.point for each in self.etched.named]
        done: set[str] = set()
        for point in named:
            if point.name not in done:
                self._name_point(point, around)
                done.add(point.name)

    def _name_point(self, point: NamedPoint, around: Box) -> None:
        x, y = self.at(point.at)
        wide = text_width(point.name, FIGURE)
        texts = [
            Text(x + sx * (off + wide / 2.0), y + sy * (off + 0.6) - FIGURE * 0.36, point.name, FIGURE, "middle")
            for off in (0.8, 1.8, 3.2, 5.0)
            for sx, sy in ((1, 1), (-1, 1), (1, -1), (-1, -1), (1, 0), (-1, 0), (0, 2), (0, -2))
        ]
        if not self.sketch.write_free(texts, around, 0.2):
            draw_leader(self.sketch, [Target((x, y))], point.name, around, FIGURE)

    def _letter_at(self, name: str, shape: Loop, limit: Box) -> None:
        x0, y0, x1, y1 = (v * self.scale for v in shape.bounds)
        cx, cy, width = (x0 + x1) / 2.0, (y0 + y1) / 2.0, text_width(name, FIGURE)
        candidates = []
        for more in (0.8, 2.0, 3.5, 5.0):
            for sx, sy in ((1, 1), (-1, 1), (1, -1), (-1, -1)):
                x = cx + sx * ((x1 - x0) * 0.36 + more + width / 2.0)
                y = cy + sy * ((y1 - y0) * 0.36 + more + FIGURE * 0.36) - FIGURE * 0.36
                candidates.append(Text(x, y, name, FIGURE, "middle"))
        if not self.sketch.write_free(candidates, limit, 0.2):
            radius = min(x1 - x0, y1 - y0) / 2.0
            draw_leader(self.sketch, [Target((cx, cy), radius)], name, limit, FIGURE)

    def _callouts(self) -> list[tuple[list[Target], str]]:
        found: list[tuple[list[Target], str]] = []
        for group in self.groups:
            text = f"({group.callout})" if is_curved(group.holes[0].shape) else group.callout
            if id(group) not in self.in_table:
                found.append((self._hole_targets(group), text))
                self.sizes.append(DrawnSize("hole", tuple(group.centres), text))
        outline = self.part.outline
        if isinstance(outline, Circle):
            found.append(
                ([Target(self.at((outline.x, outline.y)), outline.diameter * self.scale / 2.0)],
                 f"Ø{self.figures.length(outline.diameter)}")
            )  # fmt: skip
            self.sizes.append(DrawnSize("disc", ((outline.x, outline.y),), found[-1][1]))
        radii: dict[str, list[list[Target]]] = {}
        for fillet in self._fillets():
            text = self._radius_text(fillet)
            follows = self.radii[text]
            text = bracketed(text, follows)
            radii.setdefault(text, []).append(self._fillet_targets(fillet))
            self.sizes.append(DrawnSize("radius", (fillet.middle,), text, follows))
        chamfers: dict[str, list[list[Target]]] = {}
        for cut in self.features.chamfers:
            target = Target(self.at(cut.middle), 0.0, cut.outward, 0.9)
            text = f"{self.figures.size(cut.size)} x 45°"
            chamfers.setdefault(text, []).append([target])
            self.sizes.append(DrawnSize("chamfer", (cut.middle,), text))
        found += self._stands_on() if self.signs is None else []
        for text, places in [*radii.items(), *chamfers.items()]:
            targets = [target for place in places for target in place]
            found.append((targets, f"{len(places)} x {text}" if len(places) > 1 else text))
        return found

    def _stands_on(self) -> list[tuple[list[Target], str]]:
        """The lowest edge of a part that stands on it, and the marks of what it stands on."""
        outline = self.part.outline
        places = [p for p in self.part.places if p.stands and p.against and p.foot in STANDS]
        if not places or self.part.bends or isinstance(outline, Circle):
            return []
        lowest = min(outline.edges(), key=lambda e: (round(e.start[1] + e.end[1], 3), -e.chord))
        chain = lowest.points(0.5)
        first, last = chain[0], chain[-1]
        points = [(first[0] + (last[0] - first[0]) * f, first[1] + (last[1] - first[1]) * f) for f in (0.5, 0.3, 0.7)]
        if lowest.is_arc:
            points = chain[1:-1]
        targets = [Target(self.at(p), 0.0, -math.pi / 2.0, 1.3) for p in points]
        return [(targets, f"on {names(sorted({place.against for place in places}))}")]

    def _fillets(self) -> list[Fillet]:
        """The fillets to dimension: on a developed surface only those that round a corner, and plainly."""
        found = self.features.fillets
        return [each for each in found if not self.part.surface or (each.rounds_corner and each.sweep > 0.3)]

    def _of_sector(self, fillet: Fillet) -> bool:
        """Whether a radius is in the table that a cone's sector is set out by."""
        sector = None if self.part.rolled is None else self.part.rolled.sector
        return sector is not None and min(abs(fillet.radius - r) for r in (sector.outer, sector.inner)) < 0.05

    def _radius_text(self, fillet: Fillet) -> str:
        return f"R{self.figures.size(fillet.radius, 2)}"

    def _fillet_targets(self, fillet: Fillet) -> list[Target]:
        """Places on an arc for a leader to come to, from outside it or, to a hollow one, from its centre's side."""
        c, m = self.at(fillet.centre), self.at(fillet.middle)
        heading = math.atan2(m[1] - c[1], m[0] - c[0])
        radius = fillet.radius * self.scale
        outside = Target(c, radius, heading, max(0.3, fillet.sweep / 2.0 - 0.1))
        if fillet.convex and fillet.sweep > 1.0:
            return [outside]
        # Points along it: a leader to a shallow arc need not come square to it.
        turns = [heading + fillet.sweep * share for share in (0.0, 0.3, -0.3)]
        way = 0.0 if fillet.convex else math.pi
        points = [Target((c[0] + radius * math.cos(t), c[1] + radius * math.sin(t)), 0.0, t + way, 1.0) for t in turns]
        return points if fillet.convex else [*points, outside]

    def _hole_targets(self, group: HoleGroup) -> list[Target]:
        targets = []
        for hole, centre in zip(group.holes, group.centres, strict=True):
            x0, _, x1, _ = hole.shape.bounds
            if isinstance(hole.shape, Circle):
                targets.append(Target(self.at(centre), (x1 - x0) * self.scale / 2.0))
            else:
                points = hole.shape.points(0.5)
                targets += [
                    Target(self.at((float(px), float(py))), 0.0, math.atan2(py - centre[1], px - centre[0]), 0.8)
                    for px, py in points[:: max(1, len(points) // 8)]
                ]
        right_first = sorted(targets, key=lambda t: -t.centre[0] - t.centre[1])
        return right_first[:6]


def _runs(stations: Sequence[Station]) -> bool:
    """Whether the positions on a side are running dimensions: many are, and those of lines that say more."""
    return len(stations) > FEW or any(station.says is not None for station in stations)


def _sides_of(outline: Loop) -> int:
    """How many straight edges an outline has."""
    return 0 if isinstance(outline, Circle) else sum(not each.is_arc for each in outline.edges())


def _once(stations: Sequence[Station], axis: int) -> list[Station]:
    """Each position once; of lines that say different things in one position the others without the figure."""
    kept: list[Station] = []
    for station in sorted(stations, key=lambda s: (s.at[axis], s.says is None, s.gap)):
        if not kept or station.at[axis] - kept[-1].at[axis] > 0.02:
            kept.append(station)
        elif station.says is not None:
            kept.append(replace(station, text=""))
    return kept


def _draw_mark(sketch: Sketch, mark: Mark, scale: float) -> None:
    """What is etched: lines, a closed curve, single-stroke text."""
    if mark.curve is not None:
        sketch.draw(*loop_items(mark.curve, "mark", scale))
    for a, b in zip(mark.line, mark.line[1:], strict=False):
        sketch.draw(line((a[0] * scale, a[1] * scale), (b[0] * scale, b[1] * scale), "mark"))
    for stroke in strokes(mark.text, mark.height) if mark.text else ():
        points = [((x + mark.at[0]) * scale, (y + mark.at[1]) * scale) for x, y in stroke]
        sketch.draw(polyline(points, "mark"))


def _longer(a: Xy, b: Xy, by: float) -> tuple[Xy, Xy]:
    """The line from a to b, longer by that at both ends."""
    length = math.dist(a, b)
    ux, uy = (b[0] - a[0]) / length * by, (b[1] - a[1]) / length * by
    return (a[0] - ux, a[1] - uy), (b[0] + ux, b[1] + uy)

"""Round bar that is bent, threaded or beaten flat, as it is when it is done: in true proportions with its sizes, the
straight bar with the marks for its bends, and the table of bends.

The bar lies in one plane.  A U-bolt is drawn with its legs up, any other bar from its start to the right.  Threads are
drawn by ISO 6410-1: the core as narrow lines, the end of the thread as a wide one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fabgen.documents.drawing.sheet.dimensions import (
    FIGURE,
    DimensionLine,
    Length,
    Target,
    draw_angle,
    draw_leader,
    draw_length,
)
from fabgen.documents.drawing.sheet.lanes import Side, SideName, draw_sides
from fabgen.documents.drawing.sheet.views import Content, DrawnView, TableText, View
from fabgen.documents.drawing.tube.bend_picture import marked_bar
from fabgen.documents.drawing.tube.bend_table import former_words
from fabgen.documents.render.picture import Arc, Pen, Text, line, polyline
from fabgen.documents.render.sketch import Panel, Sketch
from fabgen.documents.render.words import degrees
from fabgen.geometry.plane.outline import Box, Xy
from fabgen.geometry.space.frame import Array
from fabgen.geometry.tube.centreline import Centreline, Stretch, Turn
from fabgen.parts.piece import FlattenedEnd, LengthPart, ThreadedEnd, WorkedEnd
from fabgen.shop.threads import coarse_pitch
from fabgen.wording.figures import Figures

ROOM = (64.0, 52.0)
"""What dimensions take beside the view, mm of paper (width, height)."""
MARKED = 150.0
"""Length of the straight bar with its marks on paper, mm."""
LARGEST = 2.0
_FINE = math.radians(2.0)
_SQUARE = 1e-6


def bar_content(part: LengthPart, figures: Figures) -> Content:
    """The view, the straight bar and the bends of one bar."""
    shape = _Shape.of(part)
    low, high = shape.bounds
    wide, tall = (float(v) for v in high - low)

    def least(scale: float) -> Xy:
        return wide * scale + ROOM[0], tall * scale + ROOM[1]

    def draw(scale: float, room: Xy) -> Panel:
        return _drawn(shape, scale, figures)

    main = View("Bent" if part.bends else "", least, draw, largest=LARGEST)
    sides = (_marks_view(part, figures),) if part.bends else ()
    tables = (_bends(part, figures),) if part.bends else ()
    drawn = (wide, tall)
    notes = tuple(former_words(part, figures.units)) if part.bends else ()
    return Content(DrawnView(main), sides, tables, drawn, ("overall", "inside", "inside-radius"), notes)


def _marks_view(part: LengthPart, figures: Figures) -> View:
    panel = marked_bar(part, MARKED, "in" if figures.inches else "mm")
    return View(
        "Straight, with the marks for the bends",
        lambda scale: (panel.width, panel.height),
        lambda scale, room: panel,
        scaled=False,
        largest=1.0,
    )


def _bends(part: LengthPart, figures: Figures) -> TableText:
    half = part.section.width / 2.0
    rows = []
    for i, (bend, straight) in enumerate(zip(part.bends, part.straights, strict=False), 1):
        way = "left" if abs(bend.from_top) < 1.0 else "right"
        rows.append(
            (
                str(i),
                figures.tube(straight),
                figures.tube(bend.mark),
                degrees(bend.angle),
                degrees(bend.set_angle),
                way,
                figures.size(bend.radius - half),
                figures.tube(bend.length),
            )
        )
    heads = ("bend", "straight before", "mark at", "angle", "set to", "way", "inside R", "takes")
    return TableText("Bends, from the start's saw cut (way: seen along the bar from its start)", heads, tuple(rows))


# -- the bar in its plane ---------------------------------------------------------------------
@dataclass(frozen=True, eq=False)
class _Shape:
    """A bar on the page: `look` holds the page's two directions in space, (2, 3)."""

    part: LengthPart
    path: Centreline
    look: Array

    @staticmethod
    def of(part: LengthPart) -> _Shape:
        path = part.path
        assert path is not None
        first = path.start
        # Left of the first leg is the top of the bar; with the legs up the first one runs down.
        look = np.vstack((first.z, -first.x)) if part.clasp is not None else np.vstack((first.x, first.z))
        return _Shape(part, path, look)

    @property
    def half(self) -> float:
        return self.part.section.width / 2.0

    def on(self, point: Array) -> Array:
        return np.asarray(point @ self.look.T)

    @property
    def bounds(self) -> tuple[Array, Array]:
        edges = [
            self.on(frame.origin + side * frame.z * self._half_at(s))
            for s in self.path.stations(_FINE)
            for frame in [self.path.frame_at(s)]
            for side in (1.0, -1.0)
        ]
        return np.min(edges, axis=0), np.max(edges, axis=0)

    def _half_at(self, s: float) -> float:
        start, finish = (end.form for end in self.part.ends)
        for form, far in ((start, s), (finish, self.path.length - s)):
            if isinstance(form, FlattenedEnd) and far <= form.length:
                return form.width / 2.0
        return self.half

    def end(self, end: WorkedEnd) -> tuple[Array, Array, Array]:
        """An end on the page: its middle, the way into the bar, and the way left of that."""
        into = self.on(end.frame.x)
        return self.on(end.frame.origin), into, np.array([-into[1], into[0]])


def _drawn(shape: _Shape, scale: float, figures: Figures) -> Panel:
    sketch = Sketch()
    for stretch in shape.path.stretches:
        _stretch(sketch, shape, stretch, scale)
    for end in shape.part.ends:
        _end(sketch, shape, end, scale)
    low, high = (bound * scale for bound in shape.bounds)
    box = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    limit = (box[0] - ROOM[0], box[1] - ROOM[1], box[2] + ROOM[0], box[3] + ROOM[1])
    _sizes(sketch, shape, box, scale, figures)
    start, finish = shape.part.ends
    for end in (start,) if start.form == finish.form else (start, finish):
        _worked(sketch, shape, end, scale, figures, limit)
    _named_radii(sketch, shape, scale, figures, limit)
    for end in shape.part.ends:
        _name(sketch, shape, end, scale)
    return sketch.panel()


def _xy(point: Array) -> Xy:
    return float(point[0]), float(point[1])


def _cross(a: Array, b: Array) -> float:
    return float(a[0] * b[1] - a[1] * b[0])


def _stretch(sketch: Sketch, shape: _Shape, stretch: Stretch, scale: float) -> None:
    """One straight or bend: both outlines and the middle."""
    if stretch.length < 0.01:
        return
    first, last = stretch.frame_at(0.0), stretch.frame_at(stretch.length)
    if not isinstance(stretch, Turn):
        bare = [end.form.length if isinstance(end.form, FlattenedEnd) else 0.0 for end in shape.part.ends]
        start = bare[0] if stretch is shape.path.stretches[0] else 0.0
        end = bare[1] if stretch is shape.path.stretches[-1] else 0.0
        a, b = stretch.frame_at(start), stretch.frame_at(stretch.length - end)
        for side in (1.0, -1.0):
            ends = [_xy(shape.on(f.origin + side * shape.half * f.z) * scale) for f in (a, b)]
            sketch.draw(line(ends[0], ends[1]))
        sketch.draw(line(_xy(shape.on(first.origin) * scale), _xy(shape.on(last.origin) * scale), "centre"))
        return
    middle = shape.on(stretch.centre) * scale
    away = [shape.on(f.origin - stretch.centre) for f in (first, last)]
    turns_left = _cross(away[0], shape.on(first.x)) > 0.0
    angles = [math.degrees(math.atan2(w[1], w[0])) for w in (away if turns_left else reversed(away))]
    while angles[1] < angles[0]:
        angles[1] += 360.0
    pens: tuple[tuple[float, Pen], ...] = ((-shape.half, "visible"), (shape.half, "visible"), (0.0, "centre"))
    for out, pen in pens:
        radius = stretch.radius + out
        if radius > 0.01:
            sketch.draw(Arc(float(middle[0]), float(middle[1]), radius * scale, angles[0], angles[1], pen))
    for frame in (first, last):
        across = [_xy(shape.on(frame.origin + side * shape.half * frame.z) * scale) for side in (1.0, -1.0)]
        sketch.draw(line(across[0], across[1], "thin"))


def _end(sketch: Sketch, shape: _Shape, end: WorkedEnd, scale: float) -> None:
    """The end's face, its thread, or its flat."""
    at, into, left = shape.end(end)
    form = end.form

    def spot(along: float, aside: float) -> Xy:
        return _xy((at + along * into + aside * left) * scale)

    if isinstance(form, FlattenedEnd):
        w = form.width / 2.0
        slope = min(w - shape.half, form.length / 3.0)
        rim = [(form.length, -shape.half), (form.length - slope, -w), (0.0, -w), (0.0, w), (form.length - slope, w)]
        sketch.draw(polyline([spot(*p) for p in [*rim, (form.length, shape.half)]]))
        if form.hole:
            x, y = spot(form.at, 0.0)
            r = form.hole / 2.0
            sketch.draw(Arc(x, y, r * scale))
            sketch.draw(line(spot(form.at, -r - 2.0 / scale), spot(form.at, r + 2.0 / scale), "centre"))
        return
    sketch.draw(line(spot(0.0, -shape.half), spot(0.0, shape.half)))
    if isinstance(form, ThreadedEnd):
        core = form.thread.core / 2.0
        for side in (core, -core):
            sketch.draw(line(spot(0.0, side), spot(form.length, side), "thin"))
        sketch.draw(line(spot(form.length, -shape.half), spot(form.length, shape.half)))


# -- sizes --------------------------------------------------------------------------------------
def _sizes(
    sketch: Sketch, shape: _Shape, box: tuple[float, float, float, float], scale: float, figures: Figures
) -> None:
    """Straights beside themselves, the width inside, and the overall sizes."""
    names: tuple[SideName, ...] = ("below", "above", "left", "right")
    sides = {name: Side(name) for name in names}
    middle = ((box[0] + box[2]) / 2.0, (box[1] + box[3]) / 2.0)
    oblique = []
    for straight in shape.path.straights:
        if straight.length < 0.05 or (not shape.part.bends and shape.part.section.width):
            continue
        a, b = (shape.on(frame.origin) * scale for frame in (straight.frame, straight.end))
        way = (b - a) / np.linalg.norm(b - a)
        dim = _beside(shape, a, b, way, middle, scale, figures.tube(straight.length))
        if shape.part.clasp is not None and straight is shape.path.stretches[-1]:
            continue  # as long as the first
        if abs(way[0]) < _SQUARE:
            sides["left" if a[0] < middle[0] else "right"].lengths.append(dim)
        elif abs(way[1]) < _SQUARE:
            sides["below" if a[1] < middle[1] else "above"].lengths.append(dim)
        else:
            oblique.append((dim, way))
    if (clasp := shape.part.clasp) is not None:
        tops = [shape.end(end)[0] for end in shape.part.ends]
        inner = [
            _xy((top + np.array([side * shape.half, 0.0])) * scale) for top, side in zip(tops, (1, -1), strict=True)
        ]
        sides["above"].lengths.append(Length(inner[0], inner[1], f"{figures.tube(clasp.inside)} inside"))
        bow = _xy(np.array([0.5 * (inner[0][0] + inner[1][0]), box[1] + 2.0 * shape.half * scale]))
        right = (inner[1][0] + 2.0 * shape.half * scale, inner[1][1])
        sides["right"].outermost.append(Length(bow, right, f"{figures.tube(clasp.depth)} inside"))
    wide, tall = (box[2] - box[0]) / scale, (box[3] - box[1]) / scale
    if wide > 1.05 * 2.0 * shape.half:
        sides["below"].outermost.append(Length((box[0], box[1]), (box[2], box[1]), figures.tube(wide)))
    if tall > 1.05 * 2.0 * shape.half:
        sides["left"].outermost.append(Length((box[0], box[1]), (box[0], box[3]), figures.tube(tall)))
    else:
        size = f"\N{DIAMETER SIGN}{figures.length(2.0 * shape.half)}"
        sides["right"].lengths.append(Length((box[2], box[1]), (box[2], box[3]), size))
    draw_sides(sketch, box, *sides.values())
    for dim, way in oblique:
        _oblique(sketch, dim, way, middle)


def _beside(shape: _Shape, a: Array, b: Array, way: Array, middle: Xy, scale: float, text: str) -> Length:
    """The length of a straight, taken at its outline on the side away from the middle of the view."""
    left = np.array([-way[1], way[0]])
    out = left if float((np.asarray((a + b) / 2.0) - middle) @ left) >= 0.0 else -left
    rim = out * shape.half * scale
    return Length(_xy(a + rim), _xy(b + rim), text)


def _oblique(sketch: Sketch, dim: Length, way: Array, middle: Xy) -> None:
    along = _xy(way)
    left = np.array([-way[1], way[0]])
    out = _xy(left if float((np.array(dim.a) - middle) @ left) >= 0.0 else -left)
    start = dim.a[0] * out[0] + dim.a[1] * out[1]
    for more in (9.0, 13.0, 17.0, 22.0, 28.0):
        if draw_length(sketch, dim, DimensionLine(along, out, start + more)):
            return
    draw_length(sketch, dim, DimensionLine(along, out, start + 9.0), force=True)


def _named_radii(sketch: Sketch, shape: _Shape, scale: float, figures: Figures, limit: Box) -> None:
    """Inside radii, those alike once, and the angles of bends that are not square."""
    groups: dict[str, list[Turn]] = {}
    for turn in shape.path.turns:
        groups.setdefault(figures.size(turn.radius - shape.half), []).append(turn)
    for text, turns in groups.items():
        targets = []
        for turn in turns:
            middle = shape.on(turn.centre) * scale
            half_way = shape.on(turn.frame_at(turn.length / 2.0).origin - turn.centre)
            heading = math.atan2(half_way[1], half_way[0])
            reach = (turn.radius + shape.half) * scale
            targets.append(Target(_xy(middle), reach, heading, turn.angle / 2.0 - 0.05))
        count = f"{len(turns)} x " if len(turns) > 1 else ""
        draw_leader(sketch, targets, f"{count}R{text} inside", limit)
    for turn in shape.path.turns:
        middle = shape.on(turn.centre) * scale
        away = [shape.on(f.origin - turn.centre) for f in (turn.frame, turn.end)]
        start, end = (math.atan2(w[1], w[0]) for w in away)
        if _cross(away[0], shape.on(turn.frame.x)) < 0.0:
            start, end = end, start
        radius = (turn.radius - shape.half) * scale
        if radius > 9.0 and abs(turn.angle - math.pi) > 0.01 and abs(turn.angle - math.pi / 2.0) > 0.01:
            draw_angle(sketch, _xy(middle), 0.6 * radius, start, end, degrees(turn.angle))


def _worked(
    sketch: Sketch,
    shape: _Shape,
    end: WorkedEnd,
    scale: float,
    figures: Figures,
    limit: Box,
) -> None:
    """What is done to an end: the thread's name and length, or the flat's sizes."""
    form = end.form
    at, into, _ = shape.end(end)
    if isinstance(form, ThreadedEnd):
        hand = " LH" if form.thread.hand == "left" else ""
        size = form.thread.name.removesuffix(f" x {form.thread.pitch:g}") if _is_coarse(form) else form.thread.name
        text = f"{size}{hand}, {figures.tube(form.length)} long"
        target = Target(_xy((at + into * form.length / 2.0) * scale), shape.half * scale)
    elif isinstance(form, FlattenedEnd):
        flat = f"flat {figures.length(form.thickness)}, {figures.tube(form.length)} long"
        hole = f", hole \N{DIAMETER SIGN}{figures.length(form.hole)} at {figures.tube(form.at)}" if form.hole else ""
        text = flat + hole
        target = Target(_xy((at + into * form.at) * scale), (form.hole or form.width) / 2.0 * scale)
    else:
        return
    both = "2 x " if shape.part.ends[0].form == shape.part.ends[1].form else ""
    draw_leader(sketch, [target], both + text, limit)


def _is_coarse(form: ThreadedEnd) -> bool:
    return form.thread.series == "M" and form.thread.pitch == coarse_pitch(form.thread.diameter)


def _name(sketch: Sketch, shape: _Shape, end: WorkedEnd, scale: float) -> None:
    at, into, left = shape.end(end)
    for more in (3.0, 6.0, 10.0, -6.0):
        for aside in (0.0, 4.0, -4.0, 7.0, -7.0, 11.0, -11.0):
            spot = at * scale - more * into + aside * left
            text = Text(float(spot[0]), float(spot[1]) - FIGURE * 0.36, end.at, FIGURE, "middle", bold=True)
            if sketch.write_free([text]):
                return

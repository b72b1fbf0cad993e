"""Views of a tube: of its side, of its top and its section, long ones broken so that ends, holes and what lands on it
are large."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from fabgen.documents.drawing.sheet.blocks import titled
from fabgen.documents.drawing.sheet.dimensions import FIGURE, Length, draw_angle
from fabgen.documents.drawing.sheet.lanes import Side, Station, edge
from fabgen.documents.drawing.sheet.long_axis import MOST, LongAxis, Span, about, shortest
from fabgen.documents.drawing.sheet.sheet_frame import Projection
from fabgen.documents.drawing.sheet.views import SCALES, Content, DrawnView, TableText, View, least, steady
from fabgen.documents.drawing.tube.arrival_view import STUB, ArrivalView, kept_of, side_of
from fabgen.documents.drawing.tube.arrivals import Arrival, arrivals
from fabgen.documents.drawing.tube.end_signs import draw_end_signs
from fabgen.documents.drawing.tube.section_view import VIEW_LETTERS, heel, section_sketch
from fabgen.documents.drawing.tube.tube_shape import END_ON, Met, TubeShape
from fabgen.documents.drawing.tube.tube_shape import Side as Which
from fabgen.documents.render.picture import Anchor, Arc, Fill, Text, line, polyline
from fabgen.documents.render.sketch import Panel, Sketch, joined
from fabgen.documents.render.words import degrees, end_angle
from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.space.frame import upright
from fabgen.job.tables.weld_tables import Weld
from fabgen.parts.piece import DrilledHole, FlattenedEnd, LengthPart, Piece, WorkedEnd
from fabgen.parts.shape.along_tube import job_side
from fabgen.parts.shape.cuts import side_lengths
from fabgen.parts.shape.welds.end_welds import end_welds
from fabgen.shop.section import Section
from fabgen.wording.figures import Figures

LARGEST = 45.0
"""A tube with nothing on it is drawn at most so thick, mm of paper, …"""
LARGEST_SECTION = 20.0
"""… and its section so large, …"""
SECTION = "Section, from the start"
STILL_SEEN = 3.5
"""A tube may be so thin on paper, mm, where its tables then stand beside it."""
SMALLEST = 12.0
"""… and at least this large, or at a scale of its own, mm of paper."""
MOST_STATIONS = 12
"""Of more holes than this along a tube the table gives the places, not dimensions."""
_APART = 5.0
_SLANT = math.radians(0.1)
_EDGE_ON = 0.9998
"""A view shows a cut's angle true where the cut leans within this cosine in the view's plane."""


def tube_content(
    piece: Piece, part: LengthPart, known: Mapping[str, Piece], figures: Figures, projection: Projection
) -> Content:
    """The views and the table of ends of one tube; `known` gives the mains, and what lands on it, by mark."""
    views = _TubeViews(TubeShape(part), arrivals(piece, part, known), known, figures, projection)
    views.welds = end_welds(piece, known.values())
    main = View("", views.least, views.draw, largest=largest_scale(part.section), slim=STILL_SEEN, broken=True)
    notes = [BENT_NOTE] if part.bends else []
    notes += [standing] if (standing := standing_words(part)) else []
    notes += [HEEL_NOTE] if any(end.has_heel for end in part.ends) else []
    notes += [POINT_NOTE] if views.worked else []
    notes += [LANDING_NOTE] if views.arrivals else []
    notes += [ROUND_NOTE] if part.landings or part.drilled or part.profiles else []
    notes += [ANGLE_NOTE] if any(_is_coped(end) for end in part.ends) else []
    for end in part.ends:
        if end.line.misses:
            onto = " and ".join(seat.onto for seat in end.seats)
            notes.append(f"The {end.at} misses {onto} in part: its cut is drawn only where it meets.")
    shown = ("axis", *_sides_shown(part, views))
    tables = (_ends_table(views.shape, figures),) if views.worked else ()
    return Content(DrawnView(main), (views.section(),), tables, shown=shown, notes=tuple(notes))


def standing_words(part: LengthPart) -> str:
    """How a rectangular section of two sizes stands in the job; '' of others, and where the job does not place it."""
    section, frame = part.section, part.frame
    if section.is_round or section.width == section.depth or frame is None:
        return ""
    plain = upright(frame.origin, frame.x)
    turn = math.remainder(math.atan2(-float(frame.z @ plain.y), float(frame.z @ plain.z)), 2.0 * math.pi)
    up = "along +x" if abs(float(frame.x[2])) > 1.0 - 1e-12 else "up"
    way = "clockwise" if turn > 0.0 else "counter-clockwise"
    turned = f", turned {degrees(abs(turn))} {way} seen from the start" if abs(turn) > 1e-3 else ""
    return f"Section: its first figure stands toward TOP; TOP is {up} in the job{turned}."


def _sides_shown(part: LengthPart, views: _TubeViews) -> tuple[str, ...]:
    """The facts of a straight tube's sides that its views show: the short side, and the longest where
    the saw length is that."""
    if not views.worked or part.bends:
        return ()
    sides = side_lengths(part)
    whole = not np.isnan(sides).all() and abs(float(np.nanmax(sides)) - part.length) < 0.05
    return ("shortest-side", "longest-side") if whole else ("shortest-side",)


BENT_NOTE = "Drawn as it lies before it is bent; the bends are on the bend sheet."
HEEL_NOTE = "* heel: the side cut shortest (toe: opposite), from the top line, clockwise seen from the start."
LANDING_NOTE = "Figures with a mark: where that lands, from the start's saw cut; of a part with width its two edges."
ROUND_NOTE = "round: from TOP, clockwise seen from the start, = mm on a round skin; across: from the middle there."
ANGLE_NOTE = "angle: of a cope, between the two axes; from square: as the saw stands."
POINT_NOTE = "** point: from the work point to the end's longest point; depth: from there to its shortest."


def largest_scale(section: Section) -> float:
    return min(2.0, LARGEST / max(section.width, section.depth))


class _TubeViews:
    def __init__(
        self,
        shape: TubeShape,
        landed: Sequence[Arrival],
        known: Mapping[str, Piece],
        figures: Figures,
        projection: Projection,
    ) -> None:
        self.shape, self.arrivals, self.figures, self.projection = shape, landed, figures, projection
        self.welds: Sequence[tuple[WorkedEnd, Weld]] = ()
        """Those round its ends that the job lists."""
        self.worked = any(end.cut != "plain" for end in shape.part.ends)
        sides: list[Which] = ["front", "top"]
        self.mains = {side: shape.mains(known, side) for side in sides}
        self.landed = {side: [each for each in landed if side_of(each) == side] for side in sides}
        self.sides = self._sides()
        self.most_breaks = MOST + 1 if landed else MOST

    def _sides(self) -> list[Which]:
        """The views that it needs: both of what is not the same all round, else where something lands."""
        part = self.shape.part
        formed = bool(part.drilled or part.holes) or any(end.form for end in part.ends)
        told = self.worked and not self._is_square_from("front")
        if told or not self.shape.section.is_round or formed or all(self.landed.values()):
            return ["front", "top"]
        if self.worked:
            return ["front", "top"] if self.landed["top"] else ["front"]
        return ["top"] if self.landed["top"] else ["front"]

    def _is_square_from(self, side: Which) -> bool:
        """Whether all that its ends sit on is seen end on in a view, and square to the tube: another view would show
        no size."""
        mains = self.mains[side]
        seats = [seat for end in self.shape.part.ends for seat in end.seats]
        square = all(abs(seat.angle - math.pi / 2.0) < 1e-3 and abs(seat.offset) < 0.05 for seat in seats)
        return square and len(mains) == len(seats) and all(met.flatness <= END_ON for met in mains)

    def least(self, scale: float) -> Xy:
        section = self.shape.section
        across = max(section.width, section.depth)
        depths = sum(self.shape.end_depths) + 2.5 * across
        whole = self.shape.limits[1] - self.shape.limits[0]
        taken = max(min(depths, whole) * scale, shortest(self.shape.limits, scale, self._kept(scale), self.most_breaks))
        height = section.width * scale + (30.0 if self.worked else 22.0)
        if len(self.sides) > 1:
            height += section.depth * scale + 12.0
        return (taken + 30.0, height + sum(10.0 for side in self.sides if self.landed[side]))

    def draw(self, scale: float, room: Xy) -> Panel:
        """The views one under the other; section and tables stand apart."""
        return self._within(scale, room[0])

    def _within(self, scale: float, room: float) -> Panel:
        """The views in so much room, mm of paper."""
        left = room - self._overhang(scale)
        panel = self._views(scale, left)
        for _ in range(3):
            if panel.width > room:
                # Figures at the ends need not come in as far as the ends do.
                left -= panel.width - room + 1.0
                panel = self._views(scale, left)
        return panel

    def _section_panel(self, scale: float) -> Panel:
        looks = self.sides if self.is_told_apart else []
        return section_sketch(self.shape, scale, self.figures, looks).panel()

    def section(self) -> View:
        """The section as a view of its own."""
        width, depth = self.shape.section.width, self.shape.section.depth
        size = max(width, depth)
        readable = next((scale for scale in reversed(SCALES) if scale * size >= SMALLEST), 1.0)
        taken = least(depth, width, (20.0, 26.0))
        draw = steady(self._section_panel)
        spare = self.shape.section.is_round  # its two figures are its stock's, its views say from where they are seen
        return View(
            SECTION,
            taken,
            draw,
            spare=spare,
            largest=max(readable, min(2.0, LARGEST_SECTION / size)),
            readable=readable,
        )

    def _overhang(self, scale: float) -> float:
        """What the ends' names and the mains take beyond the tube's ends, mm of paper."""
        taken = 0.0
        for at_start in (True, False):
            halves = [met.half for mains in self.mains.values() for met in mains if met.at_start is at_start]
            taken += max(halves, default=0.0) * scale + 13.0
        return taken

    def _views(self, scale: float, room: float) -> Panel:
        axis = LongAxis.fitted(self.shape.limits, scale, max(20.0, room), self._kept(scale), self.most_breaks)
        front, *others = (titled(self._view(side, axis).panel(), self._title(side)) for side in self.sides)
        if not others:
            return front
        (top,) = others
        below = self.projection == "first"
        dy = front.box[1] - _APART - top.box[3] if below else front.box[3] + _APART - top.box[1]
        return joined([front, top.moved(0.0, dy)])

    def _kept(self, scale: float) -> list[Span]:
        """What is not broken out: the ends, crushed ones with their way to the round, and every hole."""
        shape, more = self.shape, 0.6 * self.shape.section.reach
        crushed = [end.flattened for end in shape.part.ends]
        start, finish = (max(pair) + more for pair in zip(shape.end_depths, crushed, strict=True))
        kept = [(shape.limits[0], shape.limits[0] + start), (shape.limits[1] - finish, shape.limits[1])]
        for hole in shape.part.drilled:
            low, high = float(hole.edge.along.min()), float(hole.edge.along.max())
            kept.append(about(self._first_cut + (low + high) / 2.0, (high - low) / 2.0, scale))
        for each in self.arrivals:
            kept += kept_of(each, self._first_cut, scale)
        return kept

    @property
    def is_told_apart(self) -> bool:
        """Whether it matters from where a view is seen."""
        return len(self.sides) > 1 or bool(self.arrivals)

    def _title(self, side: Which) -> str:
        """'A: its left, 90° from TOP': the letter of the arrow at the section, and which side of the tube that is."""
        if not self.is_told_apart:
            return "Side of the tube"
        part = self.shape.part
        way, name = (math.pi / 2.0, "side at 90° from TOP") if side == "front" else (0.0, "TOP side")
        own = "" if part.frame is None or part.path is not None else job_side(part.frame, way)
        return f"{VIEW_LETTERS[side]}: {name}{f', {own} in the job' if own else ''}"

    # -- one view -----------------------------------------------------------
    def _view(self, side: Which, axis: LongAxis) -> Sketch:
        sketch = Sketch()
        half = self._half(side) * axis.scale
        draw_tube_body(sketch, self.shape, side, axis)
        for met in self.mains[side]:
            self._phantom(sketch, met, axis, half)
        self._axis_line(sketch, axis)
        landed = ArrivalView(self.landed[side], self.shape, side, axis, self._first_cut)
        landed.draw(sketch)
        box = (axis.x(self.shape.limits[0]), -half, axis.x(self.shape.limits[1]), half)
        above, below = Side("above"), Side("below")
        below.stations += [*self._hole_stations(side, axis), *landed.stations(self.figures)]
        below.origin, below.level = (box[0], 0.0), True
        # On the other side than running dimensions, through whose extension lines their figures would have to go.
        lengths = above.lengths if below.stations else below.lengths
        if side == self.sides[0]:
            lengths.append(self._saw_length(axis))
            if self.worked:
                above.outermost.append(self._between_points(axis))
        self._drilled(sketch, side, axis)
        if (shortest := self._short_side(side, axis)) is not None:
            (above.lengths if shortest.a[1] > 0.0 else lengths).insert(0, shortest)
        reach = self._stub(half)
        for each, rises in zip((below, above), landed.rises if landed.arrivals else (False, False), strict=True):
            start = edge(each.name, box)
            # Keep rows clear of the stubs of mains, and of what lands here, where these stand out beside the tube.
            start = max(start, reach - 5.0) if self.mains[side] else start
            each.draw(sketch, max(start, half + STUB - 1.0) if rises else start)
        for at_finish in (False, True):
            self._from_square(sketch, side, axis, at_finish)
        for met in self.mains[side]:
            self._main_label(sketch, met, axis, half)
        if side == "front" and self.worked:
            self._top_mark(sketch, axis, half)
        for finish, name in enumerate(("start", "finish")):
            x0, _, x1, _ = sketch.box
            places = [x1 + 2.0 if finish else x0 - 2.0]
            if self.arrivals:
                # By the end's centre line where nothing is met there, though what lands leans out past it.
                places.insert(0, axis.x(self.shape.limits[finish]) + (7.0 if finish else -7.0))
            anchor: Anchor = "start" if finish else "end"
            sketch.write_free(Text(x, -FIGURE * 0.36, name, FIGURE, anchor, bold=True) for x in places)
        if side == self.sides[0]:
            draw_end_signs(sketch, self.shape, (side, axis), self.welds, (self.projection, self.figures))
        return sketch

    def _half(self, side: Which) -> float:
        """Half the height of a view, crushed ends counted in, mm."""
        flats = [end.form for end in self.shape.part.ends if isinstance(end.form, FlattenedEnd)]
        return max([self.shape.half_height(side), *(_flat_half(flat, side) for flat in flats)])

    def _drilled(self, sketch: Sketch, side: Which, axis: LongAxis) -> None:
        """The holes of its own: those in the walls away from the viewer hidden."""
        first = self._first_cut
        part = self.shape.part
        edges = [(hole.edge, hole.skin) for hole in part.drilled]
        for edge_, skin in [*edges, *((hole.edge, hole.skin) for hole in part.holes)]:
            if skin is None:
                continue
            along, left, up = skin.frame.inside(skin.at(edge_.station, edge_.along)).T
            height, depth = (up, -left) if side == "front" else (left, up)
            seen = float(depth.mean()) > 0.05
            edge = list(zip((along + first).tolist(), height.tolist(), strict=True))
            sketch.draw(polyline([axis.at(p) for p in edge], "visible" if seen else "hidden", closed=True))

    def _hole_stations(self, side: Which, axis: LongAxis) -> list[Station]:
        """Running dimensions of the middles of the holes that a view looks into, and of square slits' bottoms, from the
        start's saw cut."""
        first = self._first_cut
        part = self.shape.part
        places = {round(hole.marked_at, 2) for hole in part.drilled if _looked_into(hole) == side}
        for end in part.ends if side == "front" else ():
            if isinstance(flat := end.form, FlattenedEnd):
                own = (*((flat.at,) if flat.hole else ()), flat.length, flat.taken)
                places |= {round(s if end.at == "start" else part.length - s, 2) for s in own}
        shown = sorted(places)
        return [Station((axis.x(first + place), 0.0), self.figures.tape(place)) for place in shown[:MOST_STATIONS]]

    @property
    def _first_cut(self) -> float:
        """Where the start's saw cut lies in the view, mm along."""
        return self.shape.limits[0] - self.shape.part.allowance[0]

    def _stub(self, half: float) -> float:
        """How far from the axis the stubs of mains reach, mm of paper."""
        return half + 7.0

    def _axis_line(self, sketch: Sketch, axis: LongAxis) -> None:
        first = min(0.0, self.shape.limits[0])
        last = max(self.shape.span, self.shape.limits[1])
        for a, b in axis.split((first - 5.0 / axis.scale, 0.0), (last + 5.0 / axis.scale, 0.0)):
            sketch.draw(line(a, b, "centre"))
        for s, end in zip((0.0, self.shape.span), self.shape.part.ends, strict=True):
            if end.cut != "plain":
                x = axis.x(s)
                sketch.draw(Arc(x, 0.0, 1.3, pen="thin"), line((x, -2.5), (x, 2.5), "thin"))

    def _saw_length(self, axis: LongAxis) -> Length:
        a, b = self.shape.extreme(False), self.shape.extreme(True)
        if any(end.form for end in self.shape.part.ends):
            a, b = (a[0], 0.0), (b[0], 0.0)
        text = self.figures.tube(self.shape.part.length)
        return Length(axis.at(a), axis.at(b), f"saw length {text}")

    def _between_points(self, axis: LongAxis) -> Length:
        text = self.figures.tube(self.shape.span)
        at = (axis.x(0.0), 2.5), (axis.x(self.shape.span), 2.5)
        return Length(at[0], at[1], f"work point to work point {text}", 0.5, 0.5)

    def _short_side(self, side: Which, axis: LongAxis) -> Length | None:
        """The shortest line along the tube, in the view that shows it best."""
        alpha, first, last = self.shape.shortest_side()
        if not self.worked or self.shape.part.length - (last - first) < 0.05:
            return None
        height, depth = self.shape.skin_point(alpha, side)
        other: Which = "top" if side == "front" else "front"
        rival = self.shape.skin_point(alpha, other)[1]
        if depth < rival - 1e-6 or (abs(depth - rival) <= 1e-6 and side == "top"):
            return None
        text = f"short side {self.figures.tube(last - first)}"
        return Length(axis.at((first, height)), axis.at((last, height)), text)

    def _phantom(self, sketch: Sketch, met: Met, axis: LongAxis, half: float) -> None:
        """The outline of a main, as an adjacent part (long-dashed double-dotted narrow lines)."""
        x, y = axis.x(met.at[0]), met.at[1] * axis.scale
        (u, v), r = met.direction, met.half * axis.scale
        if met.flatness <= END_ON:
            if met.corners:
                corners = [(x + a * axis.scale, y + b * axis.scale) for a, b in met.corners]
                sketch.draw(polyline(corners, "bend", closed=True))
            elif r > 0.0:
                sketch.draw(Arc(x, y, r, pen="bend"))
            return
        if abs(v) < 0.15:
            return  # seen along the tube: it would only hide the cut
        reach = min(self._stub(half) / max(0.35, abs(v)), half + 16.0)
        for off in (r, -r, 0.0) if r > 0.0 else (0.0,):
            a = (x - v * off - u * reach, y + u * off - v * reach)
            b = (x - v * off + u * reach, y + u * off + v * reach)
            sketch.draw(line(a, b, "bend" if off else "centre"))

    def _main_label(self, sketch: Sketch, met: Met, axis: LongAxis, half: float) -> None:
        """The main's mark by the end of its stub, and the angle where the view shows it true."""
        x, y = axis.x(met.at[0]), met.at[1] * axis.scale
        (u, v), r = met.direction, met.half * axis.scale
        reach = min(self._stub(half) / max(0.35, abs(v)), half + 16.0)
        if met.flatness <= END_ON:
            spots = [(x + r * c, y + r * s) for c, s in ((0.7, 0.7), (-0.7, 0.7), (-0.7, -0.7), (0.7, -0.7))]
        else:
            spots = [(x + w * u * reach, y + w * v * reach) for w in (1.0, -1.0)]
        if met.flatness > END_ON and abs(v) < 0.15:
            return
        sketch.write_free(
            Text(px + dx, py + dy, met.mark, FIGURE, "start" if dx > 0.0 else "end")
            for px, py in spots
            for dx in (1.5, -1.5)
            for dy in (1.0, -1.0 - FIGURE * 0.72, 4.0, -7.0)
        )
        end = self.shape.part.ends[0 if met.at_start else 1]
        if _is_coped(end) and met.flatness > 0.9995 and abs(met.angle - math.pi / 2.0) > 1e-3:
            self._angle(sketch, met, (x, y), half)

    def _angle(self, sketch: Sketch, met: Met, centre: Xy, half: float) -> None:
        """The acute angle between the main's axis and the tube's."""
        along = 0.0 if met.at_start else math.pi
        way = math.atan2(met.direction[1], met.direction[0])
        if math.cos(way - along) < 0.0:
            way += math.pi
        turn = math.remainder(way - along, 2.0 * math.pi)
        start, end = (along, along + turn) if turn > 0.0 else (along + turn, along)
        # Beyond the tube's skin, so that the figure stands on free paper.
        radius = min(half / max(0.3, abs(math.sin(turn))) + 5.0, half + 30.0)
        radii = (radius + more for more in (0.0, 4.0, 9.0, -6.0))
        any(draw_angle(sketch, centre, r, start, end, degrees(abs(turn))) for r in radii if r > 8.0)

    def _from_square(self, sketch: Sketch, side: Which, axis: LongAxis, finish: bool) -> None:
        """The angle of a flat cut at its face, from square as the saw stands, where the view shows the face edge on."""
        end = self.shape.part.ends[1 if finish else 0]
        if len(end.flats) != 1 or end.flats[0].from_square < _SLANT:
            return
        lean = end.flats[0].long_side - end.top
        height = math.cos(lean) if side == "front" else -math.sin(lean) * (-1.0 if finish else 1.0)
        if abs(height) < _EDGE_ON:
            return
        up = math.copysign(1.0, height)
        half = self.shape.half_height(side)
        long, short = self.shape.flat_edge(finish, side, up)
        centre = axis.at((long, up * half))
        way = axis.at((short, -up * half))
        square, cut = -up * math.pi / 2.0, math.atan2(way[1] - centre[1], way[0] - centre[0])
        turn = math.remainder(cut - square, 2.0 * math.pi)
        start, stop = (square, square + turn) if turn > 0.0 else (square + turn, square)
        text = f"{degrees(end.flats[0].from_square)} from square"
        whole = math.dist(centre, way)
        for share in (0.75, 0.5, 1.0, 1.3):
            radius = share * whole
            reach = max(radius + 2.0, 2.0 * half * axis.scale)
            lines = [line(centre, (centre[0], centre[1] - up * reach), "thin")]
            if radius > whole:
                c, s = math.cos(cut), math.sin(cut)
                lines.append(line(way, (centre[0] + (radius + 2.0) * c, centre[1] + (radius + 2.0) * s), "thin"))
            trial = sketch.copy()
            trial.draw(*lines)  # the figure stands clear of them
            if radius > 6.0 and draw_angle(trial, centre, radius, start, stop, text):
                sketch.take(trial)
                return

    def _top_mark(self, sketch: Sketch, axis: LongAxis, half: float) -> None:
        """A mark on the top line: the line that the templates of both ends share."""
        first, last = self.shape.limits
        for a, b in axis.spans(first, last):
            for share in (0.75, 0.6, 0.45, 0.3, 0.15):
                x = axis.x(a + share * (b - a))
                if sketch.write_free([Text(x + 2.0, half + 1.8, "top line", FIGURE)], clearance=0.1):
                    sketch.draw(Fill(((x, half), (x - 1.0, half + 2.2), (x + 1.0, half + 2.2))))
                    return


def draw_tube_body(sketch: Sketch, shape: TubeShape, side: Which, axis: LongAxis) -> None:
    """Silhouettes, cut edges, corner lines and break lines of a tube."""
    first, last = shape.limits
    for finish, end in enumerate(shape.part.ends):
        if isinstance(flat := end.form, FlattenedEnd):
            first, last = (first, last - flat.taken) if finish else (first + flat.taken, last)
            _draw_crushed(sketch, shape, side, axis, flat, bool(finish))
    for a, b in shape.silhouettes(side):
        if any(end.form for end in shape.part.ends):
            a, b = ((min(max(s, first), last), height) for s, height in (a, b))
        for p, q in axis.split(a, b):
            sketch.draw(line(p, q))
    for a, b in shape.corner_lines(side):
        for p, q in axis.split(a, b):
            sketch.draw(line(p, q, "thin"))
    for finish in (False, True):
        if shape.part.ends[finish].form is not None:
            continue
        seen = shape.seen_edge(finish, side)
        sketch.draw(*(polyline([axis.at(p) for p in chain], "visible") for chain in seen.solid))
        sketch.draw(*(polyline([axis.at(p) for p in chain], "hidden") for chain in seen.hidden))
    sketch.draw(*axis.break_lines(shape.half_height(side) * axis.scale))


def _looked_into(hole: DrilledHole) -> Which:
    """The view that shows a hole from its drill's side, or from opposite."""
    return "top" if abs(math.cos(hole.way)) > abs(math.sin(hole.way)) - 1e-3 else "front"


def _flat_half(flat: FlattenedEnd, side: Which) -> float:
    """Half the height of a crushed end in a view, mm."""
    c, s = abs(math.cos(flat.turn)), abs(math.sin(flat.turn))
    up, across = (c, s) if side == "front" else (s, c)
    return (flat.width * up + flat.thickness * across) / 2.0


def _draw_crushed(
    sketch: Sketch, shape: TubeShape, side: Which, axis: LongAxis, flat: FlattenedEnd, finish: bool
) -> None:
    """The flat, its transition to the round and its hole."""
    end, way = (shape.limits[1], -1.0) if finish else (shape.limits[0], 1.0)
    half, tall = _flat_half(flat, side), shape.half_height(side)
    inner, whole = end + way * flat.length, end + way * flat.taken
    outline = [(whole, tall), (inner, half), (end, half), (end, -half), (inner, -half), (whole, -tall)]
    sketch.draw(polyline([axis.at(p) for p in outline], "visible"))
    sketch.draw(line(axis.at((inner, half)), axis.at((inner, -half)), "thin"))
    if flat.hole:
        across = abs(math.cos(flat.turn) if side == "front" else math.sin(flat.turn)) * flat.hole / 2.0
        turn = np.linspace(0.0, 2.0 * math.pi, 73)
        middle = end + way * flat.at
        edge = [axis.at((middle + flat.hole / 2.0 * c, across * s))
                for c, s in zip(np.cos(turn).tolist(), np.sin(turn).tolist(), strict=True)]  # fmt: skip
        if across > 0.05:
            sketch.draw(polyline(edge, "visible"))
        else:
            for s in (middle - flat.hole / 2.0, middle + flat.hole / 2.0):
                sketch.draw(line(axis.at((s, half)), axis.at((s, -half)), "hidden"))


def _is_coped(end: WorkedEnd) -> bool:
    """Whether an end is shaped to the tubes it sits on, not sawn straight to one."""
    return end.cut == "cope" and not end.is_sawn_to_face


# -- the table of ends --------------------------------------------------------
def _ends_table(shape: TubeShape, figures: Figures) -> TableText:
    heads, rows, title = _ends_rows(shape, figures, 1.0)
    return TableText(title, heads, rows, _ends_rows(shape, figures, -1.0)[1])


def _ends_rows(
    shape: TubeShape, figures: Figures, turn: float
) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...], str]:
    """Heads, rows and title; `turn` -1.0 counts round the tube the other way.  Cut and fit of coped ends that have
    these in common stand in the title."""
    rows: list[tuple[str, ...]] = []
    outermost = (shape.limits[0], shape.span - shape.limits[1])
    for end, first, depth in zip(shape.part.ends, outermost, shape.end_depths, strict=True):
        name: str = end.at
        if end.cut == "plain":
            rows.append((name, "plain", "-", "-", "-", "-", "-", "-", "-"))
        for index, joint in enumerate(end.seats):
            rows.append(
                (
                    name if index == 0 else "",
                    "sawn" if end.is_sawn_to_face else end.cut,
                    joint.onto,
                    end_angle(end, joint),
                    figures.size(joint.offset) if abs(joint.offset) >= 0.05 else "0",
                    end.fit if _is_coped(end) else "-",
                    (degrees(turn * heel(end) % (2.0 * math.pi)) if end.has_heel else "-") if index == 0 else "",
                    figures.size(first) if index == 0 else "",
                    figures.size(depth) if index == 0 else "",
                )
            )
    heads: tuple[str, ...] = ("end", "cut", "onto", "angle", "offset", "fit", "heel*", "point**", "depth")
    title = "Ends"
    empty = [head for head in ("offset", "heel*") if all(row[heads.index(head)] in ("", "-", "0") for row in rows)]
    if {row[1] for row in rows} == {"cope"} and len({row[5] for row in rows}) == 1:
        title, empty = f"Ends: cope, fit {rows[0][5]}", ["cut", "fit", *empty]
    kept = [i for i, head in enumerate(heads) if head not in empty]
    return tuple(heads[i] for i in kept), tuple(tuple(row[i] for i in kept) for row in rows), title

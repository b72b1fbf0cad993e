"""The drawing of a link rod: assembled, with item numbers and the range it adjusts over, and its tube."""

from __future__ import annotations

import math
from dataclasses import dataclass

from fabgen.documents.drawing.sheet.balloons import draw_balloon
from fabgen.documents.drawing.sheet.blocks import titled
from fabgen.documents.drawing.sheet.dimensions import Length, Target, arrow, draw_leader, unit_vector
from fabgen.documents.drawing.sheet.lanes import Side, draw_sides
from fabgen.documents.drawing.sheet.long_axis import LongAxis
from fabgen.documents.drawing.sheet.sheet_frame import Projection
from fabgen.documents.drawing.sheet.views import Content, DrawnView, TableText, View
from fabgen.documents.drawing.tube.section_view import section_sketch
from fabgen.documents.drawing.tube.tube_shape import TubeShape
from fabgen.documents.drawing.tube.tube_view import largest_scale
from fabgen.documents.render.picture import Arc, Pen, line, polyline
from fabgen.documents.render.sketch import Panel, Sketch, grown, joined
from fabgen.geometry.plane.outline import Xy
from fabgen.parts.piece import EyeSetup, LinkEnd, LinkPart, Piece, RodEndSetup
from fabgen.wording.figures import Figures

_APART = 5.0
STILL_SEEN = 6.0
"""A link rod may be so thin on paper, mm, where its list then is on its sheet."""
EYE = 1.35
"""Radius of a rod end's eye over its bore: drawn so, not to size.  From memory, check against your part."""
SCHEMATIC = "Rod ends are drawn schematically; measure your own."


def link_content(piece: Piece, part: LinkPart, figures: Figures, projection: Projection) -> Content:
    """Views and parts list of one link rod."""
    views = _LinkViews(piece, part, figures, projection)
    main = View("", views.least, views.draw, largest=largest_scale(part.section), slim=STILL_SEEN)
    return Content(
        DrawnView(main),
        (),
        (_parts_list(piece, part, figures),),
        shown=("pin-to-pin", "adjusts"),
        notes=(SCHEMATIC,) if part.rods else (),
    )


@dataclass(frozen=True)
class _Item:
    """A numbered part and the points of the assembly (s, height; mm) that its number may point at."""

    number: int
    spots: tuple[Xy, ...]


class _LinkViews:
    def __init__(self, piece: Piece, part: LinkPart, figures: Figures, projection: Projection) -> None:
        self.piece, self.part, self.figures, self.projection = piece, part, figures, projection
        self.shape = TubeShape(part)
        self.radius = part.section.width / 2.0
        self.long = part.length + sum(side.reach for side in part.sides)  # along the tube, from pin to pin

    def eye(self, side: LinkEnd) -> float:
        """Radius of the eye as drawn, mm."""
        if isinstance(side, EyeSetup):
            return side.sleeve.width / 2.0
        return EYE * (side.bore or side.thread.diameter)

    def tall(self, side: LinkEnd) -> float:
        """How far an end reaches from the tube's axis, mm."""
        return self.eye(side) + (abs(side.offset) if isinstance(side, EyeSetup) else 0.0)

    def inside(self, rod: LinkEnd) -> float:
        """How far from the pin there is something to be seen inside the tube, mm."""
        if isinstance(rod, EyeSetup):
            return self.eye(rod)
        if rod.female:
            return rod.reach + rod.turned
        return rod.reach + max(rod.tapped - rod.head, rod.depth - rod.head, 0.0)

    def least(self, scale: float) -> Xy:
        eyes = [self.eye(side) for side in self.part.sides]
        ends = sum(self.inside(side) for side in self.part.sides) + sum(eyes)
        width = min(ends, self.long + sum(eyes)) * scale + self.radius * 2.0 * scale + 65.0
        height = max([self.radius, *map(self.tall, self.part.sides)]) * 2.0 * scale + 40.0
        return (width, height)

    def draw(self, scale: float, room: Xy) -> Panel:
        section = titled(section_sketch(self.shape, scale, self.figures).panel(), "Section")
        spare = room[0] - section.width - _APART
        first, last = self.part.sides
        whole = (-self.eye(first), self.long + self.eye(last))
        start, finish = self.inside(first) + 4.0 / scale, self.long - self.inside(last) - 4.0 / scale
        axis = LongAxis.fitted(whole, scale, spare - 12.0, [(whole[0], start), (finish, whole[1])])
        assembled = titled(self._assembly(axis).panel(), "Assembled")
        x = assembled.box[2] + _APART if self.projection == "first" else assembled.box[0] - _APART - section.width
        return joined([assembled, section.moved(x - section.box[0], 0.0)])

    # -- the assembly -------------------------------------------------------
    def _assembly(self, axis: LongAxis) -> Sketch:
        sketch = Sketch()
        end = self.long
        first, last = self.part.sides
        for way in (1.0, -1.0):
            h = way * self.radius
            for a, b in axis.split((self._edge(first, h), h), (end - self._edge(last, h), h)):
                sketch.draw(line(a, b))
        for s, side in ((self._edge(first, 0.0), first), (end - self._edge(last, 0.0), last)):
            if isinstance(side, RodEndSetup):
                sketch.draw(line(axis.at((s, -self.radius)), axis.at((s, self.radius))))
        sketch.draw(*axis.break_lines(self.radius * axis.scale))
        for i, side in enumerate(self.part.sides):
            if isinstance(side, EyeSetup):
                self._sleeve(sketch, side, axis, bool(i))
            else:
                self._rod_end(sketch, side, axis, bool(i))
        eyes = [self.eye(side) for side in self.part.sides]
        margin = 4.0 / axis.scale
        for a, b in axis.split((-eyes[0] - margin, 0.0), (end + eyes[1] + margin, 0.0)):
            sketch.draw(line(a, b, "centre"))
        box = sketch.box
        self._sizes(sketch, axis, box)
        for item in self._items():
            self._balloon(sketch, item, axis)
        return sketch

    @staticmethod
    def _edge(side: LinkEnd, h: float) -> float:
        """Where the tube's outside at height `h` ends, seen along the bolt, mm from the pin."""
        if isinstance(side, RodEndSetup):
            return side.reach + side.turned
        return math.sqrt(max(0.0, (side.sleeve.width / 2.0) ** 2 - (h - side.offset) ** 2))

    def _sleeve(self, sketch: Sketch, side: EyeSetup, axis: LongAxis, finish: bool) -> None:
        """A fixed end as seen along its bolt."""
        x, y = axis.at((self.long if finish else 0.0, side.offset))
        r = side.sleeve.width / 2.0 * axis.scale
        sketch.draw(Arc(x, y, r), Arc(x, y, side.sleeve.bore / 2.0 * axis.scale))
        sketch.draw(line((x, y - r - 3.0), (x, y + r + 3.0), "centre"))
        if side.offset:
            sketch.draw(line((x - r - 3.0, y), (x + r + 3.0, y), "centre"))

    def _rod_end(self, sketch: Sketch, rod: RodEndSetup, axis: LongAxis, finish: bool) -> None:
        """One rod end, its jam nut and bung, from the pin inward."""

        def at(t: float, h: float) -> Xy:
            return axis.at((self.long - t if finish else t, h))

        def bar(t0: float, t1: float, h: float, pen: Pen = "visible") -> None:
            for way in (1.0, -1.0):
                sketch.draw(line(at(t0, way * h), at(t1, way * h), pen))

        def across(t: float, h: float, pen: Pen = "visible") -> None:
            sketch.draw(line(at(t, -h), at(t, h), pen))

        scale, eye = axis.scale, self.eye(rod)
        cx, cy = at(0.0, 0.0)
        bore = rod.bore or rod.thread.diameter
        thread = rod.thread.diameter / 2.0
        neck = min(thread * 1.1, eye * 0.8)
        joint = math.degrees(math.asin(neck / eye))
        half = 0.87 * rod.thread.diameter  # of a nut, across its flats
        sketch.draw(
            Arc(cx, cy, eye * scale, 180.0 + joint if finish else joint, 540.0 - joint if finish else 360.0 - joint)
        )
        sketch.draw(Arc(cx, cy, bore / 2.0 * scale), Arc(cx, cy, eye * 0.74 * scale, pen="thin"))
        sketch.draw(line((cx, cy - eye * scale - 3.0), (cx, cy + eye * scale + 3.0), "centre"))
        if rod.female:
            body, shoulder = min(0.8 * rod.thread.diameter, eye * 0.8), self._edge(rod, 0.0)
            bar(math.sqrt(eye * eye - body * body), rod.shank, body)
            across(rod.shank, body)
            bar(rod.reach, rod.shank, thread, "hidden")
            across(rod.reach, thread, "hidden")
            nut = rod.shank + rod.thread.jam_nut
            sketch.draw(
                polyline([at(rod.shank, -half), at(nut, -half), at(nut, half), at(rod.shank, half)], closed=True)
            )
            bar(rod.shank, nut, half * 0.5)
            bar(nut, shoulder, thread)
            bar(nut, shoulder, rod.thread.core / 2.0, "thin")
            return
        face = rod.reach - rod.head  # the bung's outer face, or the tube's end
        nut = face - rod.thread.jam_nut
        begin = rod.shank - rod.thread_length
        start = math.sqrt(max(0.0, eye * eye - neck * neck))
        if begin > start:
            bar(start, begin, neck)
            across(begin, neck)
        bar(max(begin, start), nut, thread)
        bar(max(begin, start), nut, rod.thread.core / 2.0, "thin")
        sketch.draw(polyline([at(nut, -half), at(face, -half), at(face, half), at(nut, half)], closed=True))
        bar(nut, face, half * 0.5)
        bar(face, rod.shank, thread, "hidden")
        across(rod.shank, thread, "hidden")
        if self.part.bungs:
            if rod.head > 0.0:
                r = self.part.head_diameter / 2.0
                head = [at(face, -r), at(rod.reach, -r), at(rod.reach, r), at(face, r)]
                sketch.draw(polyline(head, closed=True))
            end = rod.reach + rod.tapped - rod.head
            inner = self.part.section.bore / 2.0
            bar(rod.reach, end, inner, "hidden")
            across(end, inner, "hidden")
        if self.part.sight_hole and (place := rod.sight_hole()) is not None:
            sketch.draw(Arc(*at(rod.reach + place, 0.0), max(0.3, self.part.sight_hole / 2.0 * scale)))

    def _sizes(self, sketch: Sketch, axis: LongAxis, box: tuple[float, float, float, float]) -> None:
        part, figures = self.part, self.figures
        end, way = self.long, part.each_way
        above, below = Side("above"), Side("below")
        eyes = [self.tall(side) * axis.scale + 3.0 for side in part.sides]
        apart = part.pin_to_pin
        text = f"pin to pin {figures.tube(apart)}"
        if part.rods:
            text += f", adjusts {figures.tube(apart - way)} to {figures.tube(apart + way)}"
        above.lengths.append(Length((axis.x(0.0), eyes[0]), (axis.x(end), eyes[1]), text, 0.0, 0.0))
        for i, rod in enumerate(part.sides):
            if isinstance(rod, EyeSetup):
                continue
            face, begin = rod.reach - rod.head, rod.shank - rod.thread_length
            if rod.female:
                face, begin = self._edge(rod, 0.0), rod.shank
            a, b = (axis.x(end - t if i else t) for t in (begin, face))
            low = -rod.thread.diameter / 2.0 * axis.scale
            below.lengths.append(Length((a, low), (b, min(low, -self.radius * axis.scale)), figures.tube(rod.showing)))
        sight = self._sight_holes()
        for i, place, reach in sight:
            a, b = (axis.x(end - t if i else t) for t in (reach, reach + place))
            low = -self.radius * axis.scale
            below.lengths.append(Length((a, low), (b, -part.sight_hole / 2.0 * axis.scale), figures.tube(place)))
        ends = (axis.x(part.sides[0].reach), axis.x(end - part.sides[1].reach))
        low = -self.radius * axis.scale
        text = f"{'bar' if part.section.is_solid else 'tube'}, saw length {figures.tube(part.length)}"
        below.outermost.append(Length((ends[0], low), (ends[1], low), text))
        draw_sides(sketch, box, above, below)
        if sight:
            count = f"{len(sight)} x " if len(sight) > 1 else ""
            half = part.sight_hole / 2.0 * axis.scale
            spots = [(axis.x(end - reach - place if i else reach + place), 0.0) for i, place, reach in sight]
            x0, y0, x1, y1 = sketch.box
            targets = [Target(spot, half, turn, 0.9) for spot in spots for turn in (math.pi / 2.0, -math.pi / 2.0)]
            draw_leader(
                sketch, targets, f"{count}Ø{figures.size(part.sight_hole)} sight", (x0, y0 - 8.0, x1, y1 + 14.0)
            )

    def _sight_holes(self) -> list[tuple[int, float, float]]:
        """Which end each sight hole is at, how far from the tube's end, and where that is from the pin, mm."""
        if not (self.part.sight_hole and self.part.bungs):
            return []
        rods = [(i, side) for i, side in enumerate(self.part.sides) if isinstance(side, RodEndSetup)]
        return [(i, place, rod.reach) for i, rod in rods if (place := rod.sight_hole()) is not None]

    # -- item numbers -------------------------------------------------------
    def _items(self) -> list[_Item]:
        spots: dict[int, list[Xy]] = {
            1: [(self.part.sides[0].reach + self.part.length * f, self.radius) for f in (0.1, 0.9, 0.3, 0.7)]
        }
        sleeves = 2 + len(self.piece.hardware)
        for i, rod in enumerate(self.part.sides):
            if isinstance(rod, EyeSetup):
                # Where its far side crosses the tube's axis: the same place seen from above and below.
                far = math.sqrt((rod.sleeve.width / 2.0) ** 2 - rod.offset**2)
                spots[sleeves] = [(self.long + far if i else -far, 0.0)]
                sleeves += 1
                continue
            face = rod.reach - rod.head
            nut = rod.shank + rod.thread.jam_nut / 2.0 if rod.female else face - rod.thread.jam_nut / 2.0
            places = {
                "rod end": (0.0, self.eye(rod) * 0.87),
                "jam nut": (nut, 0.87 * rod.thread.diameter),
                "weld-in threaded bung": (rod.reach - rod.head / 2.0, self.radius),
            }
            for number, hardware in enumerate(self.piece.hardware, 2):
                if hardware.goods.thread == str(rod.thread) and hardware.item in places:
                    t, h = places[hardware.item]
                    spots.setdefault(number, []).append((self.long - t if i else t, h))
        return [_Item(number, tuple(points)) for number, points in sorted(spots.items())]

    def _balloon(self, sketch: Sketch, item: _Item, axis: LongAxis) -> None:
        """A number in a circle with its leader, where both are free."""
        radius = 3.1
        for reach in (8.0, 12.0, 16.0, 21.0, 27.0, 34.0):
            for s, h in item.spots:
                for way in (-1.0, 1.0):
                    tip = axis.at((s, h * way))
                    for angle in (75.0, 105.0, 60.0, 120.0, 45.0, 135.0):
                        a = math.radians(angle) * way
                        c = (tip[0] + reach * math.cos(a), tip[1] + reach * math.sin(a))
                        box = (c[0] - radius, c[1] - radius, c[0] + radius, c[1] + radius)
                        toward = unit_vector(c, tip)
                        rim = (c[0] + toward[0] * radius, c[1] + toward[1] * radius)
                        if not sketch.free(grown(box, 0.5)) or sketch.board.text_on_line(tip, rim):
                            continue
                        draw_balloon(sketch, str(item.number), c, tip, radius, arrow(tip, toward))
                        return


def _parts_list(piece: Piece, part: LinkPart, figures: Figures) -> TableText:
    length, unit = figures.tube(part.length), "" if figures.inches else " mm"
    rows = [
        (
            "1",
            "1",
            "bar" if part.section.is_solid else "tube",
            f"{part.section.words(figures.units)} {piece.material}",
            f"saw length {length}{unit}",
        )
    ]
    units = figures.units
    for number, each in enumerate(piece.hardware, 2):
        rows.append((str(number), str(each.quantity), each.item, each.goods.words(units), each.note.words(units)))
    number = 2 + len(piece.hardware)
    for end, side in zip(part.ends, part.sides, strict=True):
        if isinstance(side, EyeSetup):
            onto = end.joints[0].onto
            rows.append(
                (
                    str(number),
                    "1",
                    f"sleeve {onto}",
                    side.sleeve.words(figures.units),
                    f"{figures.tube(side.width)}{unit} long",
                )
            )
            number += 1
    return TableText("Parts of one link rod", ("item", "qty", "what", "size", "note"), tuple(rows), longest=48.0)

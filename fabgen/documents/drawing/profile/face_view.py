"""One outer face of a profile as its drawing shows it: seen square from outside, the start at the left.

Coordinates of a face: s mm along the profile from the start's saw cut, the longest point; station mm across it.  On
paper s runs right and stations down, as who looks at the metal sees them, so that faces drawn below one another in
their order are the profile unfolded.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fabgen.documents.drawing.sheet.dimensions import FIGURE, Length, Target, draw_angle, draw_leader
from fabgen.documents.drawing.sheet.lanes import Side, SideName, Station, edge
from fabgen.documents.drawing.sheet.long_axis import LongAxis
from fabgen.documents.render.picture import Pen, Text, line, polyline
from fabgen.documents.render.sketch import Sketch
from fabgen.documents.render.words import degrees
from fabgen.documents.wrap.fold_wrap import face_word
from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.profile.bevel import faces_met, outer_and_inner
from fabgen.geometry.profile.development import STRAIGHT, edge_corners
from fabgen.geometry.profile.limbs import Limb
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import LegHole, ProfilePart, like_leg_holes
from fabgen.parts.shape.legs import across_face
from fabgen.parts.shape.standing import Seen
from fabgen.wording.figures import Figures

_MOST = 9
"""An edge of more corners than this is a curve: its template has its sizes."""
_LEVEL = 0.3
"""An edge that leads or lags by less than this is square, mm."""
MOST_STATIONS = 12
STUB = 7.0
"""How far the lines of what stands on an edge of a face stand out beside it, mm of paper."""


@dataclass(frozen=True, slots=True)
class OnFace:
    """What lies on a face or, behind it, on its back: from where to where along the profile, mm from the start's saw
    cut, and between which stations of the face; of what stands on an edge of it both are that edge's."""

    name: str
    first: float
    last: float
    stations: tuple[float, float]

    @property
    def is_beside(self) -> bool:
        """Whether it stands on an edge of the face."""
        return self.stations[0] == self.stations[1]


@dataclass(frozen=True, eq=False)
class FaceShape:
    """A face: `start` and `finish` the edges it is cut to, (n, 2): (s, station), station ascending; `hidden`: stations
    at which another flat ends behind it; `folds`: whether its first and its last side is a fold; `bevels`: where bevels
    of its edges end on it, or `under` it on its other side, as `start` is."""

    name: str
    width: float
    start: Array
    finish: Array
    hidden: tuple[float, ...]
    folds: tuple[bool, bool]
    holes: tuple[LegHole, ...]
    length: float
    lying: tuple[OnFace, ...] = ()
    bevels: tuple[Array, ...] = ()
    under: tuple[Array, ...] = ()

    @property
    def word(self) -> str:
        """'leg a'."""
        return face_word(self.name)

    def at(self, finish: bool, station: float) -> float:
        """s of an edge at a station."""
        edge_ = self.finish if finish else self.start
        return float(np.interp(station, edge_[:, 1], edge_[:, 0]))


def face_shapes(part: ProfilePart, standing: Sequence[Seen] = ()) -> list[FaceShape]:
    """The outer faces of a profile in the order in which its ends are marked.

    Args:
        part: the profile.
        standing: the placed parts that stand on it.
    """
    lying = [*_landed(part), *_placed(part, standing)]
    first, last = part.ends
    limbs = [edge.limb for edge in first.cut.edges]
    meets = [math.dist(a.edge.end, b.edge.start) < 1e-6 for a, b in pairwise(limbs)]
    found = []
    for i, here in enumerate(first.cut.edges):
        limb = here.limb
        if not limb.name:
            continue
        other = last.cut.edge(limb.name)
        start = np.column_stack((here.x - first.longest, here.station))
        finish = np.column_stack((part.length - (other.x - last.longest), limb.width - other.station))[::-1]
        folds = (i > 0 and meets[i - 1], i + 1 < len(limbs) and meets[i])
        hidden = []
        if folds[0] and _ends_behind(limbs[i - 1], limb):
            hidden.append(limbs[i - 1].thickness)
        if folds[1] and _ends_behind(limbs[i + 1], limb):
            hidden.append(limb.width - limbs[i + 1].thickness)
        if limb.name == "flange outside":
            half = part.section.sizes[3] / 2.0
            hidden += [limb.width / 2.0 - half, limb.width / 2.0 + half]
        holes = tuple(hole for hole in part.holes if hole.face == limb.name)
        landed = tuple(each for face, each in lying if face == limb.name)
        bevels, under = _bevels(part, limb.name, False), _bevels(part, limb.name, True)
        seen = (tuple(hidden), folds, holes, part.length, landed, bevels, under)
        found.append(FaceShape(limb.name, limb.width, start, finish, *seen))
    return found


def _landed(part: ProfilePart) -> Iterator[tuple[str, OnFace]]:
    """The ends that land on a profile, with the outer faces that they are marked on."""
    for each in part.landings:
        if each.across is not None:
            name = f"{each.branch} behind" if each.is_behind else each.branch
            yield each.across.outer, OnFace(name, each.first, each.last, each.across.stations)
        elif each.faces and (edge_ := _edge_of(part, each.faces[0])) is not None:
            yield edge_[0], OnFace(each.branch, each.first, each.last, (edge_[1], edge_[1]))


def _edge_of(part: ProfilePart, toe: str) -> tuple[str, float] | None:
    """The outer face of which a toe, or a bar's edge, is an edge, and the station of that."""
    segment = next((face for face in part.cross.faces if face.name == toe), None)
    if segment is None:
        return None
    ends = (segment.start, segment.end)
    places = [
        (min(math.dist(corner, end) for end in ends), limb.name, station)
        for limb in (cut.limb for cut in part.ends[0].cut.edges)
        for corner, station in ((limb.edge.start, 0.0), (limb.edge.end, limb.width))
        if limb.name
    ]
    _, name, station = min(places)
    return name, station


def _placed(part: ProfilePart, standing: Sequence[Seen]) -> Iterator[tuple[str, OnFace]]:
    """The same of placed parts."""
    for each, found in standing:
        if (skin := each.place.skin) is None or found.along is None:
            continue
        zero, one = skin.across
        beside = np.array([(edge - zero) / (one - zero) for edge in found.across])
        edges = part.frame.inside(skin.origin + beside[:, None] * skin.beside)[:, 1:]
        if (across := across_face(part, found.face, edges)) is not None:
            behind = " behind" if across.outer != found.face else ""
            yield across.outer, OnFace(f"{each.name}{behind}", *found.along, across.stations)


def _ends_behind(beside: Limb, limb: Limb) -> bool:
    """Whether a flat beside a face ends behind it: not a bend, nor a bar's whole depth."""
    return not beside.edge.is_arc and beside.thickness < limb.width


def _bevels(part: ProfilePart, face: str, under: bool) -> tuple[Array, ...]:
    """Where the bevels of a face's edges, or of the face under it, end along the metal: (2, 2) each, (s, station)."""
    found = []
    for end in part.ends:
        limb = end.cut.edge(face).limb
        across = np.array([0.0, limb.width])
        for bevel in end.bevels:
            if outer_and_inner(limb)[under] in bevel.faces:
                back = faces_met(limb, bevel.plane, across)[under] - end.longest
                at_start = end.at == "start"
                found.append(
                    np.column_stack((back, across))
                    if at_start
                    else np.column_stack((part.length - back, limb.width - across))
                )
    return tuple(found)


def face_sketch(face: FaceShape, axis: LongAxis, figures: Figures, whole: bool) -> Sketch:
    """The face with its sizes.

    Args:
        face: what to draw.
        axis: carries s to paper.
        figures: of the job's units.
        whole: with the length to saw.
    """
    return _FaceDrawing(face, axis, figures, whole).sketch


class _FaceDrawing:
    """The drawing in the making; y on paper is 0 in the middle of the face."""

    def __init__(self, face: FaceShape, axis: LongAxis, figures: Figures, whole: bool) -> None:
        self.face, self.axis, self.figures = face, axis, figures
        self.sketch = Sketch()
        self._lines()
        self._holes()
        self._landed()
        self.half = face.width / 2.0 * axis.scale
        self.box = (axis.x(0.0), -self.half, axis.x(face.length), self.half)
        names: tuple[SideName, ...] = ("above", "below", "left", "right")
        self.sides = {name: Side(name) for name in names}
        self._lengths(whole)
        for finish in (False, True):
            self._notch(finish)
        self._stations()
        for name in names:
            self.sides[name].draw(self.sketch, edge(name, self.box) + (STUB - 1.0 if self._beside(name) else 0.0))
        for finish in (False, True):
            self._angle(finish)
        self._names()
        self._kinds()

    def on(self, s: float, station: float) -> Xy:
        return self.axis.x(s), (self.face.width / 2.0 - station) * self.axis.scale

    def _lines(self) -> None:
        face, draw = self.face, self.sketch.draw
        for chain in (face.start, face.finish):
            draw(polyline([self.on(s, u) for s, u in chain.tolist()]))
        kinds: tuple[tuple[Pen, tuple[Array, ...]], ...] = (("visible", face.bevels), ("hidden", face.under))
        for pen, chains in kinds:
            for chain in chains:
                one, other = (self.on(s, u) for s, u in chain.tolist())
                draw(line(one, other, pen))
        for station in (0.0, face.width):
            self._along(station, "visible")
        for station in face.hidden:
            self._along(station, "hidden")
        draw(*self.axis.break_lines(face.width / 2.0 * self.axis.scale))

    def _along(self, station: float, pen: Pen) -> None:
        """A line along the profile from cut to cut, parted by the breaks."""
        a, b = self.face.at(False, station), self.face.at(True, station)
        for p, q in self.axis.split((a, station), (b, station)):
            y = self.on(0.0, station)[1]
            self.sketch.draw(line((p[0], y), (q[0], y), pen))

    # -- holes ----------------------------------------------------------------
    def _holes(self) -> None:
        """Holes, and along each row of them the line on which they lie."""
        for row in like_leg_holes(self.face.holes):
            for hole in row:
                self.sketch.draw(polyline([self.on(s, u) for u, s in hole.loop.points(0.05).tolist()], closed=True))
                reach = hole.width / 2.0 + 2.0 / self.axis.scale
                low, high = (self.on(hole.along, hole.station + way * reach) for way in (-1.0, 1.0))
                self.sketch.draw(line(low, high, "centre"))
        for station in dict.fromkeys(round(hole.station, 3) for hole in self.face.holes):
            on_line = [hole for hole in self.face.holes if abs(hole.station - station) < 0.01]
            reach = max(hole.length for hole in on_line) / 2.0 + 2.0 / self.axis.scale
            first, last = (way(hole.along for hole in on_line) for way in (min, max))
            for p, q in self.axis.split((first - reach, station), (last + reach, station)):
                y = self.on(0.0, station)[1]
                self.sketch.draw(line((p[0], y), (q[0], y), "centre"))

    # -- what lands here --------------------------------------------------------
    def _landed(self) -> None:
        """The outlines of what lies here, as of adjacent parts (long-dashed double-dotted narrow lines), and their
        centre lines."""
        for each in self.face.lying:
            if each.is_beside:
                self._stands_beside(each)
                continue
            low, high = each.stations
            for station in each.stations:
                for p, q in self.axis.split((each.first, station), (each.last, station)):
                    y = self.on(0.0, station)[1]
                    self.sketch.draw(line((p[0], y), (q[0], y), "bend"))
            for s in (each.first, each.last):
                if not self.axis.leaves_out(s - 1e-6, s + 1e-6):
                    self.sketch.draw(line(self.on(s, low), self.on(s, high), "bend"))
            middle, past = (each.first + each.last) / 2.0, 2.0 / self.axis.scale
            if not self.axis.leaves_out(each.first, each.last):
                self.sketch.draw(line(self.on(middle, low - past), self.on(middle, high + past), "centre"))

    def _stands_beside(self, each: OnFace) -> None:
        """Its edges and its centre line, out from an edge of the face."""
        station, middle = each.stations[0], (each.first + each.last) / 2.0
        out = 1.0 if station < self.face.width / 2.0 else -1.0
        places: tuple[tuple[float, Pen, float], ...] = (
            (each.first, "bend", 0.0), (middle, "centre", 2.0), (each.last, "bend", 0.0)
        )  # fmt: skip
        for s, pen, past in places:
            if not self.axis.leaves_out(s - 1e-6, s + 1e-6):
                x, y = self.on(s, station)
                self.sketch.draw(line((x, y - out * past), (x, y + out * (STUB + past)), pen))

    def _beside(self, name: SideName) -> bool:
        """Whether anything stands beside the face on a side of the view."""
        upper = {"above": True, "below": False}.get(name)
        stand = (each.stations[0] < self.face.width / 2.0 for each in self.face.lying if each.is_beside)
        return upper is not None and upper in stand

    def _stations(self) -> None:
        """Where the holes are along the profile, and how far from their datum the lines are on which they lie."""
        below = self.sides["below"]
        places: dict[float, tuple[float, list[str]]] = {}
        holes = sorted(self.face.holes, key=lambda hole: hole.along)
        for hole in holes[:MOST_STATIONS]:
            _add(places, hole.along, hole.station, "")
        edges = len(self.face.lying) <= MOST_STATIONS
        for each in self.face.lying:
            for s, name in ((each.first, each.name), (each.last, ""))[: 1 + edges]:
                if not self.axis.leaves_out(s - 1e-6, s + 1e-6):
                    _add(places, s, max(each.stations), name)
        for s, (deepest, names) in sorted(places.items()):
            if s > _LEVEL:
                text = ", ".join(dict.fromkeys(names))
                below.stations.append(Station(self.on(s, deepest), self.figures.tube(s), 0.0, text))
        below.origin, below.level = self.on(0.0, self.face.width), True
        for hole in {round(hole.station, 2): hole for hole in self.face.holes}.values():
            if abs(hole.gauge) >= STRAIGHT:
                a, b = (self.on(0.0, u) for u in (hole.datum_station, hole.station))
                side: SideName = "left" if hole.datum == "middle" and b[1] < a[1] else "right"
                x = self.axis.x(0.0 if side == "left" else self.face.length)
                dim = Length((x, a[1]), (x, b[1]), self.figures.length(abs(hole.gauge)))
                self.sides[side].lengths.append(dim)

    def _kinds(self) -> None:
        x0, y0, x1, y1 = self.sketch.box
        limit = (x0 - 30.0, y0 - 12.0, x1 + 30.0, y1 + 12.0)
        for row in like_leg_holes(self.face.holes):
            targets = [Target(self.on(hole.along, hole.station), hole.width / 2.0 * self.axis.scale) for hole in row]
            count = f"{len(row)} x " if len(row) > 1 else ""
            draw_leader(self.sketch, targets, count + _kind(row[0], self.figures), limit)

    # -- lengths and notches ------------------------------------------------------
    def _lengths(self, whole: bool) -> None:
        face = self.face
        sides: tuple[tuple[SideName, float], ...] = (("above", 0.0), ("below", face.width))
        given: list[tuple[float, float]] = []
        for name, station in sides:
            a, b = face.at(False, station), face.at(True, station)
            twice = any(math.dist((a, b), each) < STRAIGHT for each in given)
            if b - a < face.length - STRAIGHT and not (twice or self._notched()):
                given.append((a, b))
                dim = Length(self.on(a, station), self.on(b, station), self.figures.tube(b - a))
                self.sides[name].lengths.append(dim)
        if whole:
            text = f"saw length {self.figures.tube(face.length)}"
            a, b = self.axis.x(0.0), self.axis.x(face.length)
            self.sides["above"].outermost.append(Length((a, self.half), (b, self.half), text))

    def _notched(self) -> bool:
        """Whether the face is notched at either end, where the depth is given."""
        return any(len(self._corners(finish)) > 2 for finish in (False, True))

    def _corners(self, finish: bool) -> list[Xy]:
        """Corners of an end's edge, (depth from the saw cut, station)."""
        chain = self.face.finish if finish else self.face.start
        corners = edge_corners(chain[:, ::-1])[:, ::-1]
        depth = self.face.length - corners[:, 0] if finish else corners[:, 0]
        return [(float(d), float(u)) for d, u in zip(depth, corners[:, 1], strict=True)]

    def _notch(self, finish: bool) -> None:
        """Depths of a notch from the saw cut, and its corners across the face from the fold or the nearer side."""
        corners, face = self._corners(finish), self.face
        depths = [depth for depth, _ in corners]
        straight = len(corners) == 2 and abs(depths[0] - depths[1]) > _LEVEL
        if max(depths) < _LEVEL or straight or len(corners) > _MOST:
            return
        end = face.length if finish else 0.0
        way = -1.0 if finish else 1.0
        measured: dict[float, float] = {}
        for depth, station in corners:
            if depth > _LEVEL:
                measured.setdefault(round(depth, 1), station)
        for depth, station in measured.items():
            upper = station < face.width / 2.0
            a, b = (self.on(end + way * d, station) for d in (0.0, depth))
            self.sides["above" if upper else "below"].lengths.append(Length(a, b, self.figures.length(depth)))
        beside = self.sides["right" if finish else "left"]
        base = face.width if face.folds[1] and not face.folds[0] else 0.0
        deep = [max(d for d, _ in corners[max(0, i - 1) : i + 2]) > _LEVEL for i in range(len(corners))]
        for station in dict.fromkeys(round(u, 1) for (_, u), cut in zip(corners, deep, strict=True) if cut):
            if STRAIGHT < station < face.width - STRAIGHT:
                x = self.axis.x(end)
                dim = Length(
                    (x, self.on(0.0, base)[1]), (x, self.on(0.0, station)[1]), self.figures.length(abs(station - base))
                )
                beside.lengths.append(dim)

    def _angle(self, finish: bool) -> None:
        """The angle of a straight edge from square, where it leans."""
        corners = self._corners(finish)
        if len(corners) != 2 or abs(corners[0][0] - corners[1][0]) < _LEVEL:
            return
        (d0, u0), (d1, u1) = corners
        lean = math.atan2(abs(d1 - d0), u1 - u0)
        long_side = corners[0] if d0 < d1 else corners[1]
        other = corners[1] if d0 < d1 else corners[0]
        end, way = (self.face.length, -1.0) if finish else (0.0, 1.0)
        centre, tip = (self.on(end + way * d, u) for d, u in (long_side, other))
        square = math.copysign(math.pi / 2.0, tip[1] - centre[1])
        cut = math.atan2(tip[1] - centre[1], tip[0] - centre[0])
        turn = math.remainder(cut - square, 2.0 * math.pi)
        first, last = (square, square + turn) if turn > 0.0 else (square + turn, square)
        far = math.dist(centre, tip)
        # The figure keeps off the line that goes on square, however far out the arc is.
        self.sketch.board.add_line(centre, (centre[0], centre[1] + math.copysign(1.3 * far + 2.0, square)))
        for share in (0.75, 0.5, 1.0, 1.3):
            radius = share * far
            if radius > 6.0 and draw_angle(self.sketch, centre, radius, first, last, degrees(lean)):
                self.sketch.draw(line(centre, (centre[0], centre[1] + math.copysign(radius + 2.0, square)), "thin"))
                return

    def _names(self) -> None:
        x0, _, x1, _ = self.sketch.box
        self.sketch.write(Text(x0 - 2.0, -FIGURE * 0.36, "start", FIGURE, "end", bold=True))
        self.sketch.write(Text(x1 + 2.0, -FIGURE * 0.36, "finish", FIGURE, bold=True))


def _add(places: dict[float, tuple[float, list[str]]], s: float, station: float, name: str) -> None:
    """A place along the profile, the lowest station to be dimensioned there, and what lies there."""
    key = round(s, 2)
    deepest, names = places.get(key, (station, []))
    places[key] = (max(deepest, station), [*names, name] if name else names)


def _kind(hole: LegHole, figures: Figures) -> str:
    """'Ø11 for M10', 'slot 30 x 9'."""
    if hole.is_slot:
        return f"slot {figures.size(hole.length)} x {figures.size(hole.width, 2)}"
    return f"Ø{figures.size(hole.width, 2)}" + (f" for {hole.bolt}" if hole.bolt else "")


def leg_hole_rows(holes: Sequence[LegHole], figures: Figures) -> Iterator[tuple[str, ...]]:
    """A row of the table for each hole: its name, size, leg, gauge and place along.

    Args:
        holes: of a profile.
        figures: of the job's units.
    """
    for hole in holes:
        gauge = f"{figures.length(abs(hole.gauge))} from the {hole.datum}{hole.way}"
        place = gauge if abs(hole.gauge) >= STRAIGHT else hole.datum
        yield (hole.name, _kind(hole, figures), hole.leg_name, place, figures.tube(hole.along))

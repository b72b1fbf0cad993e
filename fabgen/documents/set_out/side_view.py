"""One side of what carries parts, seen square to it: its outline, the parts on it, and where their edges are; and a
part in a bend of a tube, seen square to the skin there."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np
import shapely

from fabgen.documents.drawing.sheet.lanes import Side, Station, draw_sides
from fabgen.documents.render.lettering import TEXT
from fabgen.documents.render.picture import Text, cross, line, polyline, rectangle
from fabgen.documents.render.set_out_words import side_of
from fabgen.documents.render.sketch import Panel, Sketch
from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import FlatPart, LengthPart, Piece, ProfilePart, SetOut, Skin
from fabgen.parts.shape.bodies.length_body import tube_body
from fabgen.parts.shape.sheet_body import sheet_body
from fabgen.parts.shape.standing import Seen, SetOutOn, Standing, bar_middle
from fabgen.wording.figures import Figures

LARGEST, TALLEST = 1.0, 42.0
"""Scale at most, and height of what is drawn, mm of paper."""
ROOM = 14.0
"""Room beside what is drawn for figures and names, mm of paper."""
_BESIDE = 1.5
"""A bent tube is drawn so many times its width past a part on it."""
_MARK = TEXT
_SEEN = 1e-6
"""A triangle that is seen edge on has no more area than this, mm2."""
_STEP = math.radians(5.0)
_ARM = 2.0
_AT_ZERO = 0.05
"""An edge this near to where the tape is held needs no figure, mm."""
_ABOVE = sorted(
    product((4.0 * rise for rise in range(30)), (7.0 * aside for aside in range(-12, 13))),
    key=lambda each: (each[0] + 0.7 * abs(each[1]), each),
)
"""So far above a view and aside a name finds its place, the nearest first, mm of paper."""
_SAME = math.radians(0.5)
"""Parts this near to one another round a tube are on one side."""


def sides(on: SetOutOn) -> Iterator[tuple[str, list[Seen]]]:
    """The sides of a carrier on which parts stand, in words, with these; a part in a bend has a view of its own."""
    groups: list[list[Seen]] = []
    for each in on.standing:
        if each[1].along is None:
            continue
        group = next((group for group in groups if _alike(group[0][1], each[1])), None)
        if group is None:
            groups.append([each])
        else:
            group.append(each)
    for group in sorted(groups, key=lambda group: (_round(group[0][1].way), group[0][1].face)):
        found = group[0][1]
        angle = f"{math.degrees(_round(found.way)):.0f}"
        name = found.face if found.way is None else "TOP" if angle == "0" else f"{angle}° from TOP"
        own = side_of(on.carrier, found)
        yield f"{name}, its {own}" if own else name, group


def _round(way: float | None) -> float:
    return 0.0 if way is None else round(way % (2.0 * math.pi), 6) % round(2.0 * math.pi, 6)


def _alike(one: SetOut, other: SetOut) -> bool:
    if one.way is None or other.way is None:
        return one.way is other.way and one.face == other.face
    return abs(math.remainder(one.way - other.way, 2.0 * math.pi)) < _SAME


def in_bends(on: SetOutOn) -> list[Seen]:
    """The parts that stand in a bend of what carries them."""
    return [each for each in on.standing if each[1].along is None]


@dataclass(frozen=True, eq=False)
class SideView:
    """What is drawn of a side, mm: the carrier, the parts on it with the corners of what is seen of each, and what of a
    view lies at 0 along and across.

    Args:
        outline: of the carrier, open or closed lines, (n, 2) each.
        parts: each with its rings.
        is_bend: whether sizes run from the place of a part in a bend.
    """

    outline: list[tuple[Array, bool]]
    parts: list[tuple[Standing, SetOut, list[Array]]]
    has_middle: bool = False
    is_bend: bool = False

    @cached_property
    def box(self) -> tuple[Array, Array]:
        """Lower and upper corner."""
        every = np.vstack([line for line, _ in self.outline] + [ring for *_, rings in self.parts for ring in rings])
        return every.min(axis=0), every.max(axis=0)

    def scale(self, width: float) -> float:
        """At which it fits into so many mm of paper."""
        size = np.maximum(self.box[1] - self.box[0], 1.0)
        return min(LARGEST, (width - ROOM) / float(size[0]), TALLEST / float(size[1]))

    def panel(self, width: float, figures: Figures) -> Panel:
        """The view: along to the right, what is clockwise seen from the start downward.

        Args:
            width: of the paper that it fills, mm.
            figures: of the job's units.
        """
        scale, sketch = self.scale(width), Sketch()

        def on(points: Array) -> list[Xy]:
            return [(float(x) * scale, float(y) * scale) for x, y in points]

        for outline, closed in self.outline:
            sketch.draw(polyline(on(outline), "visible", closed=closed))
        if self.has_middle:
            ends = float(self.box[0][0]) * scale, float(self.box[1][0]) * scale
            sketch.draw(line((ends[0] - 3.0, 0.0), (ends[1] + 3.0, 0.0), "centre"))
        for each, found, rings in self.parts:
            for ring in rings:
                sketch.draw(polyline(on(ring), "visible", closed=True))
            along = found.middle if self.is_bend else 0.0
            for hole in found.holes:
                if hole.over is None:
                    across = _downward(_skin(each), hole.across)
                    sketch.draw(*cross(((hole.along - along) * scale, across * scale), _ARM, _ARM))
        if self.is_bend:
            sketch.draw(*cross((0.0, 0.0), 2.0 * _ARM, 2.0 * _ARM))
        box = sketch.box
        below = Side("below", origin=(0.0, box[1]))
        below.stations = [
            Station((at * scale, box[1]), text)
            for text, at in sorted(self._edges(figures).items(), key=lambda each: each[1])
            if abs(at) > _AT_ZERO
        ]
        for each, _, rings in self.parts:
            _name(sketch, each, np.vstack(rings) * scale, box[3])
        draw_sides(sketch, box, below)
        return sketch.panel(1.0)

    def _edges(self, figures: Figures) -> dict[str, float]:
        """The edges of the parts along it, by their figures."""
        if not self.is_bend:
            return {figures.tape(edge): edge for _, found, _ in self.parts for edge in found.along or ()}
        ((_, _, rings),) = self.parts
        along = np.vstack(rings)[:, 0]
        return {f"{way} {figures.tape(abs(edge))}": edge for way, edge in
                (("back", float(along.min())), ("on", float(along.max())))}  # fmt: skip


def side_view(carrier: Piece, group: Sequence[Seen]) -> SideView:
    """One side of a carrier with the parts on it.

    Args:
        carrier: what they stand on.
        group: the parts on one side of it.
    """
    outline = _carrier_outline(carrier, _skin(group[0][0]))
    parts = [(each, found, list(_outlines(each))) for each, found in group]
    return SideView([(outline, True)], parts, isinstance(carrier.shape, LengthPart))


def bend_view(carrier: Piece, seen: Seen) -> SideView:
    """A part in a bend of a tube, seen square to the skin at its place: that is at 0.

    Args:
        carrier: the tube.
        seen: the part.
    """
    each, found = seen
    skin, part = _skin(each), carrier.shape
    assert isinstance(part, LengthPart)
    shift = np.array([skin.at, 0.0])
    rings = [ring - shift for ring in _outlines(each)]
    past = _BESIDE * max(part.section.width, part.section.depth)
    every = np.vstack(rings)
    low, high = every.min(axis=0) - past, every.max(axis=0) + past
    window = shapely.box(*low, *high)
    body = tube_body(part, as_sawn=True)
    away = body.vertices - skin.origin
    shapes = shapely.polygons(np.column_stack((away @ skin.along, -(away @ skin.beside)))[body.triangles])
    shapes = shapes[(shapely.area(shapes) > _SEEN) & shapely.intersects(shapes, window)]
    rim = shapely.union_all(shapely.buffer(shapes, 0.02, join_style="mitre")).boundary
    left = shapely.line_merge(rim.intersection(window))
    lines = [(shapely.get_coordinates(line), False) for line in getattr(left, "geoms", [left])]
    return SideView(lines, [(each, found, rings)], is_bend=True)


def _name(sketch: Sketch, each: Standing, ring: Array, top: float) -> None:
    """Its mark, within it where it fits, else above the view with a line to it."""
    x, y = (float(v) for v in (ring.min(axis=0) + ring.max(axis=0)) / 2.0)
    within = [Text(x, y - 1.1 + dy, each.name, _MARK, anchor="middle", bold=True) for dy in (0.0, 3.0, -3.0)]
    wide = float(np.ptp(ring[:, 0])), float(np.ptp(ring[:, 1]))
    if min(wide) > 6.0 and sketch.write_free(within):
        return
    spot = x, float(ring[:, 1].max())
    for must in (False, True):
        for rise, aside in _ABOVE:
            text = Text(x + aside, top + 3.0 + rise, each.name, _MARK, anchor="middle", bold=True)
            foot = x + aside, text.y - 0.8
            if (must or not sketch.board.text_on_line(foot, spot)) and sketch.write_free([text]):
                sketch.draw(line(foot, spot, "thin"))
                return


def _skin(each: Standing) -> Skin:
    """What it is set out on."""
    assert each.place.skin is not None
    return each.place.skin


def _downward(skin: Skin, across: float) -> float:
    """A place across, from its datum, as it is drawn: the skin's origin at 0, clockwise downward."""
    zero, one = skin.across
    return -(across - zero) / (one - zero)


def _outlines(each: Standing) -> Iterator[Array]:
    """What is seen of a part, rings (n, 2) mm: along from where the tape is held, and counter-clockwise of the skin."""
    skin = _skin(each)

    def flat(points: Array) -> Array:
        away = each.place.frame.outside(points) - skin.origin
        return np.column_stack((skin.at + away @ skin.along, -(away @ skin.beside)))

    if isinstance(each.part, LengthPart):
        half = each.part.section.width / 2.0
        seen = shapely.LineString(flat(bar_middle(each.part, _STEP))).buffer(half, cap_style="flat")
    else:
        body = sheet_body(each.part)
        shapes = shapely.polygons(flat(body.vertices)[body.triangles])
        shapes = shapes[shapely.area(shapes) > _SEEN]
        seen = shapely.union_all(shapely.buffer(shapes, 0.02, join_style="mitre"))
    for polygon in getattr(seen, "geoms", [seen]):
        for ring in (polygon.exterior, *polygon.interiors):
            yield shapely.get_coordinates(ring)[:-1]


def _carrier_outline(carrier: Piece, skin: Skin) -> Array:
    """Corners (n, 2) of what they stand on, in the same directions."""
    match carrier.shape:
        case LengthPart() as part:
            assert skin.way is not None
            half = part.section.beside(skin.way) / 2.0
            return _box(0.0, part.length, -half, half)
        case ProfilePart() as part:
            across = np.vstack((part.frame.y, part.frame.z))
            points = part.frame.origin + np.asarray(part.cross.outline.points(0.05)) @ across
            away = -((points - skin.origin) @ skin.beside)
            return _box(0.0, part.length, float(away.min()), float(away.max()))
        case FlatPart() as part:
            name = skin.face.rpartition(" of ")[2] if " of " in skin.face else ""
            datum = part.datums.get(name) or next(iter(part.datums.values()))
            u0, v0, _, _ = datum.bounds
            return np.array([(u - u0, _downward(skin, v - v0)) for u, v in datum.corners])


def _box(x0: float, x1: float, y0: float, y1: float) -> Array:
    ring = rectangle(x0, y0, x1 - x0, y1 - y0)
    return np.array(ring.points)

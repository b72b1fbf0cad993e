"""The flat of a rolled skirt or cone with its cut-outs: straight edges straight, arcs as arcs, cuts as tangent arcs.

The sheet is handled as a rectangle: x is the angle round the wall times its largest radius, y
the slant.  What is left of it once the cut-outs are taken away is then carried to the flat.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from fabgen.geometry.plane.arc_fit import arcs_through
from fabgen.geometry.plane.outline import Outline, OutlineError, Vertex, Xy
from fabgen.geometry.sheet.wall_cuts import Wall
from fabgen.wording.sentence import mm, sentence

_ON = 1e-6
_PARTS = 24


@dataclass(frozen=True, eq=False)
class RolledSheet:
    """A rolled sheet: its wall, how much of the round it covers (rad), and at its right-hand end a lap or at
    both ends together a gap, mm."""

    wall: Wall
    arc: float
    lap: float = 0.0
    gap: float = 0.0

    @property
    def around(self) -> float:
        """Length of one whole turn in the sheet's own x, mm."""
        return 2.0 * math.pi * self.wall.largest

    @cached_property
    def is_cylinder(self) -> bool:
        """Whether both edges have one radius."""
        return abs(self.wall.bottom - self.wall.top) < 1e-9

    @cached_property
    def shrink(self) -> float:
        """Angle on the flat over angle round the wall; 1 for a cylinder, which has no apex."""
        return 1.0 if self.is_cylinder else abs(self.wall.bottom - self.wall.top) / self.wall.slant

    def radius(self, along: float) -> float:
        """Distance from the flat's apex, mm; the wall's own radius for a cylinder.

        Args:
            along: up the slant from the lower edge, mm.
        """
        wall = self.wall
        radius = wall.bottom + (wall.top - wall.bottom) * along / wall.slant
        return radius / self.shrink

    @cached_property
    def nearest_end(self) -> float:
        """How near to x = 0 its ends come, mm."""
        ends = [self.end(along, right) for along in (0.0, self.wall.slant) for right in (True, False)]
        return min(abs(x) for x in ends)

    def end(self, along: float, right: bool) -> float:
        """x of the sheet's end: the end is straight on the flat.

        Args:
            along: up the slant from the lower edge, mm.
            right: the right-hand end, seen from outside; else the left-hand one.
        """
        way = 1.0 if right else -1.0
        beyond = (self.lap if right else 0.0) - self.gap / 2.0
        at = self.arc / 2.0 * self.wall.largest
        if self.is_cylinder:
            return way * (at + beyond)
        reach = beyond / self.radius(along)
        if abs(reach) >= 1.0:
            raise OutlineError(
                sentence("a lap or gap of ", mm(abs(beyond), 3), " is wider than the small arc's radius")
            )
        return way * (at + math.asin(reach) / self.shrink * self.wall.largest)

    def on_flat(self, point: Xy) -> Xy:
        """A point of the sheet on the flat, seen from outside: a strip about x = 0, or a sector with its apex on y.

        Args:
            point: (round, up the slant), mm.
        """
        x, along = point
        if self.is_cylinder:
            return x, along
        turn, radius = x / self.wall.largest * self.shrink, self.radius(along)
        return radius * math.sin(turn), (-1.0 if self.wall.bottom > self.wall.top else 1.0) * radius * math.cos(turn)

    def bulge(self, x0: float, x1: float) -> float:
        """Bulge of an edge of constant slant on the flat.

        Args:
            x0: where it begins, mm round.
            x1: where it ends, mm round.
        """
        if self.is_cylinder:
            return 0.0
        sweep = (x1 - x0) / self.wall.largest * self.shrink
        return math.tan(sweep / 4.0) * (1.0 if self.wall.bottom > self.wall.top else -1.0)


@dataclass(frozen=True, eq=False)
class RolledFlat:
    """The flat, in `RolledSheet.on_flat`'s coordinates: outline and closed windows."""

    outline: Outline
    windows: tuple[Outline, ...]


def rolled_flat(sheet: RolledSheet, loops: Iterable[Sequence[Xy]] = ()) -> RolledFlat:
    """The sheet less what closed loops take of it.

    One turn farther the same cuts come again, so that a lap is cut like the sheet it lies on and a cut-out may
    cross the seam.

    Args:
        sheet: the rolled sheet.
        loops: each a ring of points (round, up the slant), mm.
    Raises:
        OutlineError: nothing or more than one part is left.
    """
    from shapely import Polygon
    from shapely.affinity import translate

    slant = sheet.wall.slant
    steps = [slant * i / _PARTS for i in range(_PARTS + 1)] if not sheet.is_cylinder else [0.0, slant]
    right = [(sheet.end(along, True), along) for along in steps]
    left = [(sheet.end(along, False), along) for along in reversed(steps)]
    rest = Polygon(right + left)
    for loop in loops:
        for turns in (-1, 0, 1):
            rest = rest.difference(translate(Polygon(loop), turns * sheet.around, 0.0))
    parts = [part for part in getattr(rest, "geoms", [rest]) if not part.is_empty]
    if len(parts) != 1:
        raise OutlineError("the cut-out parts the skirt in two" if parts else "the cut-out leaves nothing of the skirt")
    outer = Outline(tuple(_carried(sheet, parts[0].exterior.coords[:-1]))).counter_clockwise()
    windows = (Outline(tuple(_carried(sheet, ring.coords[:-1]))).counter_clockwise() for ring in parts[0].interiors)
    return RolledFlat(outer, tuple(windows))


def _kind(sheet: RolledSheet, a: Xy, b: Xy) -> str:
    """Which edge of the uncut sheet two neighbouring points lie on; 'cut' where on none."""
    for name, along in (("bottom", 0.0), ("top", sheet.wall.slant)):
        if abs(a[1] - along) < _ON and abs(b[1] - along) < _ON:
            return name
    if max(abs(a[0]), abs(b[0])) < sheet.nearest_end - 0.1:
        return "cut"
    for name, right in (("right", True), ("left", False)):
        if all(abs(p[0] - sheet.end(p[1], right)) < 0.01 for p in (a, b)) and abs(a[0] - b[0]) < _slope(sheet, a, b):
            return name
    return "cut"


def _slope(sheet: RolledSheet, a: Xy, b: Xy) -> float:
    """How far apart in x two points of an end can be, a little more."""
    ends = [sheet.end(p[1], right) for p in (a, b) for right in (True, False)]
    return max(abs(ends[0] - ends[2]), abs(ends[1] - ends[3])) + 0.02


def _carried(sheet: RolledSheet, ring: Sequence[Xy]) -> list[Vertex]:
    """A ring of the sheet on the flat, each stretch of one kind as few edges."""
    points = [_snapped(sheet, float(x), float(y)) for x, y in ring]
    points = [p for i, p in enumerate(points) if math.dist(p, points[i - 1]) > _ON]
    kinds = [_kind(sheet, p, points[(i + 1) % len(points)]) for i, p in enumerate(points)]
    start = next((i for i in range(len(points)) if kinds[i] != kinds[i - 1]), 0)
    points, kinds = points[start:] + points[:start], kinds[start:] + kinds[:start]
    points.append(points[0])
    vertices: list[Vertex] = []
    first = 0
    for i in range(1, len(kinds) + 1):
        if i == len(kinds) or kinds[i] != kinds[first]:
            vertices += _stretch(sheet, kinds[first], points[first : i + 1])
            first = i
    return vertices


def _snapped(sheet: RolledSheet, x: float, along: float) -> Xy:
    """The point, on the sheet's lower or upper edge where it is there but for rounding."""
    return x, next((edge for edge in (0.0, sheet.wall.slant) if abs(along - edge) < 1e-4), along)


def _stretch(sheet: RolledSheet, kind: str, points: Sequence[Xy]) -> list[Vertex]:
    a, b = points[0], points[-1]
    if kind in ("left", "right"):
        return [Vertex(*sheet.on_flat(a))]
    if kind in ("bottom", "top"):
        swept = abs(b[0] - a[0]) / sheet.wall.largest * sheet.shrink
        parts = 1 if swept <= math.pi or sheet.is_cylinder else 2
        xs = [a[0] + (b[0] - a[0]) * i / parts for i in range(parts + 1)]
        return [Vertex(*sheet.on_flat((x, a[1])), sheet.bulge(x, xs[i + 1])) for i, x in enumerate(xs[:-1])]
    return arcs_through([sheet.on_flat(p) for p in points])


def reaches(sheet: RolledSheet, loop: Sequence[Xy]) -> bool:
    """Whether a closed loop lies on the sheet somewhere, here or one turn farther.

    Args:
        sheet: the rolled sheet.
        loop: points (round, up the slant), mm.
    """
    from shapely import Polygon, box

    slant = sheet.wall.slant
    right = max(sheet.end(0.0, True), sheet.end(slant, True))
    left = min(sheet.end(0.0, False), sheet.end(slant, False))
    turn = sheet.around
    shape = Polygon(loop)
    return any(shape.intersection(box(left + t, 0.0, right + t, slant)).area > 1e-6 for t in (-turn, 0.0, turn))

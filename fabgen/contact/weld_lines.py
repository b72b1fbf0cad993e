"""Where sheet meets what it is seated on: how long a weld could run there, and of which kind.

Each flat face of a sheet part is laid into its own plane and what it touches is cut there: just outside its back and
its front, and half way through the sheet. Where the face lies on the other the weld runs round what they cover of one
another, or along both sides of the line on which a round touches it; where it lies over an open end, outside round
that. Where it stands on the other with an edge, the
weld runs along as much of the edge as follows the other's outline, on each side on which the other goes on; where it
does so on neither, the two butt. An edge that touches a tube or profile along a line only, the other going on beside
the sheet but not under its edge, has no weld: that is no seat. Bends, and the ends of edges, a sheet's thickness long,
are not counted.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from fabgen.contact.meant import are_one, ends_meet
from fabgen.contact.pair import gap
from fabgen.contact.solids import Solid
from fabgen.geometry.plane.regions import cut_region, region
from fabgen.geometry.sheet.folds import Face
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.space.plane_cut import plane_cut
from fabgen.parts.piece import FlatPart, LengthPart, LinkPart, ProfilePart
from fabgen.parts.shape.sheet_body import faces_in_space
from fabgen.plan.plan import BoltStack

if TYPE_CHECKING:
    from shapely import Geometry

Kind = Literal["fillet on a flat", "fillet on a round", "round an end", "butt"]

BESIDE = 0.3
"""What goes on beyond a face is cut so far outside it, mm."""
DEEP = 0.7
"""What a face lies on is cut so far under its skin, mm, or half way through its wall."""
SHORTEST = 5.0
"""Shorter runs are not counted, mm (common practice, no source)."""
MOUTH = 0.25
"""What a plane cuts of a tube and is open by more than such a share is its end."""
_STEP, _FINE = 0.5, 0.01
_ALONG = math.cos(math.radians(30.0))
"""Of an edge that runs along a tube: cosine of what it leans from it at most."""
_LEANS = 0.7
"""An edge follows an outline where it comes nearer to it, or goes off, by no more than such a share of its own
length."""


@dataclass(frozen=True, eq=False)
class WeldLine:
    """A weld that could run where `one`, a sheet part, meets another: its kind, and the ways of its runs in space, each
    (n, 3) mm.  `stands`: whether `one` stands on the other with an edge."""

    one: Solid
    other: Solid
    kind: Kind
    ways: tuple[Array, ...]
    stands: bool = False

    @cached_property
    def runs(self) -> tuple[float, ...]:
        """The lengths of its runs, mm."""
        return tuple(map(_length, self.ways))

    @property
    def length(self) -> float:
        """Of all runs, mm."""
        return sum(self.runs)


def weld_lines(
    pairs: Iterable[tuple[Solid, Solid]],
    weld_gap: float,
    bolts: Sequence[BoltStack],
    move_apart: Callable[[Solid, Solid], bool],
) -> Iterator[WeldLine]:
    """The welds that could run where sheet is seated on something.

    What is bolted together has none, nor what moves against one another; the ends of tubes and profiles have theirs by
    their cuts.

    Args:
        pairs: what is near one another.
        weld_gap: what is nearer is seated, mm.
        bolts: as planned.
        move_apart: whether two ride on different bodies.
    """
    bolted = {frozenset((a.passage.mark, b.passage.mark))
              for stack in bolts for line in stack.lines
              for a, b in zip(line.seats, line.seats[1:], strict=False)}  # fmt: skip
    for one, other in pairs:
        if not (_is_sheet(one) or _is_sheet(other)) or not all(_takes_welds(each) for each in (one, other)):
            continue
        if are_one(one, other) or frozenset((one.mark, other.mark)) in bolted or ends_meet(one, other):
            continue
        apart = gap(one, other)[0]
        if apart > weld_gap or move_apart(one, other):
            continue
        first, second = (one, other) if _is_sheet(one) else (other, one)
        yield from _of_pair(first, second, apart, weld_gap)


def _is_sheet(solid: Solid) -> bool:
    return isinstance(solid.part, FlatPart) and solid.part.band is None


def _takes_welds(solid: Solid) -> bool:
    part = solid.part
    if isinstance(part, LengthPart):
        return solid.kind == "tube" and not isinstance(part, LinkPart)
    return isinstance(part, ProfilePart) or _is_sheet(solid)


def _of_pair(sheet: Solid, other: Solid, apart: float, weld_gap: float) -> Iterator[WeldLine]:
    if over_end := tuple(_over_end(sheet, other, apart)):
        yield WeldLine(sheet, other, "round an end", over_end)
        return
    if laid := list(_laid(sheet, other, apart)):
        yield WeldLine(sheet, other, "fillet on a round" if _is_round(other) else "fillet on a flat", tuple(laid))
        return
    pairs = [(sheet, other)] + ([(other, sheet)] if _is_sheet(other) else [])
    stood = [(standing, on, tuple(_stood(standing, on, _near(standing, on, weld_gap), True))) for standing, on in pairs]
    standing, on, ways = max(stood, key=lambda each: sum(map(_length, each[2])))
    if ways:
        yield WeldLine(standing, on, "fillet on a round" if _is_round(on) else "fillet on a flat", ways, True)
        return
    if butted := tuple(_stood(sheet, other, weld_gap + BESIDE, False)):
        yield WeldLine(sheet, other, "butt", butted, True)


def _near(standing: Solid, on: Solid, weld_gap: float) -> float:
    """How far off what it stands on an edge may be where it is welded, mm: on a round a straight edge that touches with
    one of its corners is off with the other."""
    near, thick, reach = weld_gap + BESIDE, _thick(standing), _radius(on)
    return near + reach - math.sqrt(reach * reach - thick * thick) if _is_round(on) and thick < reach else near


def _thick(solid: Solid) -> float:
    assert isinstance(solid.part, FlatPart)
    return solid.part.thickness


def _radius(solid: Solid) -> float:
    return solid.part.section.width / 2.0 if isinstance(solid.part, LengthPart) else 0.0


def _is_round(solid: Solid) -> bool:
    return isinstance(solid.part, LengthPart) and solid.part.section.is_round


def faces_of(solid: Solid) -> list[tuple[Frame, Face]]:
    """The flat faces of a sheet part at its own place, each with its frame, z = 0 on its back."""
    assert isinstance(solid.part, FlatPart)
    every = list(faces_in_space(solid.part))
    count = len(every) // max(1, len(solid.part.places))
    return every[solid.number * count : (solid.number + 1) * count]


def _under(other: Solid, apart: float) -> float:
    """How far from a face what it lies on is cut, mm."""
    return apart + min(DEEP, (other.part.thickness if isinstance(other.part, FlatPart) else other.shape.thickness) / 2)


def _over_end(sheet: Solid, other: Solid, apart: float) -> Iterator[Array]:
    """The runs outside round the open end of a tube that a sheet's faces lie over."""
    import shapely

    if not isinstance(other.part, LengthPart):
        return
    depth = _under(other, apart)
    for frame, face in faces_of(sheet):
        metal = region(face.outline)
        past = plane_cut(other.metal, frame, _thick(sheet) / 2.0)
        for height in (-depth, _thick(sheet) + depth):
            for ring in _polygons(plane_cut(other.metal, frame, height)):
                bore = shapely.union_all([shapely.Polygon(each) for each in ring.interiors])
                if bore.area <= MOUTH * (ring.area + bore.area) or past.intersects(ring):  # or it goes through
                    continue
                for patch in _polygons(metal.intersection(ring)):
                    rim = shapely.LineString(patch.exterior).difference(bore.buffer(BESIDE))
                    yield from _ways(rim, frame, height)


def _laid(sheet: Solid, other: Solid, apart: float) -> Iterator[Array]:
    """The runs round what a sheet's faces cover of another that they lie on."""
    import shapely

    depth = _under(other, apart)
    # What is no wider than the other is thick is its edge: that stands here.
    narrow = 0.55 * _thick(other) if _is_sheet(other) else 2.0 * DEEP
    for frame, face in faces_of(sheet):
        metal = region(face.outline)
        for height in (-depth, _thick(sheet) + depth):
            below = plane_cut(other.metal, frame, height)
            for patch in _polygons(metal.intersection(below)):
                if patch.buffer(-narrow).is_empty:
                    continue
                rim = shapely.LineString(patch.exterior)
                if _is_round(other):  # along both sides of the line that touches, not across
                    own = rim.intersection(below.boundary.buffer(0.01))
                    rim = shapely.union_all([own, _along(rim.difference(below.boundary.buffer(0.01)), other, frame)])
                yield from _ways(rim, frame, height)


def _along(rim: Geometry, tube: Solid, frame: Frame) -> Geometry:
    """What of the edges of a face runs along a straight tube on which that lies."""
    import shapely

    part = tube.part
    if not isinstance(part, LengthPart) or part.frame is None or part.path is not None:
        return shapely.LineString()
    way = (frame.axes @ part.frame.x)[:2]
    kept = [
        each
        for line in getattr(rim, "geoms", [rim])
        for each in map(shapely.LineString, pairwise(shapely.get_coordinates(line)))
        if abs(float(np.diff(shapely.get_coordinates(each), axis=0)[0] @ way)) > _ALONG * each.length
    ]
    return shapely.line_merge(shapely.MultiLineString(kept)) if kept else shapely.LineString()


def _stood(sheet: Solid, on: Solid, near: float, beside: bool) -> Iterator[Array]:
    """The runs of a sheet's edges that follow the outline of what they stand on.

    Args:
        near: how far an edge may be off it, mm.
        beside: on both sides of the sheet, each where the other goes on there; else half way through it.
    """
    import shapely

    thick = _thick(sheet)
    heights = (-BESIDE, thick + BESIDE) if beside else (thick / 2.0,)
    for frame, face in faces_of(sheet):
        edges = [region(loop, _FINE).exterior for loop in (face.outline, *face.holes)]
        within = cut_region(face.outline, face.holes).buffer(-near)
        for height in heights:
            cut = plane_cut(on.metal, frame, height)
            if cut.is_empty or cut.intersects(within):  # it is on the face, not beyond its edge
                continue
            outline = cut.boundary
            # Under the edge too, just within the sheet: else the two touch along a line.
            under = plane_cut(on.metal, frame, height + math.copysign(2.0 * BESIDE, thick / 2.0 - height))
            seat = under if beside and not _is_sheet(on) else cut
            if seat.is_empty:
                continue
            for edge in edges:
                points = shapely.get_coordinates(shapely.segmentize(edge, _STEP))
                steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
                off = shapely.distance(shapely.points(points), outline)
                follows = (np.maximum(off[:-1], off[1:]) <= near) & (np.abs(np.diff(off)) <= _LEANS * steps)
                if seat is not cut:
                    seated = shapely.distance(shapely.points(points), seat) <= near
                    follows &= seated[:-1] & seated[1:]
                yield from _stretches(follows, _in_space(points, frame, height))


def _stretches(follows: Any, points: Array) -> Iterator[Array]:
    """What is together of a closed ring, round its end too.

    Args:
        follows: of each step of the ring, whether it counts, (n,).
        points: the ring, its first point again at its end, (n + 1, 3) mm.
    """
    if follows.all():
        yield points
        return
    first = int(np.flatnonzero(~follows)[0])
    follows, points = np.roll(follows, -first), np.roll(points[:-1], -first, axis=0)
    points = np.vstack((points, points[:1]))
    ends = np.flatnonzero(np.diff(np.concatenate(([False], follows, [False])).astype(int)))
    for a, b in ends.reshape(-1, 2):
        if _length(points[a : b + 1]) >= SHORTEST:
            yield points[a : b + 1]


def _polygons(found: Geometry) -> list[Any]:
    return [each for each in getattr(found, "geoms", [found]) if each.geom_type == "Polygon" and not each.is_empty]


def _ways(lines: Geometry, frame: Frame, height: float) -> Iterator[Array]:
    """Lines at a height over a face, in space, those too short left out."""
    import shapely

    merged = shapely.line_merge(lines) if lines.geom_type == "MultiLineString" else lines
    for line in getattr(merged, "geoms", [merged]):
        if line.length >= SHORTEST:
            yield _in_space(shapely.get_coordinates(line), frame, height)


def _in_space(points: Array, frame: Frame, height: float) -> Array:
    return frame.outside(np.column_stack((points, np.full(len(points), height))))


def _length(way: Array) -> float:
    return float(np.linalg.norm(np.diff(way, axis=0), axis=1).sum())

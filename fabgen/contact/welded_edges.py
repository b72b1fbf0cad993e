"""The edges of a sheet part that meet others, carried back from where it stands to its own flat.

Each run of a weld line lies on one of the part's flat faces; laid flat with that face, as much of it counts as runs
along the flat's outline or one of its holes.  What is welded within a face, and at no edge of the part, has none.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np

from fabgen.contact.solids import Solid
from fabgen.contact.weld_lines import SHORTEST, WeldLine
from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.plane.regions import cut_region, region
from fabgen.geometry.sheet.folded import placed_faces
from fabgen.geometry.sheet.folds import FacePlace, flat_pattern, laid_faces
from fabgen.geometry.space.frame import Array, Frame
from fabgen.parts.piece import FlatPart, Piece
from fabgen.parts.shape.sheet_body import fold_tree_of
from fabgen.parts.shape.welds.welded_edge import Side, WeldedEdge

ALONG = 0.15
"""What lies no farther from an edge of the flat runs along it, mm."""
OFF = 2.0
"""What lies no farther from a face, or beside it, mm, is on it: a weld's gap, and where a round edge is met."""
_FINE = 0.005
_ALIKE = 3.0
"""Two stretches whose middles are no farther apart, mm, are one edge met from its two sides, or in two places of the
part."""


def welded_edges(lines: Iterable[WeldLine]) -> dict[str, tuple[WeldedEdge, ...]]:
    """The edges of all sheet parts that meet others, by mark.

    Args:
        lines: the welds that could run, of the whole job.
    """
    found: dict[str, list[_Stretch]] = {}
    for line in lines:
        for own, other in ((line.one, line.other), (line.other, line.one)):
            if _has_edge(line, own):
                found.setdefault(own.mark, []).extend(_of_line(line, own, other))
    return {mark: tuple(_joined(stretches)) for mark, stretches in found.items() if stretches}


@dataclass(frozen=True)
class _Stretch:
    edge: WeldedEdge
    middle: Xy
    length: float


def _has_edge(line: WeldLine, own: Solid) -> bool:
    """Whether a run may lie along an edge of one of the two: of what stands on the other, but for a butt, only that."""
    part = own.part
    flat = isinstance(part, FlatPart) and isinstance(own.source, Piece) and part.band is None and part.rolled is None
    if not flat or (isinstance(part, FlatPart) and part.tree is None and bool(part.surface)):
        return False
    return own is line.one or line.kind == "butt" or not line.stands


def _of_line(line: WeldLine, own: Solid, other: Solid) -> Iterator[_Stretch]:
    part = own.part
    assert isinstance(part, FlatPart)
    butts = line.kind == "butt"
    for way in line.ways:
        for points, height in _on_flat(way, part, own.number):
            # What stands on the other is welded on the skin that is seen; what lies on it, beside the skin that is not.
            seen = (height > part.thickness / 2.0) == line.stands
            for piece, whole in _along_edges(points, part):
                middle = piece.interpolate(0.5, normalized=True)
                shape = tuple((float(x), float(y)) for x, y in piece.coords)
                side: Side = "arrow" if butts or seen else "other"
                edge = WeldedEdge((other.mark,), butts, side, shape, whole)
                yield _Stretch(edge, (middle.x, middle.y), float(piece.length))


def _on_flat(points: Array, part: FlatPart, number: int) -> Iterator[tuple[Array, float]]:
    """A line in space as it lies on the flat, (n, 2), and its height over the flat's back, mm; once for each face that
    it lies on."""
    own = part.places[number].frame.inside(points)
    for frame, place, reach in _laid(part):
        inside = frame.inside(own)
        low, high = inside[:, 2].min(), inside[:, 2].max()
        if low < -OFF or high > part.thickness + OFF:
            continue
        x0, y0, x1, y1 = reach
        middle = inside[len(inside) // 2]
        if not (x0 - OFF < middle[0] < x1 + OFF and y0 - OFF < middle[1] < y1 + OFF):
            continue
        c, s = math.cos(place.turn), math.sin(place.turn)
        x, y = inside[:, 0], inside[:, 1]
        yield np.column_stack((place.x + x * c - y * s, place.y + x * s + y * c)), float((low + high) / 2.0)


def _laid(part: FlatPart) -> list[tuple[Frame, FacePlace, tuple[float, float, float, float]]]:
    """Of each face its frame in the part, its place on the flat and its bounds."""
    tree = fold_tree_of(part)
    x0, y0 = flat_pattern(tree).outline.bounds[:2] if part.tree is not None else (0.0, 0.0)
    a0, b0 = part.outline.bounds[:2] if part.tree is not None else (0.0, 0.0)
    return [
        (placed.frame, replace(place, x=place.x + a0 - x0, y=place.y + b0 - y0), face.outline.bounds)
        for (face, place), placed in zip(laid_faces(tree), placed_faces(tree), strict=True)
    ]


@lru_cache(maxsize=256)
def _edges(part: FlatPart) -> tuple[Any, list[Any]]:
    """The flat's metal, and its outline and holes as fine rings."""
    holes = [hole.shape for hole in part.all_holes]
    return cut_region(part.outline, holes), [region(loop, _FINE).exterior for loop in (part.outline, *holes)]


def _along_edges(points: Array, part: FlatPart) -> Iterator[tuple[Any, bool]]:
    """The stretches of a flat's edges along which a line runs, and whether each is a whole ring."""
    import shapely

    near = shapely.LineString(points).buffer(ALONG, cap_style="flat")
    metal, rings = _edges(part)
    for ring in rings:
        if not ring.intersects(near):
            continue
        shared = ring.intersection(near)
        merged = shapely.line_merge(shared) if shared.geom_type == "MultiLineString" else shared
        for each in getattr(merged, "geoms", [merged]):
            if each.geom_type in ("LineString", "LinearRing") and each.length >= SHORTEST:
                yield _with_metal_left(each, metal), each.length > 0.98 * ring.length


def _with_metal_left(stretch: Any, metal: Any) -> Any:
    """A stretch of an edge, turned so that the metal lies left of it."""
    import shapely

    a, b = (stretch.interpolate(share, normalized=True) for share in (0.499, 0.501))
    across = shapely.Point((a.x + b.x) / 2.0 - (b.y - a.y), (a.y + b.y) / 2.0 + (b.x - a.x))
    toward = stretch.interpolate(0.5, normalized=True)
    reach = 0.1 / max(1e-9, toward.distance(across))
    beside = shapely.Point(toward.x + (across.x - toward.x) * reach, toward.y + (across.y - toward.y) * reach)
    return stretch if metal.contains(beside) else stretch.reverse()


def _joined(stretches: Iterable[_Stretch]) -> Iterator[WeldedEdge]:
    """What is one edge, met from both of its sides or in several of the part's places, once."""
    kept: list[_Stretch] = []
    for each in sorted(stretches, key=lambda each: -each.length):
        for index, one in enumerate(kept):
            if one.edge.butts == each.edge.butts and _is_same(one, each):
                kept[index] = replace(one, edge=_both(one.edge, each.edge))
                break
        else:
            kept.append(each)
    for each in kept:
        yield each.edge


def _is_same(one: _Stretch, other: _Stretch) -> bool:
    near = math.dist(one.middle, other.middle) <= _ALIKE and abs(one.length - other.length) <= 2.0 * _ALIKE
    return near or (one.edge.whole and other.edge.whole and abs(one.length - other.length) <= 0.01 * one.length)


def _both(one: WeldedEdge, other: WeldedEdge) -> WeldedEdge:
    marks = dict.fromkeys((*one.on, *other.on))
    side: Side = one.side if one.side == other.side else "both"
    return replace(one, on=tuple(marks), side=side)

"""A profile with both its ends cut, as a body to be drawn: a plate for each limb, mitred along its folds.

Toes are drawn sharp and roots empty: their radii are smaller than a line is apart from the next on a page.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np

from fabgen.geometry.plane.outline import Outline, Vertex, Xy
from fabgen.geometry.profile.end_cut import EndCut, LimbEdge, SawnPlane
from fabgen.geometry.profile.limbs import Limb
from fabgen.geometry.profile.prism import convex_parts
from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.mesh import EdgedMesh, joined

_BEND_PLATES = 6
"""Flat plates that stand for the bend of a folded heel."""


def cut_body(start: EndCut, finish: EndCut, axis: float) -> EdgedMesh:
    """The body in the frame of its start.

    Args:
        start: the end at x = 0.
        finish: the other, whose frame is turned half round about z and whose section is the mirror image.
        axis: from the one frame's origin to the other's, mm.
    """
    # Bends have no names; seen from the finish they follow one another the other way round.
    bends = (edge for edge in reversed(finish.edges) if edge.limb.edge.is_arc)
    limbs = [edge.limb for edge in start.edges]
    bodies = []
    for i, edge in enumerate(start.edges):
        before = limbs[i - 1] if i and _meet(limbs[i - 1], edge.limb) else None
        after = limbs[i + 1] if i + 1 < len(limbs) and _meet(edge.limb, limbs[i + 1]) else None
        planes = (start.sawn, finish.sawn)
        if edge.limb.edge.is_arc:
            bodies += _bend(edge, next(bends), planes, axis)
        else:
            bodies.append(_plate(edge, finish.edge(edge.limb.name), planes, axis, (_inset(before), _inset(after))))
    return joined(bodies)


def solid_body(outline: Outline, start: SawnPlane, finish: SawnPlane, axis: float) -> EdgedMesh:
    """The body of a convex solid bar that is sawn at both ends, in the frame of its start.

    Args:
        outline: of flats alone, in (y, z), counter-clockwise, mm.
        start: its plane.
        finish: the other, in a frame that is turned half round about z.
        axis: from the one frame's origin to the other's, mm.
    """
    ring = np.array([(vertex.x, vertex.y) for vertex in outline.vertices])
    there = _from_finish(np.column_stack((finish.x(ring * [-1.0, 1.0]), ring * [-1.0, 1.0])), axis)
    # The ring turns from y to z, so it is seen counter-clockwise from the finish.
    return _solid(ring, there, np.column_stack((start.x(ring), ring)))


def _meet(first: Limb, second: Limb) -> bool:
    return math.dist(first.edge.end, second.edge.start) < 1e-6


def _inset(beside: Limb | None) -> float:
    """How far the inner face of a plate ends before its outer one, mm: at a sharp fold by what is beside it."""
    return 0.0 if beside is None or beside.edge.is_arc else beside.thickness


def _side(edge: LimbEdge, sawn: SawnPlane, insets: tuple[float, float]) -> tuple[Array, Array, Array]:
    """Along one end: (station, x) of the outer face, (n, 2), and where they lie on it and on the inner face, (n, 3).

    What is sawn goes through by the saw's plane, what is notched goes through square.
    """
    limb, station = edge.limb, edge.station
    skin, inward = limb.skin(station)
    first, last = insets
    inside = limb.skin(np.clip(station, first, limb.width - last))[0] + limb.thickness * inward
    on_plane = np.abs(edge.x - sawn.x(skin)) < 1e-6
    through = np.where(on_plane, sawn.x(inside), edge.x)
    return np.column_stack((station, edge.x)), np.column_stack((edge.x, skin)), np.column_stack((through, inside))


def _plate(
    start: LimbEdge, finish: LimbEdge, planes: tuple[SawnPlane, SawnPlane], axis: float, insets: tuple[float, float]
) -> EdgedMesh:
    ring, outer, inner = _side(start, planes[0], insets)
    there, *back = _side(finish, planes[1], insets[::-1])
    ring = np.vstack((ring, [start.limb.width, axis] - there))
    outer, inner = (np.vstack((a, _from_finish(b, axis))) for a, b in zip((outer, inner), back, strict=True))
    kept = np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1) > 1e-6
    return _solid(ring[kept], outer[kept], inner[kept])


def _bend(start: LimbEdge, finish: LimbEdge, planes: tuple[SawnPlane, SawnPlane], axis: float) -> list[EdgedMesh]:
    """The bend of a folded heel as narrow plates."""
    station = np.linspace(0.0, start.limb.width, _BEND_PLATES + 1)
    evened = (
        replace(end, station=station, x=np.interp(station, end.station, end.x), corners=()) for end in (start, finish)
    )
    (ring, outer, inner), (there, *back) = (
        _side(edge, sawn, (0.0, 0.0)) for edge, sawn in zip(evened, planes, strict=True)
    )
    over, under = (_from_finish(side, axis)[::-1] for side in back)
    top = ([start.limb.width, axis] - there)[::-1]
    found = []
    for i in range(_BEND_PLATES):
        pair = slice(i, i + 2)
        found.append(
            _solid(
                np.vstack((ring[pair], top[pair][::-1])),
                np.vstack((outer[pair], over[pair][::-1])),
                np.vstack((inner[pair], under[pair][::-1])),
            )
        )
    return found


def _from_finish(points: Array, axis: float) -> Array:
    """Points of the finish's frame, half round about z, in that of the start."""
    return np.asarray([axis, 0.0, 0.0] + points * [-1.0, -1.0, 1.0])


def _solid(ring: Array, outer: Array, inner: Array) -> EdgedMesh:
    """A plate between two faces whose corners, (n, 3), are those of `ring`, (n, 2), counter-clockwise."""
    count = len(ring)
    corners: list[Xy] = [(float(s), float(x)) for s, x in ring]
    place = {corner: i for i, corner in enumerate(corners)}
    faces: list[tuple[int, int, int]] = []
    for part in convex_parts(Outline(tuple(Vertex(*corner) for corner in corners))):
        a, *rest = (place[corner] for corner in part)
        for b, c in pairwise(rest):
            # Stations run to the right seen from outside with x up, so counter-clockwise is outward there.
            faces += [(a, b, c), (a + count, c + count, b + count)]
    edges: list[tuple[int, int]] = []
    for i in range(count):
        j = (i + 1) % count
        faces += [(i, i + count, j), (j, i + count, j + count)]
        edges += [(i, j), (i + count, j + count), (i, i + count)]
    return EdgedMesh(np.vstack((outer, inner)), np.array(faces, dtype=np.int64), np.array(edges, dtype=np.int64))

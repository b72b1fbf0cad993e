"""Folding a tree of faces up into space: frames, facets and hole axes.

The root face lies in the plane z = 0 to z = thickness of its own coordinates, seen from +z; a
bend that goes `up` turns its flange toward +z.  All points are mm, arrays of shape (n, 3).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.sheet.folds import SAME, Bend, Face, Flange, FoldTree, hinge
from fabgen.geometry.space.frame import Array, Frame

Part = Literal["top", "bottom", "wall", "bend"]


@dataclass(frozen=True, eq=False)
class Facet:
    """One polygon of the folded part's surface, corners counter-clockwise seen from outside.

    `part`: a face's top or bottom skin, a wall (the sheet's edge, or a hole's), or a strip of a
    bend.  `drawn[i]` says whether the edge from corner i to the next is a real edge of the part;
    False where the surface goes on smoothly.  `holes` are closed loops inside the polygon.
    """

    part: Part
    name: str
    points: Array
    drawn: tuple[bool, ...]
    holes: tuple[Array, ...] = ()


@dataclass(frozen=True, eq=False)
class PlacedFace:
    """A face and where it stands in space: `frame` has its x and y, z = 0 on the bottom skin.

    `tree` is the face with what hangs on it, `flange` what it hangs by; None for the root.
    """

    tree: FoldTree
    frame: Frame
    flange: Flange | None

    @property
    def face(self) -> Face:
        """The face itself."""
        return self.tree.face


def placed_faces(tree: FoldTree) -> list[PlacedFace]:
    """Every face with its frame in the folded part.

    Args:
        tree: the folded part.
    Returns: in the order of `FoldTree.all_faces`.
    """
    root = Frame(np.zeros(3), *np.eye(3))
    return list(_placed(tree, root, None))


def fold_up(tree: FoldTree, thickness: float, tolerance: float = 0.05) -> list[Facet]:
    """The folded part's whole surface.

    Args:
        tree: the folded part.
        thickness: of the sheet, mm.
        tolerance: greatest distance of chords from arcs and bends, mm.
    """
    facets: list[Facet] = []
    for placed in placed_faces(tree):
        facets += _face_facets(placed, thickness, tolerance)
        if placed.flange is not None:
            facets += _bend_facets(placed, thickness, tolerance)
    return facets


def extent(tree: FoldTree, thickness: float) -> Array:
    """Size of the folded part over all, along the root's x, y and z, (3,) mm.

    Args:
        tree: the folded part.
        thickness: of the sheet, mm.
    """
    points: list[Array] = []
    for placed in placed_faces(tree):
        corners = placed.face.outline.points(0.01)
        points += [_raised(placed.frame, corners, height) for height in (0.0, thickness)]
        if placed.flange is not None:
            points.append(_bend_extremes(placed, placed.flange, thickness))
    every = np.vstack(points)
    return np.asarray(every.max(axis=0) - every.min(axis=0))


def bend_lines(placed: PlacedFace, thickness: float) -> Iterator[tuple[Array, Array]]:
    """Lines along the bend by which a face hangs, from one tangent line to the other on both skins: their two ends,
    (3,) mm; none of the root.

    Args:
        placed: the face.
        thickness: of the sheet, mm.
    """
    if (flange := placed.flange) is None:
        return
    ends = np.array([[x, 0.0] for x in hinge(placed.face)])
    for back in np.linspace(-flange.bend.angle, 0.0, 7):
        frame = bent_frame(placed.frame, flange.bend, flange.up, float(back))
        for height in (0.0, thickness):
            start, end = _raised(frame, ends, height)
            yield start, end


def _bend_extremes(placed: PlacedFace, flange: Flange, thickness: float) -> Array:
    """Where a bend's two skins reach farthest along each axis of space: points, shape (n, 3)."""
    end = placed.frame
    sign, _ = _bend_centre(flange.bend, flange.up)
    ends = np.array([[x, 0.0] for x in hinge(placed.face)])
    found = []
    for y, z in zip(end.y, end.z, strict=True):
        # Turned back by a, the skin's normal has this axis' part z cos a - s y sin a (s: up or down).
        most = math.atan2(-sign * y, z)
        for back in (most - math.pi, most, most + math.pi):
            if -flange.bend.angle <= back <= 0.0:
                frame = bent_frame(end, flange.bend, flange.up, back)
                found += [_raised(frame, ends, height) for height in (0.0, thickness)]
    return np.vstack(found) if found else _raised(end, ends, 0.0)


def tangent_frame(parent: Frame, x: float, y: float, turn: float) -> Frame:
    """The parent's frame moved to a bend's tangent line: x along the bend, y away from the parent.

    Args:
        parent: the parent's frame.
        x: of the line's beginning in the parent, mm.
        y: likewise, mm.
        turn: direction of the line in the parent, rad.
    """
    c, s = math.cos(turn), math.sin(turn)
    origin = parent.outside(np.array([x, y, 0.0]))
    return Frame(origin, parent.x * c + parent.y * s, parent.y * c - parent.x * s, parent.z)


def bent_frame(start: Frame, bend: Bend, up: bool, angle: float | None = None) -> Frame:
    """The tangent frame once the bend has turned; its origin is on the bottom skin.

    Args:
        start: the tangent frame.
        bend: the bend.
        up: whether it folds toward +z of the frame.
        angle: how far, rad; left out: all of it.
    """
    sign, centre = _bend_centre(bend, up)
    turned = bend.angle if angle is None else angle
    c, s = math.cos(turned), math.sin(turned)
    y = start.y * c + start.z * (sign * s)
    z = start.z * c - start.y * (sign * s)
    return Frame(start.origin + start.z * centre - z * centre, start.x, y, z)


def _placed(tree: FoldTree, frame: Frame, flange: Flange | None) -> Iterator[PlacedFace]:
    yield PlacedFace(tree, frame, flange)
    for each in tree.flanges:
        start = tangent_frame(frame, each.x, each.y, each.turn)
        yield from _placed(each.tree, bent_frame(start, each.bend, each.up), each)


def _bend_centre(bend: Bend, up: bool) -> tuple[float, float]:
    """1 for up or -1 for down, and the height of the bend's centre over the bottom skin, mm."""
    return (1.0, bend.thickness + bend.radius) if up else (-1.0, -bend.radius)


def _face_facets(placed: PlacedFace, thickness: float, tolerance: float) -> Iterator[Facet]:
    face, frame = placed.face, placed.frame
    joins = _joins(placed)
    corners, smooth = _corners(face, joins, tolerance)
    hinged = [_on_a_join(a, b, joins) for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True)]
    holes = [hole.points(tolerance) for hole in face.holes]
    drawn = tuple(not h for h in hinged)
    top = tuple(_raised(frame, hole, thickness) for hole in holes)
    bottom = tuple(_raised(frame, hole[::-1], 0.0) for hole in holes)
    yield Facet("top", face.name, _raised(frame, corners, thickness), drawn, top)
    # Reversed, the edge from corner i starts at what was corner n - 1 - i: shift the flags by one.
    yield Facet("bottom", face.name, _raised(frame, corners[::-1], 0.0), (*drawn[-2::-1], drawn[-1]), bottom)
    yield from _walls(frame, face.name, corners, smooth, hinged, thickness)
    for hole in holes:
        ring = hole[::-1]
        yield from _walls(frame, face.name, ring, [True] * len(ring), [False] * len(ring), thickness)


def _joins(placed: PlacedFace) -> list[tuple[Array, Array]]:
    """The stretches of the face's boundary where the sheet goes on round a bend."""
    joins = []
    for flange in placed.tree.flanges:
        along = np.array([math.cos(flange.turn), math.sin(flange.turn)])
        start, end = (np.array([flange.x, flange.y]) + along * x for x in hinge(flange.tree.face))
        joins.append((start, end))
    if placed.flange is not None:
        start, end = (np.array([x, 0.0]) for x in hinge(placed.face))
        joins.append((start, end))
    return joins


def _corners(face: Face, joins: list[tuple[Array, Array]], tolerance: float) -> tuple[Array, list[bool]]:
    """The flattened outline with the joins' ends among its points, and whether it runs smoothly through each."""
    points: list[Xy] = []
    smooth: list[bool] = []
    edges = list(face.outline.edges())
    for before, edge in zip([edges[-1], *edges[:-1]], edges, strict=True):
        run = edge.points(tolerance)
        if not edge.is_arc:
            start, end = np.array(edge.start), np.array(edge.end)
            ends = [p for join in joins for p in join if _between(p, start, end)]
            inner = [p for p in ends if min(np.linalg.norm(p - start), np.linalg.norm(p - end)) > SAME]
            run += [(float(p[0]), float(p[1])) for p in sorted(inner, key=lambda p: float(np.linalg.norm(p - start)))]
        points += run
        turn = math.remainder(edge.heading_in - before.heading_out, 2.0 * math.pi)
        smooth += [abs(turn) < 1e-3] + [edge.is_arc] * (len(run) - 1)
    return np.array(points), smooth


def _on_a_join(a: Array, b: Array, joins: list[tuple[Array, Array]]) -> bool:
    return any(_between(a, *join) and _between(b, *join) for join in joins)


def _between(point: Array, start: Array, end: Array) -> bool:
    """Whether the point is the same as some point of the line from `start` to `end`."""
    run = end - start
    share = min(1.0, max(0.0, float((point - start) @ run) / float(run @ run)))
    return bool(np.linalg.norm(point - (start + run * share)) <= SAME)


def _raised(frame: Frame, flat: Array, height: float) -> Array:
    return frame.outside(np.column_stack((flat, np.full(len(flat), height))))


def _walls(
    frame: Frame, name: str, ring: Array, smooth: list[bool], skipped: list[bool], thickness: float
) -> Iterator[Facet]:
    low, high = _raised(frame, ring, 0.0), _raised(frame, ring, thickness)
    for i in range(len(ring)):
        j = (i + 1) % len(ring)
        if not skipped[i]:
            sides = np.array([low[i], low[j], high[j], high[i]])
            yield Facet("wall", name, sides, (True, not smooth[j], True, not smooth[i]))


def _bend_facets(placed: PlacedFace, thickness: float, tolerance: float) -> Iterator[Facet]:
    flange = placed.flange
    assert flange is not None
    bend = flange.bend
    x0, x1 = hinge(placed.face)
    ends = np.array([[x0, 0.0], [x1, 0.0]])
    outer = bend.radius + thickness
    step = 2.0 * math.acos(max(0.0, 1.0 - tolerance / outer)) if tolerance < outer else 1.0
    count = max(2, math.ceil(bend.angle / step))
    # The child's frame turned back by what is left of the bend gives each line of the strip.
    turns = (bend.angle * (i / count - 1.0) for i in range(count + 1))
    frames = [bent_frame(placed.frame, bend, flange.up, turn) for turn in turns]
    for near, far in pairwise(frames):
        for height in (thickness, 0.0):
            a, b = _raised(near, ends, height)
            d, c = _raised(far, ends, height)
            strip = np.array([a, b, c, d]) if height else np.array([b, a, d, c])
            yield Facet("bend", placed.face.name, strip, (False, True, False, True))
        (p0, p1), (q0, q1) = _raised(near, ends, 0.0), _raised(near, ends, thickness)
        (r0, r1), (s0, s1) = _raised(far, ends, 0.0), _raised(far, ends, thickness)
        yield Facet("wall", placed.face.name, np.array([p1, r1, s1, q1]), (True, False, True, False))
        yield Facet("wall", placed.face.name, np.array([r0, p0, q0, s0]), (True, False, True, False))

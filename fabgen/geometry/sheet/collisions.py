"""Faces and bends of a folded part that run through one another.

Every face is a plate, every bend a few narrow ones.  Two plates that are not parallel cross in
lines: for a few layers of the one and of the other the line in which two layers meet is cut by
both outlines, and where both have metal on it they collide.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

import numpy as np
from shapely import LineString, Polygon
from shapely.affinity import affine_transform

from fabgen.geometry.plane.regions import cut_region
from fabgen.geometry.sheet.folded import bent_frame, placed_faces
from fabgen.geometry.sheet.folds import FoldTree, hinge
from fabgen.geometry.space.frame import Array, Frame

DEPTH = 0.05
"""Skins may reach this far into one another, mm: what touches does not collide."""
LENGTH = 0.1
"""A line of crossing shorter than this is a touch, mm."""
STEP = math.radians(25.0)
"""A bend is taken as plates that turn by this much at most."""


@dataclass(frozen=True, eq=False)
class _Plate:
    """A flat plate from z = 0 to `thickness` of its frame; `joins` are the numbers of the face(s)
    that it is, or that it joins: plates that share one touch by nature."""

    name: str
    joins: frozenset[int]
    frame: Frame
    region: Polygon
    thickness: float

    @cached_property
    def box(self) -> tuple[Array, Array]:
        points = np.array(self.region.exterior.coords)
        skins = [np.column_stack((points, np.full(len(points), z))) for z in (0.0, self.thickness)]
        every = self.frame.outside(np.vstack(skins))
        return every.min(axis=0), every.max(axis=0)

    @property
    def layers(self) -> tuple[float, float, float]:
        return DEPTH, self.thickness / 2.0, self.thickness - DEPTH


def collisions(tree: FoldTree, thickness: float) -> list[tuple[str, str]]:
    """Pairs of faces that run through one another once folded, by their names.

    Args:
        tree: the folded part; a bend counts for the face that hangs on it.
        thickness: of the sheet, mm.
    Returns: each pair once.
    """
    found: dict[tuple[str, str], None] = {}
    for one, other in combinations(_plates(tree, thickness), 2):
        pair = (one.name, other.name)
        if pair not in found and not one.joins & other.joins and _near(one, other) and _meet(one, other):
            found[pair] = None
    return list(found)


def _plates(tree: FoldTree, thickness: float) -> Iterator[_Plate]:
    faces = placed_faces(tree)
    number = {id(placed.tree): i for i, placed in enumerate(faces)}
    parent = {id(flange.tree): i for i, placed in enumerate(faces) for flange in placed.tree.flanges}
    for placed in faces:
        own = number[id(placed.tree)]
        flange = placed.flange
        region = cut_region(placed.face.outline, placed.face.holes)
        yield _Plate(placed.face.name, frozenset({own}), placed.frame, region, thickness)
        if flange is None:
            continue
        count = max(1, math.ceil(flange.bend.angle / STEP))
        half = (flange.bend.radius + thickness / 2.0) * flange.bend.angle / count / 2.0
        x0, x1 = hinge(placed.face)
        strip = Polygon([(x0, -half), (x1, -half), (x1, half), (x0, half)])
        for i in range(count):
            back = -flange.bend.angle * (i + 0.5) / count
            frame = bent_frame(placed.frame, flange.bend, flange.up, back)
            yield _Plate(placed.face.name, frozenset({own, parent[id(placed.tree)]}), frame, strip, thickness)


def _near(one: _Plate, other: _Plate) -> bool:
    (a0, a1), (b0, b1) = one.box, other.box
    return bool((a0 < b1 - DEPTH).all() and (b0 < a1 - DEPTH).all())


def _meet(one: _Plate, other: _Plate) -> bool:
    along = np.cross(one.frame.z, other.frame.z)
    sine = float(np.linalg.norm(along))
    if sine < 1e-4:
        return _overlap_flat(one, other)
    along = along / sine
    return any(_meet_in_layers(one, a, other, b, along) for a in one.layers for b in other.layers)


def _meet_in_layers(one: _Plate, a: float, other: _Plate, b: float, along: Array) -> bool:
    """Whether both have metal on the line in which layer `a` of one meets layer `b` of the other."""
    rows = np.array([one.frame.z, other.frame.z, along])
    levels = [one.frame.z @ one.frame.origin + a, other.frame.z @ other.frame.origin + b, along @ one.frame.origin]
    point = np.linalg.solve(rows, np.array(levels, dtype=float))
    ours, theirs = (_stretches(plate, point, along) for plate in (one, other))
    return any(min(a1, b1) - max(a0, b0) > LENGTH for a0, a1 in ours for b0, b1 in theirs)


def _stretches(plate: _Plate, point: Array, along: Array) -> list[tuple[float, float]]:
    """The stretches of a line in one of its layers on which a plate has metal, mm from `point`."""
    x, y, _ = plate.frame.inside(point)
    u, v = float(along @ plate.frame.x), float(along @ plate.frame.y)
    x0, y0, x1, y1 = plate.region.bounds
    reach = math.hypot(x1 - x0, y1 - y0) + math.hypot(x - (x0 + x1) / 2.0, y - (y0 + y1) / 2.0)
    line = LineString([(x - reach * u, y - reach * v), (x + reach * u, y + reach * v)])
    cut = plate.region.intersection(line)
    found = []
    for part in getattr(cut, "geoms", [cut]):
        ends = [(px - x) * u + (py - y) * v for px, py in part.coords]
        if ends:
            found.append((min(ends), max(ends)))
    return found


def _overlap_flat(one: _Plate, other: _Plate) -> bool:
    """Two parallel plates: whether they overlap both in height and in plan."""
    x, y, height = one.frame.inside(other.frame.origin)
    way = float(one.frame.z @ other.frame.z)
    low, high = sorted((float(height), float(height) + way * other.thickness))
    if min(high, one.thickness) - max(low, 0.0) < DEPTH:
        return False
    ex, ey = one.frame.axes[:2] @ other.frame.x, one.frame.axes[:2] @ other.frame.y
    moved = affine_transform(other.region, [ex[0], ey[0], ex[1], ey[1], float(x), float(y)])
    return bool(one.region.intersection(moved).area > LENGTH * LENGTH)

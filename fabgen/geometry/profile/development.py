"""The outer faces of a profile laid flat: what a template that folds over the heel shows, and what is scribed by.

Across the development run the stations of the limbs one after another, up it x of the end: it is seen from outside.
Faces that do not meet at a fold, as a T's flange and stem do not, stand `APART` mm from one another: two templates.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.profile.end_cut import CornerHole, EndCut
from fabgen.geometry.space.frame import Array

APART = 10.0
"""Between faces that no fold joins, mm."""

STRAIGHT = 0.05
"""Points of an edge no farther than this from the straight are no corners of it, mm."""
_FACETS, _STEP, _GENTLE, _SHORT = 3, 5.0, math.radians(50.0), 12.0
"""So many steps in a row, each shorter than this, mm, and turned from the one before by less than that, rad, are a
curve; a short one is no longer from end to end than the last, mm."""


@dataclass(frozen=True, eq=False)
class DevelopedFace:
    """One outer face: its `name`, '' of a bend, where it begins and how wide it is, mm, the `edge` (n, 2) to which it
    is cut, (across, x) mm, and the holes at its corners, across likewise."""

    name: str
    begins: float
    width: float
    edge: Array
    holes: tuple[CornerHole, ...]

    @property
    def ordinates(self) -> Array:
        """The edge measured on the face itself: (from its own left edge, x), (n, 2) mm."""
        return np.asarray(self.edge - np.array([self.begins, 0.0]))


@dataclass(frozen=True, eq=False)
class EndDevelopment:
    """The faces of an end side by side, and the fold lines between those that meet, across mm: at a sharp heel one, and
    at a folded one the two edges of the bend."""

    faces: tuple[DevelopedFace, ...]
    folds: tuple[float, ...]

    @property
    def width(self) -> float:
        """Over all, mm."""
        return self.faces[-1].begins + self.faces[-1].width

    @property
    def edge(self) -> Array:
        """The cut all across, (n, 2) mm; it may step at a fold, and has no meaning between faces that no fold joins."""
        return np.vstack([face.edge for face in self.faces])


def developed(end: EndCut) -> EndDevelopment:
    """An end laid flat.

    Args:
        end: its limbs in the order in which they are shown.
    """
    faces: list[DevelopedFace] = []
    folds: list[float] = []
    begins = 0.0
    before: Xy | None = None
    for edge in end.edges:
        if before is not None and math.dist(before, edge.limb.edge.start) > 1e-6:
            begins += APART
        elif before is not None:
            folds.append(begins)
        before = edge.limb.edge.end
        holes = tuple(
            CornerHole(h.station + begins, h.x, h.diameter, (h.corner[0] + begins, h.corner[1]))
            for h in edge.holes(end.hole)
        )
        line = np.column_stack((edge.station + begins, edge.x))
        faces.append(DevelopedFace(edge.limb.name, begins, edge.limb.width, line, holes))
        begins += edge.limb.width
    return EndDevelopment(tuple(faces), tuple(folds))


def edge_corners(edge: Array, middles: bool = False) -> Array:
    """The corners of an edge to be measured; a short curve, as over a rounded toe or against a main's root, is measured
    at its two ends only.

    Args:
        edge: (n, 2) mm: across, and along.
        middles: halfway round a short curve too.
    Returns: (m, 2) mm, in the order of the edge.
    """
    from shapely import LineString

    found = np.array(LineString(edge).simplify(STRAIGHT, preserve_topology=False).coords)
    steps = np.diff(found, axis=0)
    ways = np.arctan2(steps[:, 1], steps[:, 0])
    bends = np.abs(np.remainder(np.diff(ways) + np.pi, 2.0 * np.pi) - np.pi)
    gentle = np.concatenate(([False], bends < _GENTLE, [False]))
    short = np.hypot(*steps.T) < _STEP
    kept = np.ones(len(found), dtype=bool)
    first = 0
    while first < len(found) - 1:
        last = first
        while last < len(steps) and short[last] and (last == first or gentle[last]):
            last += 1
        if last - first >= _FACETS and float(np.hypot(*(found[last] - found[first]))) <= _SHORT:
            kept[first + 1 : last] = False
            kept[(first + last) // 2] |= middles
        first = max(last, first + 1)
    return found[kept]

"""Holes of a folded part that face one another, as those in the two ears of a clevis: one bolt goes through both."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from fabgen.geometry.plane.outline import Loop
from fabgen.geometry.sheet.folded import PlacedFace, placed_faces
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import FlatPart

NEAR = 0.5
"""Axes of two holes that lie this near are one, mm."""
PARALLEL = 1e-3
"""Sine of the angle between faces that count as parallel."""


@dataclass(frozen=True, slots=True)
class FacingHoles:
    """Two faces with a hole each on one axis, and the clear `gap` between them, mm."""

    faces: tuple[str, str]
    holes: tuple[Loop, Loop]
    gap: float


def facing_holes(part: FlatPart) -> Iterator[FacingHoles]:
    """Every pair of holes of two parallel faces on one axis; none of a part that is not folded.

    Args:
        part: folded by its tree.
    """
    faces = placed_faces(part.tree) if part.tree is not None else []
    for one, other in combinations(faces, 2):
        if np.linalg.norm(np.cross(one.frame.z, other.frame.z)) > PARALLEL:
            continue
        gap = _gap(one, other, part.thickness)
        for a in one.face.holes if gap > 0.0 else ():
            for b in other.face.holes:
                between = _centre(other, b) - _centre(one, a)
                if np.linalg.norm(between - (between @ one.frame.z) * one.frame.z) < NEAR:
                    yield FacingHoles((one.face.name, other.face.name), (a, b), gap)


def _gap(one: PlacedFace, other: PlacedFace, thickness: float) -> float:
    """Between the skins of two parallel faces that look at one another, mm; negative where they overlap."""
    axis = one.frame.z
    spans = []
    for placed in (one, other):
        low = float(placed.frame.origin @ axis)
        spans.append(sorted((low, low + thickness * float(placed.frame.z @ axis))))
    return max(spans[1][0] - spans[0][1], spans[0][0] - spans[1][1])


def _centre(placed: PlacedFace, hole: Loop) -> Array:
    x0, y0, x1, y1 = hole.bounds
    return placed.frame.outside(np.array([(x0 + x1) / 2.0, (y0 + y1) / 2.0, 0.0]))

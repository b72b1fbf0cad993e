"""Holes in the folded part seen from the end: how far each stands from the outside of its face's fold."""

from __future__ import annotations

import math
from dataclasses import dataclass

from fabgen.documents.drawing.flat.fold_profile import FoldedProfile
from fabgen.geometry.plane.outline import Xy
from fabgen.parts.piece import FlatBend, FlatPart
from fabgen.parts.shape.hole_groups import NEAR, centre_of

MOST = 6
"""A face with more heights of holes than this has the first of them dimensioned."""


@dataclass(frozen=True, slots=True)
class ProfileHole:
    """Holes of one height in a face: `height` mm along the face from the outside corner `corner` of the
    fold it hangs on to their centre, which is `at` on the face's bottom skin; `half` their size along the face."""

    face: int
    height: float
    corner: Xy
    at: Xy
    half: float


def profile_holes(part: FlatPart, profile: FoldedProfile) -> list[ProfileHole]:
    """Each distinct height of every face once, face by face from the fold outward."""
    found: list[ProfileHole] = []
    for face in range(len(profile.faces)):
        kept: list[ProfileHole] = []
        for each in sorted(_on_face(part, profile, face), key=lambda hole: (hole.height, -hole.half)):
            if not kept or each.height - kept[-1].height > NEAR:
                kept.append(each)
        found += kept[:MOST]
    return found


def _on_face(part: FlatPart, profile: FoldedProfile, index: int) -> list[ProfileHole]:
    face, across = profile.faces[index], profile.across
    beside = [i for i in (index - 1, index) if 0 <= i < len(profile.bends)]
    lines = [part.bends[profile.indices[i]] for i in beside]
    # The fold that the face hangs on; a web or crown, which hangs on none, is measured from the first.
    hangs = next(
        (i for i, fold in zip(beside, lines, strict=True) if _child_after(fold, across) == (i < index)), beside[0]
    )
    corner = profile.bends[hangs].corner
    ux, uy = math.cos(face.heading), math.sin(face.heading)
    others = [bend for i, bend in enumerate(part.bends) if i not in profile.indices]
    holes: list[ProfileHole] = []
    for hole in part.all_holes:
        centre = centre_of(hole.shape)
        far = centre[0] * across[0] + centre[1] * across[1] - profile.starts[index]
        if not 0.0 <= far <= face.length or not _reaches(centre, part.bends[profile.indices[hangs]], others):
            continue
        at = (face.start[0] + far * ux, face.start[1] + far * uy)
        height = abs((at[0] - corner[0]) * ux + (at[1] - corner[1]) * uy)
        x0, y0, x1, y1 = hole.shape.bounds
        half = (abs(across[0]) * (x1 - x0) + abs(across[1]) * (y1 - y0)) / 2.0
        holes.append(ProfileHole(index, height, corner, at, half))
    return holes


def _child_after(fold: FlatBend, across: Xy) -> bool:
    """Whether the face that hangs on the fold, which lies to the left of its line, comes after it."""
    dx, dy = fold.end[0] - fold.start[0], fold.end[1] - fold.start[1]
    return -dy * across[0] + dx * across[1] > 0.0


def _reaches(centre: Xy, fold: FlatBend, others: list[FlatBend]) -> bool:
    """Whether a point lies square off a fold, with no bend of another direction between."""
    length = math.dist(fold.start, fold.end)
    ux, uy = (fold.end[0] - fold.start[0]) / length, (fold.end[1] - fold.start[1]) / length
    along = (centre[0] - fold.start[0]) * ux + (centre[1] - fold.start[1]) * uy
    foot = (fold.start[0] + along * ux, fold.start[1] + along * uy)
    return -NEAR <= along <= length + NEAR and not any(_cross(centre, foot, bend) for bend in others)


def _cross(a: Xy, b: Xy, fold: FlatBend) -> bool:
    c, d = fold.start, fold.end

    def side(p: Xy, q: Xy, r: Xy) -> bool:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]) > 0.0

    return side(a, b, c) != side(a, b, d) and side(c, d, a) != side(c, d, b)

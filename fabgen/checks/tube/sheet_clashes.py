"""Tubes against placed sheet: which of them run through a plate or a face that they neither stand on nor straddle."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.checks.tube.clashes import CLASH, LAP
from fabgen.checks.tube.tube_bodies import Filled, Strip, bodies_of
from fabgen.parts.piece import LengthPart
from fabgen.parts.shape.standing_faces import StandingFace, standing_faces
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence

_PLACES = np.linspace(0.0, 1.0, 25)
"""Where along its way through a sheet a line is held against the sheet's outline."""


@dataclass(frozen=True, slots=True)
class _Clash:
    tube: str
    sheet: str
    length: float
    depth: float


@rule("tube-in-sheet", Level.STOP, source=FROM_JOB)
def tube_in_sheet(job: Checked) -> Iterator[Found]:
    """A tube that does not end on a placed plate or bracket, and is not slit over it, lies outside its metal."""
    clashes = list(_clashes(job))
    if not clashes:
        return
    each = [sentence(f"{c.tube} through {c.sheet} over ", mm(c.length), ", ", mm(c.depth), " deep") for c in clashes]
    tubes = list(dict.fromkeys(c.tube for c in clashes))
    what = "1 tube runs" if len(tubes) == 1 else f"{len(tubes)} tubes run"
    yield found(
        f"{what} through sheet (",
        named(each, "; ", FEW),
        "): make the sheet smaller, cut it out there, or move one of them",
        about=tubes,
    )


def _clashes(job: Checked) -> Iterator[_Clash]:
    # Of the two sides of a sheet one does.
    faces = list(standing_faces(job.pieces))[::2] if job.tubes else []
    straps = {strap.mark for strap in job.job.strap}  # rolled round what they hold, they are held against it elsewhere
    for body in bodies_of(job.tubes).values():
        kept = straps | _meant(body.part)
        for mark, (length, depth) in through_sheets(body, (face for face in faces if face.mark not in kept)).items():
            yield _Clash(body.mark, mark, length, depth)


def _meant(part: LengthPart) -> set[str]:
    """The marks of sheet parts that a tube ends on or is slit over."""
    ends = {mark for end in part.ends for mark in (end.stands_on, *(plate.onto for plate in end.plates))}
    return ends | {hole.slit.tab for hole in part.drilled if hole.slit is not None}


def through_sheets(body: Filled, faces: Iterable[StandingFace]) -> Mapping[str, tuple[float, float]]:
    """The sheets that a tube or profile runs through: by mark the longest stretch within and how deep, mm, where it is
    deepest.

    Args:
        body: the tube or profile.
        faces: one side of each face of the sheets.
    """
    worst: dict[str, tuple[float, float]] = {}
    for face in faces:
        length, depth = _in_sheet(body, face)
        if length > CLASH and depth > LAP and depth > worst.get(face.mark, (0.0, 0.0))[1]:
            worst[face.mark] = length, depth
    return worst


def _in_sheet(body: Filled, face: StandingFace) -> tuple[float, float]:
    """The longest stretch of a length within a sheet, and how deep it lies from the sheet's nearer side, mm."""
    found = [_strip_in_sheet(strip, face) for strip in body.strips]
    return max((each[0] for each in found), default=0.0), max((each[1] for each in found), default=0.0)


def _strip_in_sheet(strip: Strip, face: StandingFace) -> tuple[float, float]:
    import shapely

    local, along = face.frame.inside(strip.walls.skin), face.frame.axes @ strip.walls.along
    low, high = strip.begin.copy(), strip.end.copy()
    if abs(along[2]) < 1e-9:
        hit = (local[:, 2] < 0.0) & (local[:, 2] > -face.thickness)
        low, high = np.where(hit, low, 0.0), np.where(hit, high, 0.0)
    else:
        sides = np.sort((-local[:, 2] / along[2], -(face.thickness + local[:, 2]) / along[2]), axis=0)
        low, high = np.maximum(low, sides[0]), np.minimum(high, sides[1])
    kept = high - low > CLASH
    if not kept.any():
        return 0.0, 0.0
    low, high, local = low[kept], high[kept], local[kept]
    metal = face.metal.buffer(-CLASH)
    across = float(np.hypot(along[0], along[1]))
    if across > 1e-9:
        ends = np.stack((local + low[:, None] * along, local + high[:, None] * along), axis=1)
        lines = shapely.linestrings(ends[:, :, :2])
        through = shapely.intersects(lines, metal)
        lengths = shapely.length(shapely.intersection(lines[through], face.metal)) / across
    else:
        through = shapely.contains_xy(metal, local[:, 0], local[:, 1])
        lengths = (high - low)[through]
    if not through.any():
        return 0.0, 0.0
    at = low[through] + (high - low)[through] * _PLACES[:, None]
    points = local[through] + at[:, :, None] * along
    on = shapely.contains_xy(metal, points[..., 0], points[..., 1])
    deep = np.minimum(-points[..., 2], face.thickness + points[..., 2])
    return float(lengths.max()), float(deep[on].max(initial=0.0))

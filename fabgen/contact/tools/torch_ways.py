"""A torch's way to where a sheet part meets a tube: along the edges that lie on the tube's skin, from either side."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fabgen.contact.near import Boxes
from fabgen.contact.solids import Solid
from fabgen.contact.tools.bolt_rooms import bar_between, met
from fabgen.geometry.space.frame import Array, unit
from fabgen.geometry.space.mesh import Places
from fabgen.parts.piece import LengthPart, LinkPart
from fabgen.parts.shape.along_tube import along_near, axis_at
from fabgen.shop.section import Section

_SPACING = 15.0
"""Places along a seam lie no farther apart, mm."""
LONG = 80.0
"""So much of a torch stands straight out from the weld, mm (common practice, no source)."""
_PLAY = 0.1
"""A torch that touches on either side goes in, mm."""
_TOUCH = 1.0
"""What is nearer to a tube's skin lies on it, mm; the other edge of sheet may stand off by its thickness on the round.
"""
_FACING = 0.7
"""Cosine: the face of a sheet that looks at a tube's skin, and the one beside it."""
_SIDE = 0.3
"""What is shorter than this share of the longest side of a sheet is not a side of it."""
_LEANS = ((1.0, 1.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (1.0, 1.0, 1.0), (1.0, 1.0, -1.0), (1.0, 0.0, 1.0),
          (1.0, 0.0, -1.0))  # fmt: skip
"""Ways of a torch that are tried: so much up the sheet, along the tube's skin away from it, and along the seam."""


@dataclass(frozen=True, eq=False)
class Seam:
    """A short piece of where a sheet meets a tube: its middle, the directions off the tube's skin, off the sheet and
    along it, each (3,), and its length, mm."""

    at: Array
    off_tube: Array
    off_sheet: Array
    along: Array
    length: float


@dataclass(frozen=True, slots=True)
class Reached:
    """How much of the seam between two parts a torch reaches, mm, of how much; and the marks of what keeps it off, that
    which does so most first."""

    reached: float
    whole: float
    by: tuple[str, ...]


def too_little_reached(
    sheet: Solid, tube: Solid, around: Boxes, torch: float, enough: float, *, each_side: bool = False
) -> Reached | None:
    """How much of where a sheet part meets a tube a torch reaches; None where that is enough, and where no edge lies on
    the tube.

    Args:
        sheet: a plate, bracket or cover.
        tube: straight or bent.
        around: everything that has a place.
        torch: width of the gap that it goes into, mm.
        enough: share of the edges on both sides.
        each_side: so much is asked of each side by itself, and the first of which less is reached told.
    """
    seams = list(_seams(sheet, tube))
    for side in _sides(seams) if each_side else [seams]:
        if (reached := _reached(side, around, torch, enough)) is not None:
            return reached
    return None


def _reached(seams: list[Seam], around: Boxes, torch: float, enough: float) -> Reached | None:
    """How much of these a torch reaches; None where that is enough."""
    whole = sum(seam.length for seam in seams)
    free, by = 0.0, dict[str, float]()
    for seam in seams:
        blocking = _blocking(seam, around, torch / 2.0)
        for mark in blocking:
            by[mark] = by.get(mark, 0.0) + seam.length
        free += 0.0 if blocking else seam.length
        if free >= enough * whole:
            return None
    return Reached(free, whole, tuple(sorted(by, key=lambda mark: (-by[mark], mark)))) if seams else None


def _sides(seams: list[Seam]) -> list[list[Seam]]:
    """The seams that look the same way off their sheet together; short ones, as across its thickness, left out."""
    sides: list[list[Seam]] = []
    for seam in seams:
        like = next((side for side in sides if float(side[0].off_sheet @ seam.off_sheet) > _FACING), None)
        if like is None:
            sides.append([seam])
        else:
            like.append(seam)
    longest = max((sum(seam.length for seam in side) for side in sides), default=0.0)
    return [side for side in sides if sum(seam.length for seam in side) > _SIDE * longest]


def _blocking(seam: Seam, around: Boxes, radius: float) -> set[str]:
    """What stands in all ways of a torch; nothing where one is free.  Links are hung in when all is welded."""
    marks: set[str] = set()
    for way in blocked_ways(seam, around, radius):
        standing = {solid.mark for solid in way if not isinstance(solid.part, LinkPart)}
        if not standing:
            return set()
        marks |= standing
    return marks


def blocked_ways(seam: Seam, around: Boxes, radius: float) -> Iterator[list[Solid]]:
    """What stands in each way of a torch that is tried.

    Args:
        seam: where it is to come to.
        around: everything that may stand there.
        radius: of the torch, mm.
    """
    lean = float(seam.off_tube @ seam.off_sheet)
    # As far off the tube's skin as off the sheet.
    start = seam.at + radius / (1.0 + lean) * (seam.off_tube + seam.off_sheet)
    up_sheet, along_tube = seam.off_tube - lean * seam.off_sheet, seam.off_sheet - lean * seam.off_tube
    for along_sheet, off_sheet, along in _LEANS:
        way = unit(along_sheet * up_sheet + off_sheet * along_tube + along * seam.along)
        up = seam.along if along == 0.0 else np.cross(way, seam.along)
        bar = bar_between(start, start + LONG * way, up, 2.0 * radius - _PLAY)
        yield list(met(bar, around))


def _seams(sheet: Solid, tube: Solid) -> Iterator[Seam]:
    """The edges of a sheet part that lie on a tube's skin, cut short."""
    part = tube.part
    if not isinstance(part, LengthPart) or part.frame is None or tube.number:
        return
    mesh = sheet.shape.skin.mesh
    points, normals = sheet.frame.outside(mesh.vertices), mesh.normals @ sheet.frame.axes
    touch = max(_TOUCH, sheet.shape.thickness)
    low, high = tube.box
    edges, faces = _edges(mesh.triangles)
    ends = points[edges]
    kept = (normals[faces[:, 0]] * normals[faces[:, 1]]).sum(axis=1) <= _FACING
    kept &= ((ends.min(axis=1) <= high + touch) & (ends.max(axis=1) >= low - touch)).all(axis=1)
    for (i, j), (one, other) in zip(edges[kept].tolist(), faces[kept].tolist(), strict=True):
        step = points[j] - points[i]
        long = float(np.linalg.norm(step))
        count = math.ceil(long / _SPACING)
        for k in range(count):
            at = points[i] + (k + 0.5) / count * step
            if (off := off_skin(part, at, touch)) is None:
                continue
            facing, beside = sorted((one, other), key=lambda face: float(normals[face] @ off))
            if float(normals[facing] @ off) < -_FACING and abs(float(normals[beside] @ off)) < _FACING:
                yield Seam(at, off, unit(normals[beside]), step / long, long / count)


def _edges(triangles: Places) -> tuple[Places, Places]:
    """Each edge between two triangles, as its places (n, 2), with the first and the last that has it, (n, 2)."""
    sides = np.sort(np.stack((triangles, np.roll(triangles, -1, axis=1)), axis=2).reshape(-1, 2), axis=1)
    order = np.lexsort((sides[:, 1], sides[:, 0]))  # stable: of one edge the triangles stay in their order
    firsts = np.flatnonzero(np.concatenate(([True], (np.diff(sides[order], axis=0) != 0).any(axis=1))))
    lasts = np.append(firsts[1:], len(order)) - 1
    shared = lasts > firsts
    found = np.column_stack((order[firsts[shared]], order[lasts[shared]]))
    found = found[np.argsort(order[firsts[shared] + 1])]  # as they come up along the triangles
    return sides[found[:, 0]], found // 3


def off_skin(part: LengthPart, at: Array, touch: float) -> Array | None:
    """The direction off a tube's skin at a place on it, (3,); None of a place that is farther from it than `touch`."""
    on = np.clip(along_near(part, at), part.allowance[0], part.length - part.allowance[1])
    frame = axis_at(part, float(on))
    along, y, z = frame.inside(at).tolist()
    if abs(along) > touch:
        return None  # past an end
    section: Section = part.section
    if section.is_round:
        away = math.hypot(y, z)
        if abs(away - section.width / 2.0) > touch:
            return None
        return unit(y * frame.y + z * frame.z)
    past_y, past_z = abs(y) - section.depth / 2.0, abs(z) - section.width / 2.0
    if abs(max(past_y, past_z)) > touch:
        return None
    return math.copysign(1.0, y) * frame.y if past_y > past_z else math.copysign(1.0, z) * frame.z

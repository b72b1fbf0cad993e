"""Holes of placed parts in space, whatever they are drilled in: the way that a bolt takes through one thickness."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.plane.outline import Circle, Loop
from fabgen.geometry.sheet.folds import Face
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import (
    DrilledHole,
    FlatPart,
    FlattenedEnd,
    FlattenedHole,
    Hole,
    LegHole,
    LengthPart,
    Piece,
    ProfilePart,
    WorkedEnd,
)
from fabgen.parts.shape.band_body import on_band
from fabgen.parts.shape.bodies.length_body import flat_frame
from fabgen.parts.shape.sheet_body import faces_in_space

FINE = 0.002
"""Of the chords of holes' edges, mm."""


@dataclass(frozen=True, slots=True)
class Bore:
    """A tube's own bore, as a bolt finds it that goes along the tube."""

    bolt: str = ""

    @property
    def name(self) -> str:
        return "bore"


@dataclass(frozen=True, eq=False)
class HoleWay:
    """A hole through one thickness of a placed part.

    `hole` of the part `mark`, of sheet with its `flat`; `edge`: its rim, (n, 3) mm; `axis`: unit, square through the
    metal, which runs along it from `span[0]` to `span[1]` mm, counted from the job's origin.  `width`: of a slot its
    width, where a sleeve is welded in the bore of that, mm.  `place`: the number of the place at which its part stands,
    from 1; 0 of what has none with a number.
    """

    mark: str
    hole: LegHole | DrilledHole | FlattenedHole | Hole | Bore
    edge: Array
    axis: Array
    span: tuple[float, float]
    width: float
    flat: FlatPart | None = None
    place: int = 0

    @property
    def bolt(self) -> str:
        """What it is drilled for, '' where the job does not say."""
        return self.hole.bolt

    @property
    def centre(self) -> Array:
        """On its axis in the middle of the thickness, (3,) mm."""
        middle = (self.edge.min(axis=0) + self.edge.max(axis=0)) / 2.0
        return np.asarray(middle + (sum(self.span) / 2.0 - float(middle @ self.axis)) * self.axis)

    def mouths(self, beyond: float) -> tuple[Array, Array]:
        """Places on its axis so far outside the metal at either side, (3,) mm each."""
        half = (self.span[1] - self.span[0]) / 2.0 + beyond
        return np.asarray(self.centre - half * self.axis), np.asarray(self.centre + half * self.axis)


def hole_ways(piece: Piece) -> Iterator[HoleWay]:
    """The holes of a piece at each of its places; bores of branches, vents, slits, drains, and holes welded shut
    are none for bolts and left out.

    Args:
        piece: complete.
    """
    part = piece.shape
    if isinstance(part, ProfilePart):
        yield from (_in_leg(piece.mark, part, hole) for hole in part.holes)
    elif isinstance(part, FlatPart):
        yield from _in_strap(piece.mark, part) if part.band is not None else _in_sheet(piece.mark, part)
    elif isinstance(part, LengthPart) and part.frame is not None:
        for hole in part.drilled:
            if not (hole.vent or hole.plug or hole.slit is not None):
                yield _in_tube(piece.mark, part, hole)
        for end in part.ends:
            if isinstance(end.form, FlattenedEnd) and end.form.hole:
                yield _in_flat(piece.mark, end, end.form)


def _in_leg(mark: str, part: ProfilePart, hole: LegHole) -> HoleWay:
    limb, frame = part.ends[0].cut.edge(hole.face).limb, part.frame
    ring = hole.loop.points(FINE)
    skin, inward = limb.skin(ring[:, 0])
    edge = frame.outside(np.column_stack((part.begins + ring[:, 1], skin)))
    axis = inward[0] @ np.vstack((frame.y, frame.z))
    begins = float(np.mean(edge @ axis))
    return HoleWay(mark, hole, edge, axis, (begins, begins + hole.thickness), hole.width)


def _in_tube(mark: str, part: LengthPart, hole: DrilledHole) -> HoleWay:
    edge, axis = hole.skin.at(hole.edge.station, hole.edge.along), hole.frame.x
    width = hole.width
    if hole.sleeve is not None:
        # A bolt goes through the sleeve, in the middle of its hole.
        width = hole.sleeve.sizes[0] - 2.0 * hole.sleeve.wall
        middle = (edge.min(axis=0) + edge.max(axis=0)) / 2.0
        edge = middle + (edge - middle) * (width / hole.width)
    ends = float((edge @ axis).max())
    return HoleWay(mark, hole, edge, axis, (ends - part.section.wall, ends), width)


def _in_flat(mark: str, end: WorkedEnd, form: FlattenedEnd) -> HoleWay:
    frame = flat_frame(end, form)
    ring = np.asarray(Circle(form.at, 0.0, form.hole).points(FINE))
    edge = frame.outside(np.column_stack((ring, np.full(len(ring), -form.thickness / 2.0))))
    begins = float(frame.origin @ frame.z) - form.thickness / 2.0
    return HoleWay(mark, FlattenedHole(end.at, form.hole), edge, frame.z, (begins, begins + form.thickness), form.hole)


def _in_sheet(mark: str, part: FlatPart) -> Iterator[HoleWay]:
    faces = list(faces_in_space(part))
    at_each = len(faces) // max(len(part.places), 1)
    for number, (frame, face) in enumerate(faces):
        for loop, hole in _holes_of(part, face):
            if not hole.purpose:
                ring = np.asarray(loop.points(FINE))
                edge = frame.outside(np.column_stack((ring, np.zeros(len(ring)))))
                begins = float(frame.origin @ frame.z)
                span, place = (begins, begins + part.thickness), 1 + number // at_each
                yield HoleWay(mark, hole, edge, frame.z, span, _width(loop), part, place)


def _holes_of(part: FlatPart, face: Face) -> Iterator[tuple[Loop, Hole]]:
    """The holes of a face, each as it lies in that face and as it is listed."""
    if part.tree is None:
        yield from ((hole.shape, hole) for hole in part.all_holes)
        return
    listed = [hole for hole in part.all_holes if hole.face == face.name]
    for loop in face.holes:
        # In the order of the face, but for those that are drilled later: they are listed last.
        if (fit := next((hole for hole in listed if abs(_width(hole.shape) - _width(loop)) < FINE), None)) is not None:
            listed.remove(fit)
            yield loop, fit


def _in_strap(mark: str, part: FlatPart) -> Iterator[HoleWay]:
    band = part.band
    assert band is not None
    rings = [(hole, np.asarray(hole.shape.points(FINE))) for hole in part.all_holes if not hole.purpose]
    made = [(hole, [on_band(part, band, ring, half * part.thickness) for half in (-0.5, 0.5)]) for hole, ring in rings]
    for number, place in enumerate(part.places, 1):
        for hole, sides in made:
            low, high = (place.frame.outside(side) for side in sides)
            axis = (high - low).mean(axis=0) / part.thickness
            axis = axis / np.linalg.norm(axis)
            yield HoleWay(
                mark,
                hole,
                low,
                axis,
                (float((low @ axis).mean()), float((high @ axis).mean())),
                _width(hole.shape),
                part,
                number,
            )


def _width(loop: Loop) -> float:
    x0, y0, x1, y1 = loop.bounds
    return min(x1 - x0, y1 - y0)

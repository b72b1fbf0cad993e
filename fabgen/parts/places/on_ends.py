"""Sheet that lies flush on a tube's end, or is let into it, and how it is set out there: discs, caps, foot plates."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
import shapely

from fabgen.geometry.space.frame import Array
from fabgen.parts.holes.drilled_holes import around
from fabgen.parts.piece import EndSetOut, FlatPart, LengthPart, LinkPart, Piece, Place, WorkedEnd
from fabgen.parts.shape.along_tube import axis_at
from fabgen.parts.shape.sections import end_profile
from fabgen.parts.shape.standing import is_disc

GAP = 0.5
"""An end's rim is no farther from the face that it lies flush with, mm, besides its root gap."""
_FACES = math.cos(math.radians(60.0))
"""A face that looks farther from along a tube lies on none of its ends."""
_SPECK = 1.0
"""What lies over less of an end does not lie on it, mm2."""
_ROUND = 0.1
"""A hole no farther from a disc's middle is in it, mm."""
QUARTERS = (0.0, math.pi / 2.0, math.pi, 3.0 * math.pi / 2.0)
"""TOP and the three sides after it, rad, clockwise seen from the start."""


@dataclass(frozen=True, eq=False)
class TubeEnds:
    """The ends of a job's placed tubes: of which, `at` their middles (n, 3) mm, and the `reach` of each from there."""

    ends: tuple[tuple[str, LengthPart, WorkedEnd], ...]
    at: Array
    reach: Array

    @staticmethod
    def of(pieces: Sequence[Piece]) -> TubeEnds:
        """Those of all tubes but link rods, bent bars, and ends that are beaten flat.

        Args:
            pieces: all of the job, complete.
        """
        ends = tuple(
            (piece.mark, tube, end)
            for piece in pieces
            if (tube := piece.length_part) is not None and tube.frame is not None
            if not (tube.is_bent_bar or isinstance(tube, LinkPart))
            for end in tube.ends
            if end.form is None
        )
        at = [end.frame.origin + end.line.longest * end.frame.x for _, _, end in ends]
        reach = [2.0 * max(tube.section.width, tube.section.depth) for _, tube, _ in ends]
        return TubeEnds(ends, np.array(at).reshape(-1, 3), np.array(reach))

    def near(self, points: Array) -> list[tuple[str, LengthPart, WorkedEnd]]:
        """Those that are near to points, (n, 3) mm."""
        middle = (points.min(axis=0) + points.max(axis=0)) / 2.0
        wide = float(np.linalg.norm(points - middle, axis=1).max())
        found = np.linalg.norm(self.at - middle, axis=1) <= self.reach + wide
        return [self.ends[number] for number in np.flatnonzero(found)]


def on_end(part: FlatPart, place: Place, ends: TubeEnds) -> EndSetOut | None:
    """How a part lies on a tube's end; None where it lies on none.

    Args:
        part: the part.
        place: one of its places.
        ends: of all tubes.
    """
    faces = [(name, datum) for name, datum in part.datums.items() if datum.corners]
    near = (
        ends.near(place.frame.outside(np.array([d.at(at, 0.0) for _, d in faces for at in d.corners]))) if faces else []
    )
    for let_in, (name, datum), (foot, way, height) in product(
        (False, True), faces if near else (), (("back", -1.0, 0.0), ("front", 1.0, part.thickness))
    ):
        # The face looks at the tube where the part lies on its end, and away from it where it is let in.
        out = (way if let_in else -way) * (datum.front @ place.frame.axes)
        face = place.frame.outside(np.array([datum.at(corner, height) for corner in datum.corners]))
        for mark, tube, end in near:
            rim = _rim(tube, end) if float(out @ -end.frame.x) > _FACES else None
            if rim is None or float(np.abs((rim - face[0]) @ out).max()) > GAP + end.gap:
                continue
            ways = _ways(tube, end, out)
            if _lies(face, rim, ways, let_in):
                words = f"{foot} of face {name}" if name else foot
                turn = None if _any_way(part) else _turn(datum.u @ place.frame.axes, ways)
                rims = tuple(float((face @ each).max() - (rim @ each).max()) for each in ways)
                return EndSetOut(mark, end.at, words, let_in, rims, turn)
    return None


def _rim(tube: LengthPart, end: WorkedEnd) -> Array | None:
    """Points of a tube's skin at its end, (n, 3) mm; None where the cut partly misses what it sits on."""
    rim = end_profile(tube.section, end).walls(end.frame).skin + end.line.x[:, None] * end.frame.x
    return np.asarray(rim) if np.isfinite(rim).all() else None


def _ways(tube: LengthPart, end: WorkedEnd, out: Array) -> tuple[Array, ...]:
    """In the plane of the end toward TOP and the three sides after it, unit (3,) each."""
    axis = axis_at(tube, 0.0 if end.at == "start" else tube.length)
    toward = [around(axis, way) for way in QUARTERS]
    flat = [each - float(each @ out) * out for each in toward]
    return tuple(each / float(np.linalg.norm(each)) for each in flat)


def _lies(face: Array, rim: Array, ways: Sequence[Array], let_in: bool) -> bool:
    """Whether a face covers something of an end, or one that is let in goes into it."""
    across = np.vstack(ways[:2]).T
    own, other = shapely.Polygon(face @ across).buffer(0.0), shapely.Polygon(rim @ across).buffer(0.0)
    return bool(other.buffer(GAP).contains(own)) if let_in else bool(own.intersection(other).area > _SPECK)


def _turn(right: Array, ways: Sequence[Array]) -> float:
    """Of a part's right, rad from TOP, clockwise seen from the start."""
    return math.atan2(float(right @ ways[1]), float(right @ ways[0]))


def _any_way(part: FlatPart) -> bool:
    """Whether it is a disc without a hole beside its middle, so that it may be turned any way."""
    if not is_disc(part):
        return False
    x0, y0, x1, y1 = part.outline.bounds
    middle = np.array([(x0 + x1) / 2.0, (y0 + y1) / 2.0])
    holes = [np.array(hole.shape.bounds).reshape(2, 2).mean(axis=0) - middle for hole in part.all_holes]
    return all(float(np.linalg.norm(each)) < _ROUND for each in holes)

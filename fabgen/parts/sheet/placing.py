"""Where sheet parts stand: from `place` of the job file to the frame that the made part has in the vehicle."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.space.frame import Array, Frame, unit
from fabgen.job.errors import Path, listed, nearest, shown
from fabgen.job.tables.place_tables import PlaceGiven
from fabgen.parts.piece import Place
from fabgen.parts.shape.directions import array, direction
from fabgen.parts.shape.hole_groups import centre_of
from fabgen.parts.sheet.face_axes import Datum
from fabgen.parts.sheet.holes import PlacedHole
from fabgen.parts.sheet.request import AnyRequest

X, _, Z = np.eye(3)
HEIGHTS = {"back": 0.0, "middle": 0.5, "front": 1.0}
_SQUARE = 1e-6
"""Sine below which two directions are one."""


@dataclass(frozen=True, eq=False)
class Placing:
    """A sheet part about to be placed.  `datums` by face, the first first; `holes` in the order of their numbers.
    What is `round` has an axis, and no (u, v)."""

    request: AnyRequest
    datums: Mapping[str, Datum]
    holes: Sequence[PlacedHole]
    round: bool = False

    def places(self) -> tuple[Place, ...]:
        """Where each stands that the job places; what cannot be is a fault of the request."""
        return tuple(self._places_given())

    def _places_given(self) -> Iterator[Place]:
        places = self.request.given.place
        for number, given in enumerate(places):
            path = ("place", *((number,) if len(places) > 1 else ()))
            directions = self._directions(given, path)
            point = self._point(given, path)
            if directions is not None and point is not None:
                face, at = point
                yield Place(_frame(self.datums[face], at, array(given.at), *directions), given.on or "")

    def _directions(self, given: PlaceGiven, path: Path) -> tuple[Array, Array] | None:
        """Unit directions that `along` and `up` come to, square to one another."""
        at = array(given.at)
        found = []
        for key, axis in (("along", given.along), ("up", given.up)):
            try:
                found.append(None if axis is None else direction(axis, at))
            except ValueError:
                what = f"`{key}` looks toward the point that the part is placed at"
                self.request.fault((*path, key), what, "[x, y, z], or a point apart from it")
                return None
        along, up = found
        assert along is not None
        if up is None:
            up = Z if np.linalg.norm(np.cross(along, Z)) > _SQUARE else X
        if np.linalg.norm(np.cross(along, up)) <= _SQUARE:
            self.request.fault((*path, "up"), "`up` and `along` run in one line", "a direction across `along`")
            return None
        return along, unit(up - (up @ along) * along)

    def _point(self, given: PlaceGiven, path: Path) -> tuple[str, Array] | None:
        """The face that is spoken of, and which point of the made part lies on `at`."""
        named = [name for name in self.datums if name]
        if given.face and given.face not in named:
            accepted = listed([shown(name) for name in named]) if named else "no `face`: it is one flat"
            what = f"the part has no face {shown(given.face)}"
            self.request.fault((*path, "face"), what, accepted, nearest(given.face, named))
            return None
        face = given.face or next(iter(self.datums))
        if self.round:
            keys = [key for key in ("of", "hole") if getattr(given, key) is not None]
            for key in keys:
                self.request.fault(
                    (*path, key), f"{key} has no meaning here", "a flat or folded part; this stands by its axis"
                )
            return None if keys else (face, np.zeros(3))
        height = HEIGHTS[given.side] * self.request.thickness
        if given.hole is None:
            return face, self.datums[face].at((0.0, 0.0) if given.of is None else (given.of[0], given.of[1]), height)
        if given.hole > len(self.holes):
            count = len(self.holes)
            accepted = f"a number from 1 to {count}" if count else "of = [u, v]; the part has no holes"
            self.request.fault((*path, "hole"), f"there is no hole {given.hole}", accepted)
            return None
        hole = self.holes[given.hole - 1]
        return face, self.datums[hole.face if hole.face in self.datums else face].at(centre_of(hole.hole.shape), height)


def _frame(datum: Datum, point: Array, at: Array, along: Array, up: Array) -> Frame:
    """The made part's frame in the vehicle: the datum's u `along`, its front `up`, and `point` on `at`."""
    own = np.array([datum.u, np.cross(datum.front, datum.u), datum.front])
    wanted = np.array([along, np.cross(up, along), up])
    axes = own.T @ wanted  # rows: where the part's own x, y and z look
    return Frame(at - point @ axes, *axes)

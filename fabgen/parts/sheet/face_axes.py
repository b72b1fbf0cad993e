"""How (u, v), in which the holes of a face are given, lie in the face's own coordinates and in the made part."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.plane.outline import Loop, Xy
from fabgen.geometry.sheet.folded import placed_faces
from fabgen.geometry.sheet.folds import FoldTree
from fabgen.geometry.space.frame import Array


@dataclass(frozen=True, slots=True)
class FaceAxes:
    """How (u, v), in which a face's holes are given, lie in the face's own coordinates:
    x = `along` u + `dx`, y = `up` v + `dy`, mm, the signs 1 or -1."""

    along: float = 1.0
    up: float = 1.0
    dx: float = 0.0
    dy: float = 0.0

    @staticmethod
    def of_flange(setback: float, against: float | None = None) -> FaceAxes:
        """Of a flange, v from the outside corner of its fold: that is its own x and y, `setback` off; or where its x
        runs `against` u, over that length of the fold, mm."""
        return FaceAxes(dy=-setback) if against is None else FaceAxes(-1.0, 1.0, against, -setback)

    def loop(self, loop: Loop) -> Loop:
        """A loop in (u, v), in the face's own coordinates."""
        if self.along * self.up < 0.0:
            loop = loop.flipped()
        if self.up < 0.0:
            loop = loop.turned(math.pi)
        return loop.moved(self.dx, self.dy)

    def point(self, at: Xy) -> Xy:
        """A point (u, v), in the face's own coordinates."""
        return self.along * at[0] + self.dx, self.up * at[1] + self.dy

    def back(self, point: Xy) -> Xy:
        """(u, v) of a point of the face."""
        return self.along * (point[0] - self.dx), self.up * (point[1] - self.dy)


@dataclass(frozen=True, eq=False)
class Datum:
    """How the (u, v) of a face lie in the made part: where (0, 0) is on its back, the way u and v run, and the
    way its front looks; each (3,).  A mirrored face has u, v and front left-handed."""

    origin: Array
    u: Array
    v: Array
    front: Array

    @staticmethod
    def flat(corner: Xy) -> Datum:
        """Of a flat that was moved by `corner`'s negative, its lower left corner to the origin."""
        return Datum(np.array([-corner[0], -corner[1], 0.0]), *np.eye(3))

    def at(self, point: Xy, height: float) -> Array:
        """Where (u, v) lies in the made part, `height` mm over the face's back; (3,)."""
        return np.asarray(self.origin + point[0] * self.u + point[1] * self.v + height * self.front)


def folded_datums(tree: FoldTree, axes: Mapping[str, FaceAxes]) -> dict[str, Datum]:
    """The faces of a folded part, the first first."""
    found = {}
    for placed in placed_faces(tree):
        face, frame = axes[placed.face.name], placed.frame
        origin = frame.outside(np.array([*face.point((0.0, 0.0)), 0.0]))
        found[placed.face.name] = Datum(origin, face.along * frame.x, face.up * frame.y, frame.z)
    return found

"""How the (u, v) of a face of a sheet part, in which its holes are given, lie in the made part."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fabgen.geometry.plane.outline import Loop, Xy
from fabgen.geometry.space.frame import Array

CHORDS = 0.01
"""Outlines of faces are drawn with chords this near to their arcs, mm."""


@dataclass(frozen=True, eq=False)
class Datum:
    """How the (u, v) of a face lie in the made part: where (0, 0) is on its back, the way u and v run, and the
    way its front looks; each (3,).  A mirrored face has u, v and front left-handed.

    `corners`: of its outline, (u, v) mm; () of what is rolled.  `moulds`: points on the outside mould lines round it.
    """

    origin: Array
    u: Array
    v: Array
    front: Array
    corners: tuple[Xy, ...] = ()
    moulds: tuple[Xy, ...] = ()

    @staticmethod
    def flat(outline: Loop) -> Datum:
        """Of a flat that is moved so that the lower left corner of its outline comes to the origin."""
        x0, y0, x1, y1 = outline.bounds
        corners = tuple((float(x), float(y)) for x, y in outline.points(CHORDS))
        u, v, front = np.eye(3)
        return Datum(np.array([-x0, -y0, 0.0]), u, v, front, corners, ((x0, y0), (x1, y1)))

    def at(self, point: Xy, height: float) -> Array:
        """Where (u, v) lies in the made part, `height` mm over the face's back; (3,)."""
        return np.asarray(self.origin + point[0] * self.u + point[1] * self.v + height * self.front)

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """Least and greatest u and v, outside to outside: (u0, v0, u1, v1) mm."""
        u, v = zip(*((*self.corners, *self.moulds) or ((0.0, 0.0),)), strict=True)
        return min(u), min(v), max(u), max(v)

    @property
    def middle(self) -> Xy:
        """(u, v) of its middle."""
        u0, v0, u1, v1 = self.bounds
        return (u0 + u1) / 2.0, (v0 + v1) / 2.0

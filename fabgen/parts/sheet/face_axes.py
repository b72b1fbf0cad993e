"""How (u, v), in which the holes of a face are given, lie in the face's own coordinates and in the made part."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.plane.outline import Loop, Xy
from fabgen.geometry.sheet.folded import PlacedFace, placed_faces
from fabgen.geometry.sheet.folds import FoldTree
from fabgen.parts.piece import CHORDS, Datum


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


def folded_datums(tree: FoldTree, axes: Mapping[str, FaceAxes]) -> dict[str, Datum]:
    """The faces of a folded part, the first first."""
    found = {}
    for placed in placed_faces(tree):
        face, frame = axes[placed.face.name], placed.frame
        origin = frame.outside(np.array([*face.point((0.0, 0.0)), 0.0]))
        found[placed.face.name] = Datum(
            origin,
            face.along * frame.x,
            face.up * frame.y,
            frame.z,
            tuple(face.back((float(x), float(y))) for x, y in placed.face.outline.points(CHORDS)),
            tuple(map(face.back, _mould_lines(placed))),
        )
    return found


def _mould_lines(placed: PlacedFace) -> Iterator[Xy]:
    """Points on the outside mould lines round a face: it reaches so far, outside to outside."""
    if placed.flange is not None:
        yield placed.face.outline.bounds[0], -placed.flange.bend.setback
    for flange in placed.tree.flanges:
        away = flange.bend.setback
        yield flange.x - away * math.sin(flange.turn), flange.y + away * math.cos(flange.turn)

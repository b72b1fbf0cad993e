"""Corners of bent tubes' routes: the bend runs inside them, so an end that is drawn to one meets no metal."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.geometry.tube.centreline import Turn
from fabgen.geometry.tube.solids import distance
from fabgen.parts.piece import At
from fabgen.parts.tube.routed_tube import RoutedTube


@dataclass(frozen=True, eq=False)
class RouteCorner:
    """A corner of a bent tube's route, `point`; `reach`: how near an end must be to be checked, mm."""

    main: RoutedTube
    turn: Turn
    point: Array
    reach: float

    def nearest_on_bend(self, point: Array) -> Array:
        """The place on the bend's centre line that is nearest to a point, (3,) mm."""
        return self.turn.frame_at(float(self.turn.locate(point[None, :], 0.0, self.turn.length)[0][0])).origin

    def off_legs(self, point: Array) -> float:
        """How far a point is from the route between where the bend begins and where it ends, mm."""
        return min(_off(point, end, self.point) for end in (self.turn.frame.origin, self.turn.end.origin))


class BendCorners:
    """All corners of the routes of bent tubes.

    Args:
        tubes: of a job.
    """

    def __init__(self, tubes: Sequence[RoutedTube]) -> None:
        self._corners = [
            RouteCorner(routed, turn, turn.corner, turn.radius * math.tan(turn.angle / 2.0) + _half(routed))
            for routed in tubes
            for turn in (routed.path.turns if routed.path is not None else ())
        ]
        self._places = np.array([corner.point for corner in self._corners]).reshape(-1, 3)
        self._reach = np.array([corner.reach for corner in self._corners])

    def aimed_at(self, routed: RoutedTube, at: At, touch: float) -> RouteCorner | None:
        """The corner of another tube's route that an end is drawn to, where the bend cuts across; None of none.

        Args:
            routed: the tube whose end `at` it is.
            touch: an end this near to the bend itself meets it, mm.
        """
        point = routed.point(at)
        for k in np.flatnonzero(np.linalg.norm(self._places - point, axis=1) <= self._reach):
            corner = self._corners[k]
            if corner.main is not routed and corner.off_legs(point) <= _half(corner.main):
                face = routed.face(at) - routed.given(at).extend * routed.inward(at)
                if float(distance(corner.main.body, face).min()) > touch:
                    return corner
        return None


def _half(routed: RoutedTube) -> float:
    return max(routed.section.width, routed.section.depth) / 2.0


def _off(point: Array, a: Array, b: Array) -> float:
    along = b - a
    t = min(1.0, max(0.0, float((point - a) @ along) / float(along @ along)))
    return float(np.linalg.norm(point - a - t * along))

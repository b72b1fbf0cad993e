"""Tube ends that stand on the face of a placed plate or bracket: what each is cut to."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.tube.solids import HalfSpace
from fabgen.parts.piece import At
from fabgen.parts.shape.cuts import LEAST_ANGLE
from fabgen.parts.sheet.standing_faces import StandingFace
from fabgen.parts.tube.routed_tube import RoutedTube

TOUCH = 1.0
"""A point this far over a face, or under the sheet, still stands on it, mm; measured points are seldom better."""

_SEATED = 0.5
"""Share of the end's round that must be over metal."""

_ROUND = 48
"""Places round an end."""


@dataclass(frozen=True, eq=False)
class Stand:
    """What an end is cut to: a plane, its normal into the tube, and the mark of the part it is of; '' of none."""

    plane: HalfSpace
    mark: str = ""


def stand_of(routed: RoutedTube, at: At, faces: Sequence[StandingFace]) -> Stand | None:
    """The face that an end stands on; None where there is none.

    The route's point may lie on the face or anywhere in the sheet under it, as a leg's that is drawn to the floor.

    Args:
        routed: the tube whose end `at` it is.
        faces: of all that the job places.
    """
    met = sorted(_met(routed, at, faces), key=lambda found: found[0])
    return Stand(met[-1][1], met[-1][2]) if met else None


def _met(routed: RoutedTube, at: At, faces: Sequence[StandingFace]) -> Iterator[tuple[float, HalfSpace, str]]:
    """How far into the tube each face lies on its axis, mm, its plane and whose it is."""
    along, point = routed.inward(at), routed.point(at)
    for face in faces:
        lean = float(face.frame.z @ along)
        if lean < math.sin(LEAST_ANGLE):
            continue
        under = float((face.frame.origin - point) @ face.frame.z)
        if not -TOUCH <= under <= face.thickness + TOUCH:
            continue
        plane = HalfSpace.at(face.frame.origin, face.frame.z)
        skin = routed.face(at)[-_ROUND:]
        onto = skin + ((plane.level - skin @ plane.normal) / lean)[:, np.newaxis] * along
        if face.share_on(onto) >= _SEATED:
            yield under / lean, plane, face.mark

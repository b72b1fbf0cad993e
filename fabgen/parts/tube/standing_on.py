"""Tube ends that meet the face of a placed plate or bracket: what each is cut to."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.geometry.tube.solids import HalfSpace
from fabgen.parts.piece import At, PlateSeat
from fabgen.parts.shape.cuts import LEAST_ANGLE
from fabgen.parts.shape.standing_faces import StandingFace
from fabgen.parts.tube.routed_tube import RoutedTube

TOUCH = 1.0
"""A point this far over a face, or under the sheet, still stands on it, mm; measured points are seldom better."""

_SEATED = 0.5
"""Share of the end's round that must be over metal."""

_RUNS_IN = 0.5
"""What lies less deep than this under a face only touches it, mm."""

_ROUND = 48
"""Places round an end."""


@dataclass(frozen=True, eq=False)
class Stand:
    """What an end is cut to: a plane, its normal into the tube, the mark of the part it is of, '' of none, and the
    share of the end that lies past its metal."""

    plane: HalfSpace
    mark: str = ""
    off: float = 0.0


def stand_of(routed: RoutedTube, at: At, faces: Sequence[StandingFace]) -> Stand | None:
    """The face that an end stands on; None where there is none.

    The route's point may lie on the face or anywhere in the sheet under it, as a leg's that is drawn to the floor.

    Args:
        routed: the tube whose end `at` it is.
        faces: of all that the job places.
    """
    met = sorted(_met(routed, at, faces), key=lambda found: found[0])
    return Stand(*met[-1][1:]) if met else None


def plates_beside(
    routed: RoutedTube, along: Array, skin: Array, cut: Array, faces: Sequence[StandingFace]
) -> list[PlateSeat]:
    """The faces that an end which sits on tubes runs into besides, as the foot of a brace in the corner of a post and
    its base plate.

    Args:
        routed: the tube.
        along: (3,) unit direction from the end into the tube.
        skin: (n, 3) points of its outside lines at x = 0, mm.
        cut: (n,) mm, x of the cut that sits on the tubes alone.
        faces: of all that the job places.
    """
    found: list[PlateSeat] = []
    hit = np.isfinite(cut)
    for face in faces if hit.any() else ():
        lean = float(face.frame.z @ along)
        if lean < math.sin(LEAST_ANGLE):
            continue
        plane = HalfSpace.at(face.frame.origin, face.frame.z)
        x = (plane.level - skin @ plane.normal) / lean
        deep = np.where(hit, (x - cut) * lean, -np.inf)
        if not _RUNS_IN < float(deep.max()) <= face.thickness + 2.0 * routed.section.reach:
            continue
        # What is off its metal is cut to it as well, in one plane, where half of what runs into it meets that.
        into = deep > _RUNS_IN
        off = 1.0 - face.share_on((skin + x[:, None] * along)[into])
        if off <= 1.0 - _SEATED:
            found.append(PlateSeat(face.mark, plane.normal, plane.level, math.asin(min(1.0, lean)), off))
    return found


def _in_the_wall(routed: RoutedTube) -> float:
    """What the middle of a tube's wall is away from its axis, as a share of what its skin is: a disc a little smaller
    than the tube, which leaves room for a weld outside, carries its wall."""
    section = routed.section
    return 1.0 if section.is_solid else 1.0 - section.wall / min(section.width, section.depth)


def _met(routed: RoutedTube, at: At, faces: Sequence[StandingFace]) -> Iterator[tuple[float, HalfSpace, str, float]]:
    """How far into the tube each face lies on its axis, mm, its plane, whose it is and what share is past it."""
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
        middle = point + under / lean * along
        onto = middle + _in_the_wall(routed) * (onto - middle)
        if (share := face.share_on(onto)) >= _SEATED:
            yield under / lean, plane, face.mark, 1.0 - share

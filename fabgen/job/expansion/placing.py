"""Where the parts of frames and repeats stand, as the tables of a job file would give it."""

from __future__ import annotations

import math

from fabgen.geometry.space.frame import Array, upright
from fabgen.job.values.point import Point


def point_at(place: Array) -> Point:
    """A point without a name.

    Args:
        place: (3,), mm.
    """
    x, y, z = (float(each) for each in place)
    return Point(x, y, z)


def turn_toward(along: Array, top: Array) -> float:
    """The turn about a tube's own axis that brings the first figure of its section to a direction.

    Args:
        along: (3,), from start to finish.
        top: (3,); counts as far as it is square to the tube.
    Returns: rad, in (-pi, pi].
    """
    frame = upright(along * 0.0, along)
    return math.atan2(-float(top @ frame.y), float(top @ frame.z))


def as_degrees(turn: float) -> float:
    """An angle as a bare figure of a job file.

    Args:
        turn: rad.
    """
    return round(math.degrees(turn), 9) + 0.0

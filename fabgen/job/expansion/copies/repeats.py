"""Parts made again: moved along steps, or turned about an axis."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from fabgen.geometry.space.frame import unit
from fabgen.geometry.survey.rigid_fit import RigidMotion, rotation
from fabgen.job.tables.copies.repeat_tables import RepeatGiven


def motions(given: RepeatGiven) -> Iterator[RigidMotion]:
    """Where every copy stands to the first, which is left out."""
    if given.about is not None:
        one, other = (np.array(point.xyz) for point in given.about)
        for i in range(1, given.count):
            each = 2.0 * math.pi / given.count if given.angle is None else given.angle
            turn = rotation(unit(other - one) * i * each)
            yield RigidMotion(turn, one - turn @ one)
        return
    step, row_step = np.array(given.step or (0.0,) * 3), np.array(given.row_step or (0.0,) * 3)
    for row in range(given.rows or 1):
        for i in range(given.count):
            if row or i:
                yield RigidMotion(np.eye(3), i * step + row * row_step)


def renamed(mark: str, number: int) -> str:
    """The mark of a copy."""
    return f"{mark}-{number}"

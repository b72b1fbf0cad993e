"""Points and axes of a job as vectors."""

from __future__ import annotations

import numpy as np

from fabgen.geometry.space.frame import Array, unit
from fabgen.job.tables.movement_tables import AxisDirection
from fabgen.job.values.point import Point


def array(point: Point) -> Array:
    return np.array(point.xyz)


def direction(axis: AxisDirection, at: Array) -> Array:
    """Unit direction (3,).  Raises ValueError where it runs toward its own point."""
    along = np.array(axis.direction) if axis.direction else array(axis.toward or Point(*at)) - at
    return unit(along)

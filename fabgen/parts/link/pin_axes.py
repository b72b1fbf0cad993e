"""Which way the bolt of a link's end runs."""

from __future__ import annotations

import math

import numpy as np

from fabgen.geometry.space.frame import Array, Frame, unit
from fabgen.job.points.points import Point
from fabgen.job.tables.definitions import Definitions


def pin_axis(job: Definitions, at: Point | None, tube: Frame) -> Array:
    """Unit direction (3,) of the [[pin]] at that point; without one level and square to the tube."""
    for pin in job.pin:
        if at is not None and math.dist(pin.at.xyz, at.xyz) < 0.01:
            if pin.axis.direction is not None:
                return unit(np.array(pin.axis.direction))
            if pin.axis.toward is not None:
                return unit(np.array(pin.axis.toward.xyz) - np.array(at.xyz))
    return tube.y

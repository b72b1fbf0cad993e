"""Whether a bolt passes holes that stand in a row: what of them is seen along it, and the room left there."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import reduce
from typing import TYPE_CHECKING

import numpy as np

from fabgen.geometry.space.frame import Array, Frame, any_across
from fabgen.parts.shape.bored.hole_ways import FINE, HoleWay

if TYPE_CHECKING:
    from shapely import Polygon

PARALLEL = math.cos(math.radians(2.0))
"""Bolts lean by no more in their clearance."""
_PLAY = 0.1
"""Of a thread in its tapped hole, mm."""


def looking(axis: Array) -> Frame:
    """A frame that looks along an axis, its origin that of the job.

    Args:
        axis: unit, (3,).
    """
    return Frame.along(np.zeros(3), axis, any_across(axis))


def seen(way: HoleWay, frame: Frame) -> Polygon:
    """A hole's edge in the plane square to the x of a frame."""
    from shapely import Polygon

    return Polygon(frame.inside(way.edge)[:, 1:])


def passes(ways: Sequence[HoleWay], bolt: float) -> bool:
    """Whether a bolt goes through all the holes; one that is narrower than it is tapped, and holds it to its middle.

    Args:
        ways: about parallel to one another; one at least.
        bolt: its diameter, mm.
    """
    frame = looking(ways[0].axis)
    room = (seen(way, frame).buffer(FINE - min(bolt, _held(way, bolt)) / 2.0) for way in ways)
    return not reduce(lambda one, other: one.intersection(other), room).is_empty


def _held(way: HoleWay, bolt: float) -> float:
    return way.width - 2.0 * _PLAY if way.width < bolt - _PLAY else bolt

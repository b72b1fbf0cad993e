"""Which way the bolt through a rod end's ball runs: as it stands in the holes that it is named through, else as its
[[pin]] says."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.job.tables.movement_tables import Pin
from fabgen.parts.shape.bored.bolt_lines import BoltLine
from fabgen.parts.shape.directions import array, direction

OFF = 2.0
"""A [[pin]] no farther from a ball's middle than this is the ball's, mm."""


def pin_way(at: Array, bolts: Sequence[BoltLine], pins: Sequence[Pin]) -> Array | None:
    """The unit direction of the bolt through a point; None where nothing says it.

    Args:
        at: middle of a rod end's ball, (3,) mm.
        bolts: where the job's bolts stand.
        pins: the job's [[pin]] tables.
    """
    bolt = next((line for line in bolts if line.holds(at)), None)
    return bolt.axis if bolt is not None else given_way(at, pins)


def given_way(at: Array, pins: Sequence[Pin]) -> Array | None:
    """The unit direction that the [[pin]] at a point gives; None where there is none.

    Args:
        at: (3,) mm.
        pins: the job's [[pin]] tables.
    """
    near = [(float(np.linalg.norm(array(pin.at) - at)), i) for i, pin in enumerate(pins)]
    off, nearest = min(near, default=(OFF, 0))
    return direction(pins[nearest].axis, array(pins[nearest].at)) if off < OFF else None

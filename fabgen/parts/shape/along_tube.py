"""Places along a placed tube: where its saw cut is, how far along a point is, and how the tube runs there."""

from __future__ import annotations

import math

import numpy as np

from fabgen.geometry.space.frame import Array, Frame
from fabgen.job.tables.tube_hole_tables import JOB_SIDES
from fabgen.parts.piece import LengthPart

_NAMED = math.cos(math.radians(44.0))
"""A side that looks nearer than this to a way of the job is called by it."""


def saw_cut_at(part: LengthPart) -> float:
    """Where the start's saw cut of a placed tube lies along its centreline, mm from the route's start."""
    assert part.frame is not None
    start = part.ends[0]
    return float((start.frame.origin - part.frame.origin) @ part.frame.x) + start.line.longest - part.allowance[0]


def along_near(part: LengthPart, point: Array) -> float:
    """How far along a placed tube the place nearest to a point is, mm from the start's saw cut.

    Args:
        part: the tube.
        point: (3,) mm.
    """
    assert part.frame is not None
    saw_cut = saw_cut_at(part)
    if part.path is None:
        return float((point - part.frame.origin) @ part.frame.x) - saw_cut
    return float(part.path.locate(point[np.newaxis])[0][0]) - saw_cut


def axis_at(part: LengthPart, along: float) -> Frame:
    """A placed tube's frame at a place, x along it, z its top.

    Args:
        part: the tube.
        along: mm from its start's saw cut.
    """
    s = along + saw_cut_at(part)
    if part.path is not None:
        return part.path.frame_at(s)
    assert part.frame is not None
    frame = part.frame
    return Frame(frame.origin + s * frame.x, frame.x, frame.y, frame.z)


def job_side(axis: Frame, way: float) -> str:
    """How the job calls a side of a tube: 'top', 'left', 'front' …; '' where it looks no nearer to one way of the job's
    than to another.

    Args:
        axis: the tube's frame there, x along it, z its top.
        way: that the side looks, rad from TOP, clockwise seen from the start.
    """
    out = math.cos(way) * axis.z - math.sin(way) * axis.y
    name, looks = max(((name, float(out @ np.array(way_))) for name, way_ in JOB_SIDES.items()), key=lambda one: one[1])
    return name if looks > _NAMED else ""

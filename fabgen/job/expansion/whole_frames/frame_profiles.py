"""Frames of angle iron by their outside sizes: from a [[frame]] to the tables of the profiles that it becomes.

The frame lies in a plane.  One leg of every side lies flat in it, pointing in or out, the other stands square to it.
In coordinates of its own u runs along its length, v across it, w square to both; the outside corner is the origin.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from fabgen.geometry.space.frame import Array, Frame
from fabgen.job.errors import InputError
from fabgen.job.expansion.placing import point_at
from fabgen.job.tables.frame_tables import FrameGiven
from fabgen.shop.profiles.profile_section import ProfileSection

Uv = tuple[float, float]
PLANES = {"rack": ((1, 0, 0), (0, 1, 0), (0, 0, 1)), "panel": ((1, 0, 0), (0, 0, 1), (0, 1, 0))}
"""u, v and w of the shapes that can be of angle iron, in the frame's length, width and height."""


@dataclass(frozen=True)
class Side:
    """One side, or a bar across: its own mark, its ends, the way its flat leg points, and its section."""

    mark: str
    start: Uv
    finish: Uv
    flat: Uv
    section: ProfileSection


def sides_of(frame: FrameGiven) -> list[Side]:
    """The sides and bars of a frame, in the order they are fitted.

    Raises:
        InputError: its shape is none for angle iron, or its sizes leave no room.
    """
    section = frame.section
    assert isinstance(section, ProfileSection)
    inner = frame.inner_section or section
    for given, key in ((section, "section"), (inner, "inner_section")):
        if not isinstance(given, ProfileSection) or given.kind != "angle":
            what = f"a frame of angle iron has {given} in it"
            raise InputError(
                what, 'angles alone, e.g. "angle 40 x 40 x 4"; list its other parts by themselves', key=(key,)
            )
    assert isinstance(inner, ProfileSection)
    if frame.shape not in PLANES:
        raise InputError(f"a {frame.shape} is made of tubes", 'shape = "rack" or "panel" of angle iron', key=("shape",))
    if frame.brace is not None:
        raise InputError("a frame of angle iron has no braces of its own", "[[profile]] for each brace", key=("brace",))
    if frame.foot is not None:
        raise InputError("a frame of angle iron has no feet of its own", "[[plate]] for each foot", key=("foot",))
    flat = section.sizes[1]
    inset = flat if frame.legs == "out" else 0.0
    length, height = frame.size
    if min(length, height) <= 2.0 * inset + section.sizes[0]:
        raise InputError("these sizes leave no room for its legs", "larger outside sizes", key=("size",))
    return list(_sides(frame, inset, section, inner))


def _sides(frame: FrameGiven, inset: float, section: ProfileSection, inner: ProfileSection) -> Iterator[Side]:
    length, across = frame.size
    u0, u1, v0, v1 = inset, length - inset, inset, across - inset
    turn = -1.0 if frame.legs == "out" else 1.0
    rails, stiles = (("R1", "R2"), ("E1", "E2")) if frame.shape == "rack" else (("B1", "T1"), ("P1", "P2"))
    made = [
        Side(rails[0], (u0, v0), (u1, v0), (0.0, turn), section),
        Side(rails[1], (u0, v1), (u1, v1), (0.0, -turn), section),
        Side(stiles[0], (u0, v0), (u0, v1), (turn, 0.0), section),
        Side(stiles[1], (u1, v0), (u1, v1), (-turn, 0.0), section),
    ]
    yield from made if frame.shape == "rack" else made[2:] + made[:2]  # what may run on stands first
    count = frame.bars or 0
    for number in range(1, count + 1):
        u = u0 + (u1 - u0) * number / (count + 1)
        yield Side(f"S{number}", (u, v0), (u, v1), (1.0, 0.0), inner)


def profile_table(frame: FrameGiven, side: Side, stands: Frame) -> dict[str, Any]:
    """The table of a side, as a job file would have it, with points and sections read already.

    Args:
        frame: that it is of.
        side: of it.
        stands: its length, width and height in the job.
    """
    u, v, w = (np.array(way, dtype=float) for way in PLANES[frame.shape])
    upper = frame.flat_leg in ("top", "left")
    outer = frame.section.sizes[0] if isinstance(frame.section, ProfileSection) else 0.0
    high = outer if upper else 0.0

    def at(place: Uv) -> Array:
        return stands.outside(place[0] * u + place[1] * v + high * w)

    def way(direction: Array) -> list[float]:
        return [float(each) + 0.0 for each in np.round(stands.axes.T @ direction, 12)]

    table: dict[str, Any] = {
        "mark": f"{frame.mark}-{side.mark}",
        "section": side.section,
        "route": [point_at(at(side.start)), point_at(at(side.finish))],
        "legs": [way(-w if upper else w), way(side.flat[0] * u + side.flat[1] * v)],
    }
    if frame.material is not None:
        table["material"] = frame.material
    if frame.state is not None:
        table["state"] = frame.state
    # Ends that are left open are mitred by themselves where two sides meet.
    if frame.corners == "run on" and "corners" in frame.model_fields_set and side.mark.startswith(("R", "P")):
        table |= {"start": {"cut": "plain"}, "finish": {"cut": "plain"}}
    return table

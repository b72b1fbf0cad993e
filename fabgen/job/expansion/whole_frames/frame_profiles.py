"""Frames of angle iron and channel by their outside sizes: from a [[frame]] to the tables of profiles that it becomes.

The frame lies in a plane.  One leg of every side lies flat in it, pointing in or out, the other stands square to it; of
channel the toes point in or out.
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
from fabgen.shop.profiles.as_sold import solid_as_profile
from fabgen.shop.profiles.profile_section import ProfileSection

Uv = tuple[float, float]
PLANES = {"rack": ((1, 0, 0), (0, 1, 0), (0, 0, 1)), "panel": ((1, 0, 0), (0, 0, 1), (0, 1, 0))}
"""u, v and w of the shapes that can be of angle iron or channel, in the frame's length, width and height."""


@dataclass(frozen=True)
class Side:
    """One side, or a bar across: its own mark, its ends, the way its flat leg or its toes point, its section, and how
    high its points lie over the side on which the flat legs are, mm; `is_slat`: laid on the legs, its ends plain."""

    mark: str
    start: Uv
    finish: Uv
    flat: Uv
    section: ProfileSection
    high: float = 0.0
    is_slat: bool = False


def sides_of(frame: FrameGiven) -> list[Side]:
    """The sides and bars of a frame, in the order they are fitted.

    Raises:
        InputError: its shape is none for angle iron or channel, or its sizes leave no room.
    """
    section = frame.section
    assert isinstance(section, ProfileSection)
    if section.kind not in INNER:
        what = f"a frame is not made of {section} by itself"
        ways = "[[profile]] for each side: two that end at one point are mitred by themselves"
        raise InputError(what, f"angle or channel, or {ways}", key=("section",))
    inner = _inner(frame, section)
    called = f"a frame of {_CALLED[section.kind]}"
    if frame.shape not in PLANES:
        raise InputError(
            f"a {frame.shape} is made of tubes", f'shape = "rack" or "panel" of {_CALLED[section.kind]}', key=("shape",)
        )
    if frame.brace is not None:
        raise InputError(f"{called} has no braces of its own", "[[profile]] for each brace", key=("brace",))
    if frame.foot is not None:
        raise InputError(f"{called} has no feet of its own", "[[plate]] for each foot", key=("foot",))
    if section.kind == "channel" and frame.flat_leg is not None:
        raise InputError(f"{called} has no flat leg", "`legs`: in or out, as its toes point", key=("flat_leg",))
    inset = section.sizes[1] if frame.legs == "out" else 0.0
    deep = section.sizes[1 if section.kind == "channel" else 0]
    if min(frame.size) <= 2.0 * inset + deep:
        raise InputError("these sizes leave no room for its legs", "larger outside sizes", key=("size",))
    return list(_sides(frame, inset, section, inner))


INNER = {"angle": ("angle", "flat", "square bar"), "channel": ("channel",)}
"""What bars across are made of, by what their frame is of."""
_CALLED = {"angle": "angle iron", "channel": "channel"}


def _inner(frame: FrameGiven, section: ProfileSection) -> ProfileSection:
    """The section of the bars across."""
    given = frame.inner_section or section
    inner = given if isinstance(given, ProfileSection) else solid_as_profile(given) if given.is_solid else None
    if inner is None or inner.kind not in INNER[section.kind]:
        what = f"a frame of {_CALLED[section.kind]} has {given} in it"
        accepted = 'e.g. "angle 40 x 40 x 4", or slats of "flat 40 x 5" or "square bar 16"'
        accepted = accepted if section.kind == "angle" else 'a channel, e.g. "UPN 80"'
        raise InputError(what, f"{accepted}; list its other parts by themselves", key=("inner_section",))
    return inner


def _sides(frame: FrameGiven, inset: float, section: ProfileSection, inner: ProfileSection) -> Iterator[Side]:
    length, across = frame.size
    u0, u1, v0, v1 = inset, length - inset, inset, across - inset
    turn = -1.0 if frame.legs == "out" else 1.0
    rails, stiles = (("R1", "R2"), ("E1", "E2")) if frame.shape == "rack" else (("B1", "T1"), ("P1", "P2"))
    # The points of a channel lie in the middle of its web's back.
    high = section.sizes[0] / 2.0 if section.kind == "channel" else 0.0
    made = [
        Side(rails[0], (u0, v0), (u1, v0), (0.0, turn), section, high),
        Side(rails[1], (u0, v1), (u1, v1), (0.0, -turn), section, high),
        Side(stiles[0], (u0, v0), (u0, v1), (turn, 0.0), section, high),
        Side(stiles[1], (u1, v0), (u1, v1), (-turn, 0.0), section, high),
    ]
    yield from made if frame.shape == "rack" else made[2:] + made[:2]  # what may run on stands first
    sawn, inside = inner.kind in ("flat", "square bar") and turn > 0.0, 0.0
    if inner.kind in ("flat", "square bar"):
        # A slat lies on the flat legs and stops short of their roots; where they point out it butts, level with them.
        high = inner.thickness / 2.0 + (section.thickness if sawn else 0.0)
        inside = section.thickness + section.root if sawn else 0.0
    count = frame.bars or 0
    for number in range(1, count + 1):
        u = u0 + (u1 - u0) * number / (count + 1)
        yield Side(f"S{number}", (u, v0 + inside), (u, v1 - inside), (1.0, 0.0), inner, high, sawn)


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
    high = outer - side.high if upper else side.high

    def at(place: Uv) -> Array:
        return stands.outside(place[0] * u + place[1] * v + high * w)

    def way(direction: Array) -> list[float]:
        return [float(each) + 0.0 for each in np.round(stands.axes.T @ direction, 12)]

    flat = side.flat[0] * u + side.flat[1] * v
    lies: dict[str, Any] = {"width": way(flat)}
    if side.section.kind == "angle":
        lies = {"legs": [way(-w if upper else w), way(flat)]}
    elif side.section.kind == "channel":
        lies = {"back": way(-flat)}
    table: dict[str, Any] = {
        "mark": f"{frame.mark}-{side.mark}",
        "section": side.section,
        "route": [point_at(at(side.start)), point_at(at(side.finish))],
        **lies,
    }
    if frame.material is not None:
        table["material"] = frame.material
    if frame.state is not None:
        table["state"] = frame.state
    # Ends that are left open are mitred by themselves where two sides meet.
    if side.is_slat or (
        frame.corners == "run on" and "corners" in frame.model_fields_set and side.mark.startswith(("R", "P"))
    ):
        table |= {"start": {"cut": "plain"}, "finish": {"cut": "plain"}}
    return table

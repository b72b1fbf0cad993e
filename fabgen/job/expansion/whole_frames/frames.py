"""From whole frames to the tables of the tubes or profiles that they become."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from fabgen.geometry.space.frame import Array, Frame
from fabgen.job.errors import InputError, Path, listed, nearest, shown
from fabgen.job.expansion.placing import as_degrees, point_at, turn_toward
from fabgen.job.expansion.whole_frames.frame_profiles import profile_table, sides_of
from fabgen.job.expansion.whole_frames.frame_shapes import Member, members
from fabgen.job.tables.frame_tables import FrameGiven
from fabgen.job.tables.movement_tables import AxisDirection
from fabgen.shop.profiles.profile_section import ProfileSection

MITRED = {"cut": "mitre"}


def parts_of(frame: FrameGiven, foot: Any = None) -> tuple[str, list[dict[str, Any]]]:
    """What a frame becomes: 'tube' or 'profile', and the tables of these, as a job file would have them, with points
    and sections read already.

    Args:
        foot: the table of the plate under its legs, as it stands in the file; None of none.
    Raises:
        InputError: its directions are parallel, its sizes leave no room, or it changes a part that it has not.
    """
    if not isinstance(frame.section, ProfileSection):
        return "tube", tubes_of(frame, foot)
    stands, sides = _stands(frame), sides_of(frame)
    _known(frame, [side.mark for side in sides])
    return "profile", [
        profile_table(frame, side, stands) | dict(frame.change.get(side.mark, {}))
        for side in sides
        if side.mark not in frame.leave_out
    ]


def tubes_of(frame: FrameGiven, foot: Any = None) -> list[dict[str, Any]]:
    """The tables of the tubes of a frame of these; as `parts_of`."""
    if isinstance(frame.inner_section, ProfileSection):
        what = "a frame of tubes has tubes alone in it"
        raise InputError(what, "the section of a tube; list its other parts by themselves", key=("inner_section",))
    stands = _stands(frame)
    made = members(frame)
    _known(frame, [member.mark for member in made])
    return [
        _tube(frame, member, made, stands, foot) | dict(frame.change.get(member.mark, {}))
        for member in made
        if member.mark not in frame.leave_out
    ]


def _stands(frame: FrameGiven) -> Frame:
    """The frame's own axes in the job."""
    origin = np.array(frame.at.xyz)
    along, up = (_direction(way, origin) for way in (frame.along, frame.up))
    try:
        return Frame.along(origin, along, np.cross(up, along))
    except ValueError:
        raise InputError("its length and its height run the same way", "two ways that differ", key=("along",)) from None


def _direction(way: AxisDirection, origin: Array) -> Array:
    if way.toward is not None:
        return np.array(way.toward.xyz) - origin
    return np.array(way.direction, dtype=float)


def _known(frame: FrameGiven, marks: list[str]) -> None:
    named: list[tuple[Path, str]] = [(("leave_out", i), mark) for i, mark in enumerate(frame.leave_out)]
    named += [(("change", mark), mark) for mark in frame.change]
    for key, mark in named:
        if mark not in marks:
            name = "profile" if isinstance(frame.section, ProfileSection) else "tube"
            what = f"this {frame.shape} has no {name} {shown(mark)}"
            raise InputError(what, f"its {name}s: {listed(marks, 16)}", nearest(mark, marks), key)


def _tube(frame: FrameGiven, member: Member, made: list[Member], stands: Frame, foot: Any) -> dict[str, Any]:
    start, finish = (stands.outside(np.array(end)) for end in (member.start, member.finish))
    table: dict[str, Any] = {
        "mark": f"{frame.mark}-{member.mark}",
        "section": member.section,
        "route": [point_at(start), point_at(finish)],
    }
    if not member.section.is_round:
        table["turn"] = as_degrees(turn_toward(finish - start, stands.axes.T @ np.array(member.top)))
    if frame.material is not None:
        table["material"] = frame.material
    if frame.state is not None:
        table["state"] = frame.state
    for at, point in (("start", member.start), ("finish", member.finish)):
        if at == "start" and member.stands and foot is not None:
            table[at] = {"foot": foot}
        elif at in member.keys:
            table[at] = _placed_plane(member.keys[at], start if at == "start" else finish, stands)
        elif frame.corners == "mitred" and _is_corner(member, point, frame, made):
            table[at] = dict(MITRED)
    return table


def _placed_plane(end: Mapping[str, Any], point: Array, stands: Frame) -> dict[str, Any]:
    normal = stands.axes.T @ np.array(end["plane"]["normal"])
    return {"plane": {"at": point_at(point), "normal": [float(each) for each in normal]}}


def _is_corner(member: Member, point: tuple[float, float, float], frame: FrameGiven, made: list[Member]) -> bool:
    """Whether other tubes of the frame's own section end at this point too, at its outline, and none runs through."""
    others = [
        other
        for other in made
        if other is not member and other.section == member.section and point in (other.start, other.finish)
    ]
    passed = any(_passes(other, point) for other in made)
    return bool(others) and not passed and member.section == frame.section and not member.mark.startswith(("S", "X"))


def _passes(member: Member, point: tuple[float, float, float]) -> bool:
    """Whether a tube runs through a point, or ends past it."""
    start, finish, at = np.array(member.start), np.array(member.finish), np.array(point)
    long = float(np.linalg.norm(finish - start))
    way = (finish - start) / long
    along = float((at - start) @ way)
    return 1e-6 < along < long - 1e-6 and float(np.linalg.norm(at - start - along * way)) < 1e-6

"""Ends of tubes that the job leaves open, and the points at which they meet."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any, Literal

import numpy as np

from fabgen.geometry.space.frame import Array, Frame, unit, upright
from fabgen.geometry.tube.hub import Landing
from fabgen.job.document import mark_of
from fabgen.job.errors import InputError, Path
from fabgen.job.tables.fields import Context
from fabgen.shop.section import Section

SAME_POINT = 1.0
"""Ends this near meet at one point, mm."""
_TAKEN = ("onto", "plane", "extend", "foot", "opens", "splice")
"""Keys of an end that is worked otherwise."""

Entry = tuple[Path, Any]


@dataclass(frozen=True, eq=False)
class OpenEnd:
    """An end of a tube that is left open: where its tube stands in the job, which end, its point along the tube's
    middle and as the job gives it, how it lands, its section, and the frame of that as it lies there; None of a
    rectangle that is bent, which may turn."""

    number: int
    at: Literal["start", "finish"]
    mark: str
    point: Array
    given: tuple[float, float, float]
    landing: Landing
    section: Section
    frame: Frame | None

    def meets(self, point: Array | tuple[float, float, float]) -> bool:
        return min(math.dist(self.point, point), math.dist(self.given, point)) <= SAME_POINT


def open_ends(number: int, entry: Any, context: Context) -> Iterator[OpenEnd]:
    """The ends of a tube that the job leaves open; none of one whose keys cannot be read.

    Args:
        number: the tube's place in the job.
        entry: its table.
        context: what the values are read with.
    """
    route = entry.get("route") if isinstance(entry, Mapping) else None
    if not isinstance(route, list) or len(route) < 2 or not mark_of(entry):
        return
    try:
        section = context.section(entry.get("section"))
        turn = context.angle(entry.get("turn", 0.0))
    except InputError:
        return
    ends: tuple[tuple[Literal["start", "finish"], Any, Any], ...] = (
        ("start", route[0], route[1]),
        ("finish", route[-1], route[-2]),
    )
    for at, written, next_one in ends:
        given = entry.get(at, {})
        is_open = isinstance(given, Mapping) and given.get("cut", "auto") == "auto" and "state" not in entry
        if not is_open or any(key in given for key in _TAKEN):
            continue
        point, beyond = (context.point_reading.read(each)[0] for each in (written, next_one))
        if point is None or beyond is None or math.dist(point.xyz, beyond.xyz) < SAME_POINT:
            continue
        away = np.array(beyond.xyz) - np.array(point.xyz)
        frame = upright(np.zeros(3), away if at == "start" else -away, 0.0 if section.is_round else turn)
        bent = len(route) > 2
        outline = _outline(section, bent) @ np.vstack((frame.y, frame.z))
        wall = section.wall or min(section.width, section.depth) / 4.0  # of solid bar, what its weld goes by
        yield OpenEnd(
            number, at, mark_of(entry), np.array(point.xyz), point.as_given.xyz, Landing(unit(away), outline, wall),
            section, None if bent and not section.is_round else frame,
        )  # fmt: skip


def is_read(entry: Any, context: Context) -> bool:
    """Whether the ends of a tube are known; its faults are reported with its table."""
    route = entry.get("route") if isinstance(entry, Mapping) else None
    if not isinstance(route, list) or not mark_of(entry):
        return False
    try:
        context.section(entry.get("section"))
        context.angle(entry.get("turn", 0.0))
    except InputError:
        return False
    return all(context.point_reading.read(each)[0] is not None for each in route)


def _outline(section: Section, bent: bool) -> Array:
    """Points of the outside, (n, 2) along y and z of the tube; of a bent rectangle all round, as it may turn."""
    turn = np.linspace(0.0, 2.0 * math.pi, 72, endpoint=False)
    ring = np.column_stack((np.cos(turn), np.sin(turn)))
    if section.is_round or bent:
        return np.asarray(section.reach * ring)
    return np.asarray(ring / np.abs(ring).max(axis=1)[:, None] * np.array([section.depth, section.width]) / 2.0)


def meeting(ends: Sequence[OpenEnd]) -> list[list[OpenEnd]]:
    """The ends by the point at which they meet."""
    groups: list[list[OpenEnd]] = []
    for end in ends:
        group = next((g for g in groups if g[0].meets(end.point) or g[0].meets(end.given)), None)
        if group is None:
            groups.append([end])
        else:
            group.append(end)
    return groups


def centred(group: Sequence[OpenEnd]) -> tuple[Array, list[Landing]]:
    """The point nearest to the axes of ends that meet, (3,), mm, and how each lands about it.

    Tubes drawn along their faces (`lies`) meet at one point there, and their axes pass one another by.
    """
    first = group[0].point
    across = [np.eye(3) - np.outer(end.landing.way, end.landing.way) for end in group]
    off = np.concatenate([square @ (end.point - first) for square, end in zip(across, group, strict=True)])
    middle = first + np.linalg.lstsq(np.vstack(across), off, rcond=1e-6)[0]
    landings = [
        replace(end.landing, outline=end.landing.outline + square @ (end.point - middle))
        for square, end in zip(across, group, strict=True)
    ]
    return middle, landings


def is_run_through(point: Array, tubes: Sequence[Entry], context: Context) -> bool:
    """Whether a tube runs through a point, which carries the others then.

    Args:
        point: (3,), mm.
        tubes: the tables of tubes, each with its place in the file.
        context: what the values are read with.
    """
    for _, entry in tubes:
        route = entry.get("route") if isinstance(entry, Mapping) else None
        read = [context.point_reading.read(each)[0] for each in route] if isinstance(route, list) else []
        places = [np.array(each.xyz) for each in read if each is not None]
        for one, other in pairwise(places):
            long = float(np.linalg.norm(other - one))
            if long < SAME_POINT:
                continue
            along = float((point - one) @ (other - one)) / long
            off = float(np.linalg.norm(point - one - along / long * (other - one)))
            if SAME_POINT < along < long - SAME_POINT and off <= SAME_POINT:
                return True
    return False


def ends_as_it_is(point: Array, tubes: Sequence[Entry], context: Context) -> str:
    """The mark of a tube that is bought or there already and ends at a point, which others are fitted to then; '' of
    none.

    Args:
        point: (3,), mm.
        tubes: the tables of tubes, each with its place in the file.
        context: what the values are read with.
    """
    for _, entry in tubes:
        route = entry.get("route") if isinstance(entry, Mapping) and "state" in entry else None
        if isinstance(route, list) and len(route) > 1:
            read = [context.point_reading.read(each)[0] for each in (route[0], route[-1])]
            if any(each is not None and math.dist(each.xyz, point) <= SAME_POINT for each in read):
                return mark_of(entry)
    return ""

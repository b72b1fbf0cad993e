"""From `foot` at the ends of tubes to the plates that they become, like ones together."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence, Set
from typing import Any

import numpy as np
from pydantic import ValidationError

from fabgen.geometry.space.frame import Array
from fabgen.job.document import mark_of
from fabgen.job.errors import InputError, Path
from fabgen.job.tables.fields import Context
from fabgen.job.tables.foot_tables import FootGiven

Entry = tuple[Path, Any]
SIDES = {"bottom": "back", "middle": "middle", "top": "front"}
NAME = "FOOT"
LEAST_RISE = math.sin(math.radians(5.0))
"""A tube that rises less than this runs level."""


def feet_of(tubes: Sequence[Entry], context: Context, marks: Set[str]) -> list[Entry]:
    """The plates, each with the place of its first foot in the file.

    Args:
        tubes: the tables of tubes, each with its place in the file.
        context: what the values are read with.
        marks: those that other parts have.
    Raises:
        InputError: holes that leave the plate, or one mark for plates that differ.
    """
    made: dict[str, Entry] = {}
    taken = set(marks)
    for where, tube, foot, at, inward in _feet(tubes, context):
        plate = _plate(foot, where, inward) | ({"state": tube["state"]} if "state" in tube else {})
        key = repr((foot.mark, sorted(plate.items(), key=str)))
        if key not in made:
            if foot.mark in taken:
                what = f"{foot.mark} is the mark of another part, or of a plate that differs"
                raise InputError(what, "another mark, or none", key=(*where, "mark"))
            mark = foot.mark or _free(taken)
            taken.add(mark)
            made[key] = where, {"mark": mark, "quantity": 0, **plate, "place": []}
        entry = made[key][1]
        entry["place"].append(_stands(foot, at, inward))
        of_tube = tube.get("quantity", 1)
        entry["quantity"] += of_tube if isinstance(of_tube, int) else 1
    return list(made.values())


def _feet(
    tubes: Sequence[Entry], context: Context
) -> Iterator[tuple[Path, Mapping[str, Any], FootGiven, object, Array]]:
    """Each foot that can be read: its place in the file, its tube, itself, its point and the way into the tube; the
    faults of others are reported with their tubes."""
    for place, entry in tubes:
        route = entry.get("route") if isinstance(entry, Mapping) else None
        if not isinstance(route, list) or len(route) < 2 or not mark_of(entry):
            continue
        for end, written, next_one in (("start", route[0], route[1]), ("finish", route[-1], route[-2])):
            given = entry.get(end)
            if not isinstance(given, Mapping) or not isinstance(given.get("foot"), Mapping):
                continue
            point, beyond = (context.point_reading.read(each)[0] for each in (written, next_one))
            try:
                foot = FootGiven.model_validate(given["foot"], context=context)
            except ValidationError:
                continue
            if point is not None and beyond is not None and math.dist(point.xyz, beyond.xyz) > 1e-6:
                inward = np.array(beyond.xyz) - np.array(point.xyz)
                yield (*place, end, "foot"), entry, foot, written, inward / np.linalg.norm(inward)


def _free(taken: Set[str]) -> str:
    names = (NAME if number == 1 else f"{NAME}{number}" for number in range(1, len(taken) + 2))
    return next(name for name in names if name not in taken)


def _plate(foot: FootGiven, where: Path, inward: Array) -> dict[str, Any]:
    """What it is like, as a [[plate]] has it."""
    if foot.lies == "level" and abs(float(inward[2])) < LEAST_RISE:
        what = "this tube runs level, so it cannot stand on a level plate"
        raise InputError(what, 'lies = "square"', key=(*where, "lies"))
    title = "cap" if foot.lies == "square" else "foot plate" if inward[2] > 0.0 else "head plate"
    plate: dict[str, Any] = {"thickness": _mm(foot.thickness), "title": title}
    if foot.material is not None:
        plate["material"] = foot.material
    if foot.plate is None:
        assert foot.disc is not None
        return plate | {"disc": _mm(foot.disc)}
    plate["rectangle"] = [_mm(size) for size in foot.plate]
    if foot.bolt is not None or foot.diameter is not None:
        pitch = foot.pitch or tuple(size - 2.0 * (foot.edge or 0.0) for size in foot.plate)
        first = [(size - apart) / 2.0 for size, apart in zip(foot.plate, pitch, strict=True)]
        if min(*pitch, *first) <= 0.0:
            what = f"the holes of this foot leave its plate of {' x '.join(f'{size:g}' for size in foot.plate)} mm"
            raise InputError(what, "holes within the plate", key=(*where, "pitch" if foot.pitch else "edge"))
        size = {"bolt": foot.bolt} if foot.bolt is not None else {"diameter": _mm(foot.diameter or 0.0)}
        grid = {"columns": 2, "rows": 2, "pitch": [_mm(apart) for apart in pitch]}
        plate["holes"] = [{"at": [_mm(each) for each in first], **size, "grid": grid}]
    return plate


def _stands(foot: FootGiven, at: object, inward: Array) -> dict[str, Any]:
    """Where one of it stands: its middle at the tube's point, the tube on its upper side."""
    up = inward if foot.lies == "square" else np.array([0.0, 0.0, math.copysign(1.0, inward[2])])
    ahead = ahead_on(up)
    along = math.cos(foot.turn) * ahead + math.sin(foot.turn) * np.cross(up, ahead)
    place = {"at": at, "along": _way(along), "up": _way(up), "lies": SIDES[foot.point]}
    middle = [0.0, 0.0] if foot.plate is None else [size / 2.0 for size in foot.plate]
    return place | {"of": [_mm(each) for each in middle]}


def ahead_on(up: Array) -> Array:
    """Which way the length of a foot's plate runs that is not turned: as near +x as its upper side lets it, and +y
    where that looks along x."""
    ahead = np.array([1.0, 0.0, 0.0]) if abs(up[0]) < 0.999 else np.array([0.0, 1.0, 0.0])
    ahead = ahead - float(ahead @ up) * up
    return np.asarray(ahead / np.linalg.norm(ahead))


def _mm(size: float) -> str:
    return f"{round(size, 6) + 0.0:.12g} mm"


def _way(direction: Array) -> list[float]:
    return [round(float(each), 12) + 0.0 for each in direction]

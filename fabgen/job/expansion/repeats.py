"""Parts made again: moved along steps, or turned about an axis."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from copy import deepcopy
from typing import Any

import numpy as np

from fabgen.geometry.space.frame import unit, upright
from fabgen.geometry.survey.rigid_fit import RigidMotion, rotation
from fabgen.job.errors import InputError
from fabgen.job.expansion.lying import words_of
from fabgen.job.expansion.placing import as_degrees, point_at, turn_toward
from fabgen.job.tables.fields import Context
from fabgen.job.tables.frame_tables import RepeatGiven
from fabgen.job.tables.tube_hole_tables import JOB_SIDES, SIDES


def motions(given: RepeatGiven) -> Iterator[RigidMotion]:
    """Where every copy stands to the first, which is left out."""
    if given.about is not None:
        one, other = (np.array(point.xyz) for point in given.about)
        for i in range(1, given.count):
            each = 2.0 * math.pi / given.count if given.angle is None else given.angle
            turn = rotation(unit(other - one) * i * each)
            yield RigidMotion(turn, one - turn @ one)
        return
    step, row_step = np.array(given.step or (0.0,) * 3), np.array(given.row_step or (0.0,) * 3)
    for row in range(given.rows or 1):
        for i in range(given.count):
            if row or i:
                yield RigidMotion(np.eye(3), i * step + row * row_step)


# -- tables moved -------------------------------------------------------------------
def copy_of(
    table: str, entry: Mapping[str, Any], number: int, marks: Sequence[str], motion: RigidMotion, context: Context
) -> Any:
    """The table of a tube, link or other part with points of its own, made again elsewhere.

    Args:
        table: what lists it.
        entry: as the file has it.
        number: of the copy, which its mark ends with.
        marks: of all the parts that are repeated with it.
        motion: where it stands to the first.
        context: what the values of the job are read with.
    """
    copied = {key: deepcopy(value) for key, value in entry.items()}
    copied["mark"] = renamed(copied["mark"], number)
    for key in ("route", "between", "points"):
        if isinstance(entry.get(key), list):
            copied[key] = [_moved_point(point, motion, context) for point in entry[key]]
    if table == "profile":
        _moved_ways(entry, copied, context, motion)
    elif "route" in entry:
        _turned(entry, copied, context, motion)
        if faces := words_of(entry.get("lies")):
            copied["lies"] = [_turned_side(face, motion) if face in SIDES else face for face in faces]
        _moved_holes(entry, copied, context, motion)
    for key in ("through", "sleeve_of"):
        if isinstance(named := copied.get(key), list):
            copied[key] = [renamed(mark, number) if mark in marks else mark for mark in named]
    for at in ("start", "finish"):
        if isinstance(end := copied.get(at), dict):
            _moved_end(end, number, marks, motion, context)
    return copied


def places_of(entry: Mapping[str, Any], motion: RigidMotion, context: Context) -> list[Any]:
    """The places of a plate, bracket or cover, moved."""
    given = entry.get("place")
    places = given if isinstance(given, list) else [given]
    return [_moved_place(place, motion, context) for place in places if isinstance(place, Mapping)]


def renamed(mark: str, number: int) -> str:
    """The mark of a copy."""
    return f"{mark}-{number}"


def _moved_point(written: object, motion: RigidMotion, context: Context) -> object:
    """A point as a table has it, moved; one that cannot be read stays, as its fault is reported at the first part."""
    point, _ = context.point_reading.read(written)
    return written if point is None else point_at(motion.moved(np.array(point.xyz)))


def _turned(entry: Mapping[str, Any], copied: dict[str, Any], context: Context, motion: RigidMotion) -> None:
    """Gives a tube whose top turns with it the `turn` that says so."""
    ends = [context.point_reading.read(written)[0] for written in entry["route"][:2]]
    if len(ends) < 2 or ends[0] is None or ends[1] is None or np.allclose(motion.rotation, np.eye(3)):
        return
    along = np.array(ends[1].xyz) - np.array(ends[0].xyz)
    if not along.any():
        return
    try:
        turn = context.angle(entry.get("turn", 0.0))
    except ValueError:
        return
    top = upright(along * 0.0, along, turn).z
    copied["turn"] = as_degrees(turn_toward(motion.rotation @ along, motion.rotation @ top))


WAYS = ("back", "flange", "width")
"""Keys of a profile that say which way it lies, besides `legs`."""


def _moved_ways(entry: Mapping[str, Any], copied: dict[str, Any], context: Context, motion: RigidMotion) -> None:
    """A profile's legs, web or flange look as those of the first did, turned with it."""
    if isinstance(legs := entry.get("legs"), list):
        copied["legs"] = [_moved_way(way, motion, context) for way in legs]
    for key in WAYS:
        if key in entry:
            copied[key] = _moved_way(entry[key], motion, context)
    ends = [context.point_reading.read(written)[0] for written in (entry.get("route") or ())[:2]]
    turned = not np.allclose(motion.rotation, np.eye(3))
    if not turned or "legs" in entry or any(key in entry for key in WAYS) or len(ends) < 2:
        return
    if ends[0] is not None and ends[1] is not None and ends[0].xyz != ends[1].xyz:
        along = np.array(ends[1].xyz) - np.array(ends[0].xyz)  # of flat bar, whose width stands upright
        copied["width"] = [float(each) for each in motion.rotation @ upright(along * 0.0, along).z]


def _moved_way(way: Any, motion: RigidMotion, context: Context) -> Any:
    """A way as a profile has it: a side of the job, three numbers, or a point."""
    if isinstance(way, str) and (side := JOB_SIDES.get(way.strip().lower())):
        return way if np.allclose(motion.rotation, np.eye(3)) else _direction(side, motion)
    return _direction(way, motion) if _is_direction(way) else _moved_point(way, motion, context)


_FAR = 1e9
"""A point so far off stands for a direction, mm."""


def _turned_side(side: str, motion: RigidMotion) -> str:
    """The side of the job toward which a side of a tube looks when the tube is turned.

    Raises:
        InputError: toward none.
    """
    looks = motion.rotation @ np.array(JOB_SIDES[side])
    turned = max(JOB_SIDES, key=lambda name: float(looks @ np.array(JOB_SIDES[name])))
    if float(looks @ np.array(JOB_SIDES[turned])) < _SAME_WAY:
        what = f"a tube that `lies` on its {side} is turned by the repeat, and then lies on no one side of the job"
        raise InputError(what, "outside, inside or middle for its `lies`, or its points on its centre line")
    return turned


_SAME_WAY = 1.0 - 1e-6
"""Directions with this cosine are one."""


def _moved_holes(entry: Mapping[str, Any], copied: dict[str, Any], context: Context, motion: RigidMotion) -> None:
    """A copy's holes look as those of the first did, turned with it; faults of theirs are reported at the first."""
    holes = copied.get("holes")
    ends = [context.point_reading.read(written)[0] for written in entry["route"][:2]]
    if not isinstance(holes, list) or len(ends) < 2 or ends[0] is None or ends[1] is None:
        return
    first, along = np.array(ends[0].xyz), np.array(ends[1].xyz) - np.array(ends[0].xyz)
    turned = not np.allclose(motion.rotation, np.eye(3)) and along.any()
    for hole in filter(lambda each: isinstance(each, dict), holes):
        for key in ("near", "toward"):
            if key in hole:
                hole[key] = _moved_point(hole[key], motion, context)
        side = hole.get("side")
        if side is None or not turned:
            continue
        if isinstance(side, str) and (name := side.strip().lower()) in SIDES:
            del hole["side"]
            hole["toward"] = point_at(motion.moved(first) + _FAR * (motion.rotation @ np.array(JOB_SIDES[name])))
        elif _is_round(entry.get("section"), context):
            # TOP of a round tube does not turn with it.
            top = turn_toward(motion.rotation @ along, motion.rotation @ upright(first, along).z)
            with suppress(ValueError):
                hole["side"] = math.degrees(context.angle(side) + top) % 360.0


def _is_round(section: object, context: Context) -> bool:
    with suppress(ValueError):
        return context.section(section).is_round
    return False


def _moved_end(end: dict[str, Any], number: int, marks: Sequence[str], motion: RigidMotion, context: Context) -> None:
    onto = end.get("onto")
    if onto is not None:
        named = [onto] if isinstance(onto, str) else onto
        end["onto"] = [renamed(mark, number) if mark in marks else mark for mark in named]
    plane = end.get("plane")
    if isinstance(plane, list):
        end["plane"] = [_moved_point(point, motion, context) for point in plane]
    elif isinstance(plane, Mapping):
        moved = dict(plane)
        if "at" in plane:
            moved["at"] = _moved_point(plane["at"], motion, context)
        if _is_direction(plane.get("normal")):
            moved["normal"] = _direction(plane["normal"], motion)
        end["plane"] = moved


def _moved_place(place: Mapping[str, Any], motion: RigidMotion, context: Context) -> dict[str, Any]:
    moved = dict(place)
    if isinstance(between := place.get("between"), list):
        moved["between"] = [_moved_point(point, motion, context) for point in between]
    for key in ("near", "toward"):
        if key in place:
            moved[key] = _moved_point(place[key], motion, context)
    if "against" in place or "between" in place:
        usual_up = {"up": [0.0, 0.0, 1.0]} if "between" in place else {}
        ways = usual_up | {key: place[key] for key in ("along", "up") if key in place}
        for key, way in ways.items():
            moved[key] = _direction(way, motion) if _is_direction(way) else _moved_point(way, motion, context)
        return moved
    moved["at"] = _moved_point(place.get("at"), motion, context)
    along = place.get("along", [1.0, 0.0, 0.0])
    stands = _is_direction(along) and not any(along[:2])
    for key, usual in (("along", along), ("up", [1.0, 0.0, 0.0] if stands else [0.0, 0.0, 1.0])):
        way = place.get(key, usual)
        if _is_direction(way):
            moved[key] = _direction(way, motion)
        elif way is not None:
            moved[key] = _moved_point(way, motion, context)
    return moved


def _is_direction(way: object) -> bool:
    return isinstance(way, list | tuple) and len(way) == 3 and all(isinstance(each, int | float) for each in way)


def _direction(way: Sequence[float], motion: RigidMotion) -> list[float]:
    return [float(each) for each in motion.rotation @ np.array(way, dtype=float)]

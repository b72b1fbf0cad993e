"""One [[mirror]] of a job: its plane, what the images of parts are called, and the points that they need."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np
from pydantic import ValidationError

from fabgen.geometry.survey.plane_and_axis_fit import FittedError, FittedPlane, plane_of
from fabgen.geometry.survey.rigid_fit import RigidMotion
from fabgen.job.document import entries, mark_of
from fabgen.job.errors import InputError, Path, Problem, shown
from fabgen.job.tables.copies.mirror_tables import MirrorGiven
from fabgen.job.tables.fields import Context
from fabgen.job.tables.movement_tables import TABLES as MOVEMENT_TABLES
from fabgen.job.values.point import is_point_name

ON_PLANE = 1e-6
"""A point as near to the plane, or to another point, lies on it, mm."""
_ACROSS = 0.7
"""The sine of a plane's normal with straight across above which it parts left from right."""
_POINT_KEYS = frozenset(
    ("route", "between", "points", "closes_at", "at", "near", "toward", "plane", "centre", "height", "watch", "along")
) | {"up", "legs", "back", "flange", "width", "axis"}
"""Keys of parts and of what moves that hold points, or tables and lists of them."""
_LEFT, _RIGHT, _OTHER = "-L", "-R", "-M"
_OPPOSITE = {_LEFT: _RIGHT, _RIGHT: _LEFT}


@dataclass(frozen=True, eq=False)
class Mirror:
    """One [[mirror]]: its `number` in the file, the `plane`, what new names end in, the names of the points
    that its parts `used`, and the points it makes as [points] would give them."""

    number: int
    given: MirrorGiven
    plane: FittedPlane
    ending: str
    used: tuple[str, ...] = ()
    points: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)

    @cached_property
    def motion(self) -> RigidMotion:
        """The reflection."""
        normal = self.plane.normal
        rotation = np.eye(3) - 2.0 * np.outer(normal, normal)
        return RigidMotion(rotation, 2.0 * float(self.plane.at @ normal) * normal)

    def name(self, own: str) -> str:
        """What the image of a part or a point is called."""
        if own in self.given.marks:
            return self.given.marks[own]
        if (other := _OPPOSITE.get(self.ending)) and own.endswith(other):
            return own.removesuffix(other) + self.ending
        return own + self.ending

    def point_name(self, own: str, context: Context) -> str:
        """The name of the point where the image of a point lies: its own where that is on the plane; "" where there
        is none."""
        if (point := context.points.get(own)) is None:
            return ""
        image = self.plane.mirrored(np.array(point.xyz))
        for name in (own, self.name(own), *context.points):
            there = context.points.get(name)
            if there is not None and np.abs(np.array(there.xyz) - image).max() < ON_PLANE:
                return name
        return ""


def mirrors_in(raw: Mapping[str, Any], context: Context) -> tuple[list[Mirror], list[Problem]]:
    """The mirrors of a job; those with faults in their tables are left out, as these are reported with the others.

    Args:
        raw: the values as the file has them.
        context: what they are read with, its points as far as they do not depend on images.
    """
    mirrors: list[Mirror] = []
    problems: list[Problem] = []
    used = _used_points(raw)
    for number, entry in entries(raw, "mirror"):
        try:
            given = MirrorGiven.model_validate(entry, context=context)
        except ValidationError:
            continue
        at = [point.xyz for name in given.plane or () if (point := context.points.get(name)) is not None]
        if len(at) < len(given.plane or ()):
            continue
        try:
            plane = plane_of(np.array(at)) if at else _middle()
        except FittedError as fault:
            problems.append(Problem.of(("mirror", number, "plane"), fault, "points well apart"))
            continue
        mirror, found = _with_points(number, given, plane, used, context)
        mirrors.append(mirror)
        problems += found
    return mirrors, problems


def _with_points(
    number: int, given: MirrorGiven, plane: FittedPlane, used: dict[str, list[object]], context: Context
) -> tuple[Mirror, list[Problem]]:
    """A mirror with the points that it needs, and those whose names are taken; the parts that it makes are added to
    those whose points are known."""
    own = [written for name in given.parts for written in used.get(name, ())]
    named = tuple(dict.fromkeys(name for name in own if isinstance(name, str) and context.points.get(name)))
    mirror = Mirror(number, given, plane, _ending(plane, own, context), named)
    for name in given.parts:  # which a later mirror may list
        images: list[object] = [mirror.name(each) for each in used.get(name, ()) if isinstance(each, str)]
        used.setdefault(mirror.name(name), images)
    beside = {"plane": list(given.plane)} if given.plane else {}
    points: dict[str, Mapping[str, Any]] = {}
    problems: list[Problem] = []
    for name in named:
        image = mirror.name(name)
        if mirror.point_name(name, context) or not is_point_name(image):
            continue
        if image in context.points:
            what = f"the image of the point {shown(name)} would be called {shown(image)}, which is another point"
            taken = InputError(what, f'another name: marks = {{ {name} = "…" }}', key=_key_of(given, name))
            problems.append(Problem.of(("mirror", number), taken))
        else:
            points[image] = {"mirror": name} | beside
    return replace(mirror, points=points), problems


def _key_of(given: MirrorGiven, name: str) -> Path:
    """The key that says what the image of a part or point is called."""
    return ("marks", name) if name in given.marks else ("parts",)


def _middle() -> FittedPlane:
    return FittedPlane(np.zeros(3), np.array([0.0, 1.0, 0.0]))


def _ending(plane: FittedPlane, points: Iterable[object], context: Context) -> str:
    """What the names of images end in, by the side on which they stand."""
    if abs(float(plane.normal[1])) < _ACROSS:
        return _OTHER
    at = [point.xyz for written in points if (point := context.point_reading.read(written)[0]) is not None]
    if not at:
        return _OTHER
    left = float(plane.above(np.array(at)).mean()) * float(np.sign(plane.normal[1]))
    return _OTHER if abs(left) < ON_PLANE else _RIGHT if left > 0.0 else _LEFT


def _used_points(raw: Mapping[str, Any]) -> dict[str, list[object]]:
    """By the mark or name of a part, the points of it as they are written."""
    found: dict[str, list[object]] = {}
    for table, value in raw.items():
        key = "name" if table in MOVEMENT_TABLES else "mark"
        for _, entry in entries(raw, table) if isinstance(value, list) else ():
            name = mark_of({"mark": entry.get(key)})
            if name:
                found.setdefault(name, []).extend(_points_of(entry))
    return found


def _points_of(written: Mapping[str, Any]) -> Iterator[object]:
    for key, value in written.items():
        if key in _POINT_KEYS or isinstance(value, Mapping):
            yield from _listed_points(value)
        elif isinstance(value, list):
            for each in value:
                if isinstance(each, Mapping):
                    yield from _points_of(each)


def _listed_points(value: Any) -> Iterator[object]:
    """A point, a list of points, or a table that holds some."""
    if isinstance(value, Mapping):
        yield from ([value] if "by" in value else _points_of(value))
    elif isinstance(value, str):
        yield value
    elif isinstance(value, list):
        # Three lengths are a point; of three names each is one.
        if len(value) == 3 and any(isinstance(each, int | float) for each in value):
            yield value
        else:
            for each in value:
                yield from _listed_points(each)

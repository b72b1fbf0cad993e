"""Tubes whose points lie on a face of theirs: moved to where their centre lines run, with the points kept.

A *leg* is a straight stretch of a route.  Each face that is given moves a leg square to that face by half of what the
section measures there.  At a point where several legs meet, the move that all their faces ask for is found (where
tubes of unlike size ask for different ones, the mean by least squares); each leg's end goes with it along the tube
and across it, save that its own faces hold exactly.  So ends that meet at one point meet again at another, and an end
that lies on another tube between that one's ends goes to its centre line.

Outside and inside are those of the frame that a tube belongs to: all tubes with such faces that hold together by
their points.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any

import numpy as np

from fabgen.geometry.space.box_overlap import overlapping
from fabgen.geometry.space.frame import Array, Frame, cross, upright
from fabgen.geometry.space.joined import joined_groups
from fabgen.geometry.space.lines import half_extent, unit_or_none
from fabgen.geometry.survey.rigid_fit import rotation
from fabgen.job.document import mark_of
from fabgen.job.errors import InputError, Path, Problem
from fabgen.job.expansion.outward import outward
from fabgen.job.tables.fields import Context
from fabgen.job.tables.tube_hole_tables import JOB_SIDES, SIDES
from fabgen.job.tables.tube_tables import FACES, go_together
from fabgen.job.values.point import Point
from fabgen.shop.section import Section

Entry = tuple[Path, Any]
SAME = 1.0
"""Points this near are one, and a point this near to a leg lies on it, mm."""

_HAS_SIDE = 0.5
"""A tube has a side where as much of that direction is square to it."""

_ALIKE = math.cos(math.radians(45.0))
_OWN = math.cos(math.radians(20.0))
"""A way out this near to a direction that a tube's own faces have is that of the face."""

_LEVEL = 0.01
"""A tube that rises less per mm lies level."""

_STEEP = math.sin(math.radians(45.0))
"""A tube that rises more steeply stands."""

_LEAST_SHARE = 0.02
"""Faces as nearly parallel as this are one, as a share of the most independent ones."""

MIDDLE = "middle"


@dataclass(eq=False)
class _Leg:
    """One straight stretch of a tube's route: its ends (3,) mm, its axes, and its faces so far, each a unit vector
    with the signed move along it, mm."""

    tube: int
    start: Array
    finish: Array
    frame: Frame
    section: Section
    faces: list[tuple[Array, float]] = field(default_factory=list)

    def half(self, toward: Array) -> float:
        section = self.section
        if section.is_round:
            return section.width / 2.0
        corner = section.corner
        sizes = (section.depth - 2.0 * corner, section.width - 2.0 * corner)
        return half_extent(self.frame.y, self.frame.z, sizes, toward) + corner

    def facing(self, normal: Array) -> Array:
        """A way out as the tube shows it: where legs lean, a rail's face still looks level.

        A round tube that lies level has a top and two sides too; another has none, and takes the way as it is.
        """
        if self.section.is_round and abs(float(self.frame.x[2])) > _LEVEL:
            return normal
        four = (self.frame.y, self.frame.z, -self.frame.y, -self.frame.z)
        nearest = max(four, key=lambda face: float(face @ normal))
        return nearest if float(nearest @ normal) > _OWN else normal

    def side(self, direction: Array) -> Array | None:
        """The face that looks that way: square to the leg, of a rectangular section one of its four."""
        square = direction - float(direction @ self.frame.x) * self.frame.x
        if float(np.linalg.norm(square)) < _HAS_SIDE:
            return None
        if self.section.is_round:
            return unit_or_none(square)
        four = (self.frame.y, self.frame.z, -self.frame.y, -self.frame.z)
        return max(four, key=lambda face: float(face @ square))


@dataclass(frozen=True, eq=False)
class _Tube:
    """A tube as far as it can be read: its place among the tubes, its faces as words, points, and legs."""

    number: int
    words: tuple[str, ...]
    points: tuple[Point, ...]
    legs: tuple[_Leg, ...]

    @property
    def closed(self) -> bool:
        return len(self.points) > 3 and math.dist(self.points[0].xyz, self.points[-1].xyz) <= SAME

    def legs_at(self, i: int) -> list[_Leg]:
        """The legs that begin or end at a point of the route."""
        if self.closed and i in (0, len(self.points) - 1):
            return [self.legs[0], self.legs[-1]]
        return list(self.legs[max(i - 1, 0) : i + 1])


def words_of(written: object) -> tuple[str, ...] | None:
    """The faces that a value of `lies` names; None of one that is not valid, which is reported with the tables."""
    named = [written] if isinstance(written, str) else written
    if not isinstance(named, list) or not named or not all(isinstance(word, str) and word in FACES for word in named):
        return None
    return tuple(named) if go_together(named) else None


def on_centre_lines(tubes: Sequence[Entry], usual: object, context: Context) -> tuple[list[Entry], list[Problem]]:
    """The tables of tubes with every route along the middle of its tube.

    Args:
        tubes: the tables, each with its place in the file.
        usual: what the job says of tubes that do not say it themselves.
        context: what the values are read with.
    Returns: the tables, and the faults of tubes whose faces are not clear.
    """
    read = [found for i, (_, entry) in enumerate(tubes) if (found := _tube(i, entry, usual, context)) is not None]
    problems: list[Problem] = []
    for group in _frames(read):
        every = np.array([point.xyz for tube in group for point in tube.points])
        for tube in group:
            try:
                _set_faces(tube, every)
            except InputError as fault:
                problems.append(Problem.of(tubes[tube.number][0], fault))
    moved = _moved(read)
    result: list[Entry] = []
    for i, (place, entry) in enumerate(tubes):
        if i in moved:
            entry = {key: value for key, value in entry.items() if key != "lies"} | {"route": moved[i]}
            if usual is not None:
                entry["lies"] = MIDDLE
        result.append((place, entry))
    return result, problems


def _tube(number: int, entry: object, usual: object, context: Context) -> _Tube | None:
    """A tube with faces; None of any other, and of one with a fault that is reported with the other tables."""
    if not isinstance(entry, Mapping) or not isinstance(route := entry.get("route"), list) or len(route) < 2:
        return None
    words = words_of(entry.get("lies", usual))
    if words is None or words == (MIDDLE,) or not mark_of(entry):
        return None
    points = [context.point_reading.read(written)[0] for written in route]
    try:
        section = context.section(entry.get("section"))
        turn = context.angle(entry.get("turn", 0.0))
    except InputError:
        return None
    sound = tuple(point for point in points if point is not None)
    at = np.array([point.xyz for point in sound])
    if len(sound) < len(route) or float(np.linalg.norm(np.diff(at, axis=0), axis=1).min()) < SAME:
        return None
    return _Tube(number, words, sound, _legs(number, at, section, 0.0 if section.is_round else turn))


def _legs(number: int, at: Array, section: Section, turn: float) -> tuple[_Leg, ...]:
    """The legs of a route, the section's top carried through its bends."""
    frame = upright(at[0], at[1] - at[0], turn)
    made = [_Leg(number, at[0], at[1], frame, section)]
    for start, finish in pairwise(at[1:]):
        way = (finish - start) / np.linalg.norm(finish - start)
        axis = cross(frame.x, way)
        size = float(np.linalg.norm(axis))
        turned = axis / size * math.atan2(size, float(frame.x @ way)) if size > 1e-9 else np.zeros(3)
        frame = Frame.along(start, way, rotation(turned) @ frame.y)
        made.append(_Leg(number, start, finish, frame, section))
    return tuple(made)


# -- frames ---------------------------------------------------------------------------
def _legs_at_points(points: Array, legs: Sequence[_Leg]) -> list[tuple[int, int]]:
    """Points and the legs on which they lie, between their ends or at one, by number."""
    ends = np.array([[leg.start, leg.finish] for leg in legs])
    found = []
    for i, j in overlapping(points - SAME, points + SAME, ends.min(axis=1), ends.max(axis=1)):
        start, finish = ends[j]
        along = finish - start
        share = min(1.0, max(0.0, float((points[i] - start) @ along) / float(along @ along)))
        if float(np.linalg.norm(points[i] - start - share * along)) <= SAME:
            found.append((int(i), int(j)))
    return found


def _frames(tubes: Sequence[_Tube]) -> list[list[_Tube]]:
    """The tubes that hold together by their points."""
    legs = [leg for tube in tubes for leg in tube.legs]
    if not legs:
        return []
    owners = [k for k, tube in enumerate(tubes) for _ in tube.points]
    of_leg = {tube.number: k for k, tube in enumerate(tubes)}
    points = np.array([point.xyz for tube in tubes for point in tube.points])
    touching = ((owners[i], of_leg[legs[j].tube]) for i, j in _legs_at_points(points, legs))
    return [[tubes[k] for k in group] for group in joined_groups(len(tubes), touching)]


# -- faces -------------------------------------------------------------------------------
def _set_faces(tube: _Tube, every: Array) -> None:
    """Gives a tube's legs their faces.

    Args:
        every: (n, 3) the points of its frame, mm.
    """
    for word in tube.words:
        if word in SIDES:
            _set_side(tube, word)
    out = next((word for word in tube.words if word not in (*SIDES, MIDDLE)), None)
    if out is None:
        return
    from_first = every - every[0]
    far = from_first[int(np.argmax(np.linalg.norm(from_first, axis=1)))]
    if float(np.linalg.norm(np.cross(from_first, far / np.linalg.norm(far)), axis=1).max()) <= SAME:
        what = f"it is not clear where {out} is: this tube stands in no frame, its points lie in one line"
        raise InputError(what, 'a side, e.g. lies = "top", or lies = "middle"', key=("lies",))
    sign = -1.0 if out == "outside" else 1.0
    for leg in tube.legs:
        for way in outward(leg.start, np.vstack((leg.frame.y, leg.frame.z)), every):
            normal = leg.facing(way)
            if all(abs(float(normal @ face)) < _ALIKE for face, _ in leg.faces):
                leg.faces.append((normal, sign * leg.half(normal)))


def _set_side(tube: _Tube, word: str) -> None:
    direction, has = np.array(JOB_SIDES[word]), False
    for leg in tube.legs:
        face = leg.side(direction)
        if face is None:
            continue
        has = True
        if any(abs(float(face @ other)) > _ALIKE for other, _ in leg.faces):
            what = "two of these are the same pair of its faces"
            raise InputError(what, 'one side of each pair, e.g. lies = ["outside", "top"]', key=("lies",))
        leg.faces.append((face, -leg.half(face)))
    if not has:
        what = f"this tube has no {word}: it runs that way"
        raise InputError(what, "a side that lies along it", key=("lies",))


# -- moves -------------------------------------------------------------------------------
def _moved(tubes: Sequence[_Tube]) -> dict[int, list[Point]]:
    """The routes along the tubes' middles, by the tubes' numbers."""
    legs = [leg for tube in tubes for leg in tube.legs]
    if not legs:
        return {}
    points = np.array([point.xyz for tube in tubes for point in tube.points])
    there: dict[int, list[_Leg]] = defaultdict(list)
    for i, j in _legs_at_points(points, legs):
        there[i].append(legs[j])
    moved: dict[int, list[Point]] = {}
    i = 0
    for tube in tubes:
        moved[tube.number] = []
        for k, point in enumerate(tube.points):
            shift = _held_to(_least(there[i]), tube.legs_at(k))
            if len(there[i]) == 1 and k in (0, len(tube.points) - 1):
                shift = _at_its_height(shift, there[i][0])
            x, y, z = (round(float(each), 9) + 0.0 for each in np.array(point.xyz) + shift)
            moved[tube.number].append(replace(point, x=x, y=y, z=z, name="", record=None, drawn=point))
            i += 1
    return moved


def _at_its_height(shift: Array, leg: _Leg) -> Array:
    """The move of a free end, (3,) mm: a leg that leans still ends at the height at which it is drawn."""
    rise = float(leg.frame.x[2])
    return shift - shift[2] / rise * leg.frame.x if abs(rise) > _STEEP else shift


def _least(legs: Sequence[_Leg]) -> Array:
    """The least move, (3,) mm, that brings the legs at a point off their faces."""
    return _held_to(np.zeros(3), legs)


def _held_to(shift: Array, legs: Sequence[_Leg]) -> Array:
    """The move nearest to another one, (3,) mm, for which the legs' own faces hold."""
    faces = [face for leg in legs for face in leg.faces]
    if not faces:
        return shift
    normals, moves = np.array([normal for normal, _ in faces]), np.array([move for _, move in faces])
    return np.asarray(shift + np.linalg.pinv(normals, rcond=_LEAST_SHARE) @ (moves - normals @ shift))

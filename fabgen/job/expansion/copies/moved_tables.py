"""The tables of parts as a job file would give them elsewhere: shifted, turned, or as their mirror image."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from copy import deepcopy
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from fabgen.geometry.space.frame import Array, upright
from fabgen.geometry.survey.rigid_fit import RigidMotion
from fabgen.job.errors import InputError
from fabgen.job.expansion.feet import ahead_on
from fabgen.job.expansion.lying import words_of
from fabgen.job.expansion.placing import as_degrees, point_at, turn_toward
from fabgen.job.tables.fields import Context
from fabgen.job.tables.tube_hole_tables import JOB_SIDES, SIDES

_WAYS = ("back", "flange", "width")
"""Keys of a profile that say which way it lies, besides `legs`."""
_LOOKS = {"bar": "legs_to", "strap": "ears_to"}
"""Of what goes round a tube, the key that says which way it looks."""
_FAR = 1e9
"""A point so far off stands for a direction, mm."""
_SAME = 1e-6
"""Directions whose cosine is as near to 1, or their sine to 0, are one."""
_PLAIN = re.compile(r'\d+(\.\d+)?\s*(mm|cm|m|in|")?')


def _no_name(name: str) -> str:
    return ""


@dataclass(frozen=True, eq=False)
class Moved:
    """What carries tables to where copies of their parts stand.

    Args:
        motion: where they stand to the first; its rotation may be a reflection.
        context: what the values of the job are read with.
        renamed: gives for the mark of a part that moves along that of its copy, for any other the same.
        named: gives for the name of a point that of the point where it comes to lie, "" where there is none.
    """

    motion: RigidMotion
    context: Context
    renamed: Callable[[str], str]
    named: Callable[[str], str] = _no_name

    @cached_property
    def hand(self) -> float:
        """-1 where left becomes right: what is counted clockwise then runs the other way."""
        return math.copysign(1.0, float(np.linalg.det(self.motion.rotation)))

    @cached_property
    def turns(self) -> bool:
        """Whether directions change."""
        return not np.allclose(self.motion.rotation, np.eye(3))

    # -- points and directions ----------------------------------------------------------
    def point(self, written: object) -> object:
        """A point as a table has it; one that cannot be read stays, as its fault is reported at the first part."""
        if isinstance(written, str) and (name := self.named(written)):
            return name
        at = self.read(written)
        if at is None:
            return written
        moved = self.motion.moved(at)
        # Off a point that has an image it is known as well as that is.
        start = written.get("from") if isinstance(written, Mapping) else None
        if isinstance(start, str) and (name := self.named(start)):
            known, _ = self.context.point_reading.read(name)
            return point_at(moved) if known is None else replace(point_at(moved), scatter=known.scatter)
        return point_at(moved)

    def read(self, written: object) -> Array | None:
        """The place of a point as a table has it, (3,) mm; None of one that cannot be read."""
        point, _ = self.context.point_reading.read(written)
        return None if point is None else np.array(point.xyz)

    def direction(self, way: Sequence[float]) -> list[float]:
        return [float(each) + 0.0 for each in self.motion.rotation @ np.array(way, dtype=float)]

    def way(self, way: Any, side_first: bool = False) -> Any:
        """A side of the job by its name, three numbers, or a point to look toward.

        Args:
            way: as a table has it.
            side_first: whether a point that is called like a side is not meant, as of a profile's legs.
        """
        if (side := self._side_named(way, side_first)) is not None:
            return (self.side(way) or self.direction(side)) if self.turns else way
        return self.direction(way) if is_direction(way) else self.point(way)

    def _side_named(self, way: object, side_first: bool = False) -> tuple[float, float, float] | None:
        named = isinstance(way, str) and (side_first or way not in self.context.points)
        return JOB_SIDES.get(str(way).strip().lower()) if named else None

    def looks(self, way: Any, at: Array | None) -> Array | None:
        """The direction, (3,), that a way comes to which a table gives for something at a point; None of one that
        cannot be read."""
        if is_direction(way):
            return np.array(way, dtype=float)
        if (side := self._side_named(way)) is not None:
            return np.array(side)
        toward = self.read(way)
        return None if toward is None or at is None else toward - at

    def side(self, name: str) -> str:
        """The side of the job toward which what looks toward a side does then; "" where that is none."""
        looks = self.motion.rotation @ np.array(JOB_SIDES[name.strip().lower()])
        turned = max(JOB_SIDES, key=lambda each: float(looks @ np.array(JOB_SIDES[each])))
        return turned if float(looks @ np.array(JOB_SIDES[turned])) > 1.0 - _SAME else ""

    def marks(self, written: Any) -> Any:
        """One mark, or a list of marks."""
        if isinstance(written, list):
            return [self.marks(each) for each in written]
        return self.renamed(written) if isinstance(written, str) else written

    def negated(self, written: Any) -> Any:
        """A length or an angle as it is written, to the other side where left becomes right."""
        if self.hand > 0.0 or written in (None, 0, 0.0):
            return written
        if isinstance(written, int | float):
            return -written
        text = str(written).strip()
        if text.startswith("-") and _PLAIN.fullmatch(text[1:].strip()):
            return text[1:].strip()
        return f"-{text}" if _PLAIN.fullmatch(text) else f"-({text})"

    def angle(self, written: Any, more: float = 0.0) -> Any:
        """An angle clockwise seen along a part, or from outside; `more` is what is added to it, rad."""
        if isinstance(written, int | float) and not more:
            return self.hand * written + 0.0
        try:
            return as_degrees(self.hand * self.context.angle(written) + more)
        except ValueError:
            return written

    def half_turned(self, written: Any) -> Any:
        """What makes half a turn with an angle."""
        try:
            return as_degrees(math.pi - self.context.angle(written))
        except ValueError:
            return written

    def far_toward(self, side: str) -> object:
        """A point toward which what looks toward a side of the job does then."""
        return point_at(_FAR * (self.motion.rotation @ np.array(JOB_SIDES[side])))

    # -- parts of a length ------------------------------------------------------------------
    def length_part(self, table: str, entry: Mapping[str, Any], mark: str) -> dict[str, Any]:
        """The table of a tube, a profile, a link or another part with points of its own.

        Args:
            table: what lists it.
            entry: as the file has it.
            mark: of the copy.
        Raises:
            InputError: it cannot be said of the copy how it lies.
        """
        copied = {key: deepcopy(value) for key, value in entry.items()}
        copied["mark"] = mark
        for key in ("route", "between", "points"):
            if isinstance(entry.get(key), list):
                copied[key] = [self.point(point) for point in entry[key]]
        if "closes_at" in entry:
            copied["closes_at"] = self.point(entry["closes_at"])
        if isinstance(offset := entry.get("offset"), list):
            copied["offset"] = self._shift(offset)
        clocks = self.clocks(entry)
        if table == "profile":
            self._profile(entry, copied)
        elif table == "link":
            self._eyes(entry, copied)
        elif "route" in entry:
            self._turn(entry, copied)
            if faces := words_of(entry.get("lies")):
                copied["lies"] = [self._face(face) for face in faces]
        for hole in _tables(copied.get("holes")) if table in ("tube", "profile") else ():
            self._hole(entry, hole, clocks)
        for key in ("through", "sleeve_of", "around", "round", "clamps"):
            if key in copied:
                copied[key] = self.marks(copied[key])
        if table in _LOOKS and entry.get("at") is not None and self.turns:
            self._round_tube(table, entry, copied)
        for at in ("start", "finish"):
            if isinstance(end := copied.get(at), dict):
                self._end(entry, at, end, clocks)
        return copied

    def _ends(self, entry: Mapping[str, Any]) -> tuple[Array, Array] | None:
        """The first point of a route and the way from it to the second."""
        route = entry.get("route") or entry.get("between")
        ends = [self.read(written) for written in route[:2]] if isinstance(route, list) else []
        if len(ends) < 2 or ends[0] is None or ends[1] is None or np.allclose(ends[0], ends[1], atol=1e-9):
            return None
        return ends[0], ends[1] - ends[0]

    def _shift(self, offset: list[Any]) -> list[Any]:
        try:
            lengths = [self.context.length(each) for each in offset]
        except ValueError:
            return offset
        return [f"{float(each) + 0.0!r} mm" for each in self.motion.rotation @ np.array(lengths)]

    def _top(self, entry: Mapping[str, Any], turn: float = 0.0) -> float | None:
        """The turn of the copy that gives it the top of the first, rad."""
        ends = self._ends(entry)
        if ends is None:
            return None
        rotation, along = self.motion.rotation, ends[1]
        return turn_toward(rotation @ along, rotation @ upright(along * 0.0, along, turn).z)

    def _turn(self, entry: Mapping[str, Any], copied: dict[str, Any]) -> None:
        """Gives a tube whose top goes with it the `turn` that says so."""
        if not self.turns:
            return
        with suppress(ValueError):
            turn = self._top(entry, self.context.angle(entry.get("turn", 0.0)))
            if turn is not None and ("turn" in entry or abs(turn) > 1e-9):
                copied["turn"] = as_degrees(turn)

    def clocks(self, entry: Mapping[str, Any]) -> float:
        """What is added to angles from TOP, rad: TOP of a round tube does not go with it, that of others by `turn`."""
        is_round = False
        with suppress(ValueError):
            is_round = self.context.section(entry.get("section")).is_round
        return (self._top(entry) or 0.0) if is_round and self.turns else 0.0

    def _face(self, face: str) -> str:
        if face not in SIDES or not self.turns:
            return face
        if not (side := self.side(face)):
            what = f"a tube that `lies` on its {face} is turned, and then lies on no one side of the job"
            raise InputError(what, "outside, inside or middle for its `lies`, or its points on its centre line")
        return side

    def _hole(self, entry: Mapping[str, Any], hole: dict[str, Any], clocks: float) -> None:
        """A hole looks as that of the first did, turned with it; its faults are reported at the first."""
        if "near" in hole:
            hole["near"] = self.point(hole["near"])
        for key in ("offset",) if "leg" not in hole and "gauge" not in hole else ():
            if key in hole:
                hole[key] = self.negated(hole[key])
        if "turn" in hole and self.hand < 0.0:
            hole["turn"] = self.angle(hole["turn"])
        self._look(entry, hole, clocks)

    def _look(self, entry: Mapping[str, Any], hole: dict[str, Any], clocks: float) -> None:
        """The side that a hole or a slit is on."""
        if "toward" in hole:
            hole["toward"] = self.point(hole["toward"])
        side, ends = hole.get("side"), self._ends(entry)
        if side is None or not self.turns or ends is None:
            return
        if isinstance(side, str) and side.strip().lower() in SIDES:
            if name := self.side(side):
                hole["side"] = name
            else:
                del hole["side"]
                looks = self.motion.rotation @ np.array(JOB_SIDES[side.strip().lower()])
                hole["toward"] = point_at(self.motion.moved(ends[0]) + _FAR * looks)
        else:
            angle = self.angle(side, clocks)
            hole["side"] = angle % 360.0 if isinstance(angle, float) else angle

    def _end(self, entry: Mapping[str, Any], at: str, end: dict[str, Any], clocks: float) -> None:
        if "onto" in end:
            named = end["onto"] if isinstance(end["onto"], list) else [end["onto"]]
            end["onto"] = self.marks(named)
        plane = end.get("plane")
        if isinstance(plane, list):
            end["plane"] = [self.point(point) for point in plane]
        elif isinstance(plane, Mapping):
            moved = dict(plane)
            if "at" in plane:
                moved["at"] = self.point(plane["at"])
            if is_direction(plane.get("normal")):
                moved["normal"] = self.direction(plane["normal"])
            end["plane"] = moved
        if end.get("cut") == "level" and abs(abs(float(self.motion.rotation[2, 2])) - 1.0) > _SAME:
            raise InputError("an end that is cut level would lean on the copy", "a `plane` for that end")
        for slit in _tables(end.get("slit")):
            self._look(entry, slit, clocks)
            if "offset" in slit:
                slit["offset"] = self.negated(slit["offset"])
            if "tab" in slit:
                slit["tab"] = self.marks(slit["tab"])
        crush = end.get("crush")
        if isinstance(crush, dict) and self.turns and ("turn" in crush or clocks):
            crush["turn"] = self.angle(crush.get("turn", 0.0), clocks)
        if isinstance(foot := end.get("foot"), dict) and self.turns:
            self._foot(entry, at, foot)

    def _foot(self, entry: Mapping[str, Any], at: str, foot: dict[str, Any]) -> None:
        """A foot's plate is turned so that its length runs as that of the first did."""
        route = entry.get("route")
        ends = [self.read(each) for each in (route[:2] if at == "start" else route[:-3:-1])] if route else []
        if len(ends) < 2 or ends[0] is None or ends[1] is None or np.allclose(ends[0], ends[1], atol=1e-9):
            return
        inward = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
        square = foot.get("lies") == "square"
        up = inward if square else np.array([0.0, 0.0, math.copysign(1.0, inward[2])])
        there = self.motion.rotation @ up
        if not square and abs(abs(float(there[2])) - 1.0) > _SAME:
            raise InputError("a level foot would lean on the copy", 'lies = "square"')
        with suppress(ValueError):
            turn = self.context.angle(foot.get("turn", 0.0))
            ahead = ahead_on(up)
            looks = self.motion.rotation @ (math.cos(turn) * ahead + math.sin(turn) * np.cross(up, ahead))
            ahead = ahead_on(there)
            turned = math.atan2(float(looks @ np.cross(there, ahead)), float(looks @ ahead))
            if "turn" in foot or abs(turned) > 1e-9:
                foot["turn"] = as_degrees(turned)

    def _eyes(self, entry: Mapping[str, Any], copied: dict[str, Any]) -> None:
        """The sleeve of a link's fixed end stands off toward its top, which may come to lie below."""
        turn = self._top(entry) if self.turns else None
        for end in _tables(copied.get("rod_ends")):
            if turn is None or not end.get("offset"):
                continue
            if abs(math.remainder(turn, math.pi)) > 1e-6:
                raise InputError("the sleeve of this link's end would stand off sideways on the copy", "no `offset`")
            if abs(turn) > 1.0:
                written = end["offset"]
                end["offset"] = -written if isinstance(written, int | float) else f"-({written})"

    def _round_tube(self, table: str, entry: Mapping[str, Any], copied: dict[str, Any]) -> None:
        """The way that the legs or ears of what goes round a tube look."""
        key, usual = _LOOKS[table], "top" if table == "strap" and entry.get("shape") != "saddle" else "bottom"
        if (side := str(entry.get(key, usual)).strip().lower()) in SIDES:
            if not (turned := self.side(side)):
                what = f"{entry['mark']} looks to the {side}, and its copy would look to no one side of the job"
                raise InputError(what, "a part of its own there")
            if turned != usual or key in entry:
                copied[key] = turned

    def _profile(self, entry: Mapping[str, Any], copied: dict[str, Any]) -> None:
        """A profile's legs, web or flange look as those of the first did."""
        if isinstance(legs := entry.get("legs"), list):
            copied["legs"] = [self.way(way, side_first=True) for way in legs]
        for key in _WAYS:
            if key in entry:
                copied[key] = self.way(entry[key], side_first=True)
        if "turn" in entry and self.hand < 0.0:
            copied["turn"] = self.angle(entry["turn"])
        ends = self._ends(entry)
        if not self.turns or "legs" in entry or any(key in entry for key in _WAYS) or ends is None:
            return
        width = upright(ends[1] * 0.0, ends[1]).z  # of flat bar, whose width stands upright
        along, looks = self.motion.rotation @ ends[1], self.motion.rotation @ width
        if not np.allclose(upright(along * 0.0, along).z, looks, atol=1e-9):
            copied["width"] = [float(each) for each in looks]

    # -- parts of sheet -----------------------------------------------------------------------
    def places(self, entry: Mapping[str, Any]) -> list[Any]:
        """The places of a plate, bracket, cover or strap."""
        given = entry.get("place")
        places = given if isinstance(given, list) else [given]
        return [self.place(place) for place in places if isinstance(place, Mapping)]

    def place(self, place: Mapping[str, Any]) -> dict[str, Any]:
        """A place by its points and directions; what it is against is left as it is."""
        moved = dict(place)
        if isinstance(between := place.get("between"), list):
            moved["between"] = [self.point(point) for point in between]
        for key in ("near", "toward"):
            if key in place:
                moved[key] = self.point(place[key])
        usual: dict[str, Any] = {}
        if "against" not in place:
            if not isinstance(between, list):
                moved["at"] = self.point(place.get("at"))
                usual["along"] = _along(place)
            usual["up"] = self._usual_up(place)
        for key, way in (usual | {key: place[key] for key in ("along", "up") if key in place}).items():
            if way is not None:
                moved[key] = self.way(way)
        return moved

    def _runs(self, place: Mapping[str, Any]) -> Array | None:
        """Which way the right of a part looks that is placed by a point, or between two; None where that cannot be
        read."""
        if isinstance(between := place.get("between"), list):
            ends = [self.read(each) for each in between]
            return ends[1] - ends[0] if len(ends) == 2 and ends[0] is not None and ends[1] is not None else None
        return self.looks(_along(place), self.read(place.get("at")))

    def _usual_up(self, place: Mapping[str, Any]) -> list[float]:
        """Which way the side on top of such a part looks where `up` is left out."""
        runs = self._runs(place)
        stands = runs is not None and np.hypot(runs[0], runs[1]) <= _SAME * np.linalg.norm(runs)
        return [1.0, 0.0, 0.0] if stands else [0.0, 0.0, 1.0]

    def stays_in_plane(self, place: Mapping[str, Any]) -> bool:
        """Whether what is moved so goes along the face of a flat part that is placed by a point.

        Args:
            place: of that part.
        """
        at, runs = self.read(place.get("at")), self._runs(place)
        up = self.looks(place.get("up") or self._usual_up(place), at)
        if self.turns or at is None or runs is None or up is None or not runs.any():
            return False
        shift, out = self.motion.moved(at) - at, up - (up @ runs) / (runs @ runs) * runs
        return abs(float(shift @ out)) <= _SAME * float(np.linalg.norm(shift) * np.linalg.norm(out))


def _along(place: Mapping[str, Any]) -> Any:
    return place.get("along", [1.0, 0.0, 0.0])


def is_direction(way: object) -> bool:
    """Whether a way is given as three numbers."""
    return isinstance(way, list | tuple) and len(way) == 3 and all(isinstance(each, int | float) for each in way)


def _tables(written: object) -> list[dict[str, Any]]:
    """The tables of a list; one table stands for a list of it."""
    listed = written if isinstance(written, list) else [written]
    return [each for each in listed if isinstance(each, dict)]

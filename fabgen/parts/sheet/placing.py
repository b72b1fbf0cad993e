"""Where sheet parts stand: from `place` of the job file to the frame that the made part has in the vehicle."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Protocol

import numpy as np
import shapely

from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.space.frame import Array, Frame, unit
from fabgen.job.errors import Path, Words, listed, nearest, shown
from fabgen.job.tables.movement_tables import AxisDirection
from fabgen.job.tables.place_tables import PlaceGiven
from fabgen.parts.piece import Datum, Place
from fabgen.parts.shape.directions import array, direction
from fabgen.parts.shape.hole_groups import centre_of
from fabgen.parts.sheet.holes import PlacedHole
from fabgen.parts.sheet.on_feet import OnFoot, foot_on, frame_on, turned_so, ways_to_fit, why_not
from fabgen.parts.sheet.seats import Foot
from fabgen.parts.sheet.skin import FoundPlace
from fabgen.wording.figures import figure
from fabgen.wording.sentence import mm, sentence

X, _, Z = np.eye(3)
HEIGHTS = {"back": 0.0, "middle": 0.5, "front": 1.0}
EDGES = {"bottom": (0, 1.0), "top": (0, -1.0), "left": (1, -1.0), "right": (1, 1.0)}
"""Of an edge: whether it runs along u (0) or v (1), and with or against `along` when the part stands on it."""
_SQUARE = 1e-6
"""Sine below which two directions are one."""
_ACROSS = 0.02
"""Cosine below which an edge runs across a tube."""
_SPECK = 0.01
"""What is no farther off than this, mm, is in the same place."""
_ON_EDGE = 0.02
"""A corner this near to the line of an edge is one of its ends, mm."""


@dataclass(frozen=True, eq=False)
class Stands:
    """Where a made part stands, how the (u, v) of its faces lie in it, and its holes: face and middle, by number."""

    places: tuple[Place, ...] = ()
    datums: Mapping[str, Datum] = field(default_factory=dict)
    numbered: tuple[tuple[str, Xy], ...] = ()


NOWHERE = Stands()


def numbered(holes: Sequence[PlacedHole]) -> tuple[tuple[str, Xy], ...]:
    """Face and middle, (u, v) mm, of holes in the order of their numbers."""
    return tuple((hole.face, centre_of(hole.hole.shape)) for hole in holes)


class Placed(Protocol):
    """The table of a part that can be placed."""

    @property
    def place(self) -> Sequence[PlaceGiven]:
        """Its places as the job gives them."""


class Asking(Protocol):
    """Who asks for a part's places: its table, how thick it lies on the bench, mm, and where its faults are kept."""

    @property
    def given(self) -> Placed:
        """The part's table."""

    @property
    def thickness(self) -> float:
        """From its back to its front, mm."""

    def fault(self, key: str | Path, what: Words, accepted: Words, near: str = "") -> None:
        """Keeps a fault of a key below the part's table."""


@dataclass(frozen=True, eq=False)
class Placing:
    """A part about to be placed.  `datums` by face, the first first; `holes` in the order of their numbers.
    What is `round` has an axis, and no (u, v), and is so `tall`, mm.  `feet` are edges that are cut to sit on tubes."""

    request: Asking
    datums: Mapping[str, Datum]
    holes: Sequence[PlacedHole]
    round: bool = False
    tall: float = 0.0
    feet: Sequence[Foot] = ()

    def stands(self) -> Stands:
        """Where each stands that the job places; what cannot be is a fault of the request."""
        if not self.request.given.place:
            return NOWHERE
        return Stands(tuple(self._places_given()), self.datums, () if self.round else numbered(self.holes))

    def _places_given(self) -> Iterator[Place]:
        places = self.request.given.place
        for number, given in enumerate(places):
            path = ("place", *((number,) if len(places) > 1 else ()))
            if isinstance(given, FoundPlace):
                stands = self._seated if self._foot(given) else self._standing if self._edge(given) else self._lying
                frame = stands(given, path)
            elif given.against is not None:
                continue  # what it is against has a fault of its own, or is not built yet
            else:
                frame = self._between(given, path) if given.between else self._by_point(given, path)
            if frame is None:
                continue
            place = Place(frame, given.on or "", given.against or "", given.against_place or 1)
            yield self._touching(place, given, path) if isinstance(given, FoundPlace) else place

    # -- by points and directions ---------------------------------------------------------
    def _by_point(self, given: PlaceGiven, path: Path) -> Frame | None:
        if given.point is None:
            what = "`at` is a length, and the place is not against anything"
            self.request.fault((*path, "at"), what, "against = the mark of a tube; or a point")
            return None
        at = array(given.point)
        directions = self._directions(given, path, at, given.along or AxisDirection(direction=(1.0, 0.0, 0.0)))
        point = self._own(given, path, False)
        return None if directions is None or point is None else self._laid(given, point, at, *directions)

    def _between(self, given: PlaceGiven, path: Path) -> Frame | None:
        assert given.between is not None
        one, other = (array(point) for point in given.between)
        apart = float(np.linalg.norm(other - one))
        if apart < _SQUARE:
            self.request.fault((*path, "between"), "the two points are the same", "points apart")
            return None
        far = apart / 2.0 if given.at is None else given.at
        at = one + (other - one) * (float(far) / apart if isinstance(far, int | float) else 0.5)
        directions = self._directions(given, path, at, AxisDirection(direction=tuple((other - one).tolist())))
        point = self._own(given, path, True)
        return None if directions is None or point is None else self._laid(given, point, at, *directions)

    def _directions(
        self, given: PlaceGiven, path: Path, at: Array, toward: AxisDirection
    ) -> tuple[Array, Array] | None:
        """Unit directions that `along` and `up` come to, square to one another."""
        found = []
        for key, axis in (("along", toward), ("up", given.up)):
            try:
                found.append(None if axis is None else direction(axis, at))
            except ValueError:
                what = f"`{key}` looks toward the point that the part is placed at"
                self.request.fault((*path, key), what, "[x, y, z], or a point apart from it")
                return None
        along, up = found
        assert along is not None
        if up is None:
            up = Z if np.linalg.norm(np.cross(along, Z)) > _SQUARE else X
        if np.linalg.norm(np.cross(along, up)) <= _SQUARE:
            self.request.fault((*path, "up"), "`up` and `along` run in one line", "a direction across `along`")
            return None
        return along, unit(up - (up @ along) * along)

    # -- against something --------------------------------------------------------------
    def _lying(self, given: FoundPlace, path: Path) -> Frame | None:
        skin, along, point = given.skin, self._run(given, path), self._own(given, path, True)
        if given.lies is None and any(given.against in foot.onto for foot in self.feet):
            what = f"it is cut to sit on {given.against}, and would lie on it with its back"
            self.request.fault((*path, "against"), what, 'stands_on = "foot"; or lies = "back" where it is to lie')
            return None
        if given.lies == "middle":
            what = "a part that lies on a skin would be half sunk into it"
            self.request.fault((*path, "lies"), what, '"back" or "front"')
            return None
        if skin.is_hollow:
            self._hollow(given, path, "lies flat")
            return None
        if along is None or point is None:
            return None
        is_turned = given.lies == "front" or (self.round and given.stands_on == "top")
        up, at = (-skin.out if is_turned else skin.out), skin.place
        at = at + self.tall * skin.out if self.round and is_turned else at
        return self._laid(given, point, at, along, up)

    def _foot(self, given: FoundPlace) -> Foot | None:
        """The foot that it stands on."""
        return foot_on(self.feet, given.against or "", given.skin) if given.stands_on == "foot" else None

    def _edge(self, given: FoundPlace) -> bool:
        """Whether it stands on a straight edge."""
        return given.stands_on is not None and not self.round

    def _seated(self, given: FoundPlace, path: Path) -> Frame | None:
        skin, foot = given.skin, self._foot(given)
        assert foot is not None
        datum = self.datums[foot.face]
        if why := why_not(foot, skin):
            what = sentence("its foot is cut to ", foot.section, f", and does not sit on {given.against}: ", why)
            accepted = "a straight place on the tube that `sits` says; or another `stands_on`"
            self.request.fault((*path, "against"), what, accepted)
            return None
        ways, run = ways_to_fit(foot, datum, skin), self._run(given, path)
        if not ways:
            on = f"that side of {given.against}"
            what = sentence("its foot is cut to ", foot.section, f", which does not lie so on {on}")
            self.request.fault((*path, "side"), what, "another side, or roll = 90 in `sits`")
        if not ways or run is None:
            return None
        way = turned_so(ways, run)
        if way is None:
            turns = [f"turn = {figure(math.degrees(each.turn))}" for each in ways]
            what = sentence(f"so turned its foot does not fit {given.against}")
            if given.turn is None and given.along is None:
                what = sentence(f"its foot fits {given.against} two ways round, and it is not alike both ways")
            self.request.fault((*path, "turn" if given.along is None else "along"), what, " or ".join(turns))
            return None
        point = None
        if given.of is not None or given.hole is not None or given.lies is not None:
            own = self._own(given, path, True)
            if own is None:
                return None
            height = HEIGHTS[given.lies or "middle"] * self.request.thickness
            point = self.datums[own[0]].at(own[1], height)
        return frame_on(foot, datum, skin, way, point)

    def _standing(self, given: FoundPlace, path: Path) -> Frame | None:
        skin, along, point = given.skin, self._run(given, path), self._own(given, path, True)
        if point is None or along is None:
            return None
        face = self.datums[point[0]]
        if given.stands_on == "foot":
            what = "it has no foot that is cut to sit on a tube"
            self.request.fault((*path, "stands_on"), what, '"bottom", "top", "left" or "right"; or `sits`')
            return None
        if not face.corners:
            what = "`stands_on` has no meaning here"
            self.request.fault((*path, "stands_on"), what, "a flat or folded part; this one has no straight edge")
            return None
        if skin.is_hollow and abs(float(along @ skin.along)) > _ACROSS:
            self._hollow(given, path, "stands with a straight edge")
            return None
        height = HEIGHTS[given.lies or "middle"] * self.request.thickness
        on, ends = _edge(given, face, point[1])
        number, sign = EDGES[given.stands_on or "bottom"]
        lengthwise = sign * np.array([end - on[number] for end in ends])
        front = np.cross(along, skin.out)
        through = np.array([-height, self.request.thickness - height])
        if float(np.cross(face.u, face.v) @ face.front) < 0.0:  # a mirrored face
            through = -through
        foot = lengthwise[:, None] * float(along @ skin.beside) + through * float(front @ skin.beside) + skin.offset
        drop = skin.drop(float(foot.min()), float(foot.max()))
        if math.isnan(drop):
            what = "it passes beside the tube without touching it"
            self.request.fault((*path, "offset"), what, sentence("an offset below ", mm(skin.radius, 3)))
            return None
        u, v = (sign * along, sign * skin.out) if number == 0 else (-sign * skin.out, sign * along)
        own = np.array([face.u, face.v, np.cross(face.u, face.v)])
        axes = own.T @ np.array([u, v, front])
        return Frame(skin.place - drop * skin.out - face.at(on, height) @ axes, *axes)

    def _touching(self, place: Place, given: FoundPlace, path: Path) -> Place:
        """The place with what it touches, and how it is turned there."""
        skin, along = given.skin, self._run(given, path)
        assert along is not None
        turn = math.atan2(float(along @ skin.beside), float(along @ skin.along))
        return replace(place, skin=skin, foot=self._touches(given), stands=given.stands_on is not None, turn=turn)

    def _touches(self, given: FoundPlace) -> str:
        """With what it touches, in words."""
        if on := self._foot(given):
            return on.name
        if self.round:
            return given.stands_on or "bottom"
        foot = f"{given.stands_on} edge" if given.stands_on else given.lies or "back"
        name = given.face or next(iter(self.datums))
        return f"{foot} of face {name}" if name else foot

    def _run(self, given: FoundPlace, path: Path) -> Array | None:
        """Unit direction on the skin that its right looks, or that its edge runs."""
        skin = given.skin
        if given.along is None:
            usual = self._usual(given) if given.turn is None else None
            return skin.turned(given.turn or 0.0) if usual is None else usual.run
        try:
            way = direction(given.along, skin.place)
            across = way - (way @ skin.out) * skin.out
            if np.linalg.norm(across) > _SQUARE:
                return unit(across)
        except ValueError:
            pass
        what = "`along` looks square to the skin, so it does not turn the part on it"
        self.request.fault((*path, "along"), what, "a direction along the skin, or turn = degrees")
        return None

    def _usual(self, given: FoundPlace) -> OnFoot | None:
        """The way round in which it stands on its foot where the job gives none: the one that fits, or either where
        both put its metal in one place; None where that is for the job to say."""
        foot = self._foot(given)
        if foot is None or why_not(foot, given.skin):
            return None
        ways = ways_to_fit(foot, self.datums[foot.face], given.skin)
        if len(ways) > 1 and not self._alike_round(foot):
            return None
        return max(ways, key=lambda way: round(way.turn, 6), default=None)

    def _alike_round(self, foot: Foot) -> bool:
        """Whether it is the same turned half round on its foot, as a flat one whose halves are mirror images is."""
        if len(self.datums) > 1 or not self.datums[foot.face].corners:
            return False
        middle, up = foot.under.origin[:2], foot.under.z[:2]
        outline = np.array(self.datums[foot.face].corners)
        other = shapely.Polygon(_flipped(outline, middle, up))
        if not shapely.Polygon(outline).symmetric_difference(other).area < _SPECK * self.request.thickness:
            return False
        own = [(hole.hole.shape.perimeter, np.array(centre_of(hole.hole.shape))) for hole in self.holes]
        return all(
            any(abs(round_ - long) < _SPECK and float(np.abs(_flipped(at, middle, up) - to).max()) < _SPECK
                for long, to in own)
            for round_, at in own
        )  # fmt: skip

    def _hollow(self, given: FoundPlace, path: Path, does: str) -> None:
        what = f"nothing {does} on the inside of a bend of {given.against}"
        accepted = "another side, a place on a straight, or an edge turned by 90 degrees"
        self.request.fault((*path, "toward" if given.toward else "side"), what, accepted)

    # -- its own point ----------------------------------------------------------------
    def _own(self, given: PlaceGiven, path: Path, middle: bool) -> tuple[str, Xy] | None:
        """The face that is spoken of, and (u, v) of the point that lies on the place; `middle` that of the face where
        the job says none."""
        named = [name for name in self.datums if name]
        if given.face and given.face not in named:
            accepted = listed([shown(name) for name in named]) if named else "no `face`: it is one flat"
            what = f"the part has no face {shown(given.face)}"
            self.request.fault((*path, "face"), what, accepted, nearest(given.face, named))
            return None
        face = given.face or next(iter(self.datums))
        if self.round:
            keys = [key for key in ("of", "hole", "lies") if getattr(given, key) is not None]
            ends = (None, "bottom", "top") if self.tall else (None, "bottom")
            keys += ["stands_on"] if given.stands_on not in ends else []
            for key in keys:
                self.request.fault(
                    (*path, key), f"{key} has no meaning here", "a flat or folded part; this stands by its axis"
                )
            return None if keys else (face, (0.0, 0.0))
        if given.hole is None:
            own = self.datums[face].middle if middle else (0.0, 0.0)
            return face, own if given.of is None else (given.of[0], given.of[1])
        if given.hole > len(self.holes):
            count = len(self.holes)
            accepted = f"a number from 1 to {count}" if count else "of = [u, v]; the part has no holes"
            self.request.fault((*path, "hole"), f"there is no hole {given.hole}", accepted)
            return None
        hole = self.holes[given.hole - 1]
        return hole.face if hole.face in self.datums else face, centre_of(hole.hole.shape)

    def _laid(self, given: PlaceGiven, point: tuple[str, Xy], at: Array, along: Array, up: Array) -> Frame:
        """Its frame with that point `at`, its right `along` and its upper side `up`."""
        datum = self.datums[point[0]]
        height = 0.0 if self.round else HEIGHTS[given.lies or "back"] * self.request.thickness
        return _frame(datum, datum.at(point[1], height), at, along, up)


def _edge(given: FoundPlace, face: Datum, at: Xy) -> tuple[Xy, tuple[float, float]]:
    """(u, v) of the point of an edge that lies on the place, and from where to where the edge runs, mm."""
    u0, v0, u1, v1 = face.bounds
    line = {"bottom": v0, "top": v1, "left": u0, "right": u1}[given.stands_on or "bottom"]
    along, _ = EDGES[given.stands_on or "bottom"]
    on = [corner[along] for corner in face.corners if abs(corner[1 - along] - line) < _ON_EDGE]
    ends = (min(on), max(on)) if len(on) > 1 else (face.bounds[along], face.bounds[along + 2])
    place = (ends[0] + ends[1]) / 2.0 if given.of is None and given.hole is None else at[along]
    return ((line, place) if along else (place, line)), ends


def _frame(datum: Datum, point: Array, at: Array, along: Array, up: Array) -> Frame:
    """The made part's frame in the vehicle: the datum's u `along`, its front `up`, and `point` on `at`."""
    own = np.array([datum.u, np.cross(datum.front, datum.u), datum.front])
    wanted = np.array([along, np.cross(up, along), up])
    axes = own.T @ wanted  # rows: where the part's own x, y and z look
    return Frame(at - point @ axes, *axes)


def _flipped(points: Array, middle: Array, along: Array) -> Array:
    """Points of the plane, (2,) or (n, 2), on the other side of a line through a middle, unit along it."""
    away = points - middle
    return np.asarray(middle + 2.0 * (away @ along)[..., None] * along - away)

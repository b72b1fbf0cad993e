"""Where a tape goes: which places of a job it comes to, and between which nothing stands in its way.

Two ends of tubes that are made are measured with the tape on the same side of both, beside their axes; any other line
runs straight from place to place.  Link rods and dampers are not there while a frame is measured, and no tape is held
to a place in the air.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import pairwise

import numpy as np

from fabgen.contact.near import Boxes
from fabgen.contact.round_shells import ball
from fabgen.contact.solids import Solid
from fabgen.geometry.space.frame import Array, Frame, any_across
from fabgen.geometry.space.shared_metal import mesh_of
from fabgen.geometry.space.skin import PlacedSkin, Skin, thread
from fabgen.job.tables.definitions import Definitions
from fabgen.job.values.point import Point
from fabgen.parts.piece import FlatPart, LengthPart, LinkPart, Piece, ProfilePart
from fabgen.parts.shape.bored.hole_ways import HoleWay, hole_ways
from fabgen.parts.survey.check_distances import SAME, Rail, rails
from fabgen.parts.survey.unchecked import measured_from

ABOVE = 5.0
"""A tape on the same side of two tubes lies this far off the farther skin, mm: over weld caps (common practice, no
source)."""
TOUCHING = 3.0
"""Metal nearer than this to a place is what the place is marked on, and a tape gives way so far to metal that it lies
on, mm: points are seldom better measured."""
_OWN = 3.0
"""Metal of what ends at a place is in nobody's way as far from it as this many times its size."""
_SIDES = 12
_LOOKS, _OUT = 32, 8
"""A place from which no more of so many looks in all directions go past tubes and profiles lies inside them."""
_FAR = 1.0e4
_BOLT = 60.0
"""A tape is held to a bolt so far from the holes that it goes through, mm: the middle of a clevis, the end of a stud
(common practice, no source)."""


@dataclass(frozen=True, eq=False)
class _Place:
    """What a tape is held to.

    Args:
        at: (3,), mm.
        is_end: whether a tube or profile that is not there already ends at it.
        size: how far the metal of what runs through it reaches from it, mm.
        own: marks of what runs to or through it, is not there already, and is in nobody's way there.
        is_joint: whether it is the bolt of a link rod or damper, which is measured at the bolt's ends.
    """

    at: Array
    is_end: bool
    size: float
    own: frozenset[str]
    is_joint: bool

    def excuses(self, solid: Solid) -> float:
        """How far from it a part is in nobody's way, mm: farther where it is what ends there."""
        source = solid.source
        assert isinstance(source, Piece)
        own = not _is_there(solid) and not self.own.isdisjoint((source.mark, source.cut_from))
        return max(TOUCHING, _OWN * self.size) if own else TOUCHING

    def is_held_by(self, solid: Solid) -> bool:
        """Whether a sheet part is a bracket of its bolt."""
        if not self.is_joint or not isinstance(solid.part, FlatPart):
            return False
        low, high = solid.box
        return bool((self.at >= low - TOUCHING).all() and (self.at <= high + TOUCHING).all())


class Tape:
    """What a tape can do on a job.

    Args:
        job: its definitions, as drawn.
        solids: every part that has a place.
        read: places between which it was read already, by name, with what was read.
    """

    def __init__(self, job: Definitions, solids: Sequence[Solid], read: Sequence[tuple[str, str, float]] = ()) -> None:
        self._job = job
        self._metal = Boxes([solid for solid in solids if not isinstance(solid.part, LinkPart)])
        self._read = {(min(one, other), max(one, other)) for one, other, _ in read}
        self._places: dict[str, _Place] = {}
        self._runs: dict[tuple[str, str], bool] = {}
        self._open: dict[tuple[str, bool], bool] = {}
        self._held: dict[str, bool] = {}

    @cached_property
    def _rails(self) -> list[Rail]:
        return rails(self._job)

    @cached_property
    def _stretches(self) -> tuple[list[Rail], Array, Array]:
        """The straights of their routes: whose each is, where it starts and its way, (n, 3) each."""
        every = [(rail, a.xyz, b.xyz) for rail in self._rails for a, b in pairwise(rail.route)]
        starts, ends = (np.array([each[k] for each in every]) for k in (1, 2))
        return [each[0] for each in every], starts, ends - starts

    @cached_property
    def _joints(self) -> list[Point]:
        """Where bolts are that can be measured at their ends."""
        rods = [link.between for link in self._job.link if link.between is not None]
        return [point for pair in (*rods, *(damper.between for damper in self._job.damper)) for point in pair]

    @cached_property
    def _holes(self) -> list[HoleWay]:
        """The holes of all that is there while one measures."""
        pieces = {id(solid.source): solid.source for solid in self._metal.solids}
        return [hole for piece in pieces.values() if isinstance(piece, Piece) for hole in hole_ways(piece)]

    @cached_property
    def _marked(self) -> frozenset[str]:
        """The places that were measured, or measured from, so that there is a mark at each."""
        return measured_from(self._job.points).union(*self._read)

    @cached_property
    def _filled(self) -> dict[Solid, PlacedSkin]:
        """Straight tubes with their bores filled, as no tape runs in these, as they are asked for."""
        return {}

    def is_held(self, place: Point) -> bool:
        """Whether there is anything to hold it to: metal, a bolt in its holes, or a mark; a place in the air has none.

        Args:
            place: named.
        """
        if place.name not in self._held:
            at = np.array(place.xyz)
            self._held[place.name] = (
                place.name in self._marked or bool(self._through(at)) or self._is_at_hole(at) or self._is_on_metal(at)
            )
        return self._held[place.name]

    def _is_at_hole(self, at: Array) -> bool:
        for hole in self._holes:
            off = at - hole.centre
            along = float(off @ hole.axis)
            if abs(along) <= _BOLT and float(np.linalg.norm(off - along * hole.axis)) <= TOUCHING:
                return True
        return False

    def _is_on_metal(self, at: Array) -> bool:
        near = PlacedSkin(Skin((ball(at, TOUCHING),)))
        return any(
            solid.skin.meets(near) or solid.skin.is_around(near)
            for solid in self._metal.meeting((at - TOUCHING, at + TOUCHING))
        )

    def comes_to(self, place: Point) -> bool:
        """Whether a place is none that lies inside a tube or profile that does not end there, or in one that is there
        already.

        Args:
            place: named.
        """
        return self._is_open(place, self._place(place).is_end) or any(place.name in pair for pair in self._read)

    def runs(self, one: Point, other: Point) -> bool:
        """Whether nothing stands between two places, or beside them on one side where both are ends of what is made.

        Args:
            one, other: named.
        """
        key = _key(one, other)
        if key not in self._runs:
            self._runs[key] = key in self._read or (
                self.comes_to(one) and self.comes_to(other) and self._is_clear(self._place(one), self._place(other))
            )
        return self._runs[key]

    def reads(self, one: Point, other: Point) -> bool:
        """Whether it reads a distance with nothing to add: from one side of both where both are ends, else between
        places of which none lies under the skin of what ends there.

        Args:
            one, other: named.
        """
        places = (one, other)
        return (
            _key(one, other) in self._read
            or all(self._place(place).is_end for place in places)
            or all(self._is_open(place, False) for place in places)
        )

    # -- places --------------------------------------------------------------------------------
    def _place(self, place: Point) -> _Place:
        if place.name not in self._places:
            at = np.array(place.xyz)
            made = [rail for rail in self._rails if not rail.there]
            through = self._through(at)
            is_end = any(math.dist(end.xyz, place.xyz) <= SAME for rail in made for end in rail.ends)
            self._places[place.name] = _Place(
                at,
                is_end,
                max((rail.reach for rail in through), default=0.0),
                frozenset(rail.mark for rail in through if is_end),
                any(math.dist(joint.xyz, place.xyz) <= SAME for joint in self._joints),
            )
        return self._places[place.name]

    def _through(self, at: Array) -> list[Rail]:
        """The tubes and profiles whose metal reaches a place from their routes."""
        if not self._rails:
            return []
        owners, starts, ways = self._stretches
        share = ((at - starts) * ways).sum(axis=1) / np.maximum((ways * ways).sum(axis=1), 1e-12)
        off = np.linalg.norm(at - starts - np.clip(share, 0.0, 1.0)[:, np.newaxis] * ways, axis=1)
        return [rail for rail, away in zip(owners, off.tolist(), strict=True) if away <= rail.reach]

    def _is_open(self, place: Point, made: bool) -> bool:
        """Whether more than a few of the looks from a place go past what is round it: all, or where `made` only what
        is there already."""
        key = (place.name, made)
        if key not in self._open:
            self._open[key] = self._sees_out(np.array(place.xyz), made)
        return self._open[key]

    def _sees_out(self, at: Array, made: bool) -> bool:
        around = [
            solid
            for solid in self._metal.meeting((at - TOUCHING, at + TOUCHING))
            if isinstance(solid.part, LengthPart | ProfilePart) and not (made and not _is_there(solid))
        ]
        out, left = 0, _LOOKS
        for look in _looks() if around else ():
            eye = PlacedSkin(look.skin, Frame(at, look.frame.x, look.frame.y, look.frame.z))
            out += not any(eye.meets(solid.skin) for solid in around)
            left -= 1
            if out > _OUT or out + left <= _OUT:
                break
        return out > _OUT or not around

    # -- lines ---------------------------------------------------------------------------------
    def _is_clear(self, one: _Place, other: _Place) -> bool:
        """Whether a tape goes straight from place to place, or else on one of the sides of that line: there it has
        nothing of its own tubes before it where both are ends."""
        line, long = _along(one.at, other.at - one.at), float(np.linalg.norm(other.at - one.at))
        ends = one.is_end and other.is_end
        off = max(one.size, other.size) + ABOVE if ends else TOUCHING
        around = [
            solid
            for solid in self._metal.along((one.at, other.at), off)
            if not one.is_held_by(solid) and not other.is_held_by(solid)
        ]

        def is_free(aside: Array, excusing: bool) -> bool:
            beside = Frame(line.origin + aside, line.x, line.y, line.z)
            for solid in around:
                begin, end = (one.excuses(solid), long - other.excuses(solid)) if excusing else (0.0, long)
                if begin < end and self._cuts(PlacedSkin(thread(begin, end), beside), solid):
                    return False
            return True

        if is_free(np.zeros(3), True):
            return True
        turns = (2.0 * math.pi * side / _SIDES for side in range(_SIDES))
        return any(is_free(off * (math.cos(turn) * line.y + math.sin(turn) * line.z), not ends) for turn in turns)

    def _cuts(self, tape: PlacedSkin, solid: Solid) -> bool:
        """Whether a tape goes through a part, or in the bore of a straight tube."""
        if not solid.is_hollow:
            return tape.meets(solid.skin)
        if solid not in self._filled:
            self._filled[solid] = PlacedSkin(Skin((mesh_of(solid.filled),)))
        filled = self._filled[solid]
        return tape.meets(filled) or filled.is_around(tape)


def _key(one: Point, other: Point) -> tuple[str, str]:
    return min(one.name, other.name), max(one.name, other.name)


def _is_there(solid: Solid) -> bool:
    return isinstance(solid.source, Piece) and solid.source.state == "there already"


@cache
def _looks() -> list[PlacedSkin]:
    """Looks from the origin, spread evenly over a sphere: a spiral that turns by the golden angle."""
    z = 1.0 - (2.0 * np.arange(_LOOKS) + 1.0) / _LOOKS
    turn = math.pi * (3.0 - math.sqrt(5.0)) * np.arange(_LOOKS)
    out = np.sqrt(1.0 - z * z)
    ways = np.stack((out * np.cos(turn), out * np.sin(turn), z), axis=1)
    return [PlacedSkin(thread(TOUCHING, _FAR), _along(np.zeros(3), way)) for way in ways]


def _along(at: Array, way: Array) -> Frame:
    """A frame along a line, whichever way up."""
    return Frame.along(at, way, any_across(way))

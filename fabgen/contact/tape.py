"""Where a tape goes: which places of a job it comes to, and between which nothing stands in its way.

Two ends of tubes that are made are measured with the tape on the same side of both, beside their axes; any other line
runs straight from place to place.  Link rods and dampers are not there while a frame is measured.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property
from itertools import pairwise

import numpy as np

from fabgen.contact.near import Boxes
from fabgen.contact.solids import Solid
from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.sight import crossings, round_about
from fabgen.job.tables.definitions import Definitions
from fabgen.job.values.point import Point
from fabgen.parts.piece import FlatPart, LengthPart, LinkPart, Piece, ProfilePart
from fabgen.parts.survey.check_distances import SAME, Rail, rails

ABOVE = 5.0
"""A tape on the same side of two tubes lies this far off the farther skin, mm: over weld caps (common practice, no
source)."""
TOUCHING = 3.0
"""Metal nearer than this to a place is what the place is marked on, and a tape gives way so far to metal that it lies
on, mm: points are seldom better measured."""
_OWN = 3.0
"""Metal of what ends at a place is in nobody's way as far from it as this many times its size."""
_SIDES = 12
_LOOKS, _SHUT = 32, 0.75
"""A place from which so great a share of looks in all directions ends on tubes and profiles lies inside them."""
_FAR = 1.0e4


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
        self._seen: dict[tuple[str, str], bool] = {}
        self._open: dict[tuple[str, bool], bool] = {}

    @cached_property
    def _rails(self) -> list[Rail]:
        return rails(self._job)

    @cached_property
    def _joints(self) -> list[Point]:
        """Where bolts are that can be measured at their ends."""
        rods = [link.between for link in self._job.link if link.between is not None]
        return [point for pair in (*rods, *(damper.between for damper in self._job.damper)) for point in pair]

    def comes_to(self, place: Point) -> bool:
        """Whether a place is none that lies inside a tube or profile that does not end there, or in one that is there
        already.

        Args:
            place: named.
        """
        return self._is_open(place, self._is_end(place)) or any(place.name in pair for pair in self._read)

    def runs(self, one: Point, other: Point) -> bool:
        """Whether nothing stands between two places, or beside them on one side where both are ends of what is made.

        Args:
            one, other: named.
        """
        key = _key(one, other)
        if key not in self._seen:
            self._seen[key] = key in self._read or (
                self.comes_to(one) and self.comes_to(other) and self._is_clear(one, other)
            )
        return self._seen[key]

    def reads(self, one: Point, other: Point) -> bool:
        """Whether it reads a distance with nothing to add: from one side of both where both are ends, else between
        places of which none lies under the skin of what ends there.

        Args:
            one, other: named.
        """
        places = (one, other)
        if _key(one, other) in self._read:
            return True
        return all(self._is_end(place) for place in places) or all(self._is_open(place, False) for place in places)

    # -- places --------------------------------------------------------------------------------
    def _is_open(self, place: Point, made: bool) -> bool:
        """Whether more than a few of the looks from a place go past what is round it: all, or where `made` only what
        is there already."""
        key = (place.name, made)
        if key not in self._open:
            self._open[key] = self._sees_out(place, made)
        return self._open[key]

    def _sees_out(self, place: Point, made: bool) -> bool:
        at = np.array(place.xyz)
        starts = np.tile(at, (_LOOKS, 1))
        ends = starts + _FAR * round_about(_LOOKS)
        shut = np.zeros(_LOOKS, dtype=bool)
        for solid in self._metal.meeting((at - TOUCHING, at + TOUCHING)):
            if isinstance(solid.part, LengthPart | ProfilePart) and not (made and not _is_there(solid)):
                shut |= (_through(solid, starts, ends) * _FAR > TOUCHING).any(axis=1)
        return float(shut.mean()) < _SHUT

    def _is_end(self, place: Point) -> bool:
        """Whether a tube or profile that is not there already ends at it."""
        return any(math.dist(end.xyz, place.xyz) <= SAME for rail in self._rails if not rail.there for end in rail.ends)

    def _size(self, place: Point) -> float:
        """How far the metal of what runs through a place reaches from it, mm."""
        at = np.array(place.xyz)
        return max((rail.reach for rail in self._rails if _off_line(rail, at) <= rail.reach), default=0.0)

    # -- lines ---------------------------------------------------------------------------------
    def _is_clear(self, one: Point, other: Point) -> bool:
        start, finish = np.array(one.xyz), np.array(other.xyz)
        ends = self._is_end(one) and self._is_end(other)
        off = max(self._size(one), self._size(other)) + ABOVE if ends else TOUCHING
        aside = np.concatenate((np.zeros((1, 3)), off * _square_to(finish - start)))
        starts, finishes = start + aside, finish + aside
        free = np.ones(len(aside), dtype=bool)
        box = (np.minimum(starts, finishes).min(axis=0), np.maximum(starts, finishes).max(axis=0))
        for solid in self._metal.meeting(box):
            if _passes(solid, start, finish, off) and not any(self._holds(solid, place) for place in (one, other)):
                near = tuple(self._excused(solid, place) for place in (one, other))
                found = _through(solid, starts, finishes) * math.dist(one.xyz, other.xyz)
                stopped = (found > near[0]) & (found < math.dist(one.xyz, other.xyz) - near[1])
                if ends:  # beside its tubes a tape has nothing of theirs before it
                    stopped[1:] = ~np.isnan(found[1:])
                free &= np.logical_not(stopped.any(axis=1))
        return bool(free.any())

    def _excused(self, solid: Solid, place: Point) -> float:
        """How far from a place a part is in nobody's way, mm: farther where it is what ends there."""
        return max(TOUCHING, _OWN * self._size(place)) if self._is_own(solid, place) else TOUCHING

    def _holds(self, solid: Solid, place: Point) -> bool:
        """Whether a sheet part is a bracket of the bolt at a place."""
        if not isinstance(solid.part, FlatPart):
            return False
        low, high = solid.box
        at = np.array(place.xyz)
        around = bool((at >= low - TOUCHING).all() and (at <= high + TOUCHING).all())
        return around and any(math.dist(joint.xyz, place.xyz) <= SAME for joint in self._joints)

    def _is_own(self, solid: Solid, place: Point) -> bool:
        """Whether a part is one that is made and runs to or through a place where one ends."""
        if _is_there(solid) or not self._is_end(place):
            return False
        at = np.array(place.xyz)
        assert isinstance(solid.source, Piece)
        marks = (solid.source.mark, solid.source.cut_from)
        return any(rail.mark in marks and _off_line(rail, at) <= rail.reach for rail in self._rails)


def _passes(solid: Solid, start: Array, finish: Array, within: float) -> bool:
    """Whether a line comes within so many mm of a part's box, or nearly so."""
    way = finish - start
    way = np.where(np.abs(way) < 1e-9, 1e-9, way)
    shares = np.sort((np.array(solid.box) + np.array(((-within,), (within,))) - start) / way, axis=0)
    return bool(max(0.0, shares[0].max()) <= min(1.0, shares[1].min()))


def _key(one: Point, other: Point) -> tuple[str, str]:
    return min(one.name, other.name), max(one.name, other.name)


def _is_there(solid: Solid) -> bool:
    return isinstance(solid.source, Piece) and solid.source.state == "there already"


def _through(solid: Solid, starts: Array, ends: Array) -> Array:
    """Where lines come through the skin of a part, as shares of them, (lines, triangles), nan where they do not."""
    return crossings(solid.shape.skin.mesh.corners, solid.frame.inside(starts), solid.frame.inside(ends))


def _off_line(rail: Rail, at: Array) -> float:
    """How far a place is from the route of a tube or profile, mm."""
    return min(_off(np.array(a.xyz), np.array(b.xyz), at) for a, b in pairwise(rail.route))


def _off(a: Array, b: Array, at: Array) -> float:
    """How far a place is from the line between two others, mm."""
    way = b - a
    share = float((at - a) @ way) / max(float(way @ way), 1e-12)
    return float(np.linalg.norm(at - a - min(max(share, 0.0), 1.0) * way))


def _square_to(way: Array) -> Array:
    """Unit directions square to a way, all round it, (sides, 3)."""
    along = way / np.linalg.norm(way)
    up = np.eye(3)[int(np.argmin(np.abs(along)))]
    first = np.cross(along, up)
    first /= np.linalg.norm(first)
    second = np.cross(along, first)
    turns = 2.0 * np.pi * np.arange(_SIDES)[:, np.newaxis] / _SIDES
    return np.asarray(np.cos(turns) * first + np.sin(turns) * second)

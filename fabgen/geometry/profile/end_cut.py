"""An end of a profile as it is cut: sawn by a plane, then notched, holes drilled into the notch's inner corners first.

Lengths along the profile are x of the end's frame, metal on the greater-x side.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fabgen.geometry.profile.limbs import Limb
from fabgen.geometry.profile.notch import LimbLine
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.solids import HalfSpace

MARKED = 0.25
"""Where no more than this lies beyond the saw's plane, mm, a file takes it off without a line to mark (common practice,
no source)."""
SHARP = math.radians(30.0)
"""An inner corner of a notch that turns by more than this is one to drill: the chamfer beside a root is none."""
LEAST_HOLE = 3.0
"""A smaller hole, mm, does little for a corner and breaks drills: common practice, no source."""
_ARM = 0.2
"""The turn at a corner is that of so much line before and after it, mm."""
_BELOW = 0.05
"""The metal beside a notch is measured so far before its deepest place, mm."""
_CLEAR_PLACES = 201
"""Places of the cut from which a hole is to stay clear."""
_BEND_PLACES = 13
"""Stations over the bend of a folded heel."""


@dataclass(frozen=True, slots=True)
class SawnPlane:
    """The plane of a saw cut: where it meets the profile's own axis, `at` mm, and its unit normal into the metal in the
    end's frame (x along the profile, y, z)."""

    at: float
    normal: tuple[float, float, float] = (1.0, 0.0, 0.0)

    @staticmethod
    def of(plane: HalfSpace, frame: Frame) -> SawnPlane:
        """A plane in space, seen in the frame of an end.

        Args:
            plane: its normal points into the metal.
            frame: x along the profile.
        """
        ahead, y, z = (float(plane.normal @ way) for way in (frame.x, frame.y, frame.z))
        return SawnPlane((plane.level - float(plane.normal @ frame.origin)) / ahead, (ahead, y, z))

    def x(self, points: Array) -> Array:
        """Where it is met by lines along the profile, (n,) mm.

        Args:
            points: (n, 2) of the lines, in (y, z).
        """
        ahead, y, z = self.normal
        return np.asarray(self.at - (points @ np.array([y, z])) / ahead)

    @property
    def from_square(self) -> float:
        """Its angle from a square cut, rad."""
        return math.acos(min(1.0, self.normal[0]))


@dataclass(frozen=True, slots=True)
class CornerHole:
    """A hole drilled at the inner corner of a notch before it is cut: its edge goes through the corner.

    `station` and `x` of its middle on the limb, `corner` likewise, mm."""

    station: float
    x: float
    diameter: float
    corner: tuple[float, float]


@dataclass(frozen=True, eq=False)
class LimbEdge:
    """The edge of one limb as it is in the end: `station`, `x` (n,) mm, no nan; its inner corners; and how much of its
    width is `left` beside the notch at the notch's deepest place, mm (all of it where nothing is notched)."""

    limb: Limb
    station: Array
    x: Array
    corners: tuple[tuple[float, float], ...]
    left: float

    def off(self, station: float, x: float) -> float:
        """How far a place on the limb's face is from the cut, mm; below 0 where it is cut off.

        Args:
            station: along the face, mm.
            x: from the end's frame into the profile, mm.
        """
        ends = np.column_stack((self.station, self.x))
        steps = np.diff(ends, axis=0)
        size = np.maximum((steps**2).sum(axis=1), 1e-12)
        share = np.clip(((np.array([station, x]) - ends[:-1]) * steps).sum(axis=1) / size, 0.0, 1.0)
        away = np.hypot(*(ends[:-1] + share[:, None] * steps - [station, x]).T).min()
        return float(math.copysign(away, x - self._cut(station)))

    def clear(self, station: float, by: float) -> float:
        """Least x of a place on the limb's face that is so far from the cut, mm.

        Args:
            station: along the face, mm.
            by: mm.
        """
        low, high = max(station - by, float(self.station[0])), min(station + by, float(self.station[-1]))
        places = np.union1d(
            np.linspace(low, high, _CLEAR_PLACES), self.station[(self.station > low) & (self.station < high)]
        )
        cut = np.array([self._cut(float(place)) for place in places])
        return float((cut + np.sqrt(np.maximum(by**2 - (places - station) ** 2, 0.0))).max())

    def _cut(self, station: float) -> float:
        """x of the cut at a station; at a step the greater."""
        return max(float(np.interp(station + off, self.station, self.x)) for off in (-1e-6, 1e-6))

    def holes(self, diameter: float) -> tuple[CornerHole, ...]:
        """One at each inner corner, smaller by halves of a millimetre where it would run past a fold or a toe.

        Args:
            diameter: mm; 0 for none.
        Returns: none at a corner with no room for one of `LEAST_HOLE`.
        """
        if diameter <= 0.0:
            return ()
        found = []
        before, after = _arms(self.station, self.x)
        for i in _inner_corners(self.station, self.x):
            corner, back, on = np.array([self.station[i], self.x[i]]), before[i], after[i]
            way = back / np.hypot(*back) + on / np.hypot(*on)
            way /= np.hypot(*way)
            right, left = max(1.0 + way[0], 1e-9), max(1.0 - way[0], 1e-9)
            room = 2.0 * min((self.limb.width - corner[0]) / right, corner[0] / left)
            fits = diameter if diameter <= room else math.floor(2.0 * room) / 2.0
            if fits >= LEAST_HOLE:
                u, v = (corner + fits / 2.0 * way).tolist()
                found.append(CornerHole(u, v, fits, (float(corner[0]), float(corner[1]))))
        return tuple(found)


@dataclass(frozen=True, eq=False)
class EndCut:
    """An end: the saw cut first, then the notch, one edge a limb, and the diameter of the holes at its corners, mm."""

    sawn: SawnPlane
    lines: tuple[LimbLine, ...]
    hole: float = 0.0

    @cached_property
    def edges(self) -> tuple[LimbEdge, ...]:
        """The edges of its limbs."""
        deepest = max((float(np.nanmax(line.x)) for line in self.lines if line.is_cut), default=-math.inf)
        return tuple(_edge(line, self.sawn, deepest) for line in self.lines)

    def edge(self, face: str) -> LimbEdge:
        """The edge of the limb behind an outer face.

        Args:
            face: its name.
        """
        return next(edge for edge in self.edges if edge.limb.name == face)

    @property
    def longest(self) -> float:
        """Least x of the end, where the bar is longest, mm, on its outer faces."""
        return min(float(edge.x.min()) for edge in self.edges)

    def beyond_saw(self, limbs: Sequence[str] = ()) -> float:
        """How far it is cut back beyond the saw's plane at most, mm; 0 where it is only sawn.

        Args:
            limbs: names of the limbs that count; () = all.
        """
        edges = [edge for edge in self.edges if not limbs or edge.limb.name in limbs]
        return max((float((e.x - self.sawn.x(e.limb.skin(e.station)[0])).max()) for e in edges), default=0.0)

    @property
    def has_sharp_corner(self) -> bool:
        """Whether an inner corner of the notch stays without a hole."""
        return any(len(edge.holes(self.hole)) < len(edge.corners) for edge in self.edges)


def sawn_end(limbs: Sequence[Limb], sawn: SawnPlane) -> EndCut:
    """An end that is sawn by a plane and not notched.

    Args:
        limbs: of the profile.
        sawn: the plane.
    """
    none = np.full(2, np.nan)
    return EndCut(sawn, tuple(LimbLine(limb, np.array([0.0, limb.width]), none) for limb in limbs))


def notched_end(lines: Sequence[LimbLine], lap: SawnPlane | None = None, hole: float = 0.0) -> EndCut:
    """An end that is notched to sit on something.

    Args:
        lines: of its limbs.
        lap: the plane to which it is sawn before; without one square where the notch leaves it longest, so that what
            passes by what it sits on ends there.
        hole: diameter of the holes at the notch's inner corners, mm; 0 for none.
    Raises:
        ValueError: no limb meets anything: the end is in the air.
    """
    cut = [float(np.nanmin(line.x)) for line in lines if line.is_cut]
    if not cut:
        raise ValueError("the end meets nothing")
    return EndCut(lap or SawnPlane(min(cut)), tuple(lines), hole)


def _edge(line: LimbLine, sawn: SawnPlane, deepest: float) -> LimbEdge:
    limb = line.limb
    station, notch = line.station, np.where(np.isnan(line.x), -np.inf, line.x)
    if limb.edge.is_arc:
        more = np.linspace(0.0, limb.width, _BEND_PLACES)
        more = more[~np.isin(more, station)]
        notch = np.concatenate((notch, np.where(np.isnan(at := line.at(more)), -np.inf, at)))
        station = np.concatenate((station, more))
        order = np.argsort(station, kind="stable")
        station, notch = station[order], notch[order]
    plane = sawn.x(limb.skin(station)[0])
    over = notch - plane
    stations, values = [station[0]], [max(notch[0], plane[0])]
    for i in range(1, len(station)):
        if np.isfinite(over[i - 1 : i + 1]).all() and over[i - 1] * over[i] < 0.0 and station[i] > station[i - 1]:
            share = over[i - 1] / (over[i - 1] - over[i])
            stations.append(station[i - 1] + share * (station[i] - station[i - 1]))
            values.append(plane[i - 1] + share * (plane[i] - plane[i - 1]))
        stations.append(station[i])
        values.append(max(notch[i], plane[i]))
    s, x = _without_repeats(np.array(stations), np.array(values))
    corners = tuple((float(s[i]), float(x[i])) for i in _inner_corners(s, x))
    return LimbEdge(limb, s, x, corners, _width_before(s, x, deepest - _BELOW))


def _without_repeats(s: Array, x: Array) -> tuple[Array, Array]:
    kept = np.concatenate(([True], (np.abs(np.diff(s)) > 1e-6) | (np.abs(np.diff(x)) > 1e-6)))
    return s[kept], x[kept]


def _arms(s: Array, x: Array) -> tuple[Array, Array]:
    """From each place of the edge to that `_ARM` mm of line before it and after it, (n, 2) mm each.

    Where a curve ends steep its stations lie so near to one another that the line between two says nothing.
    """
    length = np.concatenate(([0.0], np.cumsum(np.hypot(np.diff(s), np.diff(x)))))
    before, after = (
        np.column_stack([np.interp(length + way, length, along) - along for along in (s, x)]) for way in (-_ARM, _ARM)
    )
    return before, after


def _inner_corners(s: Array, x: Array) -> list[int]:
    """Places where the edge turns right by more than `SHARP`: the metal, on its left, has an inner corner there."""
    before, after = _arms(s, x)
    turn = np.arctan2(
        after[:, 0] * before[:, 1] - after[:, 1] * before[:, 0], -(before * after).sum(axis=1)
    )  # of the way on from the way there
    found: list[int] = []
    for i in np.flatnonzero(turn[1:-1] < -SHARP) + 1:
        near = found and math.hypot(s[i] - s[found[-1]], x[i] - x[found[-1]]) < 2.0 * _ARM
        if not near:
            found.append(int(i))
        elif turn[i] < turn[found[-1]]:
            found[-1] = int(i)
    return found


def _width_before(s: Array, x: Array, level: float) -> float:
    """How much of the limb's width reaches past a level toward the end, mm."""
    total = 0.0
    for i in range(1, len(s)):
        low, high = sorted((x[i - 1], x[i]))
        share = 1.0 if high <= level else 0.0 if low >= level else (level - low) / (high - low)
        total += share * float(s[i] - s[i - 1])
    return total

"""The notch of a profile's end: each limb cut back until it clears what the profile sits on.

As with a coped tube the cut runs square through the limb: at each station it is the greatest x, over the limb's
thickness, at which the limb is inside what it sits on (`geometry/tube/contact.py`).  A limb that passes by is not cut,
and keeps the length to which the bar is sawn: so a leg laps over a face while the other butts on it.  The filling of
the profile's own root, where that fouls, is ground off flush.

A line is straight between its stations, to `TRUE` mm.  Where what it sits on ends, as at a flange's toe, it steps: two
stations alike with two values of x.  The stations are not left to luck: every edge of a flat-faced solid that comes
through one of the limb's two faces has one, and between them the line is halved until it is true.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from fabgen.geometry.plane.outline import Outline
from fabgen.geometry.profile.limbs import GRAZE, Limb, roots_of
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.contact import greatest
from fabgen.geometry.tube.solids import Convex, Solid, Union

TRUE = 0.002
"""The most that a line is off between two stations, mm."""
_SHORTEST = 1e-4
"""Stations this near to one another are not halved any more, mm: there the line steps."""
_STEP = 0.02
"""A line that changes by more than this between two such stations steps, mm."""
_SPACING = 0.5
"""Of stations before any are halved, mm: less than any toe is thick."""
_ROOT_SPACING, _ROOT_MARGIN = 0.1, 0.2
"""Of stations over a root's filling, mm, and by how much more than they find is ground off: a grinder is no knife."""


@dataclass(frozen=True, eq=False)
class LimbLine:
    """Where one limb is cut: `station` (n,) mm from its start, ascending, and `x` (n,) mm along the profile, nan where
    it is not cut.  At a step a station stands twice."""

    limb: Limb
    station: Array
    x: Array

    @property
    def is_cut(self) -> bool:
        """Whether anything is cut off the limb."""
        return bool(np.isfinite(self.x).any())

    def at(self, station: Array) -> Array:
        """x at any station, the greater at a step, (n,) mm; nan where it is not cut.

        Args:
            station: (n,) mm.
        """
        low = np.where(np.isnan(self.x), -np.inf, self.x)
        found = np.full(len(station), -np.inf)
        for i in range(len(low) - 1):
            a, b = self.station[i], self.station[i + 1]
            on = (station >= a) & (station <= b)
            if b > a and np.isfinite(low[i : i + 2]).all():
                between = low[i] + (station[on] - a) / (b - a) * (low[i + 1] - low[i])
                found[on] = np.maximum(found[on], between)
        return np.where(np.isneginf(found), np.nan, found)


def notch_lines(limbs: Sequence[Limb], frame: Frame, mains: Sequence[Solid], gap: float = 0.0) -> tuple[LimbLine, ...]:
    """Where each limb of an end is cut to sit on what it meets.

    Args:
        limbs: of the profile.
        frame: of the end: x from it along the profile, y and z those of the outline.
        mains: what it sits on, each a union of pieces.
        gap: what stays open between the cut and each surface, mm.
    """
    solid = _grown(mains, gap)
    edges = [edge for main in solid.parts for edge in _edges(main)]
    return tuple(_line(limb, frame, solid, edges) for limb in limbs)


def roots_ground(outline: Outline, frame: Frame, mains: Sequence[Solid], gap: float = 0.0) -> tuple[float, ...]:
    """How far along the profile the filling of each root must be ground off flush, x mm; nan where it fouls nothing.

    Args:
        outline: of the profile, mm.
        frame, mains, gap: as those of `notch_lines`.
    """
    solid = _grown(mains, gap)
    found = []
    for root in roots_of(outline):
        station = np.linspace(GRAZE, root.width - GRAZE, max(8, math.ceil(root.width / _ROOT_SPACING)))
        x = greatest(solid, root.walls(station, frame))
        found.append(math.nan if np.isnan(x).all() else float(np.nanmax(x)) + _ROOT_MARGIN)
    return tuple(found)


def _grown(mains: Sequence[Solid], gap: float) -> Union:
    return Union(tuple(main.grown(gap) if gap > 0.0 else main for main in mains))


@dataclass(frozen=True, eq=False)
class _StraightEdge:
    """An edge of a flat-faced piece: a point of it and its unit direction, (3,)."""

    point: Array
    along: Array


def _edges(solid: Solid) -> list[_StraightEdge]:
    """Where two flat faces of a piece meet."""
    found = []
    for piece in solid.pieces():
        if not isinstance(piece, Convex):
            continue
        for one, other in combinations(piece.planes, 2):
            along = np.cross(one.normal, other.normal)
            size = float(along @ along)
            if size > 1e-12:
                point = np.cross(one.level * other.normal - other.level * one.normal, along) / size
                found.append(_StraightEdge(point, along / math.sqrt(size)))
    return found


def _line(limb: Limb, frame: Frame, solid: Solid, edges: Sequence[_StraightEdge]) -> LimbLine:
    def cut(station: Array) -> Array:
        # The toe's own edge and the heel only touch what they run along.
        inner = np.clip(station, GRAZE, limb.width - GRAZE)
        return greatest(solid, limb.walls(inner, frame))

    station = _first_stations(limb, frame, edges)
    x = cut(station)
    while True:
        middle = (station[1:] + station[:-1]) / 2.0
        at_middle = cut(middle)
        missing = np.isnan(x)
        steps = (missing[1:] != missing[:-1]) | (missing[1:] != np.isnan(at_middle))
        bent = np.abs(at_middle - (x[1:] + x[:-1]) / 2.0) > TRUE
        halved = (steps | bent) & (np.diff(station) > _SHORTEST)
        if not halved.any():
            break
        station = np.concatenate((station, middle[halved]))
        order = np.argsort(station, kind="stable")
        station, x = station[order], np.concatenate((x, at_middle[halved]))[order]
    return LimbLine(limb, *_tidied(*_stepped(station, x)))


def _first_stations(limb: Limb, frame: Frame, edges: Sequence[_StraightEdge]) -> Array:
    count = max(2, math.ceil(limb.width / _SPACING) + 1)
    found = [*np.linspace(0.0, limb.width, count)]
    if not limb.edge.is_arc:
        skin, inward = (v[0] for v in limb.skin(np.zeros(1)))
        ahead = np.array([-inward[1], inward[0]]) * -1.0
        across = np.vstack((frame.y, frame.z))
        for edge in edges:
            point, along = across @ (edge.point - frame.origin), across @ edge.along
            rise = float(along @ inward)
            if abs(rise) < 1e-9:
                found += _beside(float((point - skin) @ ahead))
                continue
            for depth in (GRAZE, limb.thickness - GRAZE):
                t = (depth - float((point - skin) @ inward)) / rise
                found += _beside(float((point + t * along - skin) @ ahead))
    inside = (each for each in found if -_SHORTEST < each < limb.width + _SHORTEST)
    return np.unique(np.round(np.clip(np.array(list(inside)), 0.0, limb.width), 9))


def _beside(station: float) -> list[float]:
    return [station - _SHORTEST / 4.0, station, station + _SHORTEST / 4.0]


def _stepped(station: Array, x: Array) -> tuple[Array, Array]:
    """Steps made upright, the greater x kept over all of the little way in which they lie."""
    low = np.where(np.isnan(x), -np.inf, x)
    stations, values = [float(station[0])], [float(x[0])]
    for i in range(1, len(station)):
        narrow = station[i] - station[i - 1] <= 2.0 * _SHORTEST
        differ = np.isnan(x[i]) != np.isnan(x[i - 1])
        if narrow and (differ or abs(x[i] - x[i - 1]) > _STEP):
            where = float(station[i - 1] if low[i] > low[i - 1] else station[i])
            stations += [where, where]
            values += [float(x[i - 1]), float(x[i])]
        stations.append(float(station[i]))
        values.append(float(x[i]))
    return np.array(stations), np.array(values)


def _tidied(station: Array, x: Array) -> tuple[Array, Array]:
    """Without stations between which the line runs straight on."""
    kept = [0]
    last = len(station) - 1
    while kept[-1] < last:
        here, there = kept[-1], kept[-1] + 1
        while there < last and _straight(station[here : there + 2], x[here : there + 2]):
            there += 1
        kept.append(there)
    return np.round(station[kept], 4), x[kept]


def _straight(station: Array, x: Array) -> bool:
    missing = np.isnan(x)
    if missing.all():
        return True
    if missing.any():
        return False
    way = station[-1] - station[0]
    if way < 1e-9:
        return bool(np.ptp(x) < 1e-9)
    if (np.diff(station) < 1e-9).any() and np.abs(np.diff(x)[np.diff(station) < 1e-9]).max() > _STEP:
        return False
    return bool(np.abs(x - x[0] - (station - station[0]) / way * (x[-1] - x[0])).max() < TRUE / 2.0)

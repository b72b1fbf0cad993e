"""A marking sleeve: a thin shell that slips over a tube's end and whose edge is the cut line.

The sleeve follows the tube's outside at a clearance.  At each place round the tube its edge
lies at the line's own x all through the sleeve's wall, square to the tube's skin, so that the
inner lip, a clearance away from the skin, shows the cut without having to be squinted along.
The far edge is square to the tube, a grip's length beyond the line's shortest point, and bears
one vee notch whose point is the tube's top line.

Where the tube misses its main there is no line.  The sleeve then runs to the line's longest
point, level with the saw cut of the straight-sawn tube, as the paper wrap does.

The mesh is one ring of columns.  Each column is four points of the wall's cross section at one
place: inner and outer at the edge, outer and inner at the far end; neighbours are joined by four
quads, so the shell is closed and watertight by the way it is built.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.mesh import Mesh
from fabgen.geometry.tube.profile import Profile

SNAP = 0.05
"""A new column nearer to a place of the profile than this falls on it, mm."""
STEP = 0.02
"""Width round the tube over which the edge runs down beside a miss, mm."""
TURN = math.radians(5.0)
"""Corners are divided into turns no greater than this."""


@dataclass(frozen=True, slots=True)
class SleeveSizes:
    """mm.  `clearance` on each side and `wall` are common practice for printed plastic, no
    source; `grip` is the length beyond the line's shortest point."""

    clearance: float = 0.25
    wall: float = 2.0
    grip: float = 30.0
    notch_width: float = 5.0
    notch_depth: float = 4.0

    def __post_init__(self) -> None:
        if not (self.clearance >= 0.0 and self.wall > 0.0 and self.notch_width > 0.0 and self.notch_depth > 0.0):
            raise ValueError("a sleeve's clearance is 0 or more, and its wall and notch are more than 0 mm")
        if not self.grip > self.notch_depth:
            raise ValueError(f"a sleeve grips more than {self.notch_depth:g} mm, the depth of its notch")


DEFAULT = SleeveSizes()


def sleeve(profile: Profile, x: Array, top: float, sizes: SleeveSizes = DEFAULT) -> Mesh:
    """The sleeve in the coordinates of the tube's end: x along the tube, phi from +y toward +z.

    Args:
        profile: n places round the tube.
        x: the cut line at these places, (n,), mm; nan where the end misses.
        top: phi of the notch, rad.
        sizes: clearance, wall, grip and notch.
    Raises:
        ValueError: the end misses all the way round.
    """
    if np.isnan(x).all():
        raise ValueError("the end misses its mains all the way round: there is no line to mark")
    ring = _Ring(profile, x, float(np.nanmin(x)))
    notch = ring.station_of(top)
    for station in (notch - sizes.notch_width / 2.0, notch, notch + sizes.notch_width / 2.0):
        ring.add_station(station)
    columns = ring.columns()
    return _shell(columns, _far_edge(columns, ring, notch, sizes), sizes)


def standing(mesh: Mesh) -> Mesh:
    """The sleeve as it is printed: on its far edge, the cut line up, its lowest corner at the origin.

    It is turned, never mirrored: (x, y, z) comes to lie along (-z, x, -y).

    Args:
        mesh: as `sleeve` makes it.
    """
    turn = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, -1.0], [-1.0, 0.0, 0.0]])
    turned = mesh.placed(turn, np.zeros(3))
    return turned.placed(np.eye(3), -turned.bounds[0])


@dataclass(frozen=True, eq=False)
class _Columns:
    """Places round the tube in order: `station` mm, `skin` and unit `outward` (k, 2), `x` mm."""

    station: Array
    skin: Array
    outward: Array
    x: Array


class _Ring:
    """The profile's places and those put between them, each as (place before, share of the way on)."""

    def __init__(self, profile: Profile, x: Array, longest: float) -> None:
        self._profile, self._x, self._longest = profile, x, longest
        self._next = np.roll(np.arange(len(x)), -1)
        self._gap = np.remainder(profile.station[self._next] - profile.station, profile.perimeter)
        outward = -profile.inward
        cross = outward[:, 0] * outward[self._next, 1] - outward[:, 1] * outward[self._next, 0]
        self._turn = np.arctan2(cross, (outward * outward[self._next]).sum(axis=1))
        self._places = {(i, 0.0) for i in range(len(x))}
        self._add_turns()
        self._add_steps()

    def station_of(self, phi: float) -> float:
        """mm round the tube."""
        p, full = self._profile, 2.0 * math.pi
        round_once = np.concatenate(([0.0], np.cumsum(self._gap)))
        return float(p.station[0] + np.interp(phi % full, np.append(p.phi, full), round_once))

    def around(self, station: Array, other: float) -> Array:
        """Distance of two places round the tube, the shorter way, mm."""
        half = self._profile.perimeter / 2.0
        return np.abs(np.remainder(station - other + half, 2.0 * half) - half)

    def add_station(self, station: float) -> None:
        ahead = np.remainder(station - self._profile.station, self._profile.perimeter)
        i = int(np.argmin(ahead))
        on, gap = float(ahead[i]), float(self._gap[i])
        if min(on, gap - on) > SNAP:
            self._places.add((i, on / gap))

    def _add_turns(self) -> None:
        for i in np.flatnonzero(self._turn > TURN):
            parts = math.ceil(self._turn[i] / TURN)
            self._places |= {(int(i), k / parts) for k in range(1, parts)}

    def _add_steps(self) -> None:
        missing = np.isnan(self._x)
        for i in np.flatnonzero(missing != missing[self._next]):
            share = min(0.5, STEP / self._gap[i])
            self._places.add((int(i), 1.0 - share if missing[i] else share))

    def columns(self) -> _Columns:
        p = self._profile
        i, t = (np.array(column) for column in zip(*sorted(self._places), strict=True))
        after, angle = self._next[i], self._turn[i]
        c, s = np.cos(t * angle), np.sin(t * angle)
        before = -p.inward[i]
        outward = np.column_stack((c * before[:, 0] - s * before[:, 1], s * before[:, 0] + c * before[:, 1]))
        # Along a face straight on; round an arc about its centre, whose radius follows from the chord.
        chord = p.skin[after] - p.skin[i]
        curved = angle > 1e-9
        radius = np.linalg.norm(chord, axis=1) / (2.0 * np.sin(np.where(curved, angle, math.pi) / 2.0))
        arc = p.skin[i] + radius[:, None] * (outward - before)
        skin = np.where(curved[:, None], arc, p.skin[i] + t[:, None] * chord)
        between = np.where(t > 0.0, self._x[i] + t * (self._x[after] - self._x[i]), self._x[i])
        x = np.where(np.isnan(between), self._longest, between)
        return _Columns(np.remainder(p.station[i] + t * self._gap[i], p.perimeter), skin, outward, x)


def _far_edge(columns: _Columns, ring: _Ring, notch: float, sizes: SleeveSizes) -> Array:
    """x of the far edge at each column: square but for the notch."""
    point = columns.station[np.argmin(ring.around(columns.station, notch))]
    away = ring.around(columns.station, float(point)) / (sizes.notch_width / 2.0)
    return np.asarray(columns.x.max() + sizes.grip - sizes.notch_depth * np.maximum(0.0, 1.0 - away))


def _shell(columns: _Columns, far: Array, sizes: SleeveSizes) -> Mesh:
    inner = columns.skin + sizes.clearance * columns.outward
    outer = inner + sizes.wall * columns.outward
    ring = [
        np.column_stack((x, side)) for x, side in ((columns.x, inner), (columns.x, outer), (far, outer), (far, inner))
    ]
    vertices = np.stack(ring, axis=1).reshape(-1, 3)
    here = 4 * np.arange(len(far))[:, None] + np.arange(4)
    there = np.roll(here, -1, axis=0)
    # The quad from a side of the cross section to the next column's, seen from outside.
    a, b, c, d = here, there, np.roll(there, -1, axis=1), np.roll(here, -1, axis=1)
    quads = np.stack((a, b, c, a, c, d), axis=-1)
    return Mesh(vertices, quads.reshape(-1, 3))

"""Round the outside of a tube: places, developed stations and the wall below them.

Places are given by phi, the angle about the tube's axis from +y toward +z; `station` is the
length round the outside from phi = 0, what a paper wrapped round the tube measures.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.solids import Walls

_SHARP = 1e-3
"""A corner of less radius than this, mm, is sharp."""

_CORNER = 1e-7
"""A sharp corner is taken as two places this far apart, rad, one on either face."""


@dataclass(frozen=True, eq=False)
class Profile:
    """n places round a tube's outside, ascending from phi = 0.

    `phi` rad and `station` mm, (n,); `skin` (y, z) of the outside and the unit `inward`
    normal, (n, 2); `depth` of the wall below each place, (n,) mm; `perimeter` mm.
    """

    phi: Array
    station: Array
    skin: Array
    inward: Array
    depth: Array
    perimeter: float

    def walls(self, frame: Frame) -> Walls:
        """The strips of wall of a tube, each starting at frame.x = 0.

        Args:
            frame: x along the tube.
        """
        across = np.vstack((frame.y, frame.z))
        return Walls(frame.origin + self.skin @ across, self.inward @ across, self.depth, frame.x)


def whole_degrees(per_degree: int = 1) -> Array:
    """0, 1, ... 359 degrees in rad.

    Args:
        per_degree: so many places to each degree.
    """
    return np.asarray(np.radians(np.arange(360.0 * per_degree) / per_degree))


@lru_cache(maxsize=512)
def round_profile(diameter: float, wall: float, per_degree: int = 1) -> Profile:
    """Places round a round tube, at each whole degree or closer.

    Args:
        diameter: outside, mm.
        wall: mm; 0 for solid bar.
        per_degree: so many places to each degree.
    """
    return round_at(diameter, wall, whole_degrees(per_degree))


def round_at(diameter: float, wall: float, phi: Array) -> Profile:
    """Given places round a round tube.

    Args:
        diameter: outside, mm.
        wall: mm; 0 for solid bar.
        phi: (n,) rad, ascending in [0, 2 pi).
    """
    radius = diameter / 2.0
    out = np.column_stack((np.cos(phi), np.sin(phi)))
    depth = np.full(len(phi), min(wall, radius) if wall > 0.0 else radius)
    return Profile(phi, phi * radius, out * radius, -out, depth, math.pi * diameter)


@lru_cache(maxsize=512)
def rectangular_profile(
    width: float,
    depth: float,
    wall: float,
    corner: float,
    turn: float = 0.0,
    tangents: bool = True,
    per_degree: int = 1,
) -> Profile:
    """Places round a rectangular tube, at each whole degree or closer.

    Below a face the wall is `wall` deep; below a corner's arc the way inward ends at the arc's centre at the
    latest, where the faces' own strips begin.

    Args:
        width: along +y before it is turned, mm.
        depth: along +z before it is turned, mm.
        wall: mm; 0 for solid bar.
        corner: outside corner radius, mm.
        turn: from +y toward +z, rad.
        tangents: whether there is also a place where each face ends and the corner's arc begins.
        per_degree: so many places to each degree.
    """
    phi = whole_degrees(per_degree)
    if tangents:
        phi = _with_tangents(phi, width / 2.0, depth / 2.0, corner if corner > _SHARP else 0.0, turn)
    return rectangular_at(width, depth, wall, corner, turn, phi)


def rectangular_at(width: float, depth: float, wall: float, corner: float, turn: float, phi: Array) -> Profile:
    """Given places round a rectangular tube.

    Args: as those of `rectangular_profile`.
        phi: (n,) rad, ascending in [0, 2 pi).
    """
    corner = corner if corner > _SHARP else 0.0
    own = np.remainder(phi - turn, 2.0 * math.pi)
    skin, inward, arc, station = _places(own, width / 2.0, depth / 2.0, corner)
    first = _places(np.remainder(np.array([-turn]), 2.0 * math.pi), width / 2.0, depth / 2.0, corner)[3]
    perimeter = 2.0 * (width + depth) - (8.0 - 2.0 * math.pi) * corner
    below = np.full(len(phi), wall if wall > 0.0 else min(width, depth) / 2.0)
    below[arc] = np.minimum(below[arc], corner)
    c, s = math.cos(turn), math.sin(turn)
    turned = np.array([[c, s], [-s, c]])
    return Profile(phi, np.remainder(station - first, perimeter), skin @ turned, inward @ turned, below, perimeter)


def _with_tangents(phi: Array, a: float, b: float, corner: float, turn: float) -> Array:
    """The places and the ends of all faces, ascending, each once."""
    if corner > 0.0:
        first = (math.atan2(b - corner, a), math.atan2(b, a - corner))
    else:
        first = (math.atan2(b, a) - _CORNER, math.atan2(b, a) + _CORNER)
    ends = np.array([[t, math.pi - t, math.pi + t, -t] for t in first]).ravel()
    ends = np.remainder(ends + turn, 2.0 * math.pi)
    apart = np.abs(np.remainder(phi[:, None] - ends + math.pi, 2.0 * math.pi) - math.pi).min(axis=1)
    # Whole degrees that fall on a face's end give way to it, but phi = 0 always stays.
    kept = phi[(apart > 10.0 * _CORNER) | (phi == 0.0)]
    ends = ends[(ends > 10.0 * _CORNER) & (ends < 2.0 * math.pi - 10.0 * _CORNER)]
    return np.unique(np.concatenate((kept, ends)))


def _places(own: Array, a: float, b: float, r: float) -> tuple[Array, Array, NDArray[np.bool_], Array]:
    """Skin points, inward normals, whether on a corner's arc, and the station from the middle
    of the +y face, for angles `own` in [0, 2 pi) of a section with half sizes a, b."""
    c, s = np.cos(own), np.sin(own)
    with np.errstate(divide="ignore", over="ignore"):
        reach = np.minimum(a / np.abs(c), b / np.abs(s))
    y, z = reach * np.abs(c), reach * np.abs(s)
    on_side = a * np.abs(s) <= b * np.abs(c)  # the faces at y = +-a
    normal = np.column_stack((on_side, ~on_side)).astype(float)
    arc = (y > a - r) & (z > b - r) if r > 0.0 else np.zeros(len(own), dtype=bool)
    if arc.any():
        # The ray meets the arc about (a - r, b - r): |t (c, s) - centre| = r, the farther t.
        towards = np.abs(c[arc]) * (a - r) + np.abs(s[arc]) * (b - r)
        t = towards + np.sqrt(np.maximum(0.0, towards**2 - (a - r) ** 2 - (b - r) ** 2 + r * r))
        y[arc], z[arc] = t * np.abs(c[arc]), t * np.abs(s[arc])
        normal[arc] = np.column_stack(((y[arc] - (a - r)) / r, (z[arc] - (b - r)) / r))
    # Round the first quarter from the middle of the +y face: up the face, round, and back.
    along = np.where(on_side, z, b - r + r * math.pi / 2.0 + (a - r) - y)
    along[arc] = b - r + r * np.arctan2(normal[arc, 1], normal[arc, 0])
    half = 2.0 * (a + b) - (4.0 - math.pi) * r
    quarter = np.floor_divide(own, math.pi / 2.0).astype(int) % 4
    station = np.select(
        [quarter == 0, quarter == 1, quarter == 2], [along, half - along, half + along], 2.0 * half - along
    )
    signs = np.column_stack((np.where(c < 0.0, -1.0, 1.0), np.where(s < 0.0, -1.0, 1.0)))
    return np.column_stack((y, z)) * signs, -normal * signs, arc, station

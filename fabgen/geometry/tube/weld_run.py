"""The weld run round a joint: how long it is, and at what angle the two surfaces meet along it.

The run is the line where the branch's outside meets the main's.  The *local dihedral angle* psi
is the angle between the two outside surfaces, on the side where the weld lies, in the plane
square to the run (AWS D1.1, terms and definitions, 'local dihedral angle'; the wording is from
memory, check against your edition).  The run's direction is square to both surfaces' normals, so
that plane holds the normals b and m, and with both pointing out of the metal

    psi = 180 degrees less the angle between b and m.

A branch square on a plate has psi = 90 degrees all round; one that leans has the joint's angle
at the heel and the rest of 180 at the toe; two equal tubes at 90 degrees have 180 at the sides,
where their surfaces run into one another.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fabgen.geometry.space.frame import Array

Mask = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class WeldRun:
    """A closed run through n points, the last joined to the first.

    `points` (n, 3) mm, nan where there is no run; `angle` (n,) rad, the local dihedral angle,
    nan where not known; `steps` (n,) mm from each point to the next, 0 over a gap.
    """

    points: Array
    angle: Array
    steps: Array

    @property
    def length(self) -> float:
        """mm."""
        return float(self.steps.sum())

    @property
    def closed(self) -> bool:
        """Whether it goes all the way round."""
        return not bool(np.isnan(self.points).any())

    @property
    def least(self) -> float:
        """Least local dihedral angle, rad; nan where none is known."""
        return math.nan if np.isnan(self.angle).all() else float(np.nanmin(self.angle))

    @property
    def greatest(self) -> float:
        """Greatest local dihedral angle, rad; nan where none is known."""
        return math.nan if np.isnan(self.angle).all() else float(np.nanmax(self.angle))

    def length_under(self, limit: float) -> float:
        """Length of the run with a local dihedral angle under a limit, mm; between points the angle changes evenly.

        Args:
            limit: rad.
        """
        low, high = self._between()
        return float((self.steps * _share_under(low, high, limit)).sum())

    def length_over(self, limit: float) -> float:
        """Length of the run with a local dihedral angle over a limit, mm; between points the angle changes evenly.

        Args:
            limit: rad.
        """
        low, high = self._between()
        return float((self.steps * _share_under(-high, -low, -limit)).sum())

    def wedge(self, limit: float) -> float:
        """Section of a fillet over that of a square one of the same throat, on the whole run; 1 without known angles.

        A fillet with equal legs in a corner of psi has the section throat^2 x tan(psi / 2).

        Args:
            limit: rad; where the surfaces meet at a greater angle the section is taken as at this one.
        """
        known = ~np.isnan(self.angle)
        section = np.tan(np.minimum(np.where(known, self.angle, math.pi / 2.0), limit) / 2.0)
        length = self.length
        return float((self.steps * (section + np.roll(section, -1)) / 2.0).sum()) / length if length > 0.0 else 1.0

    def only(self, places: Mask) -> WeldRun:
        """The share of the run that belongs to some of its points: each step half to either end.

        Args:
            places: which of the points, (n,).
        """
        steps = self.steps * (places * 0.5 + np.roll(places, -1) * 0.5)
        return replace(
            self,
            points=np.where(places[:, None], self.points, np.nan),
            angle=np.where(places, self.angle, np.nan),
            steps=steps,
        )

    def _between(self) -> tuple[Array, Array]:
        """Lesser and greater angle at the two ends of each step; that of the one end where the
        other's is not known."""
        other = np.roll(self.angle, -1)
        return np.fmin(self.angle, other), np.fmax(self.angle, other)


def weld_run(points: Array, branch_normals: Array, main_normals: Array) -> WeldRun:
    """The run through points on both outside surfaces.

    Args:
        points: (n, 3), mm; rows with nan are gaps, where nothing is welded.
        branch_normals: unit outward normals of the branch there, (n, 3).
        main_normals: of the main, (n, 3).
    """
    gone: Mask = np.asarray(np.isnan(points).any(axis=1))
    points = np.where(gone[:, None], np.nan, points)
    steps = np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1)
    angle = np.where(gone, np.nan, local_dihedral(branch_normals, main_normals))
    return WeldRun(points, angle, np.nan_to_num(steps, nan=0.0))


def local_dihedral(branch_normals: Array, main_normals: Array) -> Array:
    """The local dihedral angle of two surfaces, rad in [0, pi].

    Args:
        branch_normals: unit outward normals, (..., 3).
        main_normals: the same of the other surface.
    Source: AWS D1.1, terms and definitions, 'local dihedral angle' (from memory).
    """
    across = np.linalg.norm(np.cross(branch_normals, main_normals), axis=-1)
    return np.asarray(np.arctan2(across, -(branch_normals * main_normals).sum(axis=-1)))


def mitre_dihedral(normals: Array, toward: Array) -> Array:
    """The local dihedral angle of two like tubes mitred at a plane, rad in (0, 2 pi).

    It is under 180 degrees at the inside of the corner, the rest of 360 at its outside.  The other tube's normals
    are mirror images, so half the angle between the two is asin(normal . toward).

    Args:
        normals: outward ones of the one tube at the run, (..., 3).
        toward: the plane's unit normal, to the other tube, (3,).
    """
    return np.asarray(math.pi - 2.0 * np.arcsin(np.clip(normals @ toward, -1.0, 1.0)))


def _share_under(low: Array, high: Array, limit: float) -> Array:
    """Share of each step on which a value between `low` and `high` is under the limit; 0 for nan."""
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.clip((limit - low) / (high - low), 0.0, 1.0)
    return np.where(low < limit, np.where(high <= limit, 1.0, share), 0.0)

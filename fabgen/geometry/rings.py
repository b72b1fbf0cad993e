"""Rings, round and flat: what the bend of a tube is made of, and where lines meet them.

A line o + x d meets a torus of centreline radius R and section radius r, with x counted from the
point nearest the torus's centre and z, dz along its axis, where

    x^4 + (2 k - 4 R^2 (1 - dz^2)) x^2 + 8 R^2 z dz x + k^2 - 4 R^2 (o^2 - z^2) = 0,
    k = o^2 + R^2 - r^2,

from the torus's equation (|P|^2 + R^2 - r^2)^2 = 4 R^2 (Px^2 + Py^2).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from fabgen.geometry.quartic import depressed_quartic
from fabgen.geometry.solids import TOUCH, Array


class Core(Protocol):
    """A body of revolution about an axis through `centre`."""

    @property
    def centre(self) -> Array: ...
    @property
    def reach(self) -> float:
        """Radius of the ball about `centre` that holds it, mm."""
        ...

    @property
    def least_radius(self) -> float:
        """Least radius of its curves, mm."""
        ...

    def meets(self, origins: Array, along: Array) -> Array:
        """All x, (k, n) mm, where lines through `origins` (n, 3) meet its surface; nan for none."""
        ...

    def normals(self, points: Array) -> Array:
        """Unit outward normals (n, 3) at points (n, 3) of its surface."""
        ...

    def distance(self, points: Array) -> Array:
        """Signed distance of points (..., 3), mm, negative inside."""
        ...


@dataclass(frozen=True, eq=False)
class Ring:
    """A torus: a circle of `radius` mm about `centre`, square to the unit `axis`, `thick` mm
    thick to either side."""

    centre: Array
    axis: Array
    radius: float
    thick: float

    @property
    def reach(self) -> float:
        return self.radius + self.thick

    @property
    def least_radius(self) -> float:
        return self.thick

    def meets(self, origins: Array, along: Array) -> Array:
        size = self.reach
        away = (origins - self.centre) / size
        start, dz = -(away @ along), float(self.axis @ along)
        z = away @ self.axis + start * dz
        square = np.einsum("ij,ij->i", away, away) - start * start
        r2 = (self.radius / size) ** 2
        k = square + r2 - (self.thick / size) ** 2
        roots = depressed_quartic(
            2.0 * k - 4.0 * r2 * (1.0 - dz * dz),
            8.0 * r2 * dz * z,
            k * k - 4.0 * r2 * (square - z * z),
            2.0 * TOUCH / size,
        )
        return np.asarray((roots + start) * size)

    def normals(self, points: Array) -> Array:
        away = points - self.centre
        level = away - (away @ self.axis)[:, None] * self.axis
        level *= self.radius / np.linalg.norm(level, axis=1)[:, None]
        return np.asarray((away - level) / self.thick)

    def distance(self, points: Array) -> Array:
        away = points - self.centre
        z = away @ self.axis
        out = np.sqrt(np.maximum((away * away).sum(axis=-1) - z * z, 0.0))
        return np.asarray(np.hypot(out - self.radius, z) - self.thick)


@dataclass(frozen=True, eq=False)
class FlatRing:
    """A washer: from `inner` to `outer` mm about the unit `axis` through `centre`, `half` mm thick
    to either side of it."""

    centre: Array
    axis: Array
    inner: float
    outer: float
    half: float

    @property
    def reach(self) -> float:
        return math.hypot(self.outer, self.half)

    @property
    def least_radius(self) -> float:
        return self.outer - self.inner

    def meets(self, origins: Array, along: Array) -> Array:
        away = origins - self.centre
        z, dz = away @ self.axis, float(self.axis @ along)
        flat = 1.0 - dz * dz
        found = []
        with np.errstate(divide="ignore", invalid="ignore"):
            if flat > 1e-12:
                middle = (z * dz - away @ along) / flat
                square = (away * away).sum(axis=1) - z * z
                for radius in (self.inner, self.outer):
                    inside = middle * middle - (square - radius * radius) / flat
                    graze = 2.0 * radius * TOUCH / flat
                    root = np.sqrt(np.where((inside < 0.0) & (inside > -graze), 0.0, inside))
                    found += [middle + root, middle - root]
            if abs(dz) > 1e-9:
                found += [(side * self.half - z) / dz for side in (1.0, -1.0)]
        x = np.array(found)
        points = origins + x[..., None] * along
        return np.where(self.distance(points) <= 2.0 * TOUCH, x, np.nan)

    def normals(self, points: Array) -> Array:
        away = points - self.centre
        z = away @ self.axis
        level = away - z[:, None] * self.axis
        out = np.linalg.norm(level, axis=1)
        ways = np.array([np.abs(out - self.outer), np.abs(out - self.inner), np.abs(np.abs(z) - self.half)])
        outward = level / out[:, None]
        which = ways.argmin(axis=0)[:, None]
        up = np.sign(z)[:, None] * self.axis
        return np.where(which == 0, outward, np.where(which == 1, -outward, up))

    def distance(self, points: Array) -> Array:
        away = points - self.centre
        z = away @ self.axis
        out = np.sqrt(np.maximum((away * away).sum(axis=-1) - z * z, 0.0))
        past = np.stack((np.maximum(out - self.outer, self.inner - out), np.abs(z) - self.half))
        return np.asarray(np.linalg.norm(np.maximum(past, 0.0), axis=0) + np.minimum(past.max(axis=0), 0.0))

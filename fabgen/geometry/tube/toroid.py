"""A toroid: a round or rounded rectangular section carried round a whole circle, and where lines leave it.

It is a washer with its edges rounded off.  Without the rounding a line's way through it is known from
two planes and two cylinders: at most two stretches, one on either side of the hole.  Only where
such a stretch ends in the corner of the section is the rounding checked, which is part of a torus: a
line that passes a corner's square by without touching its arc leaves the square again where it came
from, outside, as the square's inner sides lie within the section.

A line o + x d meets a torus of centreline radius R and section radius r, with x counted from the
point nearest the torus's centre and z, dz along its axis, where

    x^4 + (2 k - 4 R^2 (1 - dz^2)) x^2 + 8 R^2 z dz x + k^2 - 4 R^2 (o^2 - z^2) = 0,
    k = o^2 + R^2 - r^2,

from the torus's equation (|P|^2 + R^2 - r^2)^2 = 4 R^2 (Px^2 + Py^2).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fabgen.geometry.space.frame import Array
from fabgen.geometry.tube.solids import TOUCH

Mask = NDArray[np.bool_]
Index = NDArray[np.int64]

_ROUNDING = 1e-3
"""A root of a quartic lies nearer than this to the true one, mm."""


@dataclass(frozen=True, eq=False)
class Toroid:
    """The section is 2 `across` mm wide square to the unit `axis` and 2 `up` mm along it, with corners of
    `corner` mm; its middle goes round `centre` at `radius` mm.  All three alike: a torus."""

    centre: Array
    axis: Array
    radius: float
    across: float
    up: float
    corner: float

    @property
    def reach(self) -> float:
        """Radius of the ball about `centre` that holds it, mm."""
        return math.hypot(self.radius + self.across, self.up)

    @property
    def least_radius(self) -> float:
        """Least radius of its curves, mm; of a sharp corner, half the section's lesser size."""
        return self.corner if self.corner > 0.0 else min(self.across, self.up)

    # -- points ------------------------------------------------------------------------
    def distance(self, points: Array) -> Array:
        """Signed distance, mm, negative inside.

        Args:
            points: (..., 3), mm.
        """
        away = points - self.centre
        z = away @ self.axis
        out = np.sqrt(np.maximum(np.einsum("...i,...i", away, away) - z * z, 0.0))
        return self._off(*self._past(out, z))

    def _past(self, out: Array, z: Array) -> tuple[Array, Array]:
        """How far past the flats' ends, across and up, places `out` mm from the axis lie at height `z`."""
        return np.abs(out - self.radius) - (self.across - self.corner), np.abs(z) - (self.up - self.corner)

    def _off(self, a: Array, b: Array) -> Array:
        outside = np.hypot(np.maximum(a, 0.0), np.maximum(b, 0.0))
        return np.asarray(outside + np.minimum(np.maximum(a, b), 0.0) - self.corner)

    def skin(self, points: Array) -> ToroidSurface:
        """The surface near points.

        Args:
            points: on it or near it, (n, 3), mm.
        """
        away = points - self.centre
        z = away @ self.axis
        level = away - z[:, None] * self.axis
        out = np.maximum(np.sqrt(np.einsum("ij,ij->i", level, level)), 1e-12)
        a, b = self._past(out, z)
        arc = (a > 0.0) & (b > 0.0)
        thick = np.where(arc, np.hypot(a, b), 1.0)
        radial = np.where(arc, a / thick, a >= b) * np.where(out < self.radius, -1.0, 1.0)
        axial = np.where(arc, b / thick, a < b) * np.where(z < 0.0, -1.0, 1.0)
        outward = level / out[:, None]
        return ToroidSurface(
            self._off(a, b), radial, axial, outward, self.axis, np.where(arc, 1.0 / thick, 0.0), radial / out
        )

    # -- lines -------------------------------------------------------------------------
    def exits(self, origins: Array, along: Array, low: Array, high: Array) -> Array:
        """Greatest x at which lines have a point in it, (n,) mm; nan for none.

        Args:
            origins: a point of each line, (n, 3), mm.
            along: their unit direction, (3,).
            low: from this x on, (n,), mm.
            high: up to this x, (n,), mm.
        """
        lines = _Lines.of(origins - self.centre, self.axis, along)
        if self.corner >= max(self.across, self.up):
            return self._arc(lines, np.array(self.radius), np.array(0.0), low, high)
        with np.errstate(divide="ignore", invalid="ignore"):
            low, high = lines.slab(self.up, low, high)
            first, last = lines.cylinder(self.radius + self.across)
            low, high = np.maximum(low, first), np.minimum(high, last)
            before, behind = lines.cylinder(max(0.0, self.radius - self.across))
            in_hole = (before < high) & (high < behind)
            end = np.where(in_hole, before, high)
            end[~(low <= end + TOUCH)] = np.nan
            if self.corner <= 0.0:
                return end
            again = ~in_hole & (before >= low) & (before < high)
            nearer = np.where(again, np.maximum(low, behind), low)
            end = self._rounded(lines, end, nearer)
            again &= np.isnan(end)
            if again.any():
                rest = lines.some(again)
                end[again] = self._rounded(rest, before[again], low[again])
        return end

    def _rounded(self, lines: _Lines, end: Array, low: Array) -> Array:
        """Where lines leave that would leave the sharp-edged washer at `end`, having come in at `low`."""
        a, b = self._past(*lines.at(end))
        off = (a > 0.0) & (b > 0.0) & (np.hypot(a, b) > self.corner + TOUCH)
        if not off.any():
            return end
        some = lines.some(off)
        out = some.at(end[off])
        ring = self.radius + np.where(out[0] < self.radius, -1.0, 1.0) * (self.across - self.corner)
        level = np.where(out[1] < 0.0, -1.0, 1.0) * (self.up - self.corner)
        end = end.copy()
        end[off] = self._arc(some, ring, level, low[off], end[off])
        return end

    def _arc(self, lines: _Lines, ring: Array, level: Array, low: Array, high: Array) -> Array:
        """Where lines leave tori of `corner` about circles of radius `ring` at height `level`, (n,) each,
        between `low` and `high`; at `high` where they are inside there."""
        size, r = self.reach, self.corner
        dz = lines.dz
        middle = lines.middle + level * dz  # nearest to the circle's own centre
        z = (lines.z + middle * dz - level) / size
        square = (lines.square + (2.0 * lines.half + lines.flat * middle) * middle) / size**2
        r2 = (ring / size) ** 2
        k = square + z * z + r2 - (r / size) ** 2
        roots = depressed_quartic(
            2.0 * k - 4.0 * r2 * lines.flat, 8.0 * r2 * dz * z, k * k - 4.0 * r2 * square, 2.0 * TOUCH / size
        )
        x = roots * size + middle
        x[~((x <= high + TOUCH) & (x >= low - TOUCH))] = np.nan
        out, up = lines.at(x)
        if self.across > r:
            x[(out - self.radius) * np.sign(ring - self.radius) < self.across - r - _ROUNDING] = np.nan
        if self.up > r:
            x[up * np.sign(level) < self.up - r - _ROUNDING] = np.nan
        best = np.fmax.reduce(x)
        # The last figures of a root, by one of Newton's steps on the distance.
        out, up = lines.at(best)
        thick = np.hypot(out - ring, up - level)
        speed = ((out - ring) * (lines.half + lines.flat * best) / out + (up - level) * dz) / thick
        step = (thick - r) / speed
        best = best - np.where(np.abs(step) < _ROUNDING, step, 0.0)
        finite = np.isfinite(high)
        if finite.any():
            out, up = lines.at(np.where(finite, high, 0.0))
            ended = finite & (high >= low) & (np.hypot(out - ring, up - level) <= r + TOUCH)
            best = np.where(ended, high, best)
        return np.asarray(best)


@dataclass(frozen=True, eq=False)
class ToroidSurface:
    """Its surface at n points: `off` mm from it, its unit normal by its parts along `outward` (n, 3)
    and along the axis, and its curvatures, 1/mm, of the section and round the axis."""

    off: Array
    radial: Array
    axial: Array
    outward: Array
    axis: Array
    section: Array
    around: Array

    def along_normal(self, way: Array) -> Array:
        """The part of a direction along the normals, (n,).

        Args:
            way: (3,) or (n, 3).
        """
        return self.radial * self._out(way) + self.axial * (way @ self.axis)

    def turnings(self, one: Array, other: Array) -> tuple[Array, Array]:
        """How far the normal turns toward one direction for each mm along it, and along another, (n,) each, rad a mm.

        Args:
            one: (n, 3).
            other: (3,), square to `one`.
        """
        out, up = self._out(one), one @ self.axis
        far, rise = self._out(other), float(other @ self.axis)
        across, beyond = self.radial * up - self.axial * out, self.radial * rise - self.axial * far
        squared = np.einsum("ij,ij->i", one, one)
        return (
            self.section * across * across + self.around * (squared - out * out - up * up),
            self.section * across * beyond - self.around * (out * far + up * rise),
        )

    def _out(self, way: Array) -> Array:
        return np.asarray(self.outward @ way if way.ndim == 1 else np.einsum("ij,ij->i", self.outward, way))


@dataclass(frozen=True, eq=False)
class _Lines:
    """Lines as the toroid sees them: x mm on a line is `z` + x `dz` up its axis, and the square of its distance
    from the axis is `square` + 2 x `half` + x^2 `flat`.  `middle` is the x nearest the toroid's centre."""

    z: Array
    dz: float
    square: Array
    half: Array
    flat: float
    middle: Array

    @staticmethod
    def of(away: Array, axis: Array, along: Array) -> _Lines:
        z, dz, ahead = away @ axis, float(axis @ along), away @ along
        square = np.maximum(np.einsum("ij,ij->i", away, away) - z * z, 0.0)
        return _Lines(z, dz, square, ahead - z * dz, 1.0 - dz * dz, -ahead)

    def some(self, which: Mask) -> _Lines:
        return _Lines(self.z[which], self.dz, self.square[which], self.half[which], self.flat, self.middle[which])

    def at(self, x: Array) -> tuple[Array, Array]:
        """(distance from the axis, height) at x, (..., n)."""
        return np.sqrt(np.maximum(self.square + x * (2.0 * self.half + x * self.flat), 0.0)), self.z + x * self.dz

    def slab(self, up: float, low: Array, high: Array) -> tuple[Array, Array]:
        """Between the planes `up` mm above and below."""
        if abs(self.dz) < 1e-9:
            return low, np.where(np.abs(self.z) <= up + TOUCH, high, -np.inf)
        one, other = (-up - self.z) / self.dz, (up - self.z) / self.dz
        return np.maximum(low, np.minimum(one, other)), np.minimum(high, np.maximum(one, other))

    def cylinder(self, radius: float) -> tuple[Array, Array]:
        """Where they enter and leave the cylinder; nan where they miss it."""
        off = self.square - radius * radius
        if self.flat < 1e-12:
            through = np.where(off <= 2.0 * radius * TOUCH, np.inf, np.nan)
            return -through, through
        inside = self.half * self.half - self.flat * off
        grazing = (inside < 0.0) & (inside > -2.0 * radius * TOUCH * self.flat)
        root = np.sqrt(np.where(grazing, 0.0, inside))
        return (-self.half - root) / self.flat, (-self.half + root) / self.flat


# -- real roots of quartics -----------------------------------------------------------
# Ferrari's way: y^4 + p y^2 + q y + c is the product of y^2 + w y + (h - e) and y^2 - w y + (h + e)
# with h = (p + w^2) / 2 and 2 w e = q, where u = w^2 is a root of the resolvent cubic
# u^3 + 2 p u^2 + (p^2 - 4 c) u - q^2 = 0, which has one that is not negative.
_SMALL = 1e-3
"""Below this w the division by it loses more than the other way to e."""


def depressed_quartic(p: Array | float, q: Array, c: Array, grazing: float = 0.0) -> Array:
    """Real roots (4, n) of y^4 + p y^2 + q y + c = 0, in no order, nan where there are fewer.

    The coefficients are best of the order of 1; then a root that stands alone is good to 1e-9 or so,
    and one that is met twice to 1e-7.

    Args:
        p: a number, or (n,).
        q: (n,).
        c: (n,).
        grazing: two complex roots whose imaginary part's square is less than this count as one real root
            that is met twice.
    Source: M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 1964, 3.8.3 (there with
        another sign).
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        u = np.maximum(_resolvent(p, q, c), 0.0)
        w, half = np.sqrt(u), (p + u) / 2.0
        e = np.where(w > _SMALL, q / (2.0 * w), np.copysign(np.sqrt(np.maximum(half * half - c, 0.0)), q))
        roots = np.empty((4, len(q)))
        for i, (middle, rest) in enumerate(((-w / 2.0, half - e), (w / 2.0, half + e))):
            inside = u / 4.0 - rest
            root = np.sqrt(np.where((inside < 0.0) & (inside > -grazing), 0.0, inside))
            roots[2 * i], roots[2 * i + 1] = middle + root, middle - root
        return roots


def _resolvent(p: Array | float, q: Array, c: Array) -> Array:
    """The greatest real root of the resolvent cubic, (n,)."""
    a, b, d = 2.0 * p, p * p - 4.0 * c, -q * q
    shift = a / 3.0
    k, m = b - a * shift, (2.0 * shift * shift - b) * shift + d
    third = -k / 3.0
    inside = m * m / 4.0 - third**3
    # One real root, by Cardano; three, by the cosine of a third of an angle.
    large = -np.copysign(np.cbrt(np.abs(m) / 2.0 + np.sqrt(np.maximum(inside, 0.0))), m)
    one = large + np.where(large != 0.0, third / large, 0.0)
    radius = np.sqrt(np.maximum(third, 0.0))
    cosine = np.clip(np.where(radius > 0.0, -m / (2.0 * radius**3), 0.0), -1.0, 1.0)
    three = 2.0 * radius * np.cos(np.arccos(cosine) / 3.0)
    u = np.where(inside > 0.0, one, three) - shift
    slope = (3.0 * u + 2.0 * a) * u + b
    value = ((u + a) * u + b) * u + d
    step = np.where(np.abs(slope) > 1e-8, value / slope, 0.0)
    return np.asarray(u - np.where(np.abs(step) < 0.01, step, 0.0))

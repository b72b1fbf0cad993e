"""Real roots of quartics, many at once.

Ferrari's way: y^4 + p y^2 + q y + c is the product of y^2 + w y + (h - e) and y^2 - w y + (h + e)
with h = (p + w^2) / 2 and 2 w e = q, where u = w^2 is a root of the resolvent cubic
u^3 + 2 p u^2 + (p^2 - 4 c) u - q^2 = 0, which has one that is not negative (M. Abramowitz and
I. A. Stegun, Handbook of Mathematical Functions, 1964, 3.8.3, there with another sign).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_SMALL = 1e-3
"""Below this w the division by it loses more than the other way to e."""


def depressed_quartic(p: Array | float, q: Array, c: Array, grazing: float = 0.0) -> Array:
    """Real roots (4, n) of y^4 + p y^2 + q y + c = 0, in no order, nan where there are fewer.

    The coefficients are best of the order of 1; then a root that stands alone is good to 1e-9 or so,
    and one that is met twice to 1e-7.  Two roots that are complex, but whose imaginary
    part's square is less than `grazing`, count as one that is met twice.
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

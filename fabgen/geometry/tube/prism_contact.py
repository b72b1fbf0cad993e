"""First contact with a straight tube of no ends, in closed form.

Seen along the tube, its section is a rounded rectangle K (a circle is one too), and a strip of wall
(`contact.py`) is p + s u + x v in the plane of that section, with 0 <= s <= depth.  K is convex, so
the greatest x, as a function of s, rises to one top and falls after it: the strip's own greatest x
lies at the top, or at the edge of the wall that is nearer to it.  The top is where K is farthest in
the direction m square to u, with m . v > 0: at q = (corner's centre) + r m, so that

    x = (q - p) . m / (v . m),    s = (q - p - x v) . u / u . u.

There the line along v leaves K through a flat, or through a corner's arc: a quadratic.
"""

from __future__ import annotations

import numpy as np

from fabgen.geometry.space.frame import Array, cross, unit
from fabgen.geometry.tube.solids import TOUCH, RoundBar, RoundedPrism, Walls

Prism = RoundBar | RoundedPrism

_STEEP = 1e-9
"""Lines nearer to the tube's own direction than this, rad, never leave it."""


def greatest_on(tube: Prism, walls: Walls) -> Array | None:
    """Greatest x at which each strip has a point in a straight tube of no ends.

    Args:
        tube: a round bar or a rounded prism.
        walls: n strips.
    Returns: (n,), mm, nan where a strip has none; None where the strips run along the tube.
    """
    if isinstance(tube, RoundBar):
        side = np.eye(3)[np.abs(tube.axis).argmin()]
        first = unit(cross(tube.axis, side))
        across = np.column_stack((first, cross(tube.axis, first)))
        origin, half, r = tube.origin, np.zeros(2), tube.radius
    else:
        across, origin = np.column_stack((tube.frame.y, tube.frame.z)), tube.frame.origin
        r = tube.corner
        half = np.array([tube.width / 2.0 - r, tube.depth / 2.0 - r])
    v = walls.along @ across
    if float(np.hypot(*v)) < _STEEP:
        return None
    # Turned so that v points up and to the right.
    across = across * np.where(v < 0.0, -1.0, 1.0)
    v, p = np.abs(v), (walls.skin - origin) @ across
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        if walls.depth.any():
            u = walls.inward @ across
            p = p + _best_depth(p, u, v, half, r, walls.depth)[:, None] * u
        return _exits(p, v, half, r)


def _best_depth(p: Array, u: Array, v: Array, half: Array, r: float, depth: Array) -> Array:
    """The s of each strip at which x is greatest, (n,)."""
    size = np.sqrt(u[:, 0] ** 2 + u[:, 1] ** 2)
    m = np.column_stack((-u[:, 1], u[:, 0])) / size[:, None]
    rise = m @ v
    m *= np.where(rise < 0.0, -1.0, 1.0)[:, None]
    away = np.sign(m) * half + r * m - p
    x = (away[:, 0] * m[:, 0] + away[:, 1] * m[:, 1]) / np.abs(rise)
    s = ((away[:, 0] - x * v[0]) * u[:, 0] + (away[:, 1] - x * v[1]) * u[:, 1]) / (size * size)
    # Where u lies along v, the wall's edge that comes first is the one; where it is nought, all are alike.
    s = np.where(np.isnan(s), np.where(u @ v > 0.0, -np.inf, np.inf), s)
    return np.asarray(np.clip(s, 0.0, depth))


def _exits(p: Array, v: Array, half: Array, r: float) -> Array:
    """Where lines p + x v, (n, 2), leave the rounded rectangle of half sizes `half` + r; nan where they miss it."""
    found = np.full(len(p), -np.inf)
    for i in (0, 1):
        if half[1 - i] > 0.0 or r <= 0.0:
            x = (half[i] + r - p[:, i]) / v[i]
            found = np.where(np.abs(p[:, 1 - i] + x * v[1 - i]) <= half[1 - i] + TOUCH, np.fmax(found, x), found)
    left = np.isneginf(found) if half.any() else np.ones(len(p), dtype=bool)
    if r > 0.0 and left.any():
        found[left] = _corner_exits(p[left], v, half, r)
    return np.where(np.isfinite(found), found, np.nan)


def _corner_exits(p: Array, v: Array, half: Array, r: float) -> Array:
    """The same where they leave through a corner's arc, or not at all: a line up and to the right leaves by
    no corner but the upper right, lower right and upper left ones."""
    signs = np.array([[1.0, 1.0], [1.0, -1.0], [-1.0, 1.0]]) if half.any() else np.zeros((1, 2))
    away = p - (signs * half)[:, None, :]
    square, ahead = float(v @ v), away @ v
    inside = ahead * ahead - square * ((away * away).sum(axis=-1) - r * r)
    # A line that just grazes the tube counts as touching it: equal tubes at 90 degrees do.
    grazing = (inside < 0.0) & (inside > -2.0 * r * TOUCH * square)
    x = (np.sqrt(np.where(grazing, 0.0, inside)) - ahead) / square
    return np.asarray(np.fmax.reduce(x))

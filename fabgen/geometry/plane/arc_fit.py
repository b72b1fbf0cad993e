"""Curves as few arcs and lines, each tangent to the next: what a cutting machine runs smoothly.

A developed edge is known at many points that lie exactly on it.  Here a chain of such points
becomes pairs of arcs with one tangent where they meet (biarcs), as long as they can be.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from fabgen.geometry.plane.outline import Vertex, Xy
from fabgen.geometry.space.frame import Array

TOLERANCE = 0.006
"""Greatest distance between the given points and the arcs, mm."""
_KINK = math.radians(0.6)
_FARTHEST_TURN = math.radians(75.0)
_SMOOTH = math.radians(0.25)


def arcs_through(points: Sequence[Xy] | Array, tolerance: float = TOLERANCE) -> list[Vertex]:
    """A chain of points as lines and arcs, tangent to one another.

    Args:
        points: (n, 2), mm, on the curve, close enough that their chords turn gently; where they turn sharply
            against their neighbours the curve has a corner, and so have the arcs.
        tolerance: greatest distance of the arcs from the points, mm.
    Returns: vertices from the first point up to, and without, the last.
    """
    at = np.asarray(points, dtype=float)
    vertices: list[Vertex] = []
    corners = [0, *_corners(at), len(at) - 1]
    for first, last in pairwise(corners):
        vertices += _smooth(at[first : last + 1], tolerance)
    return vertices


def _corners(at: Array) -> list[int]:
    """Indices of points where the chain turns much more than it does two points before or after."""
    if len(at) < 3:
        return []
    turns = np.zeros(len(at))
    steps = np.diff(at, axis=0)
    heading = np.arctan2(steps[:, 1], steps[:, 0])
    turns[1:-1] = np.abs(np.remainder(np.diff(heading) + math.pi, 2.0 * math.pi) - math.pi)
    lengths = np.hypot(steps[:, 0], steps[:, 1])
    bend = np.zeros(len(at))
    bend[1:-1] = turns[1:-1] / (lengths[:-1] + lengths[1:])
    found = []
    for i in range(1, len(at) - 1):
        near = [bend[j] for j in (i - 2, i + 2) if 1 <= j < len(at) - 1]
        if turns[i] > math.radians(20.0) or (turns[i] > _KINK and near and bend[i] > 4.0 * max(near)):
            found.append(i)
    return found


def _smooth(at: Array, tolerance: float) -> list[Vertex]:
    """A stretch without corners, the arcs taken as long as they fit."""
    if len(at) < 3:
        return [Vertex(float(x), float(y)) for x, y in at[:-1]]
    tangents = _tangents(at)
    vertices: list[Vertex] = []
    first, last = 0, len(at) - 1
    while first < last:
        good, fitted = first + 1, [Vertex(float(at[first, 0]), float(at[first, 1]))]
        step = 1
        # Longer by doubling while it fits, then by halves.
        while step:
            trial = min(good + step, last)
            fit = _fit(at, tangents, first, trial, tolerance) if trial > good else None
            if fit is not None:
                good, fitted = trial, fit
                step *= 2
            else:
                step = min(step // 2, (last - good)) if step > 1 else 0
        vertices += fitted
        first = good
    return vertices


def _tangents(at: Array) -> Array:
    """Unit tangents (n, 2) of the circle through each point and its two neighbours; at the ends the nearest such."""
    a, b = at[1:-1] - at[:-2], at[2:] - at[1:-1]
    la, lb = np.hypot(*a.T)[:, None], np.hypot(*b.T)[:, None]
    # For three points on a circle the chords' directions, weighted with the other's length, give its tangent.
    inner = a / la * lb + b / lb * la
    first, last = 2.0 * _mirror(a[0], inner[0]), 2.0 * _mirror(b[-1], inner[-1])
    all_ = np.vstack([first, inner, last])
    return np.asarray(all_ / np.hypot(*all_.T)[:, None])


def _mirror(chord: Array, tangent: Array) -> Array:
    """The tangent at a chord's other end: an arc meets its chord at one angle at both."""
    u = chord / np.hypot(*chord)
    return np.asarray(2.0 * (tangent @ u) * u - tangent)


def _fit(at: Array, tangents: Array, first: int, last: int, tolerance: float) -> list[Vertex] | None:
    """A line, an arc or a biarc from point `first` to point `last`; None where none keeps the tolerance."""
    p, q, t, u = at[first], at[last], tangents[first], tangents[last]
    chord = q - p
    inner = at[first + 1 : last]
    if abs(_turn(t, u)) > _FARTHEST_TURN:
        return None
    start = _turn(t, chord)
    if abs(start) < _SMOOTH and abs(_turn(chord, u)) < _SMOOTH and _off(inner, p, q, 0.0).max(initial=0.0) < tolerance:
        return [_vertex(p)]
    one_arc = math.tan((start + _turn(chord, u)) / 4.0)
    if abs(start - _turn(chord, u)) < _SMOOTH and _off(inner, p, q, one_arc).max(initial=0.0) < tolerance:
        return [_vertex(p, one_arc)]
    joint = _joint(p, q, t, u)
    if joint is None:
        return None
    one, other = math.tan(_turn(t, joint - p) / 2.0), math.tan(_turn(q - joint, u) / 2.0)
    before = (inner - joint) @ chord < 0.0
    off = np.where(before, _off(inner, p, joint, one), _off(inner, joint, q, other))
    if off.max(initial=0.0) > tolerance:
        return None
    return [_vertex(p, one), _vertex(joint, other)]


def _vertex(point: Array, bulge: float = 0.0) -> Vertex:
    return Vertex(float(point[0]), float(point[1]), bulge)


def _turn(a: Array, b: Array) -> float:
    """Angle from direction a to direction b, rad, counter-clockwise."""
    return math.atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1])


def _joint(p: Array, q: Array, t: Array, u: Array) -> Array | None:
    """Where two arcs meet that leave p along t and reach q along u with equal tangent lengths d.

    The tangent points p + d t and q - d u are 2 d apart: |q - p - d (t + u)| = 2 d.
    """
    v, s = q - p, t + u
    a, b, c = 2.0 * (1.0 - float(t @ u)), float(v @ s), float(v @ v)
    if a < 1e-12:
        if abs(b) < 1e-12:
            return None
        d = c / (2.0 * b)
    else:
        d = (-b + math.sqrt(b * b + a * c)) / a
    return np.asarray((p + q + d * (t - u)) / 2.0) if d > 0.0 else None


def _off(points: Array, p: Array, q: Array, bulge: float) -> Array:
    """Distance (n,) of points from the line or arc through p and q."""
    chord = q - p
    length = float(np.hypot(*chord))
    if abs(bulge) < 1e-9:
        d = points - p
        return np.asarray(np.abs(d[:, 0] * chord[1] - d[:, 1] * chord[0]) / length)
    apothem = (1.0 - bulge * bulge) / (4.0 * bulge)
    centre = (p + q) / 2.0 + apothem * np.array([-chord[1], chord[0]])
    radius = length * (1.0 + bulge * bulge) / (4.0 * abs(bulge))
    return np.asarray(np.abs(np.hypot(*(points - centre).T) - radius))

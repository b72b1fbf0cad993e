"""Straight lines of sight held against skins of triangles."""

from __future__ import annotations

import math

import numpy as np

from fabgen.geometry.space.frame import Array

_EDGE = 1e-9
"""A line this far outside a triangle, as a share of it, still meets it: none slips through between two."""


def crossings(corners: Array, starts: Array, ends: Array) -> Array:
    """Where lines from place to place come through triangles, as shares of each line, (lines, triangles), nan where
    they do not.

    Args:
        corners: (triangles, 3, 3), mm.
        starts, ends: (lines, 3), mm.
    Source: T. Moller and B. Trumbore, Fast, Minimum Storage Ray/Triangle Intersection, Journal of Graphics Tools 2
        (1997), 21-28.
    """
    first = corners[:, 0]
    one, other = corners[:, 1] - first, corners[:, 2] - first
    way = (ends - starts)[:, np.newaxis]
    away = starts[:, np.newaxis] - first
    with np.errstate(divide="ignore", invalid="ignore"):
        across = np.cross(way, other)
        size = (across * one).sum(axis=-1)
        u = (away * across).sum(axis=-1) / size
        turned = np.cross(away, one)
        v = (way * turned).sum(axis=-1) / size
        share = (other * turned).sum(axis=-1) / size
        meets = (u >= -_EDGE) & (v >= -_EDGE) & (u + v <= 1.0 + _EDGE) & (share >= 0.0) & (share <= 1.0)
    return np.where(meets & (size != 0.0), share, math.nan)


def round_about(count: int) -> Array:
    """Unit directions spread evenly over a sphere, (count, 3): a spiral that turns by the golden angle."""
    z = 1.0 - (2.0 * np.arange(count) + 1.0) / count
    turn = math.pi * (3.0 - math.sqrt(5.0)) * np.arange(count)
    out = np.sqrt(1.0 - z * z)
    return np.stack((out * np.cos(turn), out * np.sin(turn), z), axis=1)

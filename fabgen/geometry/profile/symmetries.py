"""In which ways a section lies as it lay before: turned about the bar, and the bar turned end for end."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from fabgen.geometry.plane.outline import Outline
from fabgen.geometry.profile.cross_section import centroid
from fabgen.geometry.profile.end_cut import SawnPlane
from fabgen.geometry.space.frame import Array

_STEPS = 24
"""So many turns are tried, evenly through a whole one, and so many mirrors through half of one: among them are all that
flat-sided bars have."""
_ALIKE = 1e-4
"""Corners this near to one another are one, mm."""


def matching_slant(outline: Outline, plane: SawnPlane) -> int | None:
    """Which way a sawn end slants, where one cut can end one such piece and begin the next.

    Two ends of one angle and one such way can face one another on the bar, whichever of them are starts.  A piece may
    be laid there in every way in which its section lies as before: a bar turned end for end has the mirror image of its
    section there, so of a section that has no mirror no piece is turned so.

    Args:
        outline: of the section, in (y, z), counter-clockwise, mm.
        plane: of the end, seen from the section's start.
    Returns: degrees, of the ways that are one the least; None where it matches none but its mirror image.
    """
    slope = -np.array(plane.normal[1:])
    turns, mirrors = _symmetries(outline)
    # A plane x = a + slope . p that is turned end for end, x to -x and p to M p, has the slope -M slope.
    ahead, behind = {_way(turn @ slope) for turn in turns}, {_way(-mirror @ slope) for mirror in mirrors}
    return min(ahead) if ahead & behind else None


def _way(slope: Array) -> int:
    return round(math.degrees(math.atan2(slope[1], slope[0]))) % 360


@lru_cache(maxsize=256)
def _symmetries(outline: Outline) -> tuple[tuple[Array, ...], tuple[Array, ...]]:
    """The turns and the mirrors that bring an outline onto itself, (2, 2) each."""
    corners = np.array([(v.x, v.y) for v in outline.vertices]) - centroid(outline)
    turns: list[Array] = []
    mirrors: list[Array] = []
    for step in range(_STEPS):
        angle = 2.0 * math.pi * step / _STEPS
        c, s = math.cos(angle), math.sin(angle)
        for found, matrix in ((turns, [[c, -s], [s, c]]), (mirrors, [[c, s], [s, -c]])):
            off = np.linalg.norm((corners @ np.array(matrix).T)[:, None] - corners, axis=2)
            if off.min(axis=1).max() < _ALIKE:
                found.append(np.array(matrix))
    return tuple(turns), tuple(mirrors)

"""Sleeves inside spliced tubes: how long, and how loose in the bore."""

from __future__ import annotations

import math

from fabgen.shop.section import Section

OVERLAP = 2.0
"""A sleeve goes into either tube by so many times that one's greater size (common practice, no source)."""

LEAST_PLAY, MOST_PLAY = 0.2, 2.0
"""What a bore is wider than its sleeve, mm: with less it does not go past the tube's own weld seam, with more the plug
welds draw the joint crooked (common practice, no source)."""


PLUG_MORE = 8.0
"""A hole for a plug weld is so much wider than the wall in which it is, mm: 5/16 in (AWS D1.1, plug welds, from memory,
check against your edition)."""


def plug_hole(section: Section) -> float:
    """Diameter of the two holes in a tube's walls through which its sleeve is welded, whole mm: no more than half of
    what the tube measures.

    Args:
        section: of the tube.
    """
    return min(math.ceil(section.wall + PLUG_MORE - 1e-6), math.floor(min(section.width, section.depth) / 2.0))


def half_sleeve(section: Section) -> float:
    """How far a sleeve reaches into a tube, mm.

    Args:
        section: of the tube.
    """
    return OVERLAP * max(section.width, section.depth)

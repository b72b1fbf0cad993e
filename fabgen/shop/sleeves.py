"""Sleeves inside spliced tubes: how long, and how loose in the bore."""

from __future__ import annotations

from fabgen.shop.section import Section

OVERLAP = 2.0
"""A sleeve goes into either tube by so many times that one's greater size (common practice, no source)."""

LEAST_PLAY, MOST_PLAY = 0.2, 2.0
"""What a bore is wider than its sleeve, mm: with less it does not go past the tube's own weld seam, with more the plug
welds draw the joint crooked (common practice, no source)."""


def half_sleeve(section: Section) -> float:
    """How far a sleeve reaches into a tube, mm.

    Args:
        section: of the tube.
    """
    return OVERLAP * max(section.width, section.depth)

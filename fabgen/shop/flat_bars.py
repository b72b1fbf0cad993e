"""Whether a width and thickness are a flat bar as it is sold."""

from __future__ import annotations

from fabgen.shop.section import Section
from fabgen.shop.tables import table

SAME = 0.01
"""Sizes nearer than this are one, mm."""


def flat_bar(width: float, thickness: float, units: str = "mm") -> Section | None:
    """The flat bar of that size, None where none is sold.

    Args:
        width: mm.
        thickness: mm.
        units: 'mm' or 'in': whose sizes are sold.
    Source: EN 10058 and inch sizes, from memory.
    """
    for wide, columns in table("flat_bars", "inch" if units == "in" else "hot_rolled").rows.items():
        if abs(float(wide) - width) < SAME and any(abs(each - thickness) < SAME for each in columns["thicknesses"]):
            return Section("rectangular", width, thickness, 0.0)
    return None

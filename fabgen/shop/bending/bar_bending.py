"""Bending round bar cold: the line that keeps its length, and the least inside radius.

Both are common practice, no source.  Standards for reinforcing bar (BS 8666, EN 1992-1-1 table 8.1N, from memory) ask
for an inside radius of 2 d up to 16 mm and 3.5 d above: that is ribbed bar of far higher strength, bent on site.
"""

from __future__ import annotations

from fabgen.shop.materials import Group, Material

PRACTICE = "common practice, no source"

MIDDLE = 0.5
"""Share of the diameter, from the inside of a bend, where the line lies that keeps its length: the middle."""

_LEAST: dict[Group, float] = {"mild steel": 1.0, "alloy steel": 2.0, "stainless": 1.5, "aluminium": 2.0}
_STRONG, _STRONG_LEAST = 300.0, 1.5
"""Mild steel of this yield strength or more, MPa, as S355 is, needs this."""
_HARD, _HARD_LEAST = ("6061-T6", "6082-T6"), 3.0
"""Tempers that crack."""


def least_radius(material: Material, diameter: float) -> float:
    """Least inside radius of a cold bend, mm.

    Args:
        material: of the bar.
        diameter: of the bar, mm.
    Source: common practice, no source.
    """
    share = _LEAST[material.group]
    if material.group == "mild steel" and (material.yield_strength or 0.0) >= _STRONG:
        share = _STRONG_LEAST
    if material.name in _HARD:
        share = _HARD_LEAST
    return share * diameter

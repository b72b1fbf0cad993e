"""Holes that hot dip galvanizing asks for, so that zinc runs in and out and no steam is shut in.

The figures and their sources stand in data/galvanizing.toml.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from fabgen.shop.section import Section
from fabgen.shop.tables import data


@dataclass(frozen=True, slots=True)
class EndHoles:
    """Diameters, mm, of the holes at each end of a tube, by how many there are; or, where the table does not reach,
    their `area` in all, mm2."""

    sizes: tuple[tuple[int, float], ...]
    area: float = 0.0


def end_holes(section: Section, length: float) -> EndHoles:
    """What holes each end of a closed tube needs.

    Args:
        section: of the tube.
        length: of it, mm.
    Source: data/galvanizing.toml, [holes].
    """
    table = data("galvanizing")["holes"]
    wide, narrow = max(section.width, section.depth), min(section.width, section.depth)
    alike = wide == narrow
    for upto, long_side, short_side, *sizes in table["rows"] if length <= table["longest"] + 0.5 else ():
        if wide <= upto + 0.01 if alike else (wide <= long_side + 0.01 and narrow <= short_side + 0.01):
            return EndHoles(tuple((count, float(d)) for count, d in zip((1, 2, 4), sizes, strict=True) if d))
    inside = _enclosed(section)
    return EndHoles((), table["share"] * inside)


def overlap_hole(area: float) -> float:
    """Diameter of the hole that a closed overlap needs through one of its two parts, mm; 0 for none.

    Args:
        area: of the overlap, mm2.
    Source: data/galvanizing.toml, [overlaps].
    """
    return max((hole for least, hole in data("galvanizing")["overlaps"]["rows"] if area > least), default=0.0)


def weld_vent() -> float:
    """Diameter of the vent that a closed member needs while it is welded, mm."""
    return float(data("galvanizing")["vent"]["diameter"])


def _enclosed(section: Section) -> float:
    """Area within the outside of a section, mm2."""
    if section.is_round:
        return math.pi / 4.0 * section.width**2
    return section.width * section.depth - (4.0 - math.pi) * section.corner**2

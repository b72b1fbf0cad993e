"""The outside corner radius of rectangular tube that a job gives none for; figures in data/corners.toml."""

from __future__ import annotations

from dataclasses import replace

from fabgen.shop.materials import Material
from fabgen.shop.section import Section
from fabgen.shop.tables import data


def usual_corner(wall: float) -> float:
    """Outside corner radius, mm, of a cold formed rectangular tube of `wall` mm; 0 of solid bar.

    Args:
        wall: mm.
    Source: EN 10219-2:2006, nominal radii (from memory).
    """
    share = next(times for most, times in data("corners")["cold_formed"]["walls"] if wall <= most)
    return float(share * wall)


def cold_formed(section: Section) -> Section:
    """A rectangular section with the corners of cold formed tube, as far as its smaller side has room for them.

    Args:
        section: whatever its corner is.
    """
    standard = data("corners")["cold_formed"]["standard"] if section.wall else ""
    corner = min(usual_corner(section.wall), min(section.width, section.depth) / 2.0)
    return replace(section, corner=corner, corner_by=standard)


def as_sold(section: Section, material: Material) -> Section:
    """A section with the corners that tube of its metal is sold with, where the job gives none.

    Args:
        section: as the job has it.
        material: of the tube.
    Source: EN 755-9 for extruded aluminium (from memory).
    """
    if not section.corner_by or material.group != "aluminium":
        return section
    extruded = data("corners")["extruded"]
    return replace(section, corner=float(extruded["radius"]), corner_by=extruded["standard"])

"""What the shanks of a link screw into: the metal of its bungs, or of the tube or bar that is tapped itself."""

from __future__ import annotations

from dataclasses import dataclass, replace

from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.link_tables import Link
from fabgen.shop.materials import Material
from fabgen.shop.section import Section
from fabgen.shop.strength import Strength, beside_weld, strength


@dataclass(frozen=True, slots=True)
class NutMetal:
    """Its strengths as it is once welded in, whether it is aluminium, and what part it is, in words."""

    strength: Strength
    is_aluminium: bool
    part: str


def nut_metal(job: Definitions, link: Link) -> NutMetal:
    """What a link's shanks screw into; a bung is turned from bar and softened by its weld.

    Args:
        job: whose materials and welding process hold.
        link: whose bungs or tapped ends they are.
    """
    tube = job.find_material(link.material or job.job.material)
    if link.bung == "none":
        part = "the tapped bar" if link.section.is_solid else "the tapped tube"
        return NutMetal(section_strength(tube, link.section), tube.group == "aluminium", part)
    metal = job.find_material(link.bung_material) if link.bung_material else tube
    diameter = max(link.section.bore, link.bung_diameter or link.section.width)
    own = strength(metal, diameter, "bar")
    if soft := beside_weld(metal, diameter, job.consumables.process == "tig"):
        own = replace(own, yields=soft.yields, breaks=soft.breaks)
    return NutMetal(own, metal.group == "aluminium", "a bung turned from bar")


def section_strength(material: Material, section: Section) -> Strength:
    """Of a link's tube or bar.

    Args:
        material: of it.
        section: by whose wall, or diameter, it counts.
    """
    return strength(material, section.wall or section.width, "bar" if section.is_solid else "tube")

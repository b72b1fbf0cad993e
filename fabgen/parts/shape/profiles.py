"""Profiles' sections as cross-sections, and what a metre of them weighs."""

from __future__ import annotations

from functools import lru_cache

from fabgen.geometry.profile import shapes
from fabgen.geometry.profile.cross_section import CrossSection
from fabgen.shop.profiles.profile_section import ProfileSection


@lru_cache(maxsize=256)
def cross_section(section: ProfileSection) -> CrossSection:
    """The outline and the faces of a section in its own frame (y, z), its origin at the trade's datum.

    Args:
        section: of the profile.
    """
    root, toe, slope = section.root, section.toe, section.slope
    match section.kind:
        case "angle":
            a, b, t = section.sizes
            return shapes.angle(a, b, t, root, toe, root + t if section.folded else 0.0)
        case "channel":
            h, b, web, flange = section.sizes
            return shapes.channel(
                h, b, web, flange, root, toe, slope, section.at, root + web if section.folded else 0.0
            )
        case "T":
            h, b, flange, stem = section.sizes
            return shapes.tee(h, b, flange, stem, root, toe, section.stem_toe, slope)
        case "flat":
            width, thickness = section.sizes
            return shapes.flat(width, thickness)
    (size,) = section.sizes
    if section.kind == "square bar":
        return shapes.flat(size, size)
    return shapes.hexagon(size) if section.kind == "hexagon bar" else shapes.round_bar(size)


def mass_per_metre(section: ProfileSection, density: float) -> float:
    """What a metre of it weighs.

    Args:
        section: of the profile.
        density: of its metal, kg/m3.
    Returns: kg/m.
    """
    return cross_section(section).area * density * 1e-6

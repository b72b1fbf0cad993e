"""What air bending does: the lower tool and the inside radius it gives, the force it takes, and spring back."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from fabgen.shop.bending.bend_radii import Rolling, least_radius
from fabgen.shop.bending.bends import COMMON, SourcedLength, die_width
from fabgen.shop.materials import Group, Material
from fabgen.shop.strength import MODULUS

GROOVER = "M. P. Groover, Fundamentals of Modern Manufacturing, sheet metalworking, bending force"
KALPAKJIAN = "S. Kalpakjian and S. R. Schmid, Manufacturing Engineering and Technology, sheet forming, springback"
V_BEND = 1.33
"""K of a V-shaped lower tool in Groover's formula."""

NATURAL: dict[Group, float] = {"mild steel": 0.16, "alloy steel": 0.20, "stainless": 0.21, "aluminium": 0.14}
"""Inside radius over the lower tool's opening in air bending: common practice, no source."""
FREE = 0.25
"""An inside radius that differs from the natural one by less than this share of it needs no word."""

NARROW, WIDE = 0.6, 2.0
"""Lower tools that serve a sheet, over the usual opening: one narrower crushes it, one wider leaves no leg to hold."""
ROUND_UPPER = 2.0
"""Opening under an upper tool of the bend's own radius, over radius and thickness together: common practice, no
source."""

TENSILE: dict[Group, float] = {"mild steel": 450.0, "alloy steel": 700.0, "stainless": 700.0, "aluminium": 300.0}
"""Tensile strength that the force is calculated with, MPa, by group: common practice, no source."""
TENSILE_OF = {"S235": 510.0, "S275": 560.0, "S355": 630.0}
"""Greatest tensile strength, 3 mm to 100 mm, MPa: EN 10025-2, table of mechanical properties (from memory)."""

YIELD: dict[Group, float] = {"mild steel": 235.0, "alloy steel": 460.0, "stainless": 230.0, "aluminium": 150.0}
"""Yield strength that spring back is calculated with where the material gives none, MPa: from memory, check
against your sheet."""
LEAST_SPRING: dict[Group, float] = {"mild steel": 1.0, "alloy steel": 3.0, "stainless": 2.5, "aluminium": 2.0}
"""What a 90 degree bend with a radius about the thickness usually springs back, degrees: common practice, no source."""


def natural_radius(material: Material, die: float) -> SourcedLength:
    """Inside radius that the sheet takes of itself when bent in the air, mm (common practice, no source).

    A share of the tool's opening; the upper tool's radius makes no difference as long as it is smaller.

    Args:
        material: of the sheet.
        die: opening of the lower tool, mm.
    """
    return SourcedLength(NATURAL[material.group] * die, COMMON)


@dataclass(frozen=True, slots=True)
class LowerTool:
    """The lower tool of a bend: its opening and the inside radius it makes in the air, mm, and whose choice it is.

    'usual': the usual one for the thickness; 'radius': the one that makes the bend's radius; 'narrowest' and
    'widest': as near to that as serves the sheet.
    """

    opening: float
    makes: float
    choice: Literal["given", "usual", "radius", "narrowest", "widest"]


def usual_radius(
    material: Material, thickness: float, die: float | None, rolling: Rolling, angle: float = math.pi / 2.0
) -> float:
    """Inside radius of a bend whose radius nobody gave, mm: what the lower tool makes, the usual one where none is
    given; that one is widened where it makes less than the material's least radius, or than the thickness: of tighter
    bends EN 1993-1-8, Table 4.2, has no row that lets a weld near.

    Args:
        material: of the sheet.
        thickness: of the sheet, mm.
        die: opening of the lower tool, mm, where it is given.
        rolling: how the bend line lies to the rolling direction.
        angle: of the bend, rad.
    """
    if die is not None:
        return natural_radius(material, die).value
    natural = natural_radius(material, die_width(thickness).value).value
    return max(natural, thickness, least_radius(material, thickness, rolling, angle).value)


def lower_tool(material: Material, thickness: float, radius: float, die: float | None) -> LowerTool:
    """The lower tool for a bend.

    Args:
        material: of the sheet.
        thickness: of the sheet, mm.
        radius: inside, mm.
        die: opening as given, mm; None: the one that makes the radius, as far as such a tool serves the sheet.
    """
    share = NATURAL[material.group]
    if die is not None:
        return LowerTool(die, share * die, "given")
    usual = die_width(thickness).value
    wanted, least = radius / share, NARROW * usual
    most = max(WIDE * usual, ROUND_UPPER * (radius + thickness))
    if abs(wanted - usual) < 1e-9 * usual:
        return LowerTool(usual, radius, "usual")
    if wanted < least:
        return LowerTool(least, share * least, "narrowest")
    if wanted > most:
        return LowerTool(most, share * most, "widest")
    return LowerTool(wanted, radius, "radius")


def tensile_strength(material: Material) -> SourcedLength:
    """Tensile strength to calculate the force with, MPa.

    Args:
        material: of the sheet.
    """
    for name, strength in TENSILE_OF.items():
        if material.name.startswith(name) and not material.name.endswith("MC"):
            return SourcedLength(strength, "EN 10025-2, greatest (from memory)")
    return SourcedLength(TENSILE[material.group], COMMON)


def bending_force(strength: float, thickness: float, length: float, die: float) -> SourcedLength:
    """Force to bend a length of sheet over a V-shaped lower tool, kN.

    Args:
        strength: tensile, TS, MPa.
        thickness: t, mm.
        length: along the bend, w, mm.
        die: opening of the lower tool, D, mm.
    Source: M. P. Groover, Fundamentals of Modern Manufacturing, bending force: F = 1.33 TS w t^2 / D.
    """
    return SourcedLength(V_BEND * strength * length * thickness**2 / die / 1000.0, GROOVER)


@dataclass(frozen=True, slots=True)
class Spring:
    """How far a bend springs open, rad, and where the figure comes from."""

    angle: float
    source: str


def spring_back(material: Material, thickness: float, radius: float, angle: float) -> Spring:
    """How much a bend opens again when it is let go.

    With x = R Y / (E t), R the radius under load, the radius grows by Ri / Rf = 4 x^3 - 3 x + 1 and the middle of
    the sheet keeps its length, so that the angle lessens by (R + t / 2)'s share.  A tight bend springs more than
    that says: the usual figure for its material is the least that is given.

    Args:
        material: of the sheet.
        thickness: t, mm.
        radius: inside, R, mm.
        angle: of the bend, rad.
    Source: S. Kalpakjian and S. R. Schmid, Manufacturing Engineering and Technology, springback.
    """
    x = radius * _yield(material) / (MODULUS[material.group] * thickness)
    ratio = 4.0 * x**3 - 3.0 * x + 1.0 if x < 0.5 else 0.0
    final = radius / ratio if ratio > 1e-6 else math.inf
    kept = (radius + thickness / 2.0) / (final + thickness / 2.0) if radius > 0.0 else 1.0
    calculated = angle * (1.0 - kept)
    usual = math.radians(LEAST_SPRING[material.group]) * angle / (math.pi / 2.0)
    return Spring(calculated, KALPAKJIAN) if calculated > usual else Spring(usual, COMMON)


def _yield(material: Material) -> float:
    return material.yield_strength or YIELD[material.group]


def differs(radius: float, natural: float) -> bool:
    """Whether a wanted radius is far enough from the natural one to be named.

    Args:
        radius: as wanted, mm.
        natural: what the sheet takes of itself, mm.
    """
    return abs(radius - natural) > FREE * natural

"""One bend without a job file: the figures and the words of `fabgen bend`."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from fabgen.documents.render.words import figure
from fabgen.geometry.sheet.folds import Bend
from fabgen.job.errors import InputError
from fabgen.job.values.option_values import angle_option, length_option, option
from fabgen.shop import materials
from fabgen.shop.bending.bend_radii import least_radius
from fabgen.shop.bending.bends import BendRule, k_factor, least_flange
from fabgen.shop.bending.press_brake import (
    GROOVER,
    bending_force,
    lower_tool,
    spring_back,
    tensile_strength,
    usual_radius,
)
from fabgen.shop.materials import Material


@dataclass(frozen=True)
class BendOptions:
    """One bend in the words of the command line.

    `radius`: left out = what the lower tool makes; `k`: the K-factor given, left out = by `rule`; `die`: opening of
    the lower tool, left out = the one that makes the radius, or the usual one where neither is given;
    `length` along the bend for the force, left out = a metre.
    """

    thickness: str
    radius: str | None
    angle: str
    material: str
    k: float | None
    rule: str
    die: str | None = None
    length: str | None = None


def read_sheet(thickness: str, material: str, die: str | None) -> tuple[float, Material, float | None]:
    """The sheet and the opening of the lower tool, mm, None where it is the usual one; raises InputError that names
    the option."""
    t = length_option("thickness", thickness)
    if t <= 0.0:
        raise InputError(f"--thickness: {thickness!r} is no sheet", "more than 0, e.g. 3 or '1/8 in'")
    metal = option("material", lambda: materials.find(material))
    tool = None if die is None else length_option("die", die)
    if tool is not None and tool <= t:
        raise InputError(f"--die: {die!r} is no wider than the sheet is thick", "the opening of the lower tool")
    return t, metal, tool


def bend_figures(given: BendOptions) -> dict[str, Any]:
    """All figures of the bend; raises InputError that names the option."""
    t, metal, tool = read_sheet(given.thickness, given.material, given.die)
    turn = angle_option("angle", given.angle)
    usual = usual_radius(metal, t, tool, "along", turn)
    r = usual if given.radius is None else length_option("radius", given.radius)
    if r < 0.0:
        raise InputError(f"--radius: {given.radius!r} is less than nothing", "0 or more")
    if not 0.0 < turn <= math.pi + 1e-12:
        raise InputError(f"--angle: {given.angle!r} cannot be bent", "more than 0, up to 180 degrees")
    if given.rule not in ("table", "din6935"):
        raise InputError(f"--rule: there is no rule {given.rule!r}", "table, din6935")
    chosen: BendRule = "table" if given.rule == "table" else "din6935"
    long = 1000.0 if given.length is None else length_option("length", given.length)
    if long <= 0.0:
        raise InputError(f"--length: {given.length!r} is no length", "more than 0, e.g. 400 or '2 ft'")
    lower = lower_tool(metal, t, r, tool)
    width = lower.opening
    factor = k_factor(metal.group, t, r, chosen, given.k)
    bend = Bend(t, r, turn, factor.value)
    least = least_radius(metal, t, "along", turn)
    flat_over = turn > math.pi - 1e-6
    return {
        "thickness_mm": round(t, 4),
        "radius_mm": round(r, 4),
        "angle_deg": round(math.degrees(turn), 4),
        "material": metal.name,
        "k": round(factor.value, 4),
        "k_source": factor.source.words() if given.k is None else "given with --k",
        "allowance_mm": round(bend.allowance, 4),
        "setback_mm": None if flat_over else round(bend.setback, 4),
        "deduction_mm": None if flat_over else round(bend.deduction, 4),
        "least_radius_mm": round(least.value, 4),
        "least_radius_across_mm": round(least_radius(metal, t, "across", turn).value, 4),
        "least_radius_source": least.source,
        "least_flange_mm": round(least_flange(turn, width).value, 4),
        "die_mm": round(width, 4),
        "die_given": tool is not None,
        "natural_radius_mm": round(lower.makes, 4),
        "upper_tool_rounded": lower.choice == "widest",
        "length_mm": round(long, 4),
        "force_kn": round(bending_force(tensile_strength(metal).value, t, long, width).value, 4),
        "spring_back_deg": round(math.degrees(spring_back(metal, t, r, turn).angle), 4),
    }


def bend_report(figures: dict[str, Any]) -> Iterator[str]:
    """What the command prints."""

    def mm(key: str) -> str:
        value = figures[key]
        return "none at 180°" if value is None else f"{figure(value, 2)} mm"

    yield (
        f"{figure(figures['thickness_mm'], 2)} mm {figures['material']}, inside radius {mm('radius_mm')}, "
        f"bend angle {figure(figures['angle_deg'], 2)}°"
    )
    yield f"K factor    {figure(figures['k'], 3)}  ({figures['k_source']})"
    yield f"allowance   {mm('allowance_mm')}   length of the neutral line through the bend"
    yield f"setback     {mm('setback_mm')}   tangent line to outside corner"
    yield f"deduction   {mm('deduction_mm')}   flat = outside leg + outside leg - deduction"
    if figures["radius_mm"] < figures["least_radius_mm"] - 1e-9:
        across = (
            ""
            if figures["least_radius_across_mm"] == figures["least_radius_mm"]
            else (f", across it {mm('least_radius_across_mm')}")
        )
        least = f"look: it may crack: the least inside radius along the grain is {mm('least_radius_mm')}{across}"
        yield f"{least} ({figures['least_radius_source']})"
    whose = "as given" if figures["die_given"] else "for that radius, common practice, no source"
    if figures["upper_tool_rounded"]:
        whose = f"under an upper tool of radius {mm('radius_mm')}, common practice, no source"
    yield f"lower tool  {mm('die_mm')}   opening ({whose})"
    yield f"least leg   {mm('least_flange_mm')}   over that tool (common practice, no source)"
    yield f"natural R   {mm('natural_radius_mm')}   inside, bent in air over it (common practice, no source)"
    force = figures["force_kn"]
    yield (
        f"force       {figure(force, 1)} kN ({figure(force / 9.80665, 1)} t)   for {figure(figures['length_mm'])} mm "
        f"of bend ({GROOVER})"
    )
    yield f"spring back about {figure(figures['spring_back_deg'])}°: bend that much farther and let go"
    yield "Sheet and tools differ: fold a test strip before you cut the job."

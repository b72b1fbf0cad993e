"""One bend without a job file: the figures and the words of `fabgen bend`."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from fabgen.documents.words import figure
from fabgen.geometry.folds import Bend
from fabgen.job.options import OptionError, angle_option, length_option, option
from fabgen.shop import materials
from fabgen.shop.bends import BendRule, k_factor, least_flange, least_radius


def bend_figures(thickness: str, radius: str, angle: str, material: str, k: float | None, rule: str) -> dict[str, Any]:
    """All figures of the bend; raises ValueError that names the option."""
    t = length_option("thickness", thickness)
    r = length_option("radius", radius)
    turn = angle_option("angle", angle)
    if t <= 0.0:
        raise OptionError("thickness", f"{thickness!r} is no sheet", "more than 0, e.g. 3 or '1/8 in'")
    if r < 0.0:
        raise OptionError("radius", f"{radius!r} is less than nothing", "0 or more")
    if not 0.0 < turn <= math.pi + 1e-12:
        raise OptionError("angle", f"{angle!r} cannot be bent", "more than 0, up to 180 degrees")
    if rule not in ("table", "din6935"):
        raise OptionError("rule", f"there is no rule {rule!r}", "table, din6935")
    chosen: BendRule = "table" if rule == "table" else "din6935"
    metal = option("material", lambda: materials.find(material))
    factor = k_factor(metal.group, t, r, chosen, k)
    bend = Bend(t, r, turn, factor.value)
    flat_over = turn > math.pi - 1e-6
    return {
        "thickness_mm": round(t, 4),
        "radius_mm": round(r, 4),
        "angle_deg": round(math.degrees(turn), 4),
        "material": metal.name,
        "k": round(factor.value, 4),
        "k_source": factor.source if k is None else "given with --k",
        "allowance_mm": round(bend.allowance, 4),
        "setback_mm": None if flat_over else round(bend.setback, 4),
        "deduction_mm": None if flat_over else round(bend.deduction, 4),
        "least_radius_mm": round(least_radius(metal, t).value, 4),
        "least_flange_mm": round(least_flange(t, turn).value, 4),
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
        yield f"look: usual least inside radius {mm('least_radius_mm')} (common practice, no source); it may crack"
    yield f"least leg   {mm('least_flange_mm')}   usual tool opening (common practice, no source)"
    yield "Sheet and tools differ: fold a test strip before you cut the job."

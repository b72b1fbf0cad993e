"""Bend data of a job's parts: which K serves a bend, and what to tell about tool, force and spring back."""

from __future__ import annotations

import math
from collections.abc import Iterable

from fabgen.job.tables.definitions import Bracket, Cover
from fabgen.parts.piece import FlatBend
from fabgen.parts.shape.measured_bends import measured_ks
from fabgen.parts.sheet.request import SheetRequest
from fabgen.shop import bend_tests
from fabgen.shop.bends import COMMON, KFactor, k_factor, least_flange
from fabgen.shop.press_brake import bending_force, differs, natural_radius, opening, spring_back, tensile_strength
from fabgen.wording.figures import figure


def bend_k(request: SheetRequest[Bracket | Cover], radius: float) -> KFactor:
    """K for a bend of a part: its own, else the job's bend test for it, else the job's rule.

    Args:
        radius: inside, mm.
    Raises:
        Unfit: tests were made over several lower tools, and neither part nor job says which is used.
    """
    job, material, thickness, own = request.job, request.material, request.thickness, request.given.k
    if own is not None:
        return k_factor(material.group, thickness, radius, own=own)
    found = bend_tests.find(measured_ks(job), material.name, thickness, radius, request.die)
    if len(found) > 1:
        openings = [f'"{figure(test.die or 0.0, 2)} mm"' for test in found]
        what = (
            f"bends of {figure(radius, 2)} mm in {figure(thickness, 2)} mm {material.name} were tested over "
            f"{' and '.join(openings)}, and nothing says which is used"
        )
        raise request.unfit("die", what, f"die = {' or '.join(openings)}, here or in [job]")
    return found[0].factor if found else k_factor(material.group, thickness, radius, job.job.bend_rule)


# -- what to tell -----------------------------------------------------------------
def brake_facts(request: SheetRequest[Bracket | Cover], bends: Iterable[FlatBend]) -> list[tuple[str, str]]:
    """Tool, natural radius, force and spring back in words for the bends of a part, by its longest; hems aside."""
    folded = [(each.bend, math.dist(each.start, each.end)) for each in bends if not each.bend.is_hem]
    if not folded:
        return []
    bend, longest = max(folded, key=lambda each: each[1])
    material, die = request.material, request.die
    tool = opening(bend.thickness, die)
    natural = natural_radius(material, tool.value).value
    strength = tensile_strength(material)
    force = bending_force(strength.value, bend.thickness, longest, tool.value)
    whose = f"usual for {figure(bend.thickness, 2)} mm, {tool.source}" if die is None else "as given"
    words = (
        f"lower tool {figure(tool.value, 2)} mm ({whose}); bent in air it gives about {figure(natural, 1)} mm inside"
    )
    if differs(bend.radius, natural):
        words += f", not {figure(bend.radius, 1)}: choose the tool to suit, or K will be another"
    least = least_flange(bend.thickness, bend.angle, tool.value).value
    words += f"; least leg {figure(least, 1)} mm ({COMMON})"
    spring = spring_back(material, bend.thickness, bend.radius, bend.angle)
    return [
        ("tool", words),
        (
            "force",
            f"about {_force(force.value)} for the longest bend of {figure(longest, 0)} mm, tensile strength "
            f"{figure(strength.value, 0)} MPa ({force.source})",
        ),
        (
            "spring back",
            f"about {figure(math.degrees(spring.angle), 1)}° of {figure(math.degrees(bend.angle), 1)}°: bend that "
            f"much farther and let go ({spring.source})",
        ),
    ]


def _force(kilonewtons: float) -> str:
    tonnes = kilonewtons / 9.80665
    return f"{figure(kilonewtons, 0 if kilonewtons >= 10.0 else 1)} kN ({figure(tonnes, 1)} t)"

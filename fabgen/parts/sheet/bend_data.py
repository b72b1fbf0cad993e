"""Bend data of a job's parts: which K serves a bend, and what to tell about tool, force and spring back."""

from __future__ import annotations

import math
from collections.abc import Iterable

from fabgen.job.tables.definitions import Bracket, Cover
from fabgen.parts.piece import Fact, FlatBend, fact
from fabgen.parts.shape.measured_bends import measured_ks
from fabgen.parts.sheet.request import SheetRequest
from fabgen.shop import bend_tests
from fabgen.shop.bends import COMMON, KFactor, k_factor, least_flange
from fabgen.shop.press_brake import bending_force, differs, natural_radius, opening, spring_back, tensile_strength
from fabgen.wording.figures import figure
from fabgen.wording.sentence import degrees, kilonewtons, megapascals, mm, sentence

GRAVITY = 9.80665
"""Standard acceleration of free fall, m/s2 (ISO 80000-3): a tonne weighs so many kN."""


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
def brake_facts(request: SheetRequest[Bracket | Cover], bends: Iterable[FlatBend]) -> list[Fact]:
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
    whose = "as given" if die is not None else sentence("usual for ", mm(bend.thickness, 2), f", {tool.source}")
    least = least_flange(bend.thickness, bend.angle, tool.value).value
    spring = spring_back(material, bend.thickness, bend.radius, bend.angle)
    unlike = f", not {figure(bend.radius, 1)}: choose the tool to suit, or K will be another"
    return [
        fact(
            "tool",
            "tool",
            "lower tool ",
            mm(tool.value, 2).named("opening"),
            " (",
            whose,
            "); bent in air it gives about ",
            mm(natural).named("natural inside radius"),
            f" inside{unlike if differs(bend.radius, natural) else ''}; least leg ",
            mm(least).named("least leg"),
            f" ({COMMON})",
        ),
        fact(
            "force",
            "force",
            "about ",
            kilonewtons(1000.0 * force.value, 0 if force.value >= 10.0 else 1).named("force"),
            f" ({figure(force.value / GRAVITY, 1)} t) for the longest bend of ",
            mm(longest, 0).named("length"),
            ", tensile strength ",
            megapascals(strength.value).named("tensile strength"),
            f" ({force.source})",
        ),
        fact(
            "spring-back",
            "spring back",
            "about ",
            degrees(spring.angle).named("spring back"),
            " of ",
            degrees(bend.angle).named("bend"),
            f": bend that much farther and let go ({spring.source})",
        ),
    ]

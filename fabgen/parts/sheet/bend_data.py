"""Bend data of a job's parts: which K serves a bend, and what to tell about tool, force and spring back."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace

from fabgen.geometry.sheet.folds import Bend
from fabgen.job.tables.bracket_tables import Bracket
from fabgen.job.tables.cover_tables import Cover
from fabgen.job.tables.lengths.bar_tables import Strap
from fabgen.parts.piece import Fact, FlatBend, fact
from fabgen.parts.shape.measured_bends import measured_ks
from fabgen.parts.sheet.request import SheetRequest
from fabgen.shop.bending import bend_tests
from fabgen.shop.bending.bend_radii import Rolling
from fabgen.shop.bending.bends import COMMON, KFactor, k_factor, least_flange
from fabgen.shop.bending.press_brake import (
    LowerTool,
    bending_force,
    differs,
    lower_tool,
    spring_back,
    tensile_strength,
    usual_radius,
)
from fabgen.wording.figures import figure
from fabgen.wording.sentence import Part, degrees, kilonewtons, megapascals, mm, sentence

GRAVITY = 9.80665
"""Standard acceleration of free fall, m/s2 (ISO 80000-3): a tonne weighs so many kN."""


def inside_radius(
    request: SheetRequest[Bracket | Cover | Strap], rolling: Rolling = "along", angle: float = math.pi / 2.0
) -> float:
    """Inside radius of a bend for which the job gives none, mm: what the lower tool makes, by the job's bend tests
    where one comes near it, else by rule.

    Args:
        rolling: how the bend line lies to the sheet's rolling direction.
        angle: of the bend, rad.
    """
    material, thickness, die = request.material, request.thickness, request.die
    radius = usual_radius(material, thickness, die, rolling, angle)
    tested = {
        test.radius
        for test in measured_ks(request.job)
        if test.serves(material.name, thickness, test.radius, die) and not differs(test.radius, radius)
    }
    return tested.pop() if len(tested) == 1 else radius


def bend_k(request: SheetRequest[Bracket | Cover | Strap], radius: float) -> KFactor:
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
        what = sentence(
            "bends of ",
            mm(radius, 2),
            " in ",
            mm(thickness, 2),
            f" {material.name} were tested over {' and '.join(openings)}, and nothing says which is used",
        )
        raise request.unfit("die", what, f"die = {' or '.join(openings)}, here or in [job]")
    return found[0].factor if found else k_factor(material.group, thickness, radius, job.job.bend_rule)


# -- what to tell -----------------------------------------------------------------
def brake_facts(request: SheetRequest[Bracket | Cover | Strap], bends: Iterable[FlatBend]) -> list[Fact]:
    """Tool, force and spring back in words for the bends of a part, by its longest; hems aside."""
    folded = [(each.bend, math.dist(each.start, each.end)) for each in bends if not each.bend.is_hem]
    if not folded:
        return []
    bend, longest = max(folded, key=lambda each: each[1])
    material = request.material
    tool = lower_tool(material, bend.thickness, bend.radius, request.die)
    strength = tensile_strength(material)
    force = bending_force(strength.value, bend.thickness, longest, tool.opening)
    least = least_flange(bend.angle, tool.opening).value
    spring = spring_back(material, bend.thickness, bend.radius, bend.angle)
    long = [
        fact(
            "tool",
            "tool",
            "lower tool ",
            mm(tool.opening, 2).named("opening"),
            *_choice(tool, bend),
            "; least leg ",
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
    makes = sentence(", makes R", mm(tool.makes, 2)) if tool.choice != "widest" else ""
    brief = sentence(
        "Lower tool ", mm(tool.opening, 2), makes, "; least leg ", mm(least), "; force about ",
        kilonewtons(1000.0 * force.value, 0 if force.value >= 10.0 else 1), "; spring back about ",
        degrees(spring.angle),
    )  # fmt: skip
    return [replace(each, brief=brief) for each in long]


def _choice(tool: LowerTool, bend: Bend) -> Iterator[Part]:
    """Whose choice the tool is, and what inside radius it makes."""
    makes = mm(tool.makes).named("natural inside radius")
    if tool.choice == "widest":
        yield " under an upper tool of that radius: "
        yield mm(bend.radius)
        return
    chosen: dict[str, Part] = {
        "given": "as given",
        "usual": sentence("usual for ", mm(bend.thickness, 2)),
        "radius": "the one for that radius",
        "narrowest": "the narrowest for the sheet",
    }
    yield " ("
    yield chosen[tool.choice]
    yield "); bent in air it gives about "
    yield makes
    yield " inside"
    if differs(bend.radius, tool.makes):
        yield f", not {figure(bend.radius, 1)}: "
        yield "take a tool to suit, or K will be another" if tool.choice == "given" else "K will be another"

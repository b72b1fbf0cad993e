"""Bend data of a job's parts: which K serves a bend, and what to tell about tool, force and spring back."""

from __future__ import annotations

import math
from collections.abc import Iterable

from fabgen.job.errors import JobError, Problem
from fabgen.job.tables.definitions import BendTest, Bracket, Cover, Definitions
from fabgen.parts.piece import FlatBend
from fabgen.parts.sheet.request import SheetRequest
from fabgen.shop import bend_tests
from fabgen.shop.bend_tests import FoldedStrip, MeasuredK, allowance_of, k_of
from fabgen.shop.bends import COMMON, KFactor, k_factor, least_flange
from fabgen.shop.press_brake import FREE, bending_force, natural_radius, opening, spring_back, tensile_strength
from fabgen.wording.figures import figure

BELIEVED = (0.15, 0.65)
"""A K outside this was not measured as it should be: common practice, no source."""


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


def measured_ks(job: Definitions) -> list[MeasuredK]:
    """The job's bend tests, those of one bend together.  Raises JobError where a strip shows no usable K."""
    problems: list[Problem] = []
    tests = [test for i, given in enumerate(job.bend_test) if (test := _test(given, i, job, problems)) is not None]
    if problems:
        raise JobError(problems)
    return bend_tests.together(tests)


def _test(given: BendTest, index: int, job: Definitions, problems: list[Problem]) -> MeasuredK | None:
    ks: list[float] = []
    allowances: list[float] = []
    for i, legs in enumerate(given.legs):
        strip = FoldedStrip(given.strip, (legs[0], legs[1]))
        k = k_of(strip, given.thickness, given.radius, given.angle)
        if not BELIEVED[0] <= k <= BELIEVED[1]:
            deduction = legs[0] + legs[1] - given.strip
            what = (
                f"legs of {figure(legs[0], 2)} and {figure(legs[1], 2)} mm from a strip of {figure(given.strip, 2)} mm "
                f"(together {figure(deduction, 2)} mm more) would make K {k:.2f}"
            )
            accepted = f"legs measured outside, over the thickness: K {BELIEVED[0]:g} to {BELIEVED[1]:g}"
            problems.append(Problem(("bend_test", index, "legs", i), what, accepted))
            continue
        ks.append(k)
        allowances.append(allowance_of(strip, given.thickness, given.radius, given.angle))
    if not ks:
        return None
    spread = max(allowances) - min(allowances)
    name = job.find_material(given.material).name
    return MeasuredK(name, given.thickness, given.radius, given.die, tuple(ks), spread, given.tool)


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


def differs(radius: float, natural: float) -> bool:
    """Whether a wanted radius is far enough from the natural one to be told."""
    return abs(radius - natural) > FREE * natural


def _force(kilonewtons: float) -> str:
    tonnes = kilonewtons / 9.80665
    return f"{figure(kilonewtons, 0 if kilonewtons >= 10.0 else 1)} kN ({figure(tonnes, 1)} t)"

"""Bend data of a job's parts: which K serves a bend, and what to tell about tool, force and spring back."""

from __future__ import annotations

import math
from collections.abc import Sequence

from fabgen.geometry.sheet.folds import Bend
from fabgen.job.errors import JobError, Path, Problem
from fabgen.job.tables.definitions import BendTest, Definitions
from fabgen.parts.sheet.features import Unfit, figure
from fabgen.shop import bend_tests
from fabgen.shop.bend_tests import MeasuredK, Strip, allowance_of, k_of
from fabgen.shop.bends import COMMON, KFactor, k_factor, least_flange
from fabgen.shop.materials import Material
from fabgen.shop.press_brake import FREE, bending_force, natural_radius, opening, spring_back, tensile_strength

BELIEVED = (0.15, 0.65)
"""A K outside this was not measured as it should be: common practice, no source."""


def bend_k(
    job: Definitions,
    material: Material,
    thickness: float,
    radius: float,
    own: float | None,
    die: float | None,
    path: Path,
    problems: list[Problem],
) -> KFactor:
    """K for a bend of a part: its own, else the job's bend test for it, else the job's rule.

    `die` is the part's own lower tool; the job's stands in.  Raises Unfit, and tells a problem, where
    tests were made over several tools and neither says which is used.
    """
    if own is not None:
        return k_factor(material.group, thickness, radius, own=own)
    tool = job.job.die if die is None else die
    found = bend_tests.find(measured_ks(job), material.name, thickness, radius, tool)
    if len(found) > 1:
        openings = [f'"{figure(test.die or 0.0)} mm"' for test in found]
        what = (
            f"bends of {figure(radius)} mm in {figure(thickness)} mm {material.name} were tested over "
            f"{' and '.join(openings)}, and nothing says which is used"
        )
        problems.append(Problem((*path, "die"), what, f"die = {' or '.join(openings)}, here or in [job]"))
        raise Unfit
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
        strip = Strip(given.strip, (legs[0], legs[1]))
        k = k_of(strip, given.thickness, given.radius, given.angle)
        if not BELIEVED[0] <= k <= BELIEVED[1]:
            deduction = legs[0] + legs[1] - given.strip
            what = (
                f"legs of {figure(legs[0])} and {figure(legs[1])} mm from a strip of {figure(given.strip)} mm "
                f"(together {figure(deduction)} mm more) would make K {k:.2f}"
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
def brake_facts(material: Material, bends: Sequence[tuple[Bend, float]], die: float | None) -> list[tuple[str, str]]:
    """Tool, natural radius, force and spring back in words, for bends with the length of each (mm)."""
    if not bends:
        return []
    bend = max(bends, key=lambda each: each[1])[0]
    longest = max(length for _, length in bends)
    tool = opening(bend.thickness, die)
    natural = natural_radius(material, tool.value).value
    strength = tensile_strength(material)
    force = bending_force(strength.value, bend.thickness, longest, tool.value)
    whose = f"usual for {figure(bend.thickness)} mm, {tool.source}" if die is None else "as given"
    words = f"lower tool {figure(tool.value)} mm ({whose}); bent in air it gives about {figure(natural, 1)} mm inside"
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

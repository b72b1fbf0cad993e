"""What a job's bend tests give: K by material, thickness, radius and lower tool."""

from __future__ import annotations

from fabgen.job.errors import Problem, Problems
from fabgen.job.tables.bend_tables import BendTest
from fabgen.job.tables.definitions import Definitions
from fabgen.shop.bending import bend_tests
from fabgen.shop.bending.bend_tests import FoldedStrip, MeasuredK, allowance_of, k_of
from fabgen.wording.sentence import lengths, mm, sentence

BELIEVED = (0.15, 0.65)
"""A K outside this was not measured as it should be: common practice, no source."""


def measured_ks(job: Definitions) -> list[MeasuredK]:
    """The job's bend tests, those of one bend together.  Raises JobError where a strip shows no usable K."""
    problems = Problems()
    tests = [test for i, given in enumerate(job.bend_test) if (test := _test(given, i, job, problems)) is not None]
    problems.report()
    return bend_tests.merged(tests)


def _test(given: BendTest, index: int, job: Definitions, problems: list[Problem]) -> MeasuredK | None:
    ks: list[float] = []
    allowances: list[float] = []
    for i, legs in enumerate(given.legs):
        strip = FoldedStrip(given.strip, (legs[0], legs[1]))
        k = k_of(strip, given.thickness, given.radius, given.angle)
        if not BELIEVED[0] <= k <= BELIEVED[1]:
            deduction = legs[0] + legs[1] - given.strip
            what = sentence(
                "legs of ",
                lengths(legs, " and ", 2),
                " from a strip of ",
                mm(given.strip, 2),
                " (together ",
                mm(deduction, 2),
                f" more) would make K {k:.2f}",
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

"""Speed of copes: one line of 360 points, and frames of many tubes."""

import math
from typing import Any

import pytest

from fabgen.checks.tubes import check_tubes
from fabgen.job.definitions import Definitions
from fabgen.parts.cope import simple_cope
from fabgen.parts.tube import pieces
from fabgen.shop.section import Section

ROUND = Section("round", 48.3, 48.3, 3.2)
WIDE = Section("round", 60.3, 60.3, 3.2)
BOX = Section("rectangular", 80.0, 60.0, 4.0, 8.0)


@pytest.mark.parametrize("onto", [WIDE, BOX], ids=["round", "rectangular"])
@pytest.mark.parametrize("branch", [ROUND, Section("rectangular", 40.0, 40.0, 3.0, 6.0)], ids=["round", "rectangular"])
def test_one_line(benchmark: Any, branch: Section, onto: Section) -> None:
    from fabgen.parts.cope import _ORIGIN, _main, cut_line, section_profile

    profile, main = section_profile(branch), _main(onto, math.radians(60.0), 3.0)
    benchmark(cut_line, profile, _ORIGIN, [main], "clear")


def test_one_cope_with_its_saw(benchmark: Any) -> None:
    benchmark(simple_cope, ROUND, WIDE, math.radians(60.0), 3.0)


def lattice(bays: int) -> Definitions:
    """A tower of square bays: four posts, and in each bay four rails and four braces."""
    side, rise = 600.0, 500.0
    corners = [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)]
    tubes: list[dict[str, Any]] = [
        {"mark": f"P{i}", "section": "60.3 x 3.2", "route": [[x, y, -50.0], [x, y, bays * rise + 50.0]]}
        for i, (x, y) in enumerate(corners)
    ]
    for bay in range(bays):
        low, high = bay * rise, (bay + 1) * rise
        for i, (x, y) in enumerate(corners):
            u, v = corners[(i + 1) % 4]
            tubes.append({"mark": f"R{bay}-{i}", "section": "42.4 x 2.6", "route": [[x, y, high], [u, v, high]]})
            tubes.append({"mark": f"D{bay}-{i}", "section": "26.9 x 2.3", "route": [[x, y, low], [u, v, high]]})
    return Definitions.model_validate({"job": {"title": "t", "number": "1", "units": "mm"}, "tube": tubes})


@pytest.mark.parametrize("bays", [31, 62, 124])
def test_tower(benchmark: Any, bays: int) -> None:
    """About 250, 500 and 1,000 tubes: built, coped and checked."""
    job = lattice(bays)
    found = benchmark.pedantic(lambda: check_tubes(pieces(job)), rounds=2)
    assert not any(finding.level == "stop" for finding in found)

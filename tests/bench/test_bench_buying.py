"""All that the plan of bars and sheets has to show, side by side:

    python -m pytest tests/bench/test_bench_buying.py --benchmark-only -s

Figures of time are printed and not judged.  By default a few hundred jobs of each kind; with
`-m slow` the 10,000, all jobs of up to eight pieces, 200 sheet jobs and all five strips.
"""

from __future__ import annotations

import resource
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import pytest
from cutting_jobs import (
    a_thousand_mixed_pieces,
    by_trying_everything,
    every_job,
    first_fit_decreasing,
    random_problem,
    u120,
)
from pytest_benchmark.fixture import BenchmarkFixture
from random_sheets import parts_of, random_pieces, room_to_spare
from strip_jobs import (
    GAP,
    MARGIN,
    OWN_STRIP,
    POINTS,
    Job,
    long_density,
    one_by_one_density,
    own_density,
    quick_density,
    solid_blanks,
)

from fabgen.plan.bars.cutting_stock import StockProblem, cheapest
from fabgen.plan.effort import Effort
from fabgen.plan.sheets.blanks import blanks_of
from fabgen.plan.sheets.sheet_stock import SheetStock, Spacing
from fabgen.plan.sheets.sheets import plan_sheets

STOCKS = [SheetStock((1000.0, 500.0)), SheetStock((1500.0, 750.0)), SheetStock((2000.0, 1000.0))]


@dataclass(frozen=True)
class Size:
    """How many jobs of each kind."""

    random_jobs: int
    most_pieces: int
    sheet_jobs: int
    strips: int


SHORT, FULL = Size(300, 4, 12, 1), Size(10_000, 8, 200, len(OWN_STRIP))


def cpu() -> float:
    """CPU seconds of this process and of those it started."""
    who = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    return sum(use.ru_utime + use.ru_stime for use in map(resource.getrusage, who))


def timed(work: Callable[[], object]) -> float:
    began = cpu()
    work()
    return cpu() - began


def rows(size: Size) -> Iterator[tuple[str, str, bool]]:
    """What was tried, what came of it, and whether it is as it must be."""
    yield _u120()
    yield _mixed()
    yield _first_fit(size.random_jobs)
    yield _everything(size.most_pieces)
    yield _overlaps(size.sheet_jobs)
    yield from map(_density, list(OWN_STRIP)[: size.strips])


def _u120() -> tuple[str, str, bool]:
    problems = [u120(number) for number in range(20)]
    times = [timed(lambda problem=problem: cheapest(problem)) for problem, _ in problems]
    found = [cheapest(problem) for problem, _ in problems]
    proven = sum(plan.proven for plan in found)
    good = proven == 20 and all(plan.cost <= best for plan, (_, best) in zip(found, problems, strict=True))
    words = f"{proven} proven least, {sum(times):.2f} s CPU in all, {max(times):.2f} s the slowest"
    return "u120, 20 jobs", words, good


def _mixed() -> tuple[str, str, bool]:
    problem = a_thousand_mixed_pieces()
    spent = timed(lambda: cheapest(problem))
    plan = cheapest(problem)
    gap = plan.cost / plan.bound - 1.0
    words = f"{'proven least' if plan.proven else f'within {gap:.3%}'}, {spent:.1f} s CPU"
    return "1,000 pieces, 3 lengths", words, gap <= 0.001


def _first_fit(count: int) -> tuple[str, str, bool]:
    ours = heuristic = worse = 0
    began = cpu()
    for seed in range(10_000, 10_000 + count):
        problem = random_problem(seed, 40)
        cost = cheapest(problem).cost
        others = [other for k in problem.bought if (other := first_fit_decreasing(problem, k)) is not None]
        if others:
            ours, heuristic = ours + cost, heuristic + min(others)
            worse += cost > min(others)
    spent = cpu() - began
    words = f"{worse} dearer than first-fit decreasing, {1 - ours / heuristic:.1%} cheaper in all, {spent:.0f} s CPU"
    return f"{count:,} random jobs", words, worse == 0


def _everything(most: int) -> tuple[str, str, bool]:
    problems: list[StockProblem] = list(every_job(most))
    began = cpu()
    found = [cheapest(problem) for problem in problems]
    spent = cpu() - began
    equal = sum(plan.cost == by_trying_everything(p) for plan, p in zip(found, problems, strict=True))
    words = f"{equal:,} as by trying everything, {sum(plan.proven for plan in found):,} proven, {spent:.0f} s CPU"
    return f"all {len(problems):,} jobs of up to {most} pieces", words, equal == len(problems)


def _overlaps(count: int) -> tuple[str, str, bool]:
    spare, area, parts_area = [], 0.0, 0.0
    began = cpu()
    for seed in range(count):
        pieces = random_pieces(seed, 3 + seed % 13)
        sheets, left = plan_sheets(
            ("S235", 3.0), blanks_of(pieces)["S235", 3.0], STOCKS, Spacing(GAP, MARGIN), Effort.NORMAL
        )
        assert not left
        spare += [room_to_spare(sheet, parts_of(pieces), GAP, MARGIN) for sheet in sheets]
        area += sum(sheet.size[0] * sheet.size[1] for sheet in sheets)
        parts_area += sum(sheet.size[0] * sheet.size[1] * sheet.used for sheet in sheets)
    overlaps = sum(room <= -1e-6 for room in spare)
    words = f"{len(spare)} sheets, {overlaps} with parts nearer than the gap, {parts_area / area:.1%} used, "
    return f"{count} sheet jobs", words + f"{cpu() - began:.0f} s CPU", overlaps == 0


def _density(job: Job) -> tuple[str, str, bool]:
    began = cpu()
    ours = long_density(job)
    spent = cpu() - began
    quick, one_by_one, own = quick_density(job), one_by_one_density(job), own_density(job)
    words = (
        f"{ours:.1%} dense with long effort ({spent:.0f} s CPU), spyrrow's own strip {own:.1%}, "
        f"one by one {one_by_one:.1%}, rectangles {quick:.1%}"
    )
    return f"{len(solid_blanks(*job))} parts on one sheet", words, ours >= max(own - POINTS, quick)


@pytest.mark.slow
@pytest.mark.parametrize("size", [SHORT, FULL], ids=["short", "full"])
def test_side_by_side(benchmark: BenchmarkFixture, size: Size) -> None:
    found = benchmark.pedantic(lambda: list(rows(size)), rounds=1)
    print()
    for name, words, good in found:
        print(f"  {name:<34} {words}{'' if good else '   NOT AS IT MUST BE'}")
    assert all(good for _, _, good in found)

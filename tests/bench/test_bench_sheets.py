"""How densely and how fast sheets are laid out: `pytest tests/bench/test_bench_sheets.py --benchmark-only -s`.

The density beside spyrrow's own strip stands in test_bench_buying.py.
"""

from __future__ import annotations

import resource
from importlib.metadata import version
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture
from random_sheets import parts_of, random_pieces
from strip_jobs import GAP, LONG_SHEET, MARGIN, OWN_STRIP, POINTS, WIDE, Job, own_density, solid_blanks, spyrrow_strip

from fabgen.job.reader import read_job
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece
from fabgen.plan.sheets.blanks import blanks_of
from fabgen.plan.sheets.sheet_stock import Spacing, sheet_spacing, sheet_stocks
from fabgen.plan.sheets.sheets import Effort, SheetStock, plan_sheets

DEMO = Path(__file__).parents[2] / "sample_parts" / "curlew-trailer.toml"


@pytest.mark.slow
@pytest.mark.parametrize("job", list(OWN_STRIP), ids=str)
def test_a_sheet_two_points_less_dense_takes_all(benchmark: BenchmarkFixture, job: Job) -> None:
    """A real sheet, two points longer than spyrrow's own strip, beside a dear one that would hold twice as much."""
    blanks = solid_blanks(*job)
    best = own_density(job)
    sheet = SheetStock((OWN_STRIP[job] / (1.0 - POINTS / best) + 2.0 * MARGIN, WIDE + 2.0 * MARGIN), price=10.0)

    def filled() -> int:
        return len(plan_sheets(("S235", 3.0), blanks, (sheet, LONG_SHEET), Spacing(GAP, MARGIN), Effort.LONG)[0])

    count = benchmark.pedantic(filled, rounds=1)
    print(f"\n{len(blanks):4} parts: a sheet two points longer than spyrrow's own strip: {count} needed")
    assert count == 1


@pytest.mark.slow
@pytest.mark.parametrize("job", list(OWN_STRIP), ids=str)
def test_spyrrows_own_strip(benchmark: BenchmarkFixture, job: Job) -> None:
    """What stands in `OWN_STRIP`, worked out anew."""
    length = benchmark.pedantic(spyrrow_strip, (solid_blanks(*job),), rounds=1)
    print(f"\nspyrrow {version('spyrrow')}'s own strip of job {job}: {length:.3f} mm, written down {OWN_STRIP[job]} mm")
    # Another version may search in another way.
    assert version("spyrrow") != "0.9.0" or length == pytest.approx(OWN_STRIP[job], abs=0.01)


@pytest.mark.slow
def test_bill_of_random_jobs(benchmark: BenchmarkFixture) -> None:
    """What 40 random jobs cost in sheet by rectangles and with normal effort."""
    stocks = [SheetStock((1000.0, 500.0)), SheetStock((1500.0, 750.0)), SheetStock((2000.0, 1000.0))]
    jobs = [random_pieces(seed, 5 + seed % 12) for seed in range(40)]

    def bills(effort: Effort) -> tuple[float, float]:
        began, area = cpu(), 0.0
        for pieces in jobs:
            sheets, _ = plan_sheets(("S235", 3.0), blanks_of(pieces)["S235", 3.0], stocks, Spacing(GAP, MARGIN), effort)
            area += sum(sheet.size[0] * sheet.size[1] for sheet in sheets)
        return area * 1e-6, cpu() - began

    normal, spent = benchmark.pedantic(bills, (Effort.NORMAL,), rounds=1)
    quick, soon = bills(Effort.QUICK)
    net = sum(parts_of([p])[p.mark].net_area * p.quantity for pieces in jobs for p in pieces) * 1e-6
    print(
        f"\n40 jobs, {net:.1f} m2 of parts: rectangles {quick:.1f} m2 of sheet ({net / quick:.1%}, {soon:.1f} s CPU), "
        f"normal {normal:.1f} m2 ({net / normal:.1%}, {spent:.1f} s CPU)"
    )
    assert normal <= quick


def cpu() -> float:
    """CPU seconds of this process and of those it started."""
    who = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    return sum(use.ru_utime + use.ru_stime for use in map(resource.getrusage, who))


@pytest.mark.parametrize("effort", [Effort.QUICK, Effort.NORMAL, pytest.param(Effort.LONG, marks=pytest.mark.slow)])
def test_sheets_of_the_demo(benchmark: BenchmarkFixture, effort: Effort) -> None:
    job = read_job(DEMO).definitions
    pieces: list[Piece] = all_pieces(job)

    def laid_out() -> int:
        count = 0
        for (material, thickness), blanks in blanks_of(pieces).items():
            stocks, spacing = sheet_stocks(job, material, thickness), sheet_spacing(job, material, thickness)
            count += len(plan_sheets((material, thickness), blanks, stocks, spacing, effort)[0])
        return count

    assert benchmark.pedantic(laid_out, rounds=1 if effort is Effort.LONG else 5)

"""How densely and how fast sheets are laid out: `pytest tests/bench/test_bench_sheets.py --benchmark-only -s`.

Prints, side by side, the packing by rectangles, the placing of true shapes one after another, the
plan with long effort, and spyrrow's own strip on the same parts.  Nothing here depends on the
machine's speed: our searches are bounded by steps, and spyrrow's own strip is left until it ends
by itself.  That takes it minutes, so its results stand here; `-m slow` works them out anew.
"""

from __future__ import annotations

import resource
from collections.abc import Sequence
from importlib.metadata import version
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture
from random_sheets import parts_of, random_pieces, room_to_spare

from fabgen.geometry.no_fit import covering
from fabgen.job.reader import read_job
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece
from fabgen.plan.blanks import Blank, blanks_of, laid
from fabgen.plan.nesting import Nester
from fabgen.plan.plan import Placed
from fabgen.plan.sheet_stock import sheet_spacing, sheet_stocks
from fabgen.plan.sheets import Effort, SheetStock, plan_sheets

DEMO = Path(__file__).parents[2] / "sample_parts" / "curlew-trailer.toml"
GAP, MARGIN, WIDE = 5.0, 10.0, 980.0
LONG_SHEET = SheetStock((9000.0, WIDE + 2.0 * MARGIN), price=1000.0)
POINTS = 0.02
"""A sheet may be this much less dense than spyrrow's own strip."""
FOREVER = 10**7
"""Seconds: never reached."""

OWN_STRIP = {
    (1, 10, 3): 518.942,
    (3, 10, 3): 1009.864,
    (5, 10, 3): 525.750,
    (7, 12, 4): 782.046,
    (9, 20, 4): 900.277,
}
"""Jobs of random parts, and the length of spyrrow's own strip for them, mm: spyrrow 0.9.0, one worker, seed 1,
until it ends by itself (`test_spyrrows_own_strip`)."""
JOBS = [job if i == 0 else pytest.param(job, marks=pytest.mark.slow) for i, job in enumerate(OWN_STRIP)]


def solid_blanks(seed: int, marks: int, most: int) -> list[Blank]:
    """Random parts without holes: spyrrow's strip knows none."""
    pieces = random_pieces(seed, marks, most)
    for piece in pieces:
        object.__setattr__(piece.shape, "holes", ())
    return blanks_of(pieces)["S235", 3.0]


def density(blanks: Sequence[Blank], placed: Sequence[Placed]) -> float:
    """Share of the strip in parts, from its beginning to as far as they reach."""
    outlines = {blank.mark: blank.part.outline for blank in blanks}
    boxes = [laid(outlines[place.mark], place).bounds for place in placed]
    area = sum(blank.part.outline.area for blank in blanks)
    return area / (WIDE * (max(box[2] for box in boxes) - min(MARGIN, *(box[0] for box in boxes))))


def spyrrow_strip(blanks: Sequence[Blank]) -> float:
    """Length of spyrrow's own strip.  It keeps the gap off the strip's edges as well, so the strip is two
    gaps higher, and two gaps of its length do not count."""
    import spyrrow

    counts = {blank.mark: (blank, sum(other is blank for other in blanks)) for blank in blanks}
    items = [
        spyrrow.Item(
            mark, [tuple(map(float, p)) for p in covering(blank.part.outline, 0.25)], n, [0.0, 90.0, 180.0, 270.0]
        )
        for mark, (blank, n) in counts.items()
    ]
    config = spyrrow.StripPackingConfig(
        total_computation_time=None,
        exploration_time=FOREVER,
        compression_time=FOREVER,
        min_items_separation=GAP,
        num_workers=1,
        seed=1,
    )
    length: float = spyrrow.StripPackingInstance("", WIDE + 2.0 * GAP, items).solve(config).width
    return length - 2.0 * GAP


@pytest.mark.parametrize("job", JOBS, ids=str)
def test_density(benchmark: BenchmarkFixture, job: tuple[int, int, int]) -> None:
    blanks = solid_blanks(*job)
    length = OWN_STRIP[job]
    best = sum(blank.part.outline.area for blank in blanks) / (WIDE * length)

    def planned(effort: Effort, stocks: Sequence[SheetStock] = (LONG_SHEET,)) -> list[tuple[Placed, ...]]:
        sheets, left = plan_sheets("S235", 3.0, blanks, stocks, GAP, MARGIN, effort)
        assert not left
        parts = {blank.mark: blank.part for blank in blanks}
        assert min(room_to_spare(sheet, parts, GAP, MARGIN) for sheet in sheets) > -1e-6
        return [sheet.placed for sheet in sheets]

    (tight,) = benchmark.pedantic(planned, (Effort.LONG,), rounds=1)
    (plain,) = planned(Effort.QUICK)
    one_by_one, _ = Nester(blanks, GAP).fill(
        LONG_SHEET.room(MARGIN), sorted(blanks, key=lambda blank: -blank.part.outline.area)
    )
    shares = [density(blanks, placed) for placed in (plain, one_by_one, tight)]
    words = "  ".join(
        f"{name} {share:6.1%}"
        for name, share in zip(("rectangles", "one by one", "long", "spyrrow's own"), [*shares, best], strict=True)
    )
    print(f"\n{len(blanks):4} parts: {words}")
    assert shares[2] >= best - POINTS
    assert shares[2] >= shares[0]


@pytest.mark.parametrize("job", JOBS, ids=str)
def test_a_sheet_two_points_less_dense_takes_all(benchmark: BenchmarkFixture, job: tuple[int, int, int]) -> None:
    """A real sheet, two points longer than spyrrow's own strip, beside a dear one that would hold twice as much."""
    blanks = solid_blanks(*job)
    best = sum(blank.part.outline.area for blank in blanks) / (WIDE * OWN_STRIP[job])
    sheet = SheetStock((OWN_STRIP[job] / (1.0 - POINTS / best) + 2.0 * MARGIN, WIDE + 2.0 * MARGIN), price=10.0)

    def filled() -> int:
        return len(plan_sheets("S235", 3.0, blanks, (sheet, LONG_SHEET), GAP, MARGIN, Effort.LONG)[0])

    count = benchmark.pedantic(filled, rounds=1)
    print(f"\n{len(blanks):4} parts: a sheet two points longer than spyrrow's own strip: {count} needed")
    assert count == 1


@pytest.mark.slow
@pytest.mark.parametrize("job", list(OWN_STRIP), ids=str)
def test_spyrrows_own_strip(benchmark: BenchmarkFixture, job: tuple[int, int, int]) -> None:
    """What stands in `OWN_STRIP`, worked out anew."""
    length = benchmark.pedantic(spyrrow_strip, (solid_blanks(*job),), rounds=1)
    print(f"\nspyrrow {version('spyrrow')}'s own strip of job {job}: {length:.3f} mm, written down {OWN_STRIP[job]} mm")
    # Another version may search in another way.
    assert version("spyrrow") != "0.9.0" or length == pytest.approx(OWN_STRIP[job], abs=0.01)


def test_bill_of_random_jobs(benchmark: BenchmarkFixture) -> None:
    """What 40 random jobs cost in sheet by rectangles and with normal effort."""
    stocks = [SheetStock((1000.0, 500.0)), SheetStock((1500.0, 750.0)), SheetStock((2000.0, 1000.0))]
    jobs = [random_pieces(seed, 5 + seed % 12) for seed in range(40)]

    def bills(effort: Effort) -> tuple[float, float]:
        began, area = cpu(), 0.0
        for pieces in jobs:
            sheets, _ = plan_sheets("S235", 3.0, blanks_of(pieces)["S235", 3.0], stocks, GAP, MARGIN, effort)
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


@pytest.mark.parametrize("effort", list(Effort))
def test_sheets_of_the_demo(benchmark: BenchmarkFixture, effort: Effort) -> None:
    job = read_job(DEMO).definitions
    pieces: list[Piece] = all_pieces(job)

    def laid_out() -> int:
        count = 0
        for (material, thickness), blanks in blanks_of(pieces).items():
            stocks, (gap, margin) = sheet_stocks(job, material, thickness), sheet_spacing(job, material, thickness)
            count += len(plan_sheets(material, thickness, blanks, stocks, gap, margin, effort)[0])
        return count

    assert benchmark.pedantic(laid_out, rounds=1 if effort is Effort.LONG else 5)

"""How densely and how fast sheets are laid out: `pytest tests/bench/test_bench_sheets.py --benchmark-only -s`.

Prints, side by side, the packing by rectangles, the placing of true shapes one after another, the
plan with long effort, and spyrrow's own strip on the same parts (its two phases, wall time).
"""

from __future__ import annotations

import resource
from collections.abc import Sequence
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
STRIP_SECONDS = 20
POINTS = 0.02
"""A sheet may be this much less dense than spyrrow's own strip."""


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


def spyrrow_strip(blanks: Sequence[Blank]) -> tuple[float, float]:
    """Density and length of spyrrow's own strip.  It keeps the gap off the strip's edges as well, so the
    strip is two gaps higher, and two gaps of its length do not count."""
    import spyrrow

    counts = {blank.mark: (blank, sum(other is blank for other in blanks)) for blank in blanks}
    items = [
        spyrrow.Item(
            mark, [tuple(map(float, p)) for p in covering(blank.part.outline, 0.25)], n, [0.0, 90.0, 180.0, 270.0]
        )
        for mark, (blank, n) in counts.items()
    ]
    config = spyrrow.StripPackingConfig(
        total_computation_time=STRIP_SECONDS, min_items_separation=GAP, num_workers=1, seed=1
    )
    length = spyrrow.StripPackingInstance("", WIDE + 2.0 * GAP, items).solve(config).width - 2.0 * GAP
    return sum(blank.part.outline.area for blank in blanks) / (WIDE * length), length


@pytest.mark.parametrize(("seed", "marks", "most"), [(1, 10, 3), (3, 10, 3), (5, 10, 3), (7, 12, 4), (9, 20, 4)])
def test_density(benchmark: BenchmarkFixture, seed: int, marks: int, most: int) -> None:
    blanks = solid_blanks(seed, marks, most)

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
    best, length = spyrrow_strip(blanks)
    # A real sheet, two points longer than spyrrow's strip, takes all the parts.
    sheet = SheetStock((length / (1.0 - POINTS / best) + 2.0 * MARGIN, WIDE + 2.0 * MARGIN), price=10.0)
    filled = planned(Effort.LONG, (sheet, LONG_SHEET))
    shares = [density(blanks, placed) for placed in (plain, one_by_one, tight)]
    words = "  ".join(
        f"{name} {share:6.1%}"
        for name, share in zip(("rectangles", "one by one", "long", "spyrrow"), [*shares, best], strict=True)
    )
    print(f"\n{len(blanks):4} parts: {words}  a sheet two points longer than spyrrow's strip: {len(filled)} needed")
    assert shares[2] >= best - POINTS
    assert shares[2] >= shares[0]
    assert len(filled) == 1


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

"""Random parts on one long sheet, and how long a strip spyrrow itself needs for them.

Nothing here depends on the machine's speed: our searches are bounded by steps, and spyrrow's own
strip is left until it ends by itself.  That takes it minutes, so its results stand here; the slow
`test_spyrrows_own_strip` works them out anew.
"""

from __future__ import annotations

from collections.abc import Sequence

from random_sheets import random_pieces, room_to_spare

from fabgen.geometry.plane.no_fit import covering
from fabgen.plan.plan import PlacedPart
from fabgen.plan.sheets.blanks import Blank, blanks_of, laid
from fabgen.plan.sheets.nesting import Nester
from fabgen.plan.sheets.sheet_stock import Spacing
from fabgen.plan.sheets.sheets import Effort, SheetStock, plan_sheets

Job = tuple[int, int, int]
GAP, MARGIN, WIDE = 5.0, 10.0, 980.0
LONG_SHEET = SheetStock((9000.0, WIDE + 2.0 * MARGIN), price=1000.0)
POINTS = 0.02
"""A sheet may be this much less dense than spyrrow's own strip."""
FOREVER = 10**7
"""Seconds: never reached."""

OWN_STRIP: dict[Job, float] = {
    (1, 10, 3): 518.942,
    (3, 10, 3): 1009.864,
    (5, 10, 3): 525.750,
    (7, 12, 4): 782.046,
    (9, 20, 4): 900.277,
}
"""Jobs of random parts (seed, marks, most of each), and the length of spyrrow's own strip for them, mm: spyrrow 0.9.0,
one worker, seed 1, until it ends by itself."""


def solid_blanks(seed: int, marks: int, most: int) -> list[Blank]:
    """Random parts without holes: spyrrow's strip knows none."""
    pieces = random_pieces(seed, marks, most)
    for piece in pieces:
        object.__setattr__(piece.shape, "holes", ())
    return blanks_of(pieces)["S235", 3.0]


def density(blanks: Sequence[Blank], placed: Sequence[PlacedPart]) -> float:
    """Share of the strip in parts, from its beginning to as far as they reach."""
    outlines = {blank.mark: blank.part.outline for blank in blanks}
    boxes = [laid(outlines[place.mark], place).bounds for place in placed]
    area = sum(blank.part.outline.area for blank in blanks)
    return area / (WIDE * (max(box[2] for box in boxes) - min(MARGIN, *(box[0] for box in boxes))))


def own_density(job: Job) -> float:
    """Of spyrrow's own strip."""
    return sum(blank.part.outline.area for blank in solid_blanks(*job)) / (WIDE * OWN_STRIP[job])


def long_density(job: Job) -> float:
    """Of the plan with long effort; no part lies too near another."""
    return _planned_density(job, Effort.LONG)


def quick_density(job: Job) -> float:
    """By rectangles."""
    return _planned_density(job, Effort.QUICK)


def one_by_one_density(job: Job) -> float:
    """True shapes placed one after another, the largest first."""
    blanks = solid_blanks(*job)
    order = sorted(blanks, key=lambda blank: -blank.part.outline.area)
    return density(blanks, Nester(blanks, GAP).fill(LONG_SHEET.room(MARGIN), order)[0])


def _planned_density(job: Job, effort: Effort) -> float:
    blanks = solid_blanks(*job)
    (sheet,), left = plan_sheets(("S235", 3.0), blanks, (LONG_SHEET,), Spacing(GAP, MARGIN), effort)
    assert not left
    assert room_to_spare(sheet, {blank.mark: blank.part for blank in blanks}, GAP, MARGIN) > -1e-6
    return density(blanks, sheet.placed)


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

"""The cut plan of a job and its shopping list."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence, Set

from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import Piece, made_here, to_make
from fabgen.plan.bars.bars import BarStock, cuts_of, plan_bars
from fabgen.plan.bars.shared_cuts import slanted_ends
from fabgen.plan.effort import Effort, Progress, part_of, silent
from fabgen.plan.plan import BarBill, BarPlan, Plan, Purchase, SheetPlan
from fabgen.plan.sheets.blanks import blanks_of
from fabgen.plan.sheets.sheet_stock import sheet_spacing, sheet_stocks
from fabgen.plan.sheets.sheets import plan_sheets
from fabgen.shop import trade_sizes as usual
from fabgen.shop.goods import Sheet, StockBar, Threaded
from fabgen.shop.profiles.profile_section import StockSection
from fabgen.wording.sentence import Sentence, sentence

SHEET_ITEMS = ("sheet", "blank cut to size")
"""What sheet metal is bought as."""
_LITTLE = 0.25
"""A sheet of which less is used is remarked on."""


def make_plan(
    job: Definitions,
    pieces: Sequence[Piece],
    effort: Effort = Effort.NORMAL,
    progress: Progress = silent,
    least_offcut: float = usual.LEAST_OFFCUT,
) -> Plan:
    """Bars, sheets and the shopping list for all pieces of the job.

    Args:
        job: its [saw], [[stock]] and units.
        pieces: of the whole job; those made already need no metal.
        effort: how much computing it may take.
        progress: called with what is being worked on.
        least_offcut: rests of bars shorter than this are scrap where the job says nothing else, mm.
    Raises:
        JobError: the outline of a remnant in [[stock]] will not do.
    """
    if job.saw.least_offcut is not None:
        least_offcut = job.saw.least_offcut
    step = usual.CUT_TO_SIZE_INCH if job.job.units == "in" else usual.CUT_TO_SIZE_METRIC
    cut = to_make(pieces)
    ends = slanted_ends(cut, job.saw.pair_mitres)
    bars: list[BarPlan] = []
    bills: list[BarBill] = []
    sheets: list[SheetPlan] = []
    unplaced: list[tuple[str, Sentence]] = []
    too_long: list[tuple[str, float]] = []
    lengths, flats = cuts_of(cut), blanks_of(cut)
    steps = len(lengths) + len(flats)
    for step_done, ((section, material), cuts) in enumerate(lengths.items()):
        progress(f"{section} {material}: looking for the fewest bars", step_done / steps)
        stock = _bar_stock(job, section, material)
        planned, bill, reasons = plan_bars(section, material, cuts, stock, ends, least_offcut)
        bars += planned
        bills += [bill] if planned else []
        unplaced += reasons
        too_long += [(mark, max(each.usable for each in stock if each.on_hand is None)) for mark, _ in reasons]
    for step_done, (metal, blanks) in enumerate(flats.items(), len(lengths)):
        told = part_of(progress, step_done / steps, (step_done + 1) / steps)
        stocks, spacing = sheet_stocks(job, *metal), sheet_spacing(job, *metal)
        laid, reasons = plan_sheets(metal, blanks, stocks, spacing, effort, told, step)
        sheets += laid
        unplaced += reasons
    shopping = tuple(_shopping(job, pieces, bars, sheets))
    return Plan(
        tuple(bars),
        tuple(sheets),
        shopping,
        tuple(unplaced),
        too_long=tuple(too_long),
        bills=tuple(bills),
        effort=effort,
        least_offcut=least_offcut,
    )


def _bar_stock(job: Definitions, section: StockSection, material: str) -> list[BarStock]:
    kerf = usual.SAW_KERF if job.saw.kerf is None else job.saw.kerf
    named = [
        BarStock(
            length=length,
            price=stock.price if i == 0 else None,
            on_hand=stock.on_hand,
            kerf=kerf if stock.kerf is None else stock.kerf,
            end_loss=job.saw.end_loss if stock.end_loss is None else stock.end_loss,
        )
        for stock in job.stock
        if stock.is_bar_of(section, material)
        for i, length in enumerate(stock.lengths)
    ]
    bought = [stock for stock in named if stock.on_hand is None]
    if bought:
        return named
    lengths = usual.BAR_LENGTHS_INCH if job.job.units == "in" else usual.BAR_LENGTHS_METRIC
    return named + [BarStock(length, kerf=kerf, assumed=True, end_loss=job.saw.end_loss) for length in lengths]


def _shopping(
    job: Definitions, pieces: Sequence[Piece], bars: Sequence[BarPlan], sheets: Sequence[SheetPlan]
) -> Iterable[Purchase]:
    bought: Counter[tuple[StockBar, bool]] = Counter()
    for bar in bars:
        if not bar.spare:
            bought[bar.goods, bar.assumed] += bar.count
    for goods, assumed in sorted(bought, key=_by_name):
        stocks = _bar_stock(job, goods.section, goods.material)
        price = next((s.price for s in stocks if s.length == goods.length and s.on_hand is None), None)
        remark = sentence("usual trade length, assumed" if assumed else "")
        yield Purchase(goods.item, goods, bought[goods, assumed], "bar", remark, price)
    yield from _to_size(sheets, {piece.mark for piece in pieces if (part := piece.flat_part) and part.grain})
    laid = Counter((s.material, s.thickness, s.size, s.assumed) for s in sheets if not s.spare and s.instead_of is None)
    for (material, thickness, size, assumed), count in sorted(laid.items()):
        price = next(
            (s.price for s in sheet_stocks(job, material, thickness) if s.size == size and s.on_hand is None), None
        )
        notes = ["usual trade size, assumed"] if assumed else []
        filled = [s.used for s in sheets if (s.material, s.thickness, s.size) == (material, thickness, size)]
        if sum(filled) < _LITTLE * len(filled):
            notes.append("little of it is used: a blank cut to size, or the parts cut, may do")
        yield Purchase(
            SHEET_ITEMS[0], Sheet(material, thickness, size), count, "sheet", sentence("; ".join(notes)), price
        )
    hardware: Counter[tuple[str, Threaded, Sentence]] = Counter()
    for piece in made_here(pieces):  # what belongs to a bought part comes with it
        for each in piece.hardware:
            hardware[each.item, each.goods, each.note] += each.quantity * piece.quantity
    for item, threaded, words in sorted(hardware, key=lambda line: (line[0], line[1].words(), line[2].words())):
        yield Purchase(item, threaded, hardware[item, threaded, words], "piece", words)


def _by_name(bought: tuple[StockBar, bool]) -> tuple[str, str, float, bool]:
    goods, assumed = bought
    return str(goods.section), goods.material, goods.length, assumed


def _to_size(sheets: Sequence[SheetPlan], with_grain: Set[str]) -> Iterable[Purchase]:
    """Blanks that a merchant cuts to size."""
    for sheet in sheets:
        if sheet.instead_of is not None:
            marks = Counter(place.mark for place in sheet.placed)
            parts = ", ".join(f"{mark} x{count}" if count > 1 else mark for mark, count in sorted(marks.items()))
            note = f"for {parts}, or order them cut"
            if with_grain & marks.keys():
                note = f"{rolling_note(sheet)}; {note}"
            yield Purchase(SHEET_ITEMS[1], sheet.goods, 1, "blank", sentence(note))


def rolling_note(sheet: SheetPlan) -> str:
    """How the grain of a blank lies of which a part asks that.

    Args:
        sheet: the blank.
    """
    return f"rolling direction along the {sheet.size[0]:g} mm side"

"""The plan of a whole job: cut plan, bolts, consumables, prices, and what the rack gives."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from fabgen.job.errors import JobError
from fabgen.job.rack import Rack
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import Piece
from fabgen.plan.buying import consumables
from fabgen.plan.buying.bought_parts import bought_parts
from fabgen.plan.buying.hardware import bolt_purchases, bolt_stacks, plug_purchases
from fabgen.plan.buying.item_keys import item_key
from fabgen.plan.buying.prices import Remark, priced
from fabgen.plan.buying.spacers import spacer_purchases
from fabgen.plan.cut_plan import SHEET_ITEMS, make_plan
from fabgen.plan.effort import Effort, Progress, silent
from fabgen.plan.plan import BoltImage, Plan
from fabgen.plan.rack.from_rack import nearly_on_hand, rack_stock, use_rack
from fabgen.plan.sheets.sheets import NONE_LEFT


def plan_job(
    job: Definitions,
    pieces: Sequence[Piece],
    rack: Rack | None = None,
    effort: Effort = Effort.NORMAL,
    progress: Progress = silent,
    images: Mapping[int, BoltImage] = MappingProxyType({}),
) -> Plan:
    """Everything to cut and buy, stock on hand first.

    Args:
        job: the job file's tables.
        pieces: of the whole job.
        rack: stock on hand; None without.
        effort: how much computing it may take.
        progress: called with what is being worked on.
        images: the bolts that mirrors and repeats make, by number.
    Raises:
        JobError: bolts that cannot be, or outlines of remnants that will not do.
    """
    bolts = tuple(replace(stack, image=images.get(stack.number)) for stack in bolt_stacks(job, pieces))
    plan = _cut_plan(job, pieces, rack, effort, progress)
    estimated = consumables.estimates(job, pieces)
    lines = [*plan.shopping, *bought_parts(job, pieces), *bolt_purchases(bolts), *spacer_purchases(bolts)]
    lines += plug_purchases(job, pieces, bolts)
    lines += consumables.purchases(estimated)
    shopping, remarks = priced(lines, job.price)
    plan = replace(
        plan,
        shopping=tuple(shopping),
        bolts=bolts,
        estimates=estimated,
        left_out=consumables.left_out(job, pieces),
        remarks=tuple(remarks),
    )
    if rack is None:
        return plan
    nearly = nearly_on_hand(plan, rack)
    plan = use_rack(plan, rack)
    return replace(plan, remarks=(*plan.remarks, *nearly, *_booked(job.job.number, rack)))


def depends_on_nesting(job: Definitions, plan: Plan) -> bool:
    """Whether what the checks say of a quick plan might be otherwise with the sheets laid out closer.

    Args:
        job: the job file's tables.
        plan: made with the least effort.
    """
    short = any(reason == NONE_LEFT for _, reason in plan.unplaced)
    priced_sheets = {item_key(price.item) for price in job.price} & {item_key(item) for item in SHEET_ITEMS}
    return short or bool(priced_sheets)


def _booked(number: str, rack: Rack) -> list[Remark]:
    entry = rack.booking_of(number)
    if entry is None:
        return []
    when = rack.contents.booked[entry].date
    text = (
        f"{number} is booked on this rack already{f', on {when.isoformat()}' if when else ''}: its metal is no longer "
        "there, so this is not the plan it was cut by"
    )
    return [("rack", "booked-already", text)]


def _cut_plan(job: Definitions, pieces: Sequence[Piece], rack: Rack | None, effort: Effort, progress: Progress) -> Plan:
    if rack is None:
        return make_plan(job, pieces, effort, progress)
    held = rack_stock(job, rack)
    own = len(job.stock)
    stocked = job.model_copy(update={"stock": [*job.stock, *(stock for stock, _ in held)]})
    try:
        return make_plan(stocked, pieces, effort, progress, rack.contents.rack.least_offcut)
    except JobError as error:
        # What is wrong with the rack's entries is reported at their place in the rack file.
        racks = [p for p in error.problems if p.path[:1] == ("stock",) and int(p.path[1]) >= own]
        if not racks:
            raise
        spots = [held[int(problem.path[1]) - own][1] for problem in racks]
        moved = [
            replace(problem, path=(spot.table, spot.number, *problem.path[2:]))
            for problem, spot in zip(racks, spots, strict=True)
        ]
        raise rack.located(moved) from error

"""The plan of a whole job: cut plan, bolts, consumables, prices, and what the rack gives."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fabgen.job.definitions import Definitions
from fabgen.job.rack import Rack
from fabgen.parts.piece import Piece
from fabgen.plan import consumables
from fabgen.plan.buying import make_plan
from fabgen.plan.from_rack import rack_stock, use_rack
from fabgen.plan.hardware import bolt_purchases, bolt_stacks
from fabgen.plan.plan import Plan
from fabgen.plan.prices import priced


def plan_job(job: Definitions, pieces: Sequence[Piece], rack: Rack | None = None) -> Plan:
    """Everything to cut and buy, stock on hand first.  Raises JobError for bolts that cannot be."""
    bolts = bolt_stacks(job, pieces)
    stocked = job if rack is None else job.model_copy(update={"stock": [*rack_stock(job, rack), *job.stock]})
    plan = make_plan(stocked, pieces)
    reckoned = consumables.estimates(job, pieces)
    lines = [*plan.shopping, *bolt_purchases(bolts), *consumables.purchases(reckoned)]
    shopping, remarks = priced(lines, job.price)
    plan = replace(plan, shopping=tuple(shopping), bolts=bolts, estimates=reckoned, remarks=tuple(remarks))
    return plan if rack is None else use_rack(plan, rack)

"""The keys of job.json about the cut plan and what is bought."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fabgen.documents.data.json_figures import in_mm, rounded
from fabgen.parts.piece import Piece
from fabgen.parts.shape.bored.bolt_lines import BoltLine
from fabgen.parts.shape.over_all import over_all
from fabgen.plan.buying.cut_orders import cut_orders
from fabgen.plan.mass_and_centre import mass_and_centre
from fabgen.plan.plan import BarPlan, BoltStack, Plan, Purchase
from fabgen.shop.goods import Goods, Sheet, StockBar, Threaded


def plan_data(plan: Plan) -> dict[str, Any]:
    """The key `plan`: what is cut from which bar and sheet."""
    return {
        "effort": plan.effort,
        "bars": _bars(plan),
        "bills": _bills(plan),
        "sheets": _sheets(plan),
        "unplaced": [[mark, reason.words()] for mark, reason in plan.unplaced],
    }


def _bars(plan: Plan) -> list[dict[str, Any]]:
    return [
        {
            "section": str(bar.section),
            "material": bar.material,
            "stock_mm": rounded(bar.stock),
            "count": bar.count,
            "cuts": [[cut.mark, rounded(cut.length)] for cut in bar.cuts],
        }
        | in_mm(bar, "offcut", "kerf", "end_loss")
        | {"assumed": bar.assumed, "kept": bar.offcut >= plan.least_offcut}
        | ({"shared_cuts": shared} if (shared := _shared(bar)) else {})
        | ({"slanted_kerf_extra_mm": rounded(extra)} if (extra := sum(cut.extra for cut in bar.cuts)) else {})
        | ({"longer_for_hole_saw_mm": over} if any(over := [rounded(sum(cut.over)) for cut in bar.cuts]) else {})
        | ({"rack_marks": list(bar.rack_marks)} if bar.rack_marks else {})
        for bar in plan.bars
    ]


def _shared(bar: BarPlan) -> list[dict[str, Any]]:
    """Saw cuts that end one piece and begin the next: which pieces of the bar, counted from 0."""
    return [
        {"between": [i - 1, i], "from_square_deg": round(cut.shared, 1), "saved_mm": rounded(cut.saved)}
        for i, cut in enumerate(bar.cuts)
        if cut.shared
    ]


def _bills(plan: Plan) -> list[dict[str, Any]]:
    return [
        {
            "section": str(bill.section),
            "material": bill.material,
            "of": "price" if bill.priced else "mm",
            "bill": round(bill.bill, 2),
            "bound": round(bill.bound, 2),
            "proven_least": bill.proven,
        }
        for bill in plan.bills
    ]


def _sheets(plan: Plan) -> list[dict[str, Any]]:
    return [
        {
            "material": sheet.material,
            "thickness_mm": rounded(sheet.thickness),
            "size_mm": [rounded(s) for s in sheet.size],
            "placed": [[p.mark, rounded(p.x), rounded(p.y), p.turn] for p in sheet.placed],
            "used": round(sheet.used, 4),
            "assumed": sheet.assumed,
        }
        | ({"rack_marks": list(sheet.rack_marks)} if sheet.rack_marks else {})
        | ({"instead_of_mm": [rounded(s) for s in sheet.instead_of]} if sheet.instead_of else {})
        for sheet in plan.sheets
    ]


def purchase_data(line: Purchase, units: str) -> dict[str, Any]:
    """One line of what is bought or on hand; `units` are the job's, for its note."""
    return (
        {"item": line.item, "spec": line.spec, "quantity": line.quantity, "unit": line.unit}
        | goods_data(line.goods)
        | ({} if line.price is None else {"price": line.price})
        | {"note": line.note.words(units)}
    )


def goods_data(goods: Goods) -> dict[str, Any]:
    """The fields of what is bought; those alone that it has."""
    if isinstance(goods, StockBar):
        return {"section": str(goods.section), "material": goods.material, "length_mm": rounded(goods.length)}
    if isinstance(goods, Sheet):
        size = [rounded(side) for side in goods.size]
        return {"material": goods.material, "thickness_mm": rounded(goods.thickness), "size_mm": size}
    if isinstance(goods, Threaded):
        fields = {"thread": goods.thread, "strength": goods.strength, "standard": goods.standard}
        length = {} if goods.length is None else {"length_mm": rounded(goods.length)}
        return {name: text for name, text in fields.items() if text} | length
    return {}


def shopping_keys(pieces: Sequence[Piece], plan: Plan, units: str) -> dict[str, Any]:
    """Further keys of job.json: bolts, cutting_orders, consumables, on_hand and whole."""
    total = mass_and_centre(pieces)
    return {
        "bolts": [_bolt(stack) for stack in plan.bolts],
        "cutting_orders": [
            {
                "material": order.material,
                "thickness_mm": rounded(order.thickness),
                "parts": dict(order.marks),
                "cut_mm": rounded(order.cut),
                "pierces": order.pierces,
                "area_mm2": rounded(order.area),
                "mass_kg": rounded(order.mass),
                "bends": order.bends,
            }
            for order in cut_orders(pieces)
        ],
        "consumables": [
            {"item": one.item, "spec": one.goods.words(), "quantity": one.quantity, "unit": one.unit, "how": one.how}
            for one in plan.estimates
        ],
        "on_hand": [purchase_data(line, units) for line in plan.on_hand],
        "whole": {
            "mass_kg": rounded(total.mass),
            "placed_mass_kg": rounded(total.placed_mass),
            "centre_mm": None if total.centre is None else [rounded(v) for v in total.centre],
            "without_place": dict(total.unplaced),
            "over_all": [
                {
                    "marks": list(frame.marks),
                    "size_mm": [rounded(v) for v in frame.size],
                    "low_mm": [rounded(float(v)) for v in frame.low],
                }
                for frame in over_all(pieces)
            ],
        },
    }


def _bolt(stack: BoltStack) -> dict[str, Any]:
    choice = stack.choice
    return {
        "thread": choice.thread.name,
        "length_mm": rounded(choice.length),
        "standard": stack.standard,
        "property_class": stack.property_class,
        "quantity": stack.quantity,
        "through": [[layer.name, rounded(layer.thickness)] for layer in stack.layers],
        "grip_mm": rounded(choice.grip),
        "washers": choice.washers,
        "nut": choice.nut,
        "nut_class": stack.nut.strength,
        "pivot": stack.pivot,
        "shank_mm": rounded(choice.shank),
        "beyond_mm": rounded(choice.beyond),
    } | ({"places": places} if (places := [_standing(line) for line in stack.lines if line.in_line]) else {})


def _standing(line: BoltLine) -> dict[str, Any]:
    return {"at_mm": [rounded(float(v)) for v in line.at], "axis": [round(float(v), 6) + 0.0 for v in line.axis]}

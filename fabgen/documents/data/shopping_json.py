"""What job.json says of buying besides the lines of the shopping list."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fabgen.parts.piece import Piece
from fabgen.plan.buying.cut_orders import cut_orders
from fabgen.plan.mass_and_centre import mass_and_centre
from fabgen.plan.plan import BoltStack, Plan


def shopping_keys(pieces: Sequence[Piece], plan: Plan, units: str) -> dict[str, Any]:
    """Further keys of job.json: bolts, cutting_orders, consumables, on_hand and whole."""
    whole = mass_and_centre(pieces)
    return {
        "bolts": [_bolt(stack) for stack in plan.bolts],
        "cutting_orders": [
            {
                "material": order.material,
                "thickness_mm": _round(order.thickness),
                "parts": dict(order.marks),
                "cut_mm": _round(order.cut),
                "pierces": order.pierces,
                "area_mm2": _round(order.area),
                "mass_kg": _round(order.mass),
                "bends": order.bends,
            }
            for order in cut_orders(pieces)
        ],
        "consumables": [
            {"item": one.item, "spec": one.goods.words(), "quantity": one.quantity, "unit": one.unit, "how": one.how}
            for one in plan.estimates
        ],
        "on_hand": [
            {
                "item": line.item,
                "spec": line.spec,
                "quantity": line.quantity,
                "unit": line.unit,
                "note": line.note.words(units),
            }
            for line in plan.on_hand
        ],
        "whole": {
            "mass_kg": _round(whole.mass),
            "placed_mass_kg": _round(whole.placed_mass),
            "centre_mm": None if whole.centre is None else [_round(v) for v in whole.centre],
            "without_place": dict(whole.unplaced),
        },
    }


def _bolt(stack: BoltStack) -> dict[str, Any]:
    choice = stack.choice
    return {
        "thread": choice.thread.name,
        "length_mm": _round(choice.length),
        "standard": choice.standard,
        "property_class": stack.property_class,
        "quantity": stack.quantity,
        "through": [[layer.name, _round(layer.thickness)] for layer in stack.layers],
        "grip_mm": _round(choice.grip),
        "washers": choice.washers,
        "nut": choice.nut,
        "shank_mm": _round(choice.shank),
        "beyond_mm": _round(choice.beyond),
    }


def _round(value: float) -> float:
    return round(float(value), 4) + 0.0

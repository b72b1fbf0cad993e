"""Machinery's Handbook, bending sheet metal: length of straight stock for a 90 degree bend.

    L = 0.55 T + 1.57 R   soft brass and soft copper
    L = 0.64 T + 1.57 R   half-hard copper and brass, soft steel and aluminium
    L = 0.71 T + 1.57 R   bronze, hard copper, cold-rolled steel and spring steel

T is the thickness, R the inside radius (edition not at hand, from memory).

The K of our table at R = T was worked out from these factors, so the first test holds our sum and its rounding and
is no proof of the factors; DIN 6935 and Groover's example are (`test_din_6935.py`, `test_groover_bending.py`).  The
handbook's cold-rolled steel is a hard one: DC01 and DC04, which are annealed, go with its soft steel (common practice,
no source).
"""

import math

import pytest

from fabgen.geometry.sheet.folds import Bend
from fabgen.shop.bending.bends import k_factor
from fabgen.shop.materials import Group

STOCK = [(1.0, 0.5), (1.5, 1.5), (2.0, 1.0), (3.0, 3.0), (6.0, 4.0), (0.125 * 25.4, 0.125 * 25.4)]


@pytest.mark.parametrize(("thickness", "radius"), STOCK)
@pytest.mark.parametrize(("group", "c"), [("mild steel", 0.64), ("aluminium", 0.64), ("stainless", 0.71)])
def test_right_angle_bend(group: Group, c: float, thickness: float, radius: float) -> None:
    k = k_factor(group, thickness, radius).value
    allowance = Bend(thickness, radius, math.pi / 2, k).allowance
    # The handbook's factors and ours are rounded to two places: that much play.
    assert allowance == pytest.approx(c * thickness + 1.57 * radius, abs=0.006 * thickness + 0.001 * radius)


def test_worked_strip() -> None:
    """Soft steel 1/8 in thick, inside radius 1/8 in, legs 2 in and 3 in outside: by the formula
    the straight parts are 2 - 1/4 and 3 - 1/4 in, the bend 0.64/8 + 1.57/8 = 0.27625 in."""
    inch = 25.4
    bend = Bend(inch / 8, inch / 8, math.pi / 2, k_factor("mild steel", inch / 8, inch / 8).value)
    assert (5 * inch - bend.deduction) / inch == pytest.approx(1.75 + 2.75 + 0.27625, abs=0.001)

"""DIN 6935, Cold bending of flat rolled steel: correction factor k and compensation value v."""

import math

import pytest

from fabgen.geometry.sheet.folds import Bend
from fabgen.shop.bending.bends import din6935_factor, k_factor, legs_to_tangent

# Compensation values v for 90 degrees as shop handbooks reprint them from the supplement to
# DIN 6935, rounded to 0.1 (from memory, check against the standard): radius, thickness, v.
TABLE_90 = [
    (1.0, 1.0, -1.9),
    (1.6, 1.5, -2.9),
    (2.5, 2.0, -4.0),
    (2.5, 2.5, -4.8),
    (4.0, 3.0, -6.0),
    (6.0, 4.0, -8.3),
    (6.0, 5.0, -9.9),
    (10.0, 6.0, -12.7),
]


@pytest.mark.parametrize(("radius", "thickness", "v"), TABLE_90)
def test_table_of_right_angle_bends(radius: float, thickness: float, v: float) -> None:
    bend = Bend(thickness, radius, math.pi / 2, k_factor("mild steel", thickness, radius, "din6935").value)
    assert -bend.deduction == pytest.approx(v, abs=0.051)


@pytest.mark.parametrize(
    ("ratio", "k"), [(1.0, 0.65), (0.1, 0.15), (10 ** (-1.3), 0.0), (math.sqrt(10), 0.9), (5.001, 1.0)]
)
def test_correction_factor(ratio: float, k: float) -> None:
    """k = 0.65 + 0.5 log10(r / s) up to r / s = 5, and 1 above."""
    assert din6935_factor(2.0, 2.0 * ratio) == pytest.approx(k, abs=1e-9)


def test_factor_below_the_formula_s_range() -> None:
    assert din6935_factor(2.0, 0.0) == 0.0
    assert din6935_factor(2.0, 0.01) == 0.0


@pytest.mark.parametrize("opening", [164.9, 150.0, 135.0, 120.0, 90.1])
def test_obtuse_bends_are_our_deduction(opening: float) -> None:
    """Opening angle beta over 90 to 165 degrees: both measure legs to the mould line."""
    s, r = 3.0, 4.0
    beta = math.radians(opening)
    k = 0.65 + 0.5 * math.log10(r / s)
    v = math.pi * (180 - opening) / 180 * (r + s / 2 * k) - 2 * (r + s) * math.tan((math.pi - beta) / 2)
    assert -Bend(s, r, math.pi - beta, k / 2).deduction == pytest.approx(v)


@pytest.mark.parametrize("opening", [90.0, 60.0, 45.0, 20.0])
def test_acute_bends_differ_by_how_legs_are_measured(opening: float) -> None:
    """Up to 90 degrees the standard measures each leg over the bend: v = arc - 2 (r + s)."""
    s, r = 3.0, 4.0
    angle = math.pi - math.radians(opening)
    k = 0.65 + 0.5 * math.log10(r / s)
    v = math.pi * (180 - opening) / 180 * (r + s / 2 * k) - 2 * (r + s)
    ours = -Bend(s, r, angle, k / 2).deduction + 2 * legs_to_tangent(s, r, angle)
    assert ours == pytest.approx(v)


@pytest.mark.parametrize("opening", [165.1, 175.0])
def test_nearly_flat_bends_keep_their_small_deduction(opening: float) -> None:
    """Above 165 degrees the standard takes v = 0; ours goes on falling toward it."""
    assert 0.0 < Bend(3.0, 4.0, math.pi - math.radians(opening), 0.35).deduction < 1.0

"""Bend rules: which K serves, least radius and least flange.  The sources are held in tests/validation."""

import math

import pytest

from fabgen.shop import materials
from fabgen.shop.bending.bends import (
    COMMON,
    TABLE,
    TABLE_RATIOS,
    die_width,
    k_factor,
    least_flange,
    legs_to_tangent,
    table_k,
)


def test_own_k_wins_over_any_rule() -> None:
    for rule in ("table", "din6935"):
        assert k_factor("mild steel", 3.0, 3.0, rule, 0.39).value == 0.39  # type: ignore[arg-type]


def test_every_k_says_where_it_comes_from() -> None:
    assert "Machinery's Handbook" in k_factor("mild steel", 3.0, 3.0).source.words()
    assert "DIN 6935" in k_factor("mild steel", 3.0, 30.0).source.words()
    assert "DIN 6935" in k_factor("aluminium", 3.0, 3.0, "din6935").source.words()
    assert COMMON in k_factor("mild steel", 3.0, 9.0).source.words()
    assert COMMON in k_factor("stainless", 3.0, 3.0).source.words()


@pytest.mark.parametrize("group", list(TABLE))
def test_k_grows_with_the_ratio_up_to_the_middle(group: materials.Group) -> None:
    values = [table_k(group, 2.0, 2.0 * ratio) for ratio in (0.0, 0.5, 1.0, 1.5, 2.0, 3.3, 4.9, 5.0, 50.0)]
    assert values == sorted(values)
    assert values[0] == values[2] == TABLE[group][0]
    assert values[-1] == values[-2] == 0.5


def test_table_is_met_at_its_columns_and_interpolated_between() -> None:
    for ratio, k in zip(TABLE_RATIOS, TABLE["mild steel"], strict=True):
        assert table_k("mild steel", 4.0, 4.0 * ratio) == pytest.approx(k)
    assert table_k("mild steel", 4.0, 10.0) == pytest.approx((0.43 + 0.45) / 2)


def test_least_flange_reaches_over_the_tool() -> None:
    assert least_flange(math.pi / 2, 12.0).value == pytest.approx(6.0 * math.sqrt(2.0))
    assert least_flange(math.pi / 2, 16.0).value == pytest.approx(8.0 * math.sqrt(2.0))
    assert least_flange(0.1, 12.0).value < least_flange(2.0, 12.0).value


def test_usual_tool_by_the_makers_rows() -> None:
    """A maker of press brake tools: 0.5 mm to 2.6 mm 6 t, 3 mm to 8 mm 8 t, 9 and 10 mm 10 t, 12 mm and more 12 t."""
    for thickness, times in ((0.5, 6), (2.6, 6), (3, 8), (8, 8), (9, 10), (10, 10), (12, 12), (20, 12)):
        assert die_width(thickness).value == pytest.approx(times * thickness)


def test_a_leg_over_its_bend() -> None:
    assert legs_to_tangent(3.0, 3.0, math.pi / 2) == 0.0
    assert legs_to_tangent(3.0, 3.0, 1.0) == 0.0
    # At 120 degrees: 6 mm of outside radius, mould line 6 tan 60 from the tangent line, metal ends at 6.
    assert legs_to_tangent(3.0, 3.0, math.radians(120)) == pytest.approx(6 * (math.sqrt(3) - 1))

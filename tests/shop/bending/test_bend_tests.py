"""K from test strips: a strip folded by a known K gives that K back; which bends it serves."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.geometry.sheet.folds import Bend
from fabgen.shop.bending.bend_tests import FoldedStrip, MeasuredK, allowance_of, find, k_of, merged
from fabgen.shop.bending.bends import legs_to_tangent


@given(st.floats(0.5, 12), st.floats(0.0, 30), st.floats(0.3, 2.6), st.floats(0.2, 0.5), st.floats(0.3, 0.7))
def test_a_strip_folded_by_a_known_k(t: float, r: float, angle: float, k: float, share: float) -> None:
    bend = Bend(t, r, angle, k)
    length = 40.0 + 8.0 * bend.setback
    legs = length + bend.deduction
    beyond = legs_to_tangent(t, r, angle)
    strip = FoldedStrip(length, (share * legs - beyond, (1.0 - share) * legs - beyond))
    assert allowance_of(strip, t, r, angle) == pytest.approx(bend.allowance)
    assert k_of(strip, t, r, angle) == pytest.approx(k, abs=1e-6)


def test_right_angle_by_hand() -> None:
    """100 mm strip, 3 mm sheet, radius 3: legs 52.7 and 52.7 make 5.4 more; 100 - 105.4 + 12 = 6.6 round the bend."""
    strip = FoldedStrip(100.0, (52.7, 52.7))
    assert allowance_of(strip, 3.0, 3.0, math.pi / 2.0) == pytest.approx(6.6)
    assert k_of(strip, 3.0, 3.0, math.pi / 2.0) == pytest.approx((6.6 / (math.pi / 2.0) - 3.0) / 3.0)


def over(die: float | None = None, ks: tuple[float, ...] = (0.40, 0.44), radius: float = 3.0) -> MeasuredK:
    return MeasuredK("S235", 3.0, radius, die, ks, 0.1)


def test_which_bends_a_test_serves() -> None:
    test = over(24.0)
    assert test.serves("S235", 3.0, 3.0, 24.0)
    assert test.serves("S235", 3.04, 3.05, None)
    for other in (
        ("S355", 3.0, 3.0, 24.0),
        ("S235", 4.0, 3.0, 24.0),
        ("S235", 3.0, 4.0, 24.0),
        ("S235", 3.0, 3.0, 16.0),
    ):
        assert not test.serves(*other)
    assert over(None).serves("S235", 3.0, 3.0, 16.0)


def test_a_test_over_the_named_tool_comes_before_one_over_any() -> None:
    tests = [over(None), over(24.0), over(16.0)]
    assert find(tests, "S235", 3.0, 3.0, 24.0) == [tests[1]]
    assert find(tests, "S235", 3.0, 3.0, 40.0) == [tests[0]]
    assert find(tests, "S235", 3.0, 3.0, None) == tests[1:]
    assert find(tests, "S235", 3.0, 8.0, None) == []


def test_strips_of_one_bend_are_averaged_and_their_scatter_told() -> None:
    made = merged([over(24.0, (0.40,)), over(16.0, (0.38,)), over(24.0, (0.46, 0.43))])
    assert [test.die for test in made] == [24.0, 16.0]
    assert made[0].value == pytest.approx(0.43)
    assert made[0].spread == pytest.approx(0.06 * 3.0 * math.pi / 2.0)
    assert made[0].source.words() == "own test over 24 mm, mean of 3 strips, K 0.400 to 0.460"
    assert made[1].source.words() == "own test over 16 mm, 1 strip"

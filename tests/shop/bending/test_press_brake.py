"""Press brake rules: scale as they should, and meet the figures of the trade."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.shop.bending.bends import die_width
from fabgen.shop.bending.press_brake import (
    KALPAKJIAN,
    LEAST_SPRING,
    bending_force,
    lower_tool,
    natural_radius,
    spring_back,
    tensile_strength,
    usual_radius,
)
from fabgen.shop.materials import find, names


def test_natural_radius_is_near_the_thickness_over_the_usual_tool() -> None:
    """Common practice: mild steel bent over six to eight times its thickness takes about its thickness inside."""
    for thickness in (1.0, 2.0, 3.0, 5.0, 8.0):
        radius = natural_radius(find("S235"), die_width(thickness).value).value
        assert 0.85 * thickness < radius < 1.4 * thickness
    assert natural_radius(find("304"), 24.0).value > natural_radius(find("S235"), 24.0).value


def test_radius_and_tool_of_a_bend_go_together() -> None:
    """Usual tool 8 t = 48 mm makes 0.16 x 48 = 7.68 mm; S235 of 6 mm wants 8 across and 10 along the grain."""
    steel = find("S235")
    for rolling, radius, die in (("along", 10.0, 62.5), ("across", 8.0, 50.0)):
        assert usual_radius(steel, 6.0, None, rolling) == pytest.approx(radius)  # type: ignore[arg-type]
        tool = lower_tool(steel, 6.0, radius, None)
        assert (tool.opening, tool.makes, tool.choice) == (pytest.approx(die), pytest.approx(radius), "radius")
    assert usual_radius(find("DC01"), 3.0, None, "along") == pytest.approx(0.16 * 24.0)
    assert lower_tool(find("DC01"), 3.0, 0.16 * 24.0, None).choice == "usual"
    # 6 t would make 0.96 t.
    assert usual_radius(find("DC01"), 2.0, None, "along") == 2.0
    assert usual_radius(steel, 6.0, 40.0, "along") == pytest.approx(6.4)


def test_a_tool_that_serves_the_sheet_is_named_where_none_makes_the_radius() -> None:
    sharp, round_ = (lower_tool(find("S235"), 3.0, radius, None) for radius in (0.5, 40.0))
    assert (sharp.opening, sharp.choice) == (pytest.approx(0.6 * 24.0), "narrowest")
    assert (round_.opening, round_.choice) == (pytest.approx(2.0 * 43.0), "widest")
    assert lower_tool(find("S235"), 3.0, 3.0, 40.0).makes == pytest.approx(6.4)


@given(st.floats(300, 800), st.floats(0.5, 12), st.floats(20, 3000), st.floats(5, 120))
def test_force_grows_with_length_and_the_square_of_the_thickness(ts: float, t: float, w: float, die: float) -> None:
    force = bending_force(ts, t, w, die).value
    assert bending_force(ts, 2.0 * t, w, die).value == pytest.approx(4.0 * force)
    assert bending_force(ts, t, 2.0 * w, 2.0 * die).value == pytest.approx(force)


def test_every_material_has_a_strength_and_springs() -> None:
    for name in names():
        material = find(name)
        assert 200.0 < tensile_strength(material).value < 900.0
        spring = spring_back(material, 2.0, 2.0, math.pi / 2.0)
        assert math.degrees(spring.angle) >= LEAST_SPRING[material.group] - 1e-9
    assert tensile_strength(find("S355J2")).value == 630.0
    assert tensile_strength(find("S355MC")).value == 450.0


def test_a_large_radius_springs_by_the_formula() -> None:
    """x = 100 x 235 / (210 000 x 1) = 0.1119: Ri / Rf = 4 x^3 - 3 x + 1 = 0.6699."""
    x = 100.0 * 235.0 / 210_000.0
    final = 100.0 / (4 * x**3 - 3 * x + 1)
    spring = spring_back(find("S235"), 1.0, 100.0, math.pi / 2.0)
    assert spring.source == KALPAKJIAN
    assert spring.angle == pytest.approx(math.pi / 2.0 * (1.0 - 100.5 / (final + 0.5)))

"""Buckling against closed formulas and an independent numerical solution.

Euler and Johnson as in Shigley, Mechanical Engineering Design (columns; from memory, edition not
at hand): Pcr / A = C pi^2 E / (l / k)^2, and Sy - (Sy l / (2 pi k))^2 / (C E) below
(l / k)1 = sqrt(2 pi^2 C E / Sy), where both give Sy / 2.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.geometry.mechanics.buckling import StrutLength, euler_load, johnson_load, secant_load

E = 210_000.0


@pytest.mark.parametrize(
    ("fixed", "c"),
    # The constants of the classic cases; of one end held the square of 4.4934 / pi, tan x = x.
    [((False, False), 1.0), ((True, True), 4.0), ((True, False), (4.493409458 / math.pi) ** 2)],
)
def test_one_section_by_the_closed_formula(fixed: tuple[bool, bool], c: float) -> None:
    inertia, length = 7_000.0, 600.0
    closed = c * math.pi**2 * E * inertia / length**2
    assert euler_load([StrutLength(length, E * inertia)], fixed) == pytest.approx(closed, rel=2e-4)
    assert euler_load([StrutLength(200.0, E * inertia), StrutLength(400.0, E * inertia)], fixed) == pytest.approx(
        closed, rel=2e-4
    )


@given(a=st.floats(20, 200), b=st.floats(100, 800), c=st.floats(20, 200), weak=st.floats(0.02, 1.0))
def test_a_stepped_strut_by_finite_differences(a: float, b: float, c: float, weak: float) -> None:
    """Independent of beam elements: y'' = -P y / EI on a fine grid, its least eigenvalue by numpy alone."""
    stretches = [StrutLength(a, weak * 1e9), StrutLength(b, 1e9), StrutLength(c, 2.0 * weak * 1e9)]
    whole = a + b + c
    n = 600
    x = np.linspace(0.0, whole, n + 2)[1:-1]
    step = whole / (n + 1)
    stiffness = np.where(x < a, weak, np.where(x < a + b, 1.0, 2.0 * weak)) * 1e9
    second = (np.diag(np.full(n, 2.0)) - np.diag(np.ones(n - 1), 1) - np.diag(np.ones(n - 1), -1)) / step**2
    root = np.sqrt(stiffness)
    least = float(np.linalg.eigvalsh(root[:, None] * second * root)[0])
    assert euler_load(stretches) == pytest.approx(least, rel=0.02)


def test_a_stepped_strut_by_its_own_equation() -> None:
    """Two lengths, pinned: k1 tan(k1 a) ... joins where slope and deflection agree: k1 cot(k1 a) + k2 cot(k2 b) = 0."""
    a, b, one, two = 150.0, 450.0, 4e8, 1.6e9

    def gap(load: float) -> float:
        k1, k2 = math.sqrt(load / one), math.sqrt(load / two)
        return k1 / math.tan(k1 * a) + k2 / math.tan(k2 * b)

    # Between nothing and the load at which a cotangent first leaves its branch, gap falls once through nought.
    low, high = 1.0, min(one * (math.pi / a) ** 2, two * (math.pi / b) ** 2) * (1.0 - 1e-9)
    for _ in range(200):
        middle = (low + high) / 2.0
        low, high = (middle, high) if gap(middle) > 0.0 else (low, middle)
    assert euler_load([StrutLength(a, one), StrutLength(b, two)]) == pytest.approx(low, rel=1e-4)


def _shigley(area: float, k: float, length: float, sy: float, c: float = 1.0) -> float:
    slender = length / k
    if slender > math.sqrt(2.0 * math.pi**2 * c * E / sy):
        return area * c * math.pi**2 * E / slender**2
    return area * (sy - (sy * slender / (2.0 * math.pi)) ** 2 / (c * E))


@given(od=st.floats(12, 80), wall=st.floats(0.08, 0.45), length=st.floats(80, 3000), sy=st.floats(150, 900))
def test_johnson_takes_over_where_shigley_says(od: float, wall: float, length: float, sy: float) -> None:
    bore = od * (1.0 - 2.0 * wall)
    area = math.pi / 4.0 * (od**2 - bore**2)
    inertia = math.pi / 64.0 * (od**4 - bore**4)
    euler = math.pi**2 * E * inertia / length**2
    expected = _shigley(area, math.sqrt(inertia / area), length, sy)
    assert johnson_load(euler, area * sy) == pytest.approx(expected, rel=1e-9)


def test_worked_by_hand() -> None:
    """25.4 x 4 tube, 600 mm, Sy = 355: A = 268.92, I = 15 932 (pi/64 (25.4^4 - 17.4^4)), k = 7.697; l/k = 77.95.
    (l/k)1 = sqrt(2 pi^2 210000 / 355) = 108.06, so Johnson: 355 - (355 x 77.95 / 2 pi)^2 / 210000 = 262.6 MPa."""
    area, inertia = math.pi / 4.0 * (25.4**2 - 17.4**2), math.pi / 64.0 * (25.4**4 - 17.4**4)
    assert area == pytest.approx(268.92, abs=0.01)
    assert inertia == pytest.approx(15_932, abs=1.0)
    load = johnson_load(euler_load([StrutLength(600.0, E * inertia)]), area * 355.0)
    assert load / area == pytest.approx(262.6, abs=0.1)


@pytest.mark.parametrize("off", [0.01, 2.0, 8.0])
def test_the_secant_load_yields_just_there(off: float) -> None:
    """By the secant formula's own terms: bow and moment at mid-length, worked the other way round."""
    area, inertia, far, length, sy = 268.92, 15_932.0, 12.7, 600.0, 355.0
    load = secant_load(area, math.sqrt(inertia / area), far, length, E, sy, off)
    bow = off / math.cos(length / 2.0 * math.sqrt(load / (E * inertia)))
    assert load / area + load * bow * far / inertia == pytest.approx(sy, rel=1e-6)


def test_shigleys_round_column() -> None:
    """Shigley, Mechanical Engineering Design, chapter 4, the example of a round column 1.5 m long for 22 kN with a
    design factor of 4, ends pinned, Sy = 500 MPa, E = 207 GPa: d = 37.48 mm by Euler, 40 mm chosen, whose l/k = 150
    lies above (l/k)1 = 90.4 (from memory; the example's number differs between editions)."""
    e, sy, length = 207_000.0, 500.0, 1500.0
    assert euler_load([StrutLength(length, e * math.pi * 37.48**4 / 64.0)]) == pytest.approx(88_000.0, rel=1e-3)
    assert math.sqrt(2.0 * math.pi**2 * e / sy) == pytest.approx(90.4, abs=0.05)
    chosen, squash = euler_load([StrutLength(length, e * math.pi * 40.0**4 / 64.0)]), sy * math.pi * 40.0**2 / 4.0
    assert length / (40.0 / 4.0) == 150.0
    assert johnson_load(chosen, squash) == chosen
    # At (l/k)1 itself Euler and Johnson meet at half the yield.
    meets = math.pi**2 * e / 90.4**2
    assert meets == pytest.approx(sy / 2.0, rel=1e-3)


@pytest.mark.parametrize("ratio", [1e4, 1e6, 1e7, 1e9, 1e12])
@pytest.mark.parametrize("short", [1e-6, 0.01, 1.0, 50.0])
def test_a_stiff_piece_between_two_soft_ones_stays_level(ratio: float, short: float) -> None:
    """Euler: each soft length a then buckles as a column held at one end, P = pi^2 E I / (4 a^2)."""
    soft, stiff = StrutLength(100.0, 1e7), StrutLength(short, 1e7 * ratio)
    assert euler_load([soft, stiff, soft]) == pytest.approx(math.pi**2 * 1e7 / (4.0 * 100.0**2), rel=1e-3)

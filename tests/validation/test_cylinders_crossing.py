"""Two cylinders crossing square, in closed form.

On a cylinder of radius R unrolled to x = R psi, a cutter of radius r square to its axis at
height h and offset e leaves z = h +- sqrt(r^2 - (R sin(x / R) - e)^2): the curve of
intersection of two cylinders (analytic geometry).  For e = 0 the area of the window in the
cylinder is 4 R^2 (E(k) - (1 - k^2) K(k)) with k = r / R, from the complete elliptic integrals
by the arithmetic-geometric mean: M. Abramowitz and I. A. Stegun, Handbook of Mathematical
Functions, 1964, 17.6.
"""

import math

import numpy as np
import pytest
from shapely import Polygon

from fabgen.geometry.developments import CURVE_TOLERANCE, RoundCut, cut_curve


@pytest.mark.parametrize("radius", [20.0, 60.0, 95.0])
@pytest.mark.parametrize("offset", [0.0, 4.0, -4.0])
def test_edge_of_the_window(radius: float, offset: float) -> None:
    cylinder = 100.0
    for x, z in cut_curve(RoundCut(radius, 50.0, offset), cylinder, cylinder, cylinder):
        rise = math.sqrt(max(0.0, radius**2 - (cylinder * math.sin(x / cylinder) - offset) ** 2))
        assert abs(z - 50.0) == pytest.approx(rise, abs=2e-5)


@pytest.mark.parametrize("radius", [20.0, 60.0, 90.0])
def test_area_of_the_window(radius: float) -> None:
    cylinder = 100.0
    curve = np.array(cut_curve(RoundCut(radius, 0.0), cylinder, cylinder, cylinder))
    k = radius / cylinder
    first, second = elliptic(k)
    window = Polygon(curve)
    wanted = 4 * cylinder**2 * (second - (1 - k * k) * first)
    assert window.area == pytest.approx(wanted, abs=CURVE_TOLERANCE * window.length)


def elliptic(k: float) -> tuple[float, float]:
    """K(k) and E(k) by the arithmetic-geometric mean (17.6.3, 17.6.4)."""
    a, b, c, total, power = 1.0, math.sqrt(1 - k * k), k, k * k / 2, 1.0
    while abs(c) > 1e-15:
        a, b, c = (a + b) / 2, math.sqrt(a * b), (a - b) / 2
        total += power * c * c
        power *= 2
    first = math.pi / 2 / a
    return first, first * (1 - total)

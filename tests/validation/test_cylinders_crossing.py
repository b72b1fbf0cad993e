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

from fabgen.geometry.sheet.wall_cuts import SAMPLED, Cutter, Wall, cut_loops

CYLINDER = 100.0


def window(radius: float, offset: float = 0.0) -> list[tuple[float, float]]:
    """The edge of the cut-out in a thin wall, (x, z), from the cutter's axis."""
    (loop,) = cut_loops(Wall(CYLINDER, CYLINDER, 300.0), Cutter(radius, 150.0, offset))
    return [(x, z - 150.0) for x, z in loop]


@pytest.mark.parametrize("radius", [20.0, 60.0, 95.0])
@pytest.mark.parametrize("offset", [0.0, 4.0, -4.0])
def test_edge_of_the_window(radius: float, offset: float) -> None:
    for x, z in window(radius, offset):
        rise = math.sqrt(max(0.0, radius**2 - (CYLINDER * math.sin(x / CYLINDER) - offset) ** 2))
        assert abs(z) == pytest.approx(rise, abs=2e-5)


@pytest.mark.parametrize("radius", [20.0, 60.0, 90.0])
def test_area_of_the_window(radius: float) -> None:
    curve = np.array(window(radius))
    k = radius / CYLINDER
    first, second = elliptic(k)
    shape = Polygon(curve)
    wanted = 4 * CYLINDER**2 * (second - (1 - k * k) * first)
    assert shape.area == pytest.approx(wanted, abs=SAMPLED * shape.length)


def elliptic(k: float) -> tuple[float, float]:
    """K(k) and E(k) by the arithmetic-geometric mean (17.6.3, 17.6.4)."""
    a, b, c, total, power = 1.0, math.sqrt(1 - k * k), k, k * k / 2, 1.0
    while abs(c) > 1e-15:
        a, b, c = (a + b) / 2, math.sqrt(a * b), (a - b) / 2
        total += power * c * c
        power *= 2
    first = math.pi / 2 / a
    return first, first * (1 - total)

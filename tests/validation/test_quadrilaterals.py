"""Quadrilaterals and tetrahedra whose sizes are known.

The cyclic quadrilateral with sides 25, 39, 60, 52, diagonals 63 and 56 and area 1764 is
Brahmagupta's (from memory; Ptolemy's theorem confirms it: 25 x 60 + 39 x 52 = 63 x 56).  Area of any
plane quadrilateral from sides and diagonals: C. A. Bretschneider, 1842, and F. Strehlke, 1842,
16 A^2 = 4 p^2 q^2 - (b^2 + d^2 - a^2 - c^2)^2.  Height of a tetrahedron: by Cayley and Menger's
determinant; of the regular one it is a sqrt(2 / 3).
"""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.geometry.plane.outline import Outline
from fabgen.geometry.sheet.taped_polygon import adjusted, out_of_plane

SIDES = {(0, 1): 25.0, (1, 2): 39.0, (2, 3): 60.0, (0, 3): 52.0}


def corners(measures: dict[tuple[int, int], float]) -> Outline:
    return Outline.polygon(adjusted(4, measures).corners)


@pytest.mark.parametrize("diagonal", [{(0, 2): 56.0}, {(1, 3): 63.0}, {(0, 2): 56.0, (1, 3): 63.0}])
def test_brahmaguptas_quadrilateral(diagonal: dict[tuple[int, int], float]) -> None:
    found = adjusted(4, SIDES | diagonal)
    assert Outline.polygon(found.corners).area == pytest.approx(1764.0)
    assert math.dist(found.corners[0], found.corners[2]) == pytest.approx(56.0)
    assert math.dist(found.corners[1], found.corners[3]) == pytest.approx(63.0)
    # All four corners lie on the circle of diameter 65.
    at = np.array(found.corners)
    system = np.column_stack((2.0 * at, np.ones(4)))
    x, y, c = np.linalg.lstsq(system, (at**2).sum(axis=1), rcond=None)[0]
    assert 2.0 * math.sqrt(c + x * x + y * y) == pytest.approx(65.0)


@given(st.floats(200, 500), st.floats(200, 500), st.floats(-60, 60), st.floats(-60, 60))
def test_area_from_sides_and_diagonals(width: float, height: float, dx: float, dy: float) -> None:
    points = [(0.0, 0.0), (width, 0.0), (width + dx, height + dy), (0.0, height)]
    a, b, c, d = (math.dist(points[i], points[(i + 1) % 4]) for i in range(4))
    p, q = math.dist(points[0], points[2]), math.dist(points[1], points[3])
    area = math.sqrt(4 * p * p * q * q - (b * b + d * d - a * a - c * c) ** 2) / 4
    made = corners({(0, 1): a, (1, 2): b, (2, 3): c, (0, 3): d, (0, 2): p, (1, 3): q})
    assert made.area == pytest.approx(area, rel=1e-6)


def test_height_of_the_regular_tetrahedron() -> None:
    six = {(i, j): 300.0 for i in range(4) for j in range(i + 1, 4)}
    assert out_of_plane(six) == pytest.approx(300.0 * math.sqrt(2.0 / 3.0))

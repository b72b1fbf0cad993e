"""Two equal cylinders at right angles: the solid they share has the volume 16/3 r^3.

M. Moore, Symmetrical Intersections of Right Circular Cylinders, The Mathematical Gazette 58
(1974), pp. 181-185.  Known since Archimedes (The Method, proposition 15).
"""

import math

import numpy as np
import pytest

from fabgen.parts.single_cope import simple_cope
from fabgen.shop.section import Section


def test_shared_volume() -> None:
    """A bar filled with thin tubes, each with its own outside line: x over the disc is half of it."""
    main = Section("round", 50.0, 50.0, 0.0)
    nodes, weights = np.polynomial.legendre.leggauss(24)
    radii = 12.5 * (nodes + 1.0)
    half = 0.0
    for radius, weight in zip(radii, 12.5 * weights, strict=True):
        tube = Section("round", 2.0 * radius, 2.0 * radius, radius / 2.0)
        line = simple_cope(tube, main, math.pi / 2.0, 0.0, "outside").line
        half += weight * radius * 2.0 * math.pi * line.mean
    assert 2.0 * half == pytest.approx(16.0 / 3.0 * 25.0**3, rel=1e-4)


def test_the_cut_of_equal_tubes_is_two_planes() -> None:
    """Their curve of intersection is two flat ellipses, so the developed line is |cos phi|."""
    tube = Section("round", 50.0, 50.0, 2.0)
    line = simple_cope(tube, tube, math.pi / 2.0, 0.0, "outside").line
    assert line.x == pytest.approx(25.0 * np.abs(np.cos(line.phi)), abs=1e-6)

"""A worked example of sheet-metal bending.

M. P. Groover, Fundamentals of Modern Manufacturing, chapter on sheet metalworking, the example
of bending (from memory, no page): a blank 44.5 mm wide and 3.2 mm thick, tensile strength
450 MPa, is bent in a V-shaped tool of 25 mm opening with an inside radius of 4.75 mm to an
included angle of 120 degrees.  His bend allowance with K = 0.33 is 6.08 mm, his force 10 909 N.
"""

import math

import pytest

from fabgen.geometry.sheet.folds import Bend
from fabgen.shop.bending.press_brake import bending_force


def test_allowance() -> None:
    assert Bend(3.2, 4.75, math.radians(60.0), 0.33).allowance == pytest.approx(6.08, abs=0.005)


def test_force() -> None:
    assert bending_force(450.0, 3.2, 44.5, 25.0).value * 1000.0 == pytest.approx(10_909, abs=1.0)

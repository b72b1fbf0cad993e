"""Area of a convex shape grown by a disc: A + P r + pi r^2.

J. Steiner, "Über parallele Flächen", Monatsberichte der Königlich Preußischen Akademie der
Wissenschaften zu Berlin, 1840, pages 114 to 118.  The moves at which a disc of radius r meets a
convex shape make up just that area.
"""

import math

import pytest
from shapely import Polygon

from fabgen.geometry.plane.no_fit import convex_pieces, covering, no_fit
from fabgen.geometry.plane.outline import Circle, Loop, Outline


@pytest.mark.parametrize("radius", [3.0, 40.0])
@pytest.mark.parametrize(
    "shape",
    [
        Outline.rectangle(120, 45),
        Outline.polygon([(0, 0), (90, 10), (30, 70)]),
        Outline.stadium(80, 30),
        Circle(0, 0, 60),
    ],
    ids=["rectangle", "triangle", "stadium", "disc"],
)
def test_area_of_the_moves_at_which_a_disc_meets_a_convex_shape(shape: Loop, radius: float) -> None:
    fine = 1e-3
    disc = Polygon(covering(Circle(7.0, -4.0, 2.0 * radius), fine))
    area = no_fit(convex_pieces(Polygon(covering(shape, fine))), convex_pieces(disc)).area
    steiner = shape.area + shape.perimeter * radius + math.pi * radius**2
    assert area == pytest.approx(steiner, rel=1e-4)

"""EN 10219-2:2006, cold formed welded structural hollow sections: sizes, corners and masses.

Masses a metre are those of its tables (typed from memory, check against your copy), reckoned with
7.85 kg/dm3 and the nominal outside corner radii 2.0 T (T <= 6 mm), 2.5 T (6 < T <= 10 mm), 3.0 T (T > 10 mm).
"""

import pytest

from fabgen.job.values.section_text import parse_section
from fabgen.shop.corners import usual_corner
from fabgen.shop.materials import find

MASSES = [
    ("48.3 x 3.2", 3.56),
    ("60.3 x 3.2", 4.51),
    ("40 x 40 x 3", 3.30),
    ("60 x 40 x 3", 4.25),
    ("100 x 50 x 4", 8.59),
    ("100 x 100 x 5", 14.4),
    ("100 x 100 x 8", 21.4),
    ("200 x 200 x 12", 66.0),
]


@pytest.mark.parametrize(("text", "mass"), MASSES)
def test_mass_a_metre(text: str, mass: float) -> None:
    metre = parse_section(text).area * 1000.0 * find("S355J2H").density * 1e-9
    decimals = 1 if mass >= 10.0 else 2
    assert round(metre, decimals) == pytest.approx(mass, abs=10**-decimals * 0.501)


@pytest.mark.parametrize(("wall", "corner"), [(3.0, 6.0), (6.0, 12.0), (6.3, 15.75), (10.0, 25.0), (12.0, 36.0)])
def test_nominal_corner(wall: float, corner: float) -> None:
    assert usual_corner(wall) == pytest.approx(corner)

"""Least inside radii: EN 10025-2's table for grades that are to be flanged, and DIN 6935.

The rows are read in an extract of DIN EN 10025-2 (Galvaswiss, KS-Ratgeber, p. 54 and 55), the step above 120 degrees in
an English text of DIN 6935; the standards themselves were not at hand.
"""

import math

import pytest

from fabgen.shop.bending.bend_radii import least_radius
from fabgen.shop.materials import Material, find, names

# Thickness, then across and along the grain.
ROWS = [
    ("S235", 1.5, 1.6, 1.6),
    ("S235", 3.0, 3.0, 3.0),
    ("S235", 4.0, 5.0, 6.0),
    ("S235", 6.0, 8.0, 10.0),
    ("S235", 20.0, 40.0, 45.0),
    ("S275", 5.0, 8.0, 10.0),
    ("S275", 6.0, 10.0, 12.0),
    ("S275", 12.0, 25.0, 32.0),
    ("S355", 2.0, 4.0, 4.0),
    ("S355", 6.0, 10.0, 12.0),
    ("S355J2", 8.0, 16.0, 20.0),
    ("S355", 20.0, 50.0, 63.0),
]


@pytest.mark.parametrize(("name", "thickness", "across", "along"), ROWS)
def test_rows(name: str, thickness: float, across: float, along: float) -> None:
    for rolling, radius in (("across", across), ("along", along)):
        least = least_radius(find(name), thickness, rolling)  # type: ignore[arg-type]
        assert (least.value, least.rolling) == (radius, rolling)
        assert "EN 10025-2" in least.source


def test_a_column_ends_at_its_thickness() -> None:
    assert least_radius(find("S235"), 4.0).value == 6.0
    assert least_radius(find("S235"), 4.01).value == 8.0


def test_above_120_degrees_the_next_radius_holds() -> None:
    """The example of DIN 6935: St 42, 6 mm, across: 10 mm up to 120 degrees, 12 mm above."""
    assert least_radius(find("S275"), 6.0, "across", math.radians(120.0)).value == 10.0
    assert least_radius(find("S275"), 6.0, "across", math.radians(121.0)).value == 12.0


def test_steel_that_no_row_names_counts_by_its_tensile_strength() -> None:
    own = Material("own", "mild steel", 7850.0, "", tensile_strength=480.0)
    assert least_radius(own, 6.0).value == least_radius(find("S275"), 6.0).value
    strong = Material("own", "mild steel", 7850.0, "", tensile_strength=900.0)
    assert least_radius(strong, 6.0).value == least_radius(find("S355"), 6.0).value


@pytest.mark.parametrize("name", names())
def test_every_material_has_a_figure_that_grows_with_its_source(name: str) -> None:
    leasts = [least_radius(find(name), t) for t in (0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 40.0)]
    values = [each.value for each in leasts]
    assert values == sorted(values)
    assert all(each.source for each in leasts)
    assert least_radius(find(name), 6.0, "across").value <= least_radius(find(name), 6.0).value


def test_tempers_that_crack_need_more() -> None:
    assert least_radius(find("6082-T6"), 5.0).value == pytest.approx(22.5)
    assert "from memory" in least_radius(find("6082-T6"), 5.0).source
    assert least_radius(find("6082-T6"), 5.0).value > least_radius(find("5754"), 5.0).value

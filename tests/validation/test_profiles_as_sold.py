"""Areas, masses and centroids of profiles, calculated from their shape with its radii, against published tables.

EN 10056-1 (angles), EN 10055 (T), EN 10365 / DIN 1026 (UPN, UPE), ASTM A6 and the AISC Manual (inch angles and American
Standard channels), EN 10058 to EN 10061 (bars).  The printed figures are from memory, check against your part; they
stand in fabgen/shop/data/profiles.toml beside the sizes and are nothing that fabgen has calculated.
"""

from __future__ import annotations

import math

import pytest
from shapely.geometry import Polygon

from fabgen.job.values.profile_text import parse_profile
from fabgen.parts.shape.profiles import cross_section, mass_per_metre
from fabgen.shop.tables import data, table

STEEL = 7850.0
LB_PER_FT = 0.45359237 / 0.3048
INCH = 25.4


def _last_place(printed: float) -> float:
    """One step of the last of three figures, as the tables print them; half a step and the table's own rounding."""
    return 10.0 ** (math.floor(math.log10(printed)) - 2)


def _rows(block: str) -> list[tuple[str, dict[str, float]]]:
    return list(table("profiles", block).rows.items())


@pytest.mark.parametrize(("name", "row"), _rows("angle"), ids=lambda v: v if isinstance(v, str) else "")
def test_angles_of_en_10056_1(name: str, row: dict[str, float]) -> None:
    section = parse_profile(f"angle {name}")
    shape = cross_section(section)
    y, z = shape.centroid
    assert section.standard == "EN 10056-1"
    assert shape.area / 100.0 == pytest.approx(row["area"], abs=1.1 * _last_place(row["area"]))
    assert mass_per_metre(section, STEEL) == pytest.approx(row["mass"], abs=1.1 * _last_place(row["mass"]))
    assert z / 10.0 == pytest.approx(row["centroid_a"], abs=0.012)
    assert y / 10.0 == pytest.approx(row["centroid_b"], abs=0.012)


@pytest.mark.parametrize(("name", "row"), _rows("channel"), ids=lambda v: v if isinstance(v, str) else "")
def test_channels_of_en_10365(name: str, row: dict[str, float]) -> None:
    section = parse_profile(name)
    shape = cross_section(section)
    y, z = shape.centroid
    assert shape.area / 100.0 == pytest.approx(row["area"], abs=1.1 * _last_place(row["area"]))
    # Some printed masses are those of the printed area, rounded twice: 8.64 of UPN 80 is 11.0 x 0.785.
    assert mass_per_metre(section, STEEL) == pytest.approx(row["mass"], rel=0.005)
    # The printed 1.31 of the 30 x 33 is 0.3 mm less than its own shape has.
    assert y / 10.0 == pytest.approx(row["centroid"], abs=0.04 if name == "UPN 30" else 0.012)
    assert abs(z) < 1e-9


@pytest.mark.parametrize(("name", "row"), _rows("tee"), ids=lambda v: v if isinstance(v, str) else "")
def test_tees_of_en_10055(name: str, row: dict[str, float]) -> None:
    section = parse_profile(f"T {name}")
    shape = cross_section(section)
    assert shape.area / 100.0 == pytest.approx(row["area"], abs=1.1 * _last_place(row["area"]))
    assert mass_per_metre(section, STEEL) == pytest.approx(row["mass"], rel=0.006)
    assert -shape.centroid[1] / 10.0 == pytest.approx(row["centroid"], abs=0.021)


@pytest.mark.parametrize(("name", "row"), _rows("angle_inch"), ids=lambda v: v if isinstance(v, str) else "")
def test_inch_angles_of_astm_a6(name: str, row: dict[str, float]) -> None:
    section = parse_profile(f"angle {name}")
    shape = cross_section(section)
    assert section.standard == "ASTM A6"
    assert shape.area / INCH**2 == pytest.approx(row["area"], rel=0.015)
    assert shape.centroid[1] / INCH == pytest.approx(row["centroid_a"], abs=0.011)
    # Their printed masses leave the radii out.
    assert mass_per_metre(section, STEEL) / LB_PER_FT == pytest.approx(row["mass"], rel=0.03)


@pytest.mark.parametrize(("name", "row"), _rows("channel_inch"), ids=lambda v: v if isinstance(v, str) else "")
def test_american_standard_channels(name: str, row: dict[str, float]) -> None:
    shape = cross_section(parse_profile(name))
    assert shape.area / INCH**2 == pytest.approx(row["area"], rel=0.006)
    assert shape.centroid[0] / INCH == pytest.approx(row["centroid"], abs=0.002)


@pytest.mark.parametrize(
    "text",
    ["angle 40 x 40 x 4", "angle 100 x 50 x 8", "UPN 80", "UPE 100", "T 40", "C3 x 4.1", "angle 40 x 30 x 3 folded",
     "channel 80 x 45 x 4 folded", "hexagon bar 17"],
)  # fmt: skip
def test_areas_and_centroids_against_shapely(text: str) -> None:
    """A second witness: polygons of short chords, by GEOS."""
    shape = cross_section(parse_profile(text))
    polygon = Polygon(shape.outline.points(0.0005))
    assert polygon.is_valid
    assert shape.area == pytest.approx(polygon.area, rel=1e-4)
    assert shape.centroid == pytest.approx((polygon.centroid.x, polygon.centroid.y), abs=2e-3)


def test_bars_of_en_10058_to_10061() -> None:
    blocks = data("profiles")
    for width, thickness, mass in blocks["flat"]["mass"]:
        assert mass_per_metre(parse_profile(f"flat {width} x {thickness}"), STEEL) == pytest.approx(mass, rel=0.004)
    for kind in ("bar", "square bar", "hexagon bar"):
        for size, mass in blocks[kind.replace(" ", "_")]["mass"]:
            assert mass_per_metre(parse_profile(f"{kind} {size}"), STEEL) == pytest.approx(mass, rel=0.005)

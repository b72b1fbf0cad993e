"""Stress areas and lengths of engagement against published values (from memory where it says so)."""

from __future__ import annotations

import pytest

from fabgen.shop.threaded.engagement import breaking_engagement, class_strengths, limits, stress_area
from fabgen.shop.threads import parse_thread


@pytest.mark.parametrize(
    ("name", "area"),
    # ISO 898-1:2013, table 5 (coarse) and 6 (fine); from memory.
    [
        ("M5", 14.2),
        ("M6", 20.1),
        ("M8", 36.6),
        ("M10", 58.0),
        ("M12", 84.3),
        ("M16", 157.0),
        ("M20", 245.0),
        ("M24", 353.0),
        ("M10 x 1", 64.5),
        ("M12 x 1.25", 92.1),
    ],
)
def test_stress_areas_of_iso_898_1(name: str, area: float) -> None:
    assert stress_area(parse_thread(name)) == pytest.approx(area, rel=4e-3)


@pytest.mark.parametrize(
    ("name", "square_inches"), [("1/2-20 UNF", 0.1599), ("3/8-24 UNF", 0.0878), ("1/4-20 UNC", 0.0318)]
)
def test_stress_areas_of_asme_b1_1(name: str, square_inches: float) -> None:
    """ASME B1.1, tensile stress areas; from memory."""
    assert stress_area(parse_thread(name)) == pytest.approx(square_inches * 645.16, rel=4e-3)


@pytest.mark.parametrize(
    ("name", "minor_most", "pitch_least"),
    # ISO 965-2, limits of 6H nuts and 6g screws; from memory.
    [("M8", 6.912, 7.042), ("M10", 8.676, 8.862), ("M12", 10.441, 10.679), ("M16", 14.210, 14.503)],
)
def test_limits_of_iso_965(name: str, minor_most: float, pitch_least: float) -> None:
    found = limits(parse_thread(name))
    assert found.nut_minor == pytest.approx(minor_most, abs=0.008)
    assert found.screw_pitch == pytest.approx(pitch_least, abs=0.01)


@pytest.mark.parametrize("name", ["M6", "M8", "M10", "M12", "M16", "M20", "1/2-20 UNF"])
def test_an_equal_nut_of_usual_height_holds_and_soft_ones_need_more(name: str) -> None:
    """A style 1 nut (ISO 4032) is 0.8 to 0.9 d high and breaks its screw: 0.7 to 0.85 d between equals.  Aluminium
    of 290 MPa takes about 1.5 d of an 8.8 screw: what practice says."""
    thread = parse_thread(name)
    equals = breaking_engagement(thread, 800.0, 800.0) / thread.diameter
    assert 0.65 < equals < 0.86
    assert 1.35 < breaking_engagement(thread, 800.0, 290.0) / thread.diameter < 1.75
    assert breaking_engagement(thread, 400.0, 800.0) / thread.diameter == pytest.approx(equals)


def test_property_classes() -> None:
    assert class_strengths("8.8") == (800.0, 640.0)
    assert class_strengths("10.9") == (1000.0, 900.0)
    assert class_strengths("4.6") == (400.0, 240.0)
    for bad in ("8", "x", "8.8.8", ""):
        with pytest.raises(ValueError, match="no property class"):
            class_strengths(bad)

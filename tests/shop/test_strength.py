"""Strengths by grade, form and thickness, and what welds leave of aluminium."""

from __future__ import annotations

import pytest

from fabgen.shop.materials import find
from fabgen.shop.strength import BesideWeld, Form, beside_weld, strength


@pytest.mark.parametrize(
    ("name", "thickness", "form", "yields", "breaks"),
    [
        # EN 10025-2 (Readle, Steel grades to Eurocodes, table 7): up to 16 and up to 40 mm.
        ("S355", 15.84, "", 355.0, 470.0),
        ("S355", 16.16, "", 345.0, 470.0),
        ("S275J2H", 16.16, "tube", 265.0, 410.0),
        ("S235JR", 20.0, "", 225.0, 360.0),
        # EN 1999-1-1, table 3.2b: 6060-T66 up to and over 3 mm.
        ("6060-T66", 2.97, "tube", 160.0, 215.0),
        ("6060-T66", 3.03, "tube", 150.0, 195.0),
        # EN 10296-2 tube and EN 10088-2 otherwise.
        ("1.4301", 2.0, "tube", 195.0, 500.0),
        ("316L", 2.0, "tube", 190.0, 490.0),
        ("304", 20.0, "", 210.0, 520.0),
        # EN 755-2, extruded round bar up to 150 mm (from memory).
        ("6061-T6", 25.4, "bar", 240.0, 260.0),
        ("6060-T66", 30.0, "bar", 150.0, 195.0),
        # EN 10305-1 +N; ASTM A513.
        ("E235", 3.0, "tube", 235.0, 340.0),
        ("1020 DOM", 3.0, "tube", 414.0, 483.0),
    ],
)
def test_least_strengths(name: str, thickness: float, form: Form, yields: float, breaks: float) -> None:
    own = strength(find(name), thickness, form)
    assert (own.yields, own.breaks) == (yields, breaks)


def test_what_is_of_no_known_condition_has_none() -> None:
    for name in ("DC01", "25CrMo4", "3003", "5052", "1018"):
        assert (strength(find(name), 3.0).yields, strength(find(name), 3.0).breaks) == (None, None)
    assert strength(find("4130"), 20.0).yields is None


def test_a_longer_name_is_no_quality_grade() -> None:
    assert strength(find("S355MC"), 3.0).breaks == 430.0


@pytest.mark.parametrize(
    ("name", "thickness", "yields", "breaks"),
    # EN 1999-1-1, table 3.2b (read in a copy; 6082 from memory): values in the zone beside a MIG weld.
    [("6060-T66", 2.0, 65, 110), ("6061-T6", 3.0, 115, 175), ("5083", 4.0, 110, 270), ("6082-T6", 3.0, 125, 185)],
)
def test_beside_a_mig_weld(name: str, thickness: float, yields: float, breaks: float) -> None:
    beside = found(name, thickness)
    assert (beside.yields, beside.breaks, beside.zone) == (yields, breaks, 20.0)


def found(name: str, thickness: float, tig: bool = False) -> BesideWeld:
    beside = beside_weld(find(name), thickness, tig)
    assert beside is not None
    return beside


def test_tig_on_6000_alloys_up_to_6_mm() -> None:
    assert found("6082-T6", 5.94, tig=True).breaks == pytest.approx(0.8 * 185.0)
    assert found("6082-T6", 6.06, tig=True).breaks == 185.0
    assert found("5083", 3.0, tig=True).breaks == 270.0
    assert found("6082-T6", 3.0, tig=True).zone == 30.0
    assert "memory" in found("6082-T6", 3.0, tig=True).source


def test_steel_and_alloys_without_values() -> None:
    assert beside_weld(find("S355"), 3.0, tig=False) is None
    assert beside_weld(find("5052"), 3.0, tig=False) is None

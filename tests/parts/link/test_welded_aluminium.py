"""Links of aluminium: what welds leave of the tube and the bung, by hand from EN 1999-1-1 (clauses from memory)."""

from __future__ import annotations

import math
from typing import Any

import pytest
from jobs import checked, definitions, findings, pieces_of

from fabgen.checks.links import RULES
from fabgen.checks.rule import Finding
from fabgen.parts.piece import LinkPart, LoadedLink, Margin
from fabgen.shop.threaded.engagement import nut_shear
from fabgen.shop.threads import parse_thread

HARD = {"thread": "M12", "shank": 54, "thread_length": 33, "property_class": "10.9", "rating": "90 kN"}
AREA = math.pi / 4.0 * (25.4**2 - 17.4**2)
INERTIA = math.pi / 64.0 * (25.4**4 - 17.4**4)
EYE = {"eye": "38.1 x 4", "width": 40}


def given(tables: dict[str, Any], **keys: Any) -> Any:
    link = {"mark": "L1", "section": "25.4 x 4", "length": 400, "rod_ends": [HARD, HARD | {"hand": "left"}]}
    return definitions(link=[link | {"load": "10 kN", "material": "6082-T6"} | keys], **tables)


def loaded(tables: dict[str, Any] | None = None, **keys: Any) -> LoadedLink:
    part = pieces_of(given(tables or {}, **keys))[0].shape
    assert isinstance(part, LinkPart)
    assert part.load is not None
    return part.load


def margins(tables: dict[str, Any] | None = None, **keys: Any) -> dict[str, Margin]:
    return {margin.rule: margin for margin in loaded(tables, **keys).margins}


def found(tables: dict[str, Any] | None = None, **keys: Any) -> dict[str, Finding]:
    return {each.rule: each for each in findings(checked(given(tables or {}, **keys)), RULES)}


def test_the_pull_of_the_tube_beside_its_weld() -> None:
    """185 MPa beside the weld, times 1.10 / 1.25; a sight hole of 3 mm through one wall of 4 mm."""
    pull = margins()["tube-pull"]
    assert pull.what == "its tube gives way beside the weld"
    assert pull.bears == pytest.approx((AREA - 12.0) * 185.0 * 1.1 / 1.25, rel=1e-9)
    assert "a MIG weld leaves within 20 mm" in pull.basis.words()


def test_tig_leaves_eight_tenths_of_that() -> None:
    pull = margins({"consumables": {"process": "tig"}})["tube-pull"]
    assert pull.bears == pytest.approx((AREA - 12.0) * 0.8 * 185.0 * 1.1 / 1.25, rel=1e-9)
    assert "TIG's factor 0.8 from memory" in pull.basis.words()


def test_steel_pulls_at_its_yield_and_a_tapped_tube_at_its_least_section() -> None:
    assert margins(material="S355")["tube-pull"].bears == pytest.approx((AREA - 12.0) * 355.0, rel=1e-9)
    tapped = margins(section="25.4 x 7.6", bung="none")["tube-pull"]
    assert tapped.bears == pytest.approx(math.pi / 4.0 * (25.4**2 - 12.0**2) * 260.0, rel=1e-6)


def test_buckling_of_a_short_strut_by_the_rule_for_end_welds() -> None:
    """Sleeves at both ends: one stiffness all along, so Euler's load is pi^2 E I / l^2; Johnson's by 250 MPa; and
    omega = (185 / 1.25) / (250 / 1.10) over chi + (1 - chi) sin(pi x / l), x from the pin to the weld."""
    load = loaded(rod_ends=[EYE, EYE], length=400)
    euler = math.pi**2 * 70_000.0 * INERTIA / 400.0**2
    assert load.euler == pytest.approx(euler, rel=1e-3)
    squash = AREA * 250.0
    own = squash * (1.0 - squash / (4.0 * load.euler))
    chi = own / squash
    # The sleeve's radius 19.05 where the bore's edge (8.7 off its axis) meets it.
    x = math.sqrt(19.05**2 - 8.7**2)
    omega = (185.0 / 1.25) / (250.0 / 1.10) / (chi + (1.0 - chi) * math.sin(math.pi * x / 400.0))
    assert omega < 1.0
    buckles = next(margin for margin in load.margins if margin.rule == "buckling")
    assert buckles.bears == pytest.approx(own * omega, rel=1e-3)


def test_a_slender_strut_hardly_suffers_from_welds_at_its_ends() -> None:
    """Far from halved: at the ends there is no bending."""
    load = loaded(rod_ends=[EYE, EYE], length=1500)
    buckles = next(margin for margin in load.margins if margin.rule == "buckling")
    assert buckles.bears == pytest.approx(load.euler, rel=1e-6)


def test_softening_wider_than_the_tube_counts_in_full() -> None:
    """TIG softens 30 mm, more than the 20 mm of the tube."""
    keys = {"rod_ends": [EYE, EYE], "length": 1500, "section": "20 x 3"}
    thin = loaded({"consumables": {"process": "tig"}}, **keys)
    buckles = next(margin for margin in thin.margins if margin.rule == "buckling")
    assert buckles.bears == pytest.approx(thin.euler * 0.8 * (185.0 / 1.25) / (250.0 / 1.1), rel=1e-6)


def test_the_bungs_thread_is_cut_in_softened_metal() -> None:
    soft = margins(bung_material="6082-T6")["thread-strip"]
    assert "the nut's thread first at a yield of 125 MPa" in soft.basis.words()
    engaged = soft.basis.values[0].values[0]
    assert soft.bears == pytest.approx(nut_shear(parse_thread("M12")) * engaged * 125.0 / math.sqrt(3.0), rel=1e-9)


def test_an_offset_eye_is_held_against_the_soft_metal() -> None:
    eye = EYE | {"offset": 4}
    offset = margins(rod_ends=[eye, eye], length=200)["offset"]
    radius2 = INERTIA / AREA
    assert offset.bears == pytest.approx(185.0 * 0.88 * AREA / (1.0 + 4.0 * 12.7 / radius2), rel=1e-6)


@pytest.mark.parametrize(("share", "level"), [(0.99, "warn"), (1.01, "stop")])
def test_pulled_a_hundredth_under_and_over(share: float, level: str) -> None:
    bears = (AREA - 12.0) * 185.0 * 1.1 / 1.25
    assert found(load=f"{bears * share / 1000.0} kN")["tube-pull"].level == level


@pytest.mark.parametrize(("times", "speaks"), [(2.97, True), (3.03, False)])
def test_three_times_the_load_needs_no_word(times: float, speaks: bool) -> None:
    bears = (AREA - 12.0) * 185.0 * 1.1 / 1.25
    assert ("tube-pull" in found(load=f"{bears / times / 1000.0} kN")) is speaks


def test_an_alloy_without_values_says_so() -> None:
    own = {"material": [{"name": "7020", "like": "5052", "yield_strength": 280}]}
    assert any("no values are known of this alloy" in text for text in loaded(own, material="7020").unknown)
    assert not any("alloy" in text for text in loaded().unknown)


def test_what_the_job_says_of_its_own_metal_goes_first() -> None:
    own = {"material": [{"name": "tested", "like": "S355", "yield_strength": 300}]}
    assert margins(own, material="tested")["tube-pull"].bears == pytest.approx((AREA - 12.0) * 300.0, rel=1e-9)


@pytest.mark.parametrize(("name", "beside"), [("6061-T6", 115.0), ("6060-T66", 65.0)])
@pytest.mark.parametrize("section", ["20 x 3", "25.4 x 4", "38.1 x 6"])
def test_a_bung_of_known_alloy_has_a_strength_at_any_size(name: str, beside: float, section: str) -> None:
    """It is turned from bar, thicker than any wall of EN 1999-1-1; the same whether it is named or like the tube."""
    for keys in ({}, {"bung_material": name}):
        load = loaded(material=name, section=section, **keys)
        assert not any("strength" in text for text in load.unknown)
        basis = next(margin.basis.words() for margin in load.margins if margin.rule == "thread-strip")
        assert f"a yield of {beside:g} MPa, in a bung turned from bar" in basis


def test_a_tapped_tube_is_as_strong_as_the_tube() -> None:
    """A500 is tube and nothing else (ASTM A500), and so is the thread cut in it."""
    load = loaded(material="A500", bung="none", section="25.4 x 7.6")
    assert not any("strength" in text for text in load.unknown)


def test_a_bung_of_the_default_length_is_long_enough() -> None:
    """M10 in welded 6082-T6 wants 23.2 mm, more than twice the diameter, and the rod end has 24 to give."""
    ends = ["M10 right", "M10 left"]
    assert "link-engagement" not in found(rod_ends=ends, bung_material="6082-T6")
    short = found(rod_ends=ends, bung_material="6082-T6", bung_length=20)["link-engagement"].text
    assert "the bung's thread is too short, bung_length = 24 mm or more" in short


def test_where_the_rod_end_is_too_short_the_bung_is_not_blamed() -> None:
    text = found(rod_ends=["M10 right", "M10 left"], bung_material="6060-T66", material="6060-T66")[
        "link-engagement"
    ].text
    assert "the rod end's thread less the jam nut is too short" in text
    assert "a harder bung_material" in text
    assert "bung_length" not in text

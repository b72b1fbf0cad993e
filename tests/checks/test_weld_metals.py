"""Metals that are welded to one another, zinc in a weld, cold bends near it, and fillets too small: five that an old
hand sees at once and two that only look wrong, and each limit a hundredth to either side."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.rule import Finding, merged
from fabgen.checks.weld_metals import RULES, metals_apart, stainless_to_steel, weld_near_bend, zinc_in_weld
from fabgen.checks.welds import small_fillet, thick_branch
from fabgen.shop.materials import find
from fabgen.shop.welding import least_run, thickest_by_bend, tube_complies

MAIN = tube("T1", (-500, 0, 0), (500, 0, 0), section="60.3 x 3.2", material="S355")
TEE = tube("T2", (0, 0, 0), (0, 700, 0))
ALLOY = {"material": "6082-T6"}


def found(*tubes: dict[str, Any], rules: Any = RULES, **tables: Any) -> list[Finding]:
    return merged(findings(checked(definitions(tube=list(tubes), **tables)), rules))


def plate(mark: str = "P1", **keys: Any) -> dict[str, Any]:
    return {"mark": mark, "thickness": 5, "rectangle": [100, 60], **keys}


def link(**keys: Any) -> dict[str, Any]:
    return {"mark": "L1", "section": "25.4 x 4", "length": 400, "rod_ends": ["M12 right", "M12 left"], **keys}


# -- what cannot be welded --------------------------------------------------------------
def test_aluminium_tube_coped_to_steel() -> None:
    (stop,) = found(MAIN, TEE | ALLOY)
    assert (stop.level, stop.rule, stop.marks) == ("stop", "metals-apart", ("T2", "T1"))
    assert "T2 (6082-T6) on T1 (S355)" in stop.text


def test_aluminium_plate_on_steel_by_the_weld_table() -> None:
    (stop,) = found(MAIN, plate=[plate(material="5083")], weld=[{"parts": ["P1", "T1"], "throat": 3}])
    assert stop.rule == "metals-apart"


def test_aluminium_gusset_that_sits_on_steel() -> None:
    gusset = {"mark": "B1", "shape": "gusset", "thickness": 4, "legs": [80, 80], "sits": ["T1", "flat"]} | ALLOY
    assert [stop.rule for stop in found(MAIN, bracket=[gusset])] == ["metals-apart"]


def test_a_steel_bung_in_an_aluminium_link() -> None:
    (stop,) = found(link=[link(bung_material="S355", **ALLOY)])
    assert "L1 (6082-T6) with its bungs (S355)" in stop.text


def test_many_pairs_are_one_finding() -> None:
    braces = [tube(f"A{i}", (40 * i, 0, 0), (40 * i, 700, 0), section="20 x 2") | ALLOY for i in range(12)]
    (stop,) = found(MAIN, *braces)
    assert len(stop.marks) == 13
    assert stop.text.count(" on T1") == 4
    assert "and 8 more" in stop.text


def test_aluminium_bolted_to_steel_is_silent() -> None:
    bolt = {"thread": "M8", "through": ["P1", "T1"]}
    holed = plate(material="5083", holes=[{"at": [50, 30], "bolt": "M8"}])
    assert found(MAIN, plate=[holed], bolt=[bolt]) == []


def test_mild_on_chromium_molybdenum_and_316_on_304_are_silent() -> None:
    assert found(MAIN | {"material": "4130"}, TEE | {"material": "S235"}) == []
    assert found(MAIN | {"material": "304"}, TEE | {"material": "316L"}) == []


def test_stainless_on_mild_steel_names_the_filler() -> None:
    (note,) = found(MAIN, TEE | {"material": "304"})
    assert (note.level, note.rule) == ("note", "stainless-to-steel")
    assert "filler 309L" in note.text


# -- zinc ---------------------------------------------------------------------------------
def test_zinc_in_a_weld_once_for_all() -> None:
    covers = [
        {"mark": f"C{i}", "shape": "cap", "thickness": 1.5, "rectangle": [100, 80], "material": "DX51D"}
        for i in (1, 2, 3)
    ]
    (look,) = found(cover=covers)
    assert (look.level, look.rule, look.marks) == ("warn", "zinc-in-weld", ("C1", "C2", "C3"))


def test_zinc_on_stainless_cracks_it() -> None:
    own = [{"name": "galvanized tube", "like": "DX51D"}]
    (look,) = findings(
        checked(definitions(tube=[MAIN | {"material": "304"}, TEE | {"material": "galvanized tube"}], material=own)),
        [zinc_in_weld],
    )
    assert "cracks the stainless" in look.text


def test_zinc_coated_sheet_that_is_not_welded_is_silent() -> None:
    assert found(MAIN, plate=[plate(material="DX51D")]) == []


# -- cold bends ------------------------------------------------------------------------------
def rails(wall: float, corner: float, material: str = "S235JRH") -> list[Finding]:
    section = f"60 x 60 x {wall} r {corner}"
    main = tube("T1", (-500, 0, 0), (500, 0, 0), section=section, material=material)
    branch = tube("T2", (0, 0, 0), (0, 700, 0), section="33.7 x 2.6", material=material)
    return found(main, branch, rules=[weld_near_bend])


@pytest.mark.parametrize(
    ("wall", "corner", "level"),
    [(3.96, 7.92, None), (4.04, 8.08, "note"), (5.94, 11.88, "note"), (6.06, 12.12, "warn"), (4.0, 7.9, "warn")],
)
def test_rectangular_tube_by_the_rows_of_the_table(wall: float, corner: float, level: str | None) -> None:
    """At 1 t inside: 4 mm, of fully killed steel 6 mm; under 1 t none."""
    assert [each.level for each in rails(wall, corner)] == ([level] if level else [])


def test_table_4_2() -> None:
    """EN 1993-1-8:2005, table 4.2: r / t and greatest thickness, loads that come and go, and Al-killed steel."""
    rows = [(1.0, 4, 6), (1.5, 8, 10), (2.0, 10, 12), (3.0, 12, 24), (10.0, 16, float("inf"))]
    for ratio, usual, killed in rows:
        assert (thickest_by_bend(ratio * 5, 5, False), thickest_by_bend(ratio * 5, 5, True)) == (usual, killed)
        assert thickest_by_bend(ratio * 4.95, 5, False) < usual
    assert thickest_by_bend(0.99, 1.0, True) == 0.0
    assert thickest_by_bend(25.0, 1.0, False) == float("inf")


def test_killed_tube_up_to_12_5_and_round_tube_are_silent() -> None:
    assert rails(6, 12, "S355J2H") == []
    assert tube_complies(find("S355J2H"), 12.5)
    assert not tube_complies(find("S355J2H"), 12.6)
    assert not tube_complies(find("S355J0H"), 5.0)
    assert found(MAIN, TEE, rules=[weld_near_bend]) == []


def test_a_narrow_branch_in_the_middle_of_a_wide_face() -> None:
    """5 x 5 mm from the corner's arc: 100 / 2 - 10 - 25 = 15 mm off for a half width of 25."""
    main = tube("T1", (-500, 0, 0), (500, 0, 0), section="120 x 120 x 5", material="S235")
    assert found(main, tube("T2", (0, 0, 0), (0, 700, 0), section="48 x 3"), rules=[weld_near_bend]) == []
    # The corner's arc begins at 60 - 10 = 50 and 25 before it is 25: 24.75 and 25.25 from the axis.
    (near,) = found(main, tube("T2", (0, 0, 0), (0, 700, 0), section="50.5 x 3"), rules=[weld_near_bend])
    assert near.marks == ("T1",)
    assert found(main, tube("T2", (0, 0, 0), (0, 700, 0), section="49.5 x 3"), rules=[weld_near_bend]) == []


def bent(radius: float, thickness: float, **weld: Any) -> list[Finding]:
    angle = {"mark": "B1", "shape": "angle", "length": 100, "legs": [60, 60], "thickness": thickness, "radius": radius}
    given = {"parts": ["B1", "T1"], "throat": 3, **weld}
    return found(MAIN, bracket=[angle], weld=[given], rules=[weld_near_bend])


def test_a_limit_is_not_made_false_by_rounding() -> None:
    """8.9 in 6 mm is 1.48 t, which rounds to the 1.5 t = 9 mm of EN 1993-1-8, table 4.2."""
    (look,) = bent(8.9, 6, all_round=True)
    assert "bends of 8.9 mm inside radius in 6 mm sheet" in look.text
    assert "(under 9 mm of radius: up to 4 mm thick)" in look.text
    assert bent(9, 6, all_round=True) == []


def test_a_sharp_bend_under_a_weld_all_round() -> None:
    (look,) = bent(2, 3, all_round=True)
    assert (look.level, look.marks) == ("warn", ("B1",))
    assert "15 mm" in look.text
    (note,) = bent(2, 3)
    assert note.level == "note"
    assert bent(2.97, 3)
    assert bent(3.03, 3) == []
    assert bent(6, 6)[0].level == "note"


# -- fillets ------------------------------------------------------------------------------------
def fillet(thickness: float, **weld: Any) -> list[Finding]:
    parts = [plate("P1", thickness=thickness), plate("P2", thickness=10)]
    return found(plate=parts, weld=[{"parts": ["P1", "P2"], **weld}], rules=[small_fillet])


def test_throats_of_2_97_and_3_03() -> None:
    (look,) = fillet(5, throat=2.97)
    assert (look.level, look.rule, look.marks) == ("warn", "small-fillet", ("P1",))
    assert "2.97" not in look.text or "3 mm is the least" in look.text
    assert fillet(5, throat=3.03) == []
    assert fillet(5, leg=4.2)[0].rule == "small-fillet"
    assert fillet(5, leg=4.3) == []


def test_runs_of_29_7_and_30_3_or_six_throats() -> None:
    assert least_run(4.0) == 30.0
    assert least_run(6.0) == 36.0
    broken = {"runs": 3, "space": 40}
    assert "runs of 29.7 mm, under 30 mm" in fillet(5, throat=4, length=29.7, **broken)[0].text
    assert fillet(5, throat=4, length=30.3, **broken) == []
    assert fillet(9, throat=6, length=35.6, **broken)
    assert fillet(9, throat=6, length=36.4, **broken) == []


def test_thin_sheet_is_not_under_those_clauses() -> None:
    assert fillet(2, throat=1.4, runs=3, length=15, space=60) == []
    assert fillet(3.96, throat=2.7) == []
    assert fillet(4.04, throat=2.7)


# -- walls ----------------------------------------------------------------------------------------
@pytest.mark.parametrize(("wall", "speaks"), [(2.178, False), (2.222, True), (4.0, True), (1.5, False)])
def test_a_branch_thicker_than_its_main(wall: float, speaks: bool) -> None:
    """Up to a tenth more is what walls of 2 mm differ by themselves."""
    thin = tube("T1", (-500, 0, 0), (500, 0, 0), section="60.3 x 2")
    (*said,) = found(thin, tube("T2", (0, 0, 0), (0, 700, 0), section=f"42.4 x {wall}"), rules=[thick_branch])
    assert bool(said) is speaks


def test_solid_bar_on_tube_and_mitred_walls_are_silent() -> None:
    thin = tube("T1", (-500, 0, 0), (500, 0, 0), section="60.3 x 2")
    assert found(thin, tube("T2", (0, 0, 0), (0, 700, 0), section="12 solid"), rules=[thick_branch]) == []


def test_whose_word() -> None:
    assert "4.2" in weld_near_bend.source
    assert metals_apart.levels == ("stop",)
    assert "309L" not in stainless_to_steel.source


# -- sheet that is seated, with no word of a weld ---------------------------------------------
BOX = tube("T1", (0, 0, 0), (800, 0, 0), section="60 x 60 x 4", material="S355J2H")


def seated(mark: str = "P1", **keys: Any) -> dict[str, Any]:
    """A plate on the box's TOP."""
    return plate(mark, place={"at": [100, -20, 30], "along": [1, 0, 0], "up": [0, 0, 1]}, rectangle=[80, 40]) | keys


def clevis(**keys: Any) -> dict[str, Any]:
    return {"mark": "B1", "shape": "clevis", "thickness": 4, "radius": 2, "gap": 30, "length": 40, "height": 45,
            "bolt": "M12", "place": {"against": "T1", "near": [200, 0, 0], "side": "top"}} | keys  # fmt: skip


def test_zinc_on_sheet_seated_on_a_tube() -> None:
    """Known from contact alone: the plate is zinc coated, or what it stands on is."""
    assert found(BOX, plate=[seated(material="DX51D")], rules=[zinc_in_weld])[0].marks == ("P1",)
    (look,) = found(BOX | {"coating": "zinc before welding"}, plate=[seated()], rules=[zinc_in_weld])
    assert look.marks == ("T1",)


def test_zinc_cracks_stainless_sheet_seated_on_it() -> None:
    (look,) = found(BOX | {"coating": "zinc before welding"}, plate=[seated(material="304")], rules=[zinc_in_weld])
    assert "cracks the stainless" in look.text


def test_zinc_coated_sheet_with_holes_for_rivets_or_beside_the_tube_is_silent() -> None:
    holed = seated(material="DX51D", holes=[{"at": [40, 20], "diameter": 5}])
    beside = seated(material="DX51D", place={"at": [100, -20, 90], "along": [1, 0, 0], "up": [0, 0, 1]})
    assert found(BOX, plate=[holed], rules=[zinc_in_weld]) == []
    assert found(BOX, plate=[beside], rules=[zinc_in_weld]) == []


def test_folds_where_brackets_are_seated_once_a_kind() -> None:
    two = [clevis(), clevis(mark="B2", place={"against": "T1", "near": [400, 0, 0], "side": "top"})]
    (note,) = found(BOX, bracket=two, rules=[weld_near_bend])
    assert (note.level, note.marks) == ("note", ("B1", "B2"))
    assert "welds must keep 20 mm from them" in note.text


def test_a_fold_far_from_the_weld_or_wide_is_silent() -> None:
    assert found(BOX, bracket=[clevis(radius=4)], rules=[weld_near_bend]) == []  # 1 t in 4 mm
    angle = {"mark": "B1", "shape": "angle", "length": 50, "legs": [80, 60], "thickness": 3, "radius": 2}
    for z, speaks in ((0, True), (-55, False)):  # flat on the box's left: the fold lies on it, or 25 mm over it
        place = {"at": [300, 30, z], "along": [1, 0, 0], "up": [0, 1, 0]}
        said = found(BOX, bracket=[angle | {"place": place}], rules=[weld_near_bend])
        assert [each.marks for each in said] == ([("B1",)] if speaks else [])


def test_sheet_on_the_bend_of_a_tube() -> None:
    """Bent to its own diameter the outside is stretched by half, in no row of the table; to three times that by 17 %,
    as sheet of 2.5 t inside, good up to 10 mm."""
    for radius, speaks in ((48.3, True), (150.0, False)):
        bend = tube("T1", (0, 0, 0), (300, 0, 0), (300, 0, 400), bend_radius=radius)
        corner = 300 - radius * (1 - 0.5**0.5), radius * (1 - 0.5**0.5)
        out = (0.5**0.5, 0.0, -(0.5**0.5))
        at = [corner[0] + 24.15 * out[0], 0.0, corner[1] + 24.15 * out[2]]
        ear = plate(rectangle=[20, 20], place={"at": at, "of": [10, 10], "along": [0, 1, 0], "up": list(out)})
        said = found(bend, plate=[ear], rules=[weld_near_bend])
        assert [each.marks for each in said] == ([("T1",)] if speaks else [])
        assert all("P1 would be welded on its cold bend of 48.3 mm radius" in each.text for each in said)

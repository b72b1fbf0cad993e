"""Gas, electrodes and process by metal and thickness."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.rule import Finding
from fabgen.checks.weld_process import RULES
from fabgen.parts.build import all_pieces
from fabgen.plan.buying.consumables import estimates
from fabgen.shop.welding import gas


def frame(wall: float, material: str) -> list[dict[str, Any]]:
    main = tube("T1", (-500, 0, 0), (500, 0, 0), section="60 x 4", material=material)
    return [main, tube("T2", (0, 0, 0), (0, 700, 0), section=f"40 x {wall}", material=material)]


def found(process: str, wall: float = 3, material: str = "S235", **tables: Any) -> list[Finding]:
    job = definitions(tube=frame(wall, material), consumables={"process": process}, **tables)
    return findings(checked(job), RULES)


def test_stainless_takes_gas_of_two_per_cent_carbon_dioxide() -> None:
    """M12 of ISO 14175; the 18 % of mild steel burns the chromium and leaves carbon (from memory)."""
    job = definitions(tube=frame(3, "304"))
    (bought,) = (each for each in estimates(job, all_pieces(job)) if each.item == "shielding gas")
    assert bought.goods.words() == "argon with 2 % CO2"
    assert gas("mag", "steel") == "argon with 18 % CO2"
    assert (gas("mag", "aluminium"), gas("tig", "stainless"), gas("stick", "steel")) == ("argon", "argon", "")


def test_stick_on_aluminium_is_remarked_on_once() -> None:
    (note,) = found("stick", material="6082-T6")
    assert (note.level, note.rule, note.marks) == ("note", "weld-process", ("T1", "T2"))
    assert found("tig", material="6082-T6") == []
    assert found("mag", material="6082-T6") == []


@pytest.mark.parametrize(
    ("process", "material", "least"),
    [("stick", "S235", 2.0), ("mag", "S235", 0.8), ("mag", "304", 1.0), ("mag", "5754", 2.0), ("tig", "S235", 0.5)],
)
def test_a_hundredth_under_and_over_what_a_process_welds(process: str, material: str, least: float) -> None:
    (note,) = found(process, 0.99 * least, material)
    assert note.marks == ("T2",)
    assert "burns through" in note.text
    assert found(process, 1.01 * least, material) == []


def test_thin_sheet_that_is_not_welded_is_silent() -> None:
    assert found("stick", plate=[{"mark": "P1", "thickness": 1, "rectangle": [60, 60]}]) == []


def test_the_weld_table_s_process_on_aluminium() -> None:
    plates = [{"mark": m, "thickness": 5, "rectangle": [60, 60], "material": "5083"} for m in ("P1", "P2")]

    def said(process: str) -> list[str]:
        weld = {"parts": ["P1", "P2"], "throat": 3, "process": process}
        return [each.text for each in findings(checked(definitions(plate=plates, weld=[weld])), RULES)]

    assert "its active gas: 131 (MIG) or 141 (TIG)" in said("135")[0]
    assert "leaves slag" in said("111")[0]
    assert said("131") == said("141") == said("") == []

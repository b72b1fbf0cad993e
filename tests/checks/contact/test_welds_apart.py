"""weld-to-nothing, and metals of sheet that is welded where it is seated: what an old hand sees, what looks wrong only,
the limit from both sides."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.contact.welds_apart import weld_to_nothing
from fabgen.checks.weld_metals import metals_apart

RAIL = tube("T1", (0, 0, 0), (500, 0, 0), section="40 x 40 x 3")
FAR = tube("T2", (0, 300, 0), (500, 300, 0), section="40 x 40 x 3")
POST = tube("T3", (300, 0, 0), (300, 0, 200), section="30 x 30 x 3")


def plate(z: float = 20.0, **keys: Any) -> dict[str, Any]:
    """30 x 30 on top of the rail at z."""
    return {"mark": "P1", "thickness": 4, "rectangle": [30, 30], "place": {"at": [100, -15, z]}} | keys


def said(rule: Any, **tables: Any) -> list[str]:
    return [each.text for each in findings(checked(definitions(**tables), planned=True), (rule,))]


def weld(*parts: str, **keys: Any) -> dict[str, Any]:
    return {"parts": list(parts), **({} if "type" in keys else {"throat": 3}), **keys}


@pytest.mark.parametrize("parts", [("P1", "T2"), ("P1", "T1", "T2")], ids=["far off", "one of three is away"])
def test_a_weld_to_what_is_away(parts: tuple[str, ...]) -> None:
    (told,) = said(weld_to_nothing, tube=[RAIL, FAR], plate=[plate()], weld=[weld(*parts)])
    assert "P1 to T2, 265.1 mm apart; a weld bridges 1 mm" in told


BUTT = {"type": "square"}


@pytest.mark.parametrize(
    ("gap", "kind", "speaks"), [(0.99, {}, False), (1.01, {}, True), (3.99, BUTT, False), (4.01, BUTT, True)]
)
def test_the_gaps_from_both_sides(gap: float, kind: dict[str, Any], speaks: bool) -> None:
    tables = {"tube": [RAIL], "plate": [plate(20.0 + gap)], "weld": [weld("P1", "T1", **kind)]}
    assert bool(said(weld_to_nothing, **tables)) == speaks


def test_several_are_one_finding() -> None:
    two = [weld("P1", "T2"), weld("T3", "T2")]
    (told,) = said(weld_to_nothing, tube=[RAIL, FAR, POST], plate=[plate()], weld=two)
    assert told.count(" apart") == 2


def test_one_of_several_places_touches_each_and_what_has_no_place_is_silent() -> None:
    both = [{"at": [100, -15, 20]}, {"at": [100, 285, 20]}]
    twice = plate(quantity=2, place=both)
    assert said(weld_to_nothing, tube=[RAIL, FAR], plate=[twice], weld=[weld("P1", "T1", "T2")]) == []
    loose = {key: value for key, value in plate().items() if key != "place"}
    assert said(weld_to_nothing, tube=[RAIL], plate=[loose], weld=[weld("P1", "T1")]) == []
    assert said(weld_to_nothing, tube=[RAIL, POST], weld=[weld("T3", "T1")]) == []


# -- metals ----------------------------------------------------------------------
PAD = {"material": "5754", "place": {"against": "T1", "at": 100, "side": "top"}}
CLEVIS = {"mark": "B1", "shape": "clevis", "thickness": 4, "gap": 22, "length": 30, "height": 45, "bolt": "M12"}
HOLES = [{"at": [8, 15], "diameter": 5}, {"at": [22, 15], "diameter": 5}]


def test_aluminium_placed_on_a_steel_tube_is_told_once() -> None:
    (told,) = said(metals_apart, tube=[RAIL], plate=[plate() | PAD], weld=[weld("P1", "T1")], bracket=[CLEVIS | PAD])
    assert told.count("P1 (5754) on T1 (S235)") == told.count("B1 (5754) on T1 (S235)") == 1


@pytest.mark.parametrize("tables", [
    {"plate": [plate(holes=HOLES) | PAD]},
    {"plate": [plate(23.0, material="5754")]},
], ids=["riveted", "in the air"])  # fmt: skip
def test_aluminium_that_is_not_welded_is_silent(tables: dict[str, Any]) -> None:
    assert said(metals_apart, tube=[RAIL], **tables) == []

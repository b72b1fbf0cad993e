"""Bolts that the holes of what they go through give a place: their shanks, heads and nuts in what is near."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.contact.into_one_another import into_one_another
from fabgen.contact.contacts import Contacts

RAIL = tube("T1", (0, 0, 0), (800, 0, 0), section="60 x 40 x 3", turn=90)
"""60 wide, 40 high: its top at 20."""
HOLE = {"at": 300, "from": "start", "side": "top", "bolt": "M10", "both_walls": True}


def plate(mark: str, x: float, y: float, z: float, *holes: list[float], **keys: Any) -> dict[str, Any]:
    """On z, its lower left corner at a point."""
    drilled = [{"at": list(at), "bolt": "M10"} for at in holes]
    given = {"mark": mark, "thickness": 6, "rectangle": [100, 60], "place": {"at": [x, y, z]}, "holes": drilled}
    return given | keys


def bolt(*through: str | float, **keys: Any) -> dict[str, Any]:
    return {"thread": "M10", "through": list(through)} | keys


def said(**tables: Any) -> list[str]:
    found = findings(checked(definitions(**tables), planned=True), (into_one_another,))
    return [finding.text for finding in found]


CLEVIS = {"mark": "B1", "shape": "clevis", "thickness": 4, "gap": 20, "length": 60, "height": 40, "bolt": "M12"}
ON_PIN = {"at": [0, 0, 40], "of": [30, 14], "along": [0, -1, 0], "up": [0, 0, -1]}
LINK = {"mark": "L1", "section": "25.4 x 4", "between": [[0, 0, 0], [0, 0, -400]],
        "rod_ends": ["M12 right", "M12 left"]}  # fmt: skip
FAULTS: dict[str, tuple[dict[str, Any], str]] = {
    "through a tube's walls without holes": (
        {"tube": [RAIL], "plate": [plate("P1", 250, -30, 20, [50, 30])], "bolt": [bolt("P1", 40)]},
        "bolt 1 lies in T1, ",
    ),
    "through a round tube without a hole": (
        {"tube": [tube("T1", (0, 0, 0), (800, 0, 0))], "plate": [plate("P1", 250, -30, 24.15, [50, 30])],
         "bolt": [bolt("P1", "T1")]},
        "bolt 1 lies in T1, ",
    ),
    "its head in a flange beside it": (
        {"plate": [plate("P1", 0, 0, 0, [50, 30]), plate("P2", 0, 0, 6, [50, 30]),
                   plate("P3", 56, 0, 12, place={"at": [56, 0, 12], "along": [0, 1, 0], "up": [1, 0, 0]})],
         "bolt": [bolt("P2", "P1")]},
        "bolt 1 lies in P3, ",
    ),
    "its nut in a plate below": (
        {"plate": [plate("P1", 0, 0, 0, [50, 30]), plate("P2", 0, 0, 6, [50, 30]), plate("P3", 0, 0, -10)],
         "bolt": [bolt("P2", "P1")]},
        "bolt 1 lies in P3, ",
    ),
    "across a rod": (
        {"plate": [plate("P1", -50, -30, -6, [50, 30]), plate("P2", -50, -30, 60, [50, 30])],
         "link": [LINK | {"between": [[-250, 0, 30], [250, 0, 30]]}],
         "bolt": [bolt("P2", "P1")]},
        "bolt 1 lies in L1, ",
    ),
    "two that cross": (
        {"tube": [tube("T1", (0, 0, 0), (800, 0, 0), section="60 x 60 x 3", holes=[
            HOLE, HOLE | {"side": "left"}])],
         "plate": [plate("P1", 250, -30, 30, [50, 30]),
                   plate("P2", 250, 30, -30, [50, 30],
                         place={"at": [250, 36, -30], "along": [1, 0, 0], "up": [0, -1, 0]})],
         "bolt": [bolt("P1", 60), bolt("P2", 60)]},
        "two bolts cannot cross",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_it_speaks(name: str) -> None:
    tables, words = FAULTS[name]
    (told,) = said(**tables)
    assert words in told


LOOKS_WRONG: dict[str, dict[str, Any]] = {
    "through a plate and both walls of a tube": {
        "tube": [RAIL | {"holes": [HOLE]}],
        "plate": [plate("P1", 250, -30, 20, [50, 30])],
        "bolt": [bolt("P1", 40)],
    },
    "a rod end on its bolt in a clevis": {
        "bracket": [CLEVIS | {"place": ON_PIN}],
        "link": [LINK],
        "bolt": [{"thread": "M12", "through": ["B1", "L1", "B1"]}],
    },
    "four through two plates": {
        "plate": [plate(mark, 0, 0, z, *([x, y] for x in (15, 85) for y in (15, 45)))
                  for mark, z in (("P1", 0), ("P2", 6))],
        "bolt": [bolt("P1", "P2", quantity=4)],
    },
}  # fmt: skip


@pytest.mark.parametrize("name", LOOKS_WRONG)
def test_it_is_silent(name: str) -> None:
    assert said(**LOOKS_WRONG[name]) == []


def placed(**tables: Any) -> list[str]:
    of = checked(definitions(**tables), planned=True)
    contacts = Contacts(of.job, of.pieces, of.plan.bolts)
    return [f"{solid.mark} {solid.number}" for solid in contacts.solids if solid.part is None]


def test_as_many_bolts_stand_as_there_are() -> None:
    assert placed(**LOOKS_WRONG["four through two plates"]) == [f"bolt 1 {i}" for i in range(4)]


def test_where_holes_leave_it_open_no_bolt_is_placed() -> None:
    tables = LOOKS_WRONG["four through two plates"]
    assert placed(**tables | {"bolt": [bolt("P1", "P2", quantity=3)]}) == []


def test_its_head_is_on_what_is_named_first() -> None:
    for through, head in ((["P1", "P2"], -1.0), (["P2", "P1"], 1.0)):
        tables = LOOKS_WRONG["four through two plates"] | {"bolt": [bolt(*through, quantity=4)]}
        of = checked(definitions(**tables), planned=True)
        first = next(s for s in Contacts(of.job, of.pieces, of.plan.bolts).solids if s.part is None)
        shaft, heads = first.shape.shells[0].bounds, first.shape.shells[1].bounds
        assert (sum(heads)[2] - sum(shaft)[2]) * head > 0.0

"""Bolts that the holes of what they go through give a place: their shanks in the metal of others."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.contact.into_one_another import into_one_another

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
    "through a plate between that has no hole": (
        {"plate": [plate("P1", 0, 0, 0, [50, 30]), plate("P2", 0, 0, 6), plate("P3", 0, 0, 12, [50, 30])],
         "bolt": [bolt("P3", 6, "P1")]},
        "bolt 1 runs right through P2 over 6 mm, ",
    ),
    "through a tube between its plates": (
        {"tube": [RAIL], "plate": [plate("P1", 250, -30, 20, [50, 30]), plate("P2", 250, -30, -26, [50, 30])],
         "bolt": [bolt("P1", 40, "P2")]},
        "bolt 1 runs right through T1 over 40 mm, 300 mm from T1's start",
    ),
    "through a flange beside its hole": (
        {"plate": [plate("P1", 0, 0, 0, [50, 30]), plate("P2", 0, 0, 30, [50, 30]),
                   plate("P3", 48, 0, 8, place={"at": [48, 0, 8], "along": [0, 1, 0], "up": [1, 0, 0]},
                         rectangle=[60, 20])],
         "bolt": [bolt("P2", 24, "P1")]},
        "bolt 1 lies in P3, ",
    ),
    "across a rod": (
        {"plate": [plate("P1", -50, -30, -6, [50, 30]), plate("P2", -50, -30, 60, [50, 30])],
         "link": [LINK | {"between": [[-250, 0, 30], [250, 0, 30]]}],
         "bolt": [bolt("P2", 60, "P1")]},
        "bolt 1 runs right through L1 over 25.4 mm",
    ),
    "two that cross": (
        {"tube": [tube("T1", (0, 0, 0), (800, 0, 0), section="60.3 x 3.2", holes=[
            HOLE, HOLE | {"side": "left"}])],
         "plate": [plate("P1", 250, -30, 30.15, [50, 30]),
                   plate("P2", 250, 30, -30, [50, 30],
                         place={"at": [250, 30.15, 30], "along": [1, 0, 0], "up": [0, 1, 0]})],
         "bolt": [bolt("P1", "T1"), bolt("P2", "T1")]},
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

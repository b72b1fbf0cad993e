"""sheet-past-end: feet past a tube's end, and what stands past an end on purpose."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.contact.feet_past_ends import sheet_past_end
from fabgen.wording.levels import Level

RAIL = tube("T1", (0, 0, 0), (300, 0, 0), section="40 x 40 x 3")
ROUND = tube("T1", (0, 0, 0), (300, 0, 0))
POST = tube("T2", (280, 0, 0), (280, 0, 200), section="40 x 40 x 3")
BENT = tube("T1", (0, 0, 0), (300, 0, 0), (300, 300, 0), section="40 x 2", bend_radius=100)
TURNED = BENT | {"route": BENT["route"][::-1]}
ANGLE = {"mark": "T1", "section": "angle 40 x 40 x 4", "route": [[0, 0, 0], [300, 0, 0]], "legs": ["bottom", "left"]}


def lug(at: float, **keys: Any) -> dict[str, Any]:
    """A lug 60 mm long whose foot's middle stands so far from T1's start."""
    place = {"against": "T1", "at": at, "side": "top", "stands_on": "bottom"} | keys.pop("place", {})
    return {"mark": "P1", "thickness": 5, "rectangle": [60, 40], "place": place} | keys


GUSSET = {"mark": "B1", "shape": "gusset", "thickness": 4, "legs": [70, 70], "sits": ["T1", "T2"]}


def gusset(turn: int) -> dict[str, Any]:
    return GUSSET | {"place": {"against": "T1", "near": [280, 0, 0], "side": "top", "stands_on": "foot", "turn": turn}}


def said(**tables: Any) -> list[tuple[Level, str]]:
    job = checked(definitions(**tables), planned=True)
    return [(each.level, each.text) for each in findings(job, (sheet_past_end,))]


@pytest.mark.parametrize(("tables", "level", "words"), [
    ({"tube": [RAIL, POST], "bracket": [gusset(0)]}, Level.STOP, "B1 past T1's finish by 70 mm of its 70 mm"),
    ({"tube": [RAIL], "plate": [lug(300)]}, Level.WARN, "P1 past T1's finish by 30 mm of its 60 mm"),
    ({"tube": [RAIL], "plate": [lug(5)]}, Level.WARN, "P1 past T1's start by 25 mm of its 60 mm"),
    ({"tube": [ROUND], "plate": [lug(300)]}, Level.WARN, "P1 past T1's finish by 30 mm of its 60 mm"),
    ({"tube": [BENT], "plate": [lug(2)]}, Level.WARN, "P1 past T1's start by 28 mm of its 60 mm"),
    ({"tube": [TURNED], "plate": [lug(2, place={"from": "finish"})]}, Level.WARN,
     "P1 past T1's finish by 28 mm of its 60 mm"),
    ({"profile": [ANGLE], "plate": [lug(300)]}, Level.WARN, "P1 past T1's finish by 30 mm of its 60 mm"),
], ids=["gusset wrong way round", "half past", "at the start", "on a round", "bent, at its start",
        "bent, at its finish", "on a profile"])  # fmt: skip
def test_a_foot_past_the_end(tables: dict[str, Any], level: Level, words: str) -> None:
    ((told, text),) = said(**tables)
    assert told == level
    assert words in text


@pytest.mark.parametrize("tables", [
    {"tube": [RAIL, POST], "bracket": [gusset(180)]},
    {"tube": [RAIL], "plate": [lug(285)]},
    {"tube": [RAIL], "plate": [lug(315, place={"turn": 90, "at": 299})]},
    {"tube": [RAIL, tube("T2", (320, -200, 0), (320, 200, 0), section="40 x 40 x 3")], "plate": [lug(300)]},
    {"tube": [RAIL], "plate": [{"mark": "P2", "thickness": 10, "rectangle": [40, 40],
     "place": {"at": [300, 0, 0], "of": [20, 20], "along": "right", "up": "front"}}, lug(297, rectangle=[20, 40])]},
    {"tube": [BENT], "plate": [lug(30)]},
    {"tube": [BENT], "plate": [lug(185)]},
    {"tube": [RAIL], "bracket": [{"mark": "B1", "shape": "clevis", "thickness": 4, "gap": 22, "length": 30,
     "height": 45, "bolt": "M12", "place": {"against": "T1", "at": 295, "side": "top"}}]},
], ids=["gusset right way round", "a quarter past", "across, at the end", "rests on what the tube ends on",
        "over an end plate", "bent, on it", "bent, beside the bend", "base of a clevis"])  # fmt: skip
def test_what_only_looks_wrong(tables: dict[str, Any]) -> None:
    assert said(**tables) == []

"""gusset-short: gussets that miss one of their members by a few millimetres, and what stands beside one on purpose."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.contact.short_gussets import gusset_short

RAIL = tube("S", (0, 0, 0), (500, 0, 0), section="40 x 40 x 3")
THIN = tube("P", (300, 0, 0), (300, 0, 200), section="30 x 30 x 3")
ROUND = tube("P", (300, 0, 0), (300, 0, 200), section="30 x 2")


def gusset(*sits: str, near: float = 300, **keys: Any) -> dict[str, Any]:
    """A gusset on top of the rail, with its other leg made for what stands at `near`."""
    place = {"against": "S", "near": [near, 0, 0], "side": "top", "stands_on": "foot", "turn": 180}
    return {"mark": "G", "shape": "gusset", "thickness": 4, "legs": [70, 70], "sits": list(sits), "place": place} | keys


def fin(at: float, corners: list[list[int]]) -> dict[str, Any]:
    """A plate on edge on top of the rail, its foot's middle so far from the start."""
    place = {"against": "S", "at": at, "side": "top", "stands_on": "bottom"}
    return {"mark": "G", "thickness": 4, "corners": corners, "place": place}


ON_POST = {"against": "P", "at": 35, "side": "back", "stands_on": "bottom", "turn": 180}
TRIANGLE = [[0, 0], [60, 0], [60, 60]]
SQUARE = [[0, 0], [60, 0], [60, 60], [0, 60]]


def said(**tables: Any) -> list[str]:
    return [each.text for each in findings(checked(definitions(**tables), planned=True), (gusset_short,))]


@pytest.mark.parametrize(("tables", "words"), [
    ({"tube": [RAIL, THIN], "bracket": [gusset("S", "40 x 40 x 3")]}, "G 5 mm from P"),
    ({"tube": [RAIL, ROUND], "bracket": [gusset("S", "40 x 2")]}, "G 5 mm from P"),
    ({"tube": [RAIL, THIN], "bracket": [gusset("S", "P", near=288)]}, "G 12 mm from P"),
    ({"tube": [RAIL, THIN], "plate": [fin(300 - 15 - 3 - 30, TRIANGLE)]}, "G 3 mm from P, 60 mm of edge"),
    ({"tube": [RAIL, THIN], "plate": [fin(35, TRIANGLE) | {"place": ON_POST}]}, "G 5 mm from S, 60 mm of edge"),
], ids=["cut for a wider post", "for a wider round", "moved along", "plate of three corners", "rail"])  # fmt: skip
def test_a_leg_that_misses_its_member(tables: dict[str, Any], words: str) -> None:
    (told,) = said(**tables)
    assert words in told
    assert "a weld bridges 1 mm" in told


@pytest.mark.parametrize("tables", [
    {"tube": [RAIL, THIN], "bracket": [gusset("S", "P")]},
    {"tube": [RAIL, THIN], "bracket": [gusset("S", "P", near=280)]},
    {"tube": [RAIL, THIN], "plate": [fin(300 - 15 - 5 - 30, SQUARE)]},
    {"tube": [RAIL, tube("P", (300, 0, 50), (300, 0, 200), section="30 x 30 x 3")],
     "plate": [fin(300 - 15 - 5 - 30, TRIANGLE)]},
    {"tube": [RAIL, tube("P", (300, 0, 0), (320, 0, 200), section="30 x 30 x 3")],
     "plate": [fin(300 - 15 - 5 - 30, TRIANGLE)]},
    {"tube": [RAIL, THIN], "bracket": [gusset("S", "40 x 40 x 3")],
     "plate": [{"mark": "PAD", "thickness": 5, "rectangle": [40, 80],
                "place": {"at": [280, 0, 65], "of": [20, 40], "along": "right", "up": "front"}}]},
], ids=["right", "far off", "an ear beside the post", "beside what does not meet the rail", "passing at an angle",
        "on a pad on the post"])  # fmt: skip
def test_what_only_looks_wrong(tables: dict[str, Any]) -> None:
    assert said(**tables) == []


def test_the_gap_from_both_sides() -> None:
    for away, speaks in ((0.99, False), (1.01, True), (14.9, True), (15.1, False)):
        assert bool(said(tube=[RAIL, THIN], plate=[fin(300 - 15 - away - 30, TRIANGLE)])) == speaks

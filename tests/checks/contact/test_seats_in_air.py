"""seat-in-air: gussets of which one leg hangs in the air, and what only looks so."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.contact.seats_in_air import seat_in_air

RAIL = tube("S", (0, 0, 0), (900, 0, 0), section="40 x 40 x 3")
POST = tube("P", (600, 0, 0), (600, 0, 300), section="40 x 40 x 3")
FAR_POST = tube("P", (860, 0, 0), (860, 0, 300), section="40 x 40 x 3")


def gusset(near: float, *sits: str, **keys: Any) -> dict[str, Any]:
    """A gusset on top of the rail, its other leg at the post at `near`."""
    place = {"against": "S", "near": [near, 0, 0], "side": "top", "stands_on": "foot", "turn": 180}
    return {"mark": "G", "shape": "gusset", "thickness": 4, "legs": [70, 70], "sits": list(sits), "place": place} | keys


def said(**tables: Any) -> list[str]:
    return [each.text for each in findings(checked(definitions(**tables), planned=True), (seat_in_air,))]


TWO = [{"against": "S", "near": [x, 0, 0], "side": "top", "stands_on": "foot", "turn": 180} for x in (600, 300)]
PAD = {"mark": "PAD", "thickness": 5, "rectangle": [40, 40], "place": {"against": "S", "at": 200, "side": "top"}}
BRACE = tube("P", (600, 0, 0), (600, 240, 0), section="40 x 40 x 3")


@pytest.mark.parametrize(("tables", "words"), [
    ({"tube": [RAIL, FAR_POST], "bracket": [gusset(600, "S", "P")]}, "G 260 mm from P"),
    ({"tube": [RAIL, POST], "bracket": [gusset(300, "S", "P")]}, "G 300 mm from P"),
    ({"tube": [RAIL, POST], "bracket": [gusset(600, "S", "P", quantity=2, place=TWO)]}, "G 300 mm from P"),
    ({"tube": [RAIL, FAR_POST], "plate": [PAD], "bracket": [gusset(600, "S", "P")]}, "G 260 mm from P"),
    ({"tube": [RAIL, BRACE], "bracket": [gusset(700, "S", "P")]}, "from P"),
], ids=["post moved", "gusset moved", "one of two", "beside a pad", "post laid down"])  # fmt: skip
def test_a_leg_in_the_air(tables: dict[str, Any], words: str) -> None:
    (told,) = said(**tables)
    assert words in told


OTHER = tube("Q", (300, 0, 0), (300, 0, 300), section="40 x 40 x 3")


@pytest.mark.parametrize("tables", [
    {"tube": [RAIL, POST], "bracket": [gusset(600, "S", "P")]},
    {"tube": [RAIL, POST, OTHER], "bracket": [gusset(600, "S", "P", quantity=2, place=TWO)]},
    {"tube": [RAIL, POST], "bracket": [gusset(300, "S", "40 x 40 x 3")]},
    {"tube": [RAIL, POST], "bracket": [gusset(590, "S", "P")]},
], ids=["right", "another post alike", "named by its section", "short, which is told apart"])  # fmt: skip
def test_what_only_looks_wrong(tables: dict[str, Any]) -> None:
    assert said(**tables) == []

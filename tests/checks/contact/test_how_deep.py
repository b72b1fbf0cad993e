"""How deep parts lie in one another: along the one that enters, in the hollow of a tube as in its metal."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, read, tube

from fabgen.checks.contact.into_one_another import into_one_another

BOX = tube("S1", (0, 0, 0), (600, 0, 0), section="40 x 40 x 3")
"""Its skin at 20 from its axis, its bore at 17."""


def rod(*ends: list[float]) -> dict[str, Any]:
    return {"link": [{"mark": "L1", "section": "25 x 4", "between": list(ends), "rod_ends": ["M12 right", "M12 left"]}]}


def plate(size: list[float], at: list[float], up: list[float], along: list[float], **keys: Any) -> dict[str, Any]:
    given = {"mark": "P1", "thickness": 3, "rectangle": size, "place": {"at": at, "up": up, "along": along}}
    return {"plate": [given | keys]}


def clevis(y: float) -> dict[str, Any]:
    place = {"at": [300, y, 0], "along": [1, 0, 0], "up": [0, 1, 0], "of": [20, 15], "face": "base"}
    given = {"mark": "B1", "shape": "clevis", "thickness": 4, "gap": 26, "length": 40, "height": 45, "bolt": "M12"}
    return {"bracket": [given | {"place": place}]}


CASES: dict[str, tuple[dict[str, Any], str]] = {
    # At once seen: gone through, gone in, sunk
    "a rod right through": (rod([300, -200, 0], [300, 200, 0]), "L1 runs right through S1 over 40 mm, 300 mm from"),
    "a rod right through beside the middle": (rod([300, -200, 6], [300, 200, 6]), "L1 runs right through S1 over 40"),
    "a rod's end within": (rod([300, 5, 0], [300, 300, 0]), "L1 reaches "),
    "a bracket within": (clevis(10), "B1 reaches 10 mm into the hollow of S1, 300 mm from"),
    "a plate whose edge goes in": (plate([60, 30], [270, 8, -1.5], [0, 0, 1], [1, 0, 0]),
                                   "P1 reaches 12 mm into the hollow of S1"),
    "a plate through both sides": (plate([60, 80], [270, -40, -1.5], [0, 0, 1], [1, 0, 0]),
                                   "P1 runs right through S1, "),
    "a plate inside, its edges in the walls": (plate([60, 36], [270, -18, -1.5], [0, 0, 1], [1, 0, 0]),
                                               "P1 lies wholly inside S1, 300 mm from"),
    # Looks like it, and is a graze of the skin
    "a plate sunk into the skin": (plate([60, 80], [270, -40, 18], [0, 0, 1], [1, 0, 0]), "S1 lies in P1, 2 mm deep"),
    "a rod that grazes the skin": (rod([300, -200, 30.5], [300, 200, 30.5]), "L1 lies in S1, 2 mm deep"),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_what_is_said(name: str) -> None:
    tables, words = CASES[name]
    (told,) = findings(checked(definitions(tube=[BOX], **tables)), (into_one_another,))
    assert told.text.startswith(words)


@pytest.mark.parametrize(("deep", "how"), [(3.46, "S1 lies in P1, 3.5 mm deep"), (3.54, "P1 reaches 3.5 mm into")])
def test_the_wall_and_half_a_millimetre_from_both_sides(deep: float, how: str) -> None:
    tables = plate([60, 30], [270, 20.0 - deep, -1.5], [0, 0, 1], [1, 0, 0])
    (told,) = findings(checked(definitions(tube=[BOX], **tables)), (into_one_another,))
    assert told.text.startswith(how)


@pytest.mark.parametrize(
    ("ends", "how"),
    [
        (([300, -200, 0], [300, 200, 0]), "L1 runs right through S1, at 300, "),
        (([300, -2, 0], [300, 200, 0]), "L1 lies in S1, "),
    ],
)
def test_a_bent_tube_holds_what_lies_in_its_bore(ends: tuple[list[float], list[float]], how: str) -> None:
    """Its bore is not filled, so that an end of the rod there is a piece of its own that has not come out."""
    bent = BOX | {"route": [[0, 0, 0], [600, 0, 0], [600, 0, 400]], "bend_radius": 100, "section": "42.4 x 2.6"}
    (told,) = findings(checked(definitions(tube=[bent], **rod(*ends))), (into_one_another,))
    assert told.text.startswith(how)


def test_what_to_do_with_a_sheet_in_the_hollow() -> None:
    (told,) = findings(checked(definitions(tube=[BOX], **clevis(10))), (into_one_another,))
    assert told.text.endswith(
        ": move the sheet out to the tube's skin (`against` in its `place`), make it smaller, or cut it out there"
    )


def test_in_inches() -> None:
    text = """[job]
title = "t"
number = "1"
units = "in"
[[tube]]
mark = "S1"
section = "2 x 2 x 0.12"
route = [[0, 0, 0], [24, 0, 0]]
[[plate]]
mark = "P1"
thickness = 0.125
rectangle = [3, 2]
place = { at = [10, 0.5, 0], up = [0, 0, 1], along = [1, 0, 0] }
"""
    (found,) = findings(checked(read(text)), (into_one_another,))
    assert found.said.words("in").startswith('P1 reaches 1/2" [12.7 mm] into the hollow of S1, ')

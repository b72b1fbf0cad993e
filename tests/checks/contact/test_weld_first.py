"""weld-first: joints of tubes that other parts keep a torch off, the order that makes them possible, and what only
looks so."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.contact.torch_access import weld_first

Tables = dict[str, Any]
MAIN = tube("T1", (0, 0, 0), (800, 0, 0), section="60.3 x 3.2")
POST = tube("T2", (400, 0, 0), (400, 0, 300), section="48.3 x 3.2")
"""Its skin from x = 375.85 to 424.15, its foot on the main's top at 30."""


def wall(mark: str, x: float, low: float = 31.0, **keys: Any) -> Tables:
    """A plate of 6 mm, 120 wide and 120 high, that stands across the main, its faces at x and x + 6."""
    place = {"at": [x, -60, low], "along": [0, 1, 0], "up": [1, 0, 0]}
    return {"mark": mark, "thickness": 6, "rectangle": [120, 120], "place": place} | keys


def said(tables: Tables) -> list[str]:
    return [f"{each.level}: {each.text}" for each in findings(checked(definitions(**tables)), (weld_first,))]


FAULTS: dict[str, tuple[Tables, str]] = {
    "a plate 8 mm beside a coped post": (
        {"tube": [MAIN, POST], "plate": [wall("P1", 432)]},
        "note: weld first T2 start to T1 before P1 (8 mm of room left",
    ),
    "a plate on either side": (
        {"tube": [MAIN, POST], "plate": [wall("P1", 432), wall("P2", 362)]},
        "note: weld first T2 start to T1 before P2 and P1 (8 mm of room left",
    ),
    "a bracket over the weld": (
        {"tube": [MAIN, POST],
         "bracket": [{"mark": "B1", "shape": "angle", "thickness": 4, "legs": [60, 60], "length": 100,
                      "place": {"at": [426, -50, 32], "along": [0, 1, 0], "up": [0, 0, 1]}}]},
        "note: weld first T2 start to T1 before B1",
    ),
    "a tube that is not joined to either": (
        {"tube": [MAIN, POST, tube("T3", (450, -300, 62), (450, 300, 62), section="40 x 40 x 3")]},
        "note: weld first T2 start to T1 before T3",
    ),
    "a plate that is there already": (
        {"tube": [MAIN, POST], "plate": [wall("P1", 432, state="there already")]},
        "warn: P1, there already, keeps a torch off T2 start to T1 (8 mm of room left",
    ),
    "an angle along the foot": (
        {"tube": [MAIN, POST],
         "profile": [{"mark": "A1", "section": "angle 40 x 40 x 4", "legs": ["top", "back"],
                      "route": [[430, -150, 33], [430, 150, 33]]}]},
        "note: weld first T2 start to T1 before A1",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_what_keeps_a_torch_off(name: str) -> None:
    tables, words = FAULTS[name]
    (text,) = said(tables)
    assert text.startswith(words), text
    assert "not reached" in text


SILENT: dict[str, Tables] = {
    "alone": {"tube": [MAIN, POST]},
    "a plate 24 mm beside it": {"tube": [MAIN, POST], "plate": [wall("P1", 449)]},
    "a gusset in the corner": {
        "tube": [MAIN, POST],
        "plate": [wall("P1", 0, rectangle=[60, 60], place={"at": [424, -3, 30], "along": [1, 0, 0], "up": [0, -1, 0]})],
    },
    "a plate high over the joint": {"tube": [MAIN, POST], "plate": [wall("P1", 432, low=150.0)]},
    "a brace that is welded to both": {
        "tube": [MAIN, POST, tube("T3", (560, 0, 0), (400, 0, 160), section="33.7 x 2.6")],
    },
}  # fmt: skip


@pytest.mark.parametrize("name", SILENT)
def test_what_only_looks_so(name: str) -> None:
    assert said(SILENT[name]) == []


@pytest.mark.slow
@pytest.mark.parametrize(("gap", "speaks"), [(19.0, True), (21.0, False)])
def test_twenty_millimetres(gap: float, speaks: bool) -> None:
    """Square on a flat-topped main the room that is left is the gap between the plate and the post's face."""
    main = tube("T1", (0, 0, 0), (800, 0, 0), section="80 x 80 x 4")
    post = tube("T2", (400, 0, 40), (400, 0, 300), section="50 x 50 x 3")
    tables = {"tube": [main, post], "plate": [wall("P1", 425 + gap, low=41.0), wall("P2", 369 - gap, low=41.0)]}
    assert bool(said(tables)) == speaks

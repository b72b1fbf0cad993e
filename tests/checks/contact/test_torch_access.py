"""torch-access: whether a torch gets to where sheet meets tube."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.contact.torch_access import torch_access

Tables = dict[str, Any]
MAIN = tube("T1", (0, 0, 0), (800, 0, 0), section="80 x 80 x 4")
"""Its top at 40."""


def fin(mark: str, x: float, **keys: Any) -> Tables:
    """A plate of 6 mm, 60 wide and high, that stands across the tube's top from x to x + 6."""
    place = {"at": [x, -30, 40], "along": [0, 1, 0], "up": [1, 0, 0]}
    return {"mark": mark, "thickness": 6, "rectangle": [60, 60], "place": place} | keys


def between(gap: float) -> Tables:
    """Three fins with so much between them."""
    return {"tube": [MAIN], "plate": [fin("P1", 300), fin("P2", 306 + gap), fin("P3", 312 + 2.0 * gap)]}


def said(tables: Tables, **job: Any) -> list[str]:
    return [each.text for each in findings(checked(definitions(job or None, **tables)), (torch_access,))]


BOTH = {"parts": ["P2", "T1"], "throat": 3, "side": "both"}
"""A weld on both sides of a fin."""
CHANNEL = {"mark": "B1", "shape": "channel", "thickness": 4, "web": 60, "flanges": [40, 40], "length": 60}
ROUND = tube("T1", (0, 0, 0), (800, 0, 0), section="60.3 x 3.2")
FAULTS: dict[str, tuple[Tables, str]] = {
    "a fin between two": (
        between(12),
        "a torch reaches only 12 mm of 132 mm where P2 meets T1, past P1 and P3: leave 20 mm",
    ),
    "a fin between tubes": (
        {"tube": [MAIN, *(tube(f"U{i}", (x, -300, 66), (x, 300, 66), section="50 x 50 x 3")
                          for i, x in ((1, 268), (2, 338)))],
         "plate": [fin("P1", 300)]},
        "12 mm of 132 mm where P1 meets T1, past U1 and U2",
    ),
    "a fin in a slot of a block of two plates": (
        {"tube": [MAIN],
         "plate": [fin("P1", 300), fin("W1", 290, rectangle=[60, 100]), fin("W2", 310, rectangle=[60, 100])]},
        "where P1 meets T1, past W1 and W2",
    ),
    "one under a lid between two": (
        {"tube": [MAIN],
         "plate": [*between(15)["plate"], fin("V", 280, place={"at": [280, -40, 101]}, rectangle=[120, 80])]},
        "where P2 meets T1",
    ),
    "two ears, to be welded on both sides": (
        {"tube": [MAIN], "plate": [fin("P1", 300), fin("P2", 318)], "weld": [BOTH]},
        "mm of 60 mm on one side where P2 meets T1, past P1",
    ),
    "two ears, to be welded all round": (
        {"tube": [MAIN], "plate": [fin("P1", 300), fin("P2", 312)],
         "weld": [BOTH | {"side": "arrow", "all_round": True}]},
        "on one side where P2 meets T1, past P1",
    ),
    "two places of one ear": (
        {"tube": [MAIN], "plate": [fin("P2", 0, place=[fin("P2", x)["place"] for x in (300, 312)], quantity=2)],
         "weld": [BOTH]},
        "on one side where P2 meets T1, past another P2",
    ),
    "on a round tube": ({"tube": [ROUND],
                         "plate": [fin(m, x, place={"at": [x, -10, 30.15], "along": [0, 1, 0], "up": [1, 0, 0]},
                                       rectangle=[20, 60]) for m, x in (("P1", 300), ("P2", 318), ("P3", 336))]},
                        "where P2 meets T1"),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_where_no_torch_gets_to(name: str) -> None:
    tables, words = FAULTS[name]
    (text,) = said(tables)
    assert words in text


SILENT: dict[str, Tables] = {
    "one alone": {"tube": [MAIN], "plate": [fin("P1", 300)]},
    "two ears, welded from outside": {"tube": [MAIN], "plate": [fin("P1", 300), fin("P2", 318)]},
    "two ears with room, welded on both sides": {
        "tube": [MAIN], "plate": [fin("P1", 300), fin("P2", 336)], "weld": [BOTH],
    },
    "two ears close by, the weld on the side away": {
        "tube": [MAIN], "plate": [fin("P1", 300), fin("P2", 318)], "weld": [BOTH | {"side": "arrow"}],
    },
    "a channel's web on it": {"tube": [MAIN], "bracket": [CHANNEL | {"place": {"at": [300, -30, 40]}}]},
    "a gusset in a corner": {
        "tube": [MAIN, tube("T2", (400, 0, 0), (400, 0, 400), section="80 x 80 x 4")],
        "plate": [fin("P1", 440, place={"at": [440, -3, 40], "along": [1, 0, 0], "up": [0, -1, 0]})],
    },
    "a fin with a link beside it": {
        "tube": [MAIN], "plate": [fin("P1", 300)],
        "link": [{"mark": "L1", "section": "25.4 x 4", "between": [[290, -200, 60], [290, 200, 60]],
                  "rod_ends": ["M12 right", "M12 left"]}],
    },
}  # fmt: skip


@pytest.mark.parametrize("name", SILENT)
def test_where_one_does(name: str) -> None:
    assert said(SILENT[name]) == []


@pytest.mark.slow
@pytest.mark.parametrize(("gap", "speaks"), [(19.8, True), (20.2, False)])
def test_twenty_millimetres(gap: float, speaks: bool) -> None:
    assert bool(said(between(gap))) == speaks

"""Welds that could run where sheet meets what it is seated on, against lengths worked out by hand and, of a round met
at an angle, by Gauss quadrature (numpy) of the ellipse in which a plane cuts a cylinder."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from jobs import checked, definitions, tube

BOX = tube("T1", (0, 0, 0), (800, 0, 0), section="100 x 100 x 4")
ROUND = tube("T1", (0, 0, 0), (800, 0, 0), section="48.3 x 3.2")
R = 24.15
HOLE = [{"at": [50, 30], "bolt": "M10"}]


def plate(mark: str, at: tuple[float, ...], along: Any = (1, 0, 0), up: Any = (0, 0, 1), **keys: Any) -> dict[str, Any]:
    place = {"at": list(at), "along": list(along), "up": list(up)}
    return {"mark": mark, "thickness": 6, "rectangle": [100, 60], "place": place} | keys


UP = tube("T1", (0, 0, 0), (0, 0, 200), section="76.1 x 2.9")


def lid(diameter: float, z: float = 200) -> dict[str, Any]:
    return {"mark": "P1", "thickness": 3, "disc": diameter, "place": {"at": [0, 0, z]}}


def lines(**tables: Any) -> list[tuple[str, str, str, list[float]]]:
    found = checked(definitions(**tables), planned=True).contacts.weld_lines
    return [(each.one.mark, each.other.mark, each.kind, sorted(each.runs)) for each in found]


CASES: dict[str, tuple[dict[str, Any], tuple[str, str, str, list[float]]]] = {
    "a plate on a box: its edges": (
        {"tube": [BOX], "plate": [plate("P1", (100, -30, 50))]},
        ("P1", "T1", "fillet on a flat", [2 * (100 + 60)]),
    ),
    "a plate on edge along a box: both its sides": (
        {"tube": [BOX], "plate": [plate("P1", (100, 0, 50), up=(0, -1, 0))]},
        ("P1", "T1", "fillet on a flat", [100, 100]),
    ),
    "a plate that lies on a round: both sides of the line": (
        {"tube": [ROUND], "plate": [plate("P1", (100, -30, R))]},
        ("P1", "T1", "fillet on a round", [100, 100]),
    ),
    "a plate on edge along a round": (
        {"tube": [ROUND], "plate": [plate("P1", (100, 3, R), up=(0, -1, 0))]},
        ("P1", "T1", "fillet on a round", [100, 100]),
    ),
    "a tube through the hole of a plate: once round on each side": (
        {"tube": [ROUND], "plate": [plate("P1", (100, -60, -60), along=(0, 1, 0), up=(1, 0, 0), rectangle=[120, 120],
                                          holes=[{"at": [60, 60], "diameter": 48.6}])]},
        ("P1", "T1", "fillet on a round", [math.pi * 48.3] * 2),
    ),
    "a disc over the end of a round, within the middle of its wall: once round": (
        {"tube": [UP], "plate": [lid(72.6)]}, ("P1", "T1", "round an end", [math.pi * 72.6]),
    ),
    "a disc inside the wall, at the other end": (
        {"tube": [UP], "plate": [lid(72, -3)]}, ("P1", "T1", "round an end", [math.pi * 72]),
    ),
    "a disc beside the middle: round what of it lies on the end": (
        {"tube": [UP], "plate": [lid(72) | {"place": {"at": [0.05, 0, 200]}}]},
        ("P1", "T1", "round an end", [math.pi * 72]),
    ),
    "a strip on top of a round, one edge near the line that touches: along that edge and the groove behind": (
        {"tube": [ROUND], "plate": [plate("P1", (100, -3, 24.15), rectangle=[200, 60])]},
        ("P1", "T1", "fillet on a round", [200, 200]),
    ),
    "a square lid on a box": (
        {"tube": [BOX], "plate": [plate("P1", (800, -47, -47), along=(0, 1, 0), up=(1, 0, 0), rectangle=[94, 94])]},
        ("P1", "T1", "round an end", [4 * 94]),
    ),
    "two plates edge to edge": (
        {"plate": [plate("P1", (0, 0, 0)), plate("P2", (100, 0, 0))]}, ("P1", "P2", "butt", [60]),
    ),
    "a plate on edge on a plate": (
        {"plate": [plate("P1", (0, 0, 0)), plate("P2", (0, 30, 6), up=(0, -1, 0))]},
        ("P2", "P1", "fillet on a flat", [100, 100]),
    ),
    "a plate on edge at the edge of a plate: its inner side": (
        {"plate": [plate("P1", (0, 0, 0)), plate("P2", (0, 60, 6), up=(0, 1, 0), along=(-1, 0, 0),
                                                 place={"at": [100, 54, 6], "along": [-1, 0, 0], "up": [0, 1, 0]})]},
        ("P2", "P1", "fillet on a flat", [100]),
    ),
    "a small plate on a large one": (
        {"plate": [plate("P1", (0, 0, 0)), plate("P2", (20, 10, 6), rectangle=[40, 30])]},
        ("P1", "P2", "fillet on a flat", [2 * (40 + 30)]),
    ),
    "a plate on the outside of an angle's leg": (
        {"profile": [{"mark": "A1", "section": "angle 60 x 60 x 6", "route": [[0, 0, 0], [500, 0, 0]],
                      "legs": ["top", "left"]}],
         "plate": [plate("P1", (100, 0, 10), up=(0, -1, 0), rectangle=[100, 40])]},
        ("P1", "A1", "fillet on a flat", [2 * (100 + 40)]),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_by_hand(name: str) -> None:
    tables, (one, other, kind, runs) = CASES[name]
    ((found_one, found_other, found_kind, found),) = lines(**tables)
    assert (found_one, found_other, found_kind) == (one, other, kind)
    assert found == pytest.approx(runs, rel=0.002)


@pytest.mark.parametrize("lean", [0.0, 25.0])
def test_a_plate_cut_to_a_round_that_it_meets_at_an_angle(lean: float) -> None:
    """The plane of the plate leans from square to the tube: its edge is half an ellipse of half axes R and R / cos."""
    cosine = math.cos(math.radians(lean))
    turn = np.linspace(0.0, math.pi, 61)
    arc = [[80 + R * math.cos(u), R / cosine * math.sin(u)] for u in turn]
    corners = [[0.0, 0.0], *reversed(arc), [160.0, 0.0], [160.0, 90.0], [0.0, 90.0]]
    up = [cosine, 0.0, -math.sin(math.radians(lean))]
    # Its right looks along -y; its own y, square to both, looks up.
    place = {"at": [400, 80, 0], "along": [0, -1, 0], "up": up}
    given = {"mark": "P1", "thickness": 1, "corners": corners, "place": place}
    ((_, _, kind, runs),) = lines(tube=[ROUND], plate=[given])
    nodes, weights = np.polynomial.legendre.leggauss(40)
    u = (nodes + 1.0) * math.pi / 2.0
    expected = float(weights @ np.hypot(R * np.sin(u), R / cosine * np.cos(u))) * math.pi / 2.0
    assert kind == "fillet on a round"
    assert runs == pytest.approx([expected, expected], rel=0.01)


NONE: dict[str, dict[str, Any]] = {
    "bolted": {"plate": [plate("P1", (0, 0, 0), holes=HOLE), plate("P2", (0, 0, 6), holes=HOLE)],
               "bolt": [{"thread": "M10", "through": ["P2", "P1"]}]},
    "farther apart than a weld bridges": {"plate": [plate("P1", (0, 0, 0)), plate("P2", (0, 0, 7.1))]},
    "a tube's end, whose weld is listed by its cut": {
        "tube": [tube("T1", (50, 30, 6), (50, 30, 400))], "plate": [plate("P1", (0, 0, 0))]},
    "a lid 3 mm over the end": {"tube": [UP], "plate": [lid(76, 203)]},
    "a lid that stands out, whose weld is listed by the tube's end": {"tube": [UP], "plate": [lid(86)]},
    "a cap that touches the tube beside it along its edge only": {
        "tube": [BOX], "plate": [plate("P1", (800, 50, -50), along=(0, 1, 0), up=(1, 0, 0))]},
    "a strap": {"tube": [ROUND], "strap": [{"mark": "S1", "width": 40, "thickness": 4, "round": "T1", "bolt": "M8",
                                            "ear": 40, "at": 210}]},
    "a link's eye in its clevis": {
        "bracket": [{"mark": "B1", "shape": "clevis", "thickness": 4, "gap": 20, "length": 60, "height": 40,
                     "bolt": "M12", "place": {"at": [0, 0, 40], "of": [30, 14], "along": [0, -1, 0],
                                              "up": [0, 0, -1]}}],
        "link": [{"mark": "L1", "section": "25.4 x 4", "between": [[0, 0, 0], [0, 0, -400]],
                  "rod_ends": ["M12 right", "M12 left"]}]},
}  # fmt: skip


@pytest.mark.parametrize("name", NONE)
def test_there_is_none(name: str) -> None:
    assert lines(**NONE[name]) == []

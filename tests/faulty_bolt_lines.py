"""Bolts that stand where they cannot, or not as they are listed, and those that only look wrong."""

from __future__ import annotations

from typing import Any

Tables = dict[str, list[dict[str, Any]]]


def plate(mark: str, z: float, *holes: tuple[float, float], **keys: Any) -> dict[str, Any]:
    """A plate of 6 mm that lies level with its underside at a height, its corner at x = y = 0."""
    at = keys.pop("at", (0, 0))
    place = {"at": [*at, z]} | keys.pop("turned", {})
    given = [{"at": list(hole), "bolt": "M10"} for hole in holes]
    return {"mark": mark, "thickness": 6, "rectangle": [100, 60], "holes": given, "place": place, **keys}


def bolt(*through: Any, **keys: Any) -> dict[str, Any]:
    return {"thread": "M10", "through": list(through), **keys}


HERE = (30.0, 30.0)
ONE, TWO = plate("P1", 0, HERE), plate("P2", 6, HERE)


SPEAKS: list[tuple[Tables, str]] = [
    (
        {"plate": [ONE, plate("P2", 6, (34.0, 30.0))], "bolt": [bolt("P2", "P1")]},
        "stop: out of line, so no bolt passes: bolt 1 by 4 mm, P1 from P2: move one of them",
    ),
    (
        {"plate": [ONE, plate("P2", 6, (80.0, 30.0))], "bolt": [bolt("P2", "P1")]},
        "stop: out of line, so no bolt passes: bolt 1 by 50 mm, P1 from P2: move one of them",
    ),
    (
        {
            "plate": [ONE, plate("P2", 6, HERE, turned={"up": [0, 1, 0]})],
            "bolt": [bolt("P2", "P1")],
        },
        "stop: bolt 1 has no axis: no hole of P1 looks the way of one of P2",
    ),
    (
        {"plate": [ONE, plate("P2", 14, HERE)], "bolt": [bolt("P2", "P1")]},
        'look: bolt 1: 8 mm are free between P2 and P1: a spacer of that length, through = ["P2", "8 mm", "P1"]',
    ),
    (
        {"plate": [ONE, plate("P2", 14, HERE)], "bolt": [bolt("P2", 10, "P1")]},
        "stop: bolt 1: 10 mm listed between P2 and P1 do not go into the 8 mm there: a shorter spacer, or the parts "
        "farther apart",
    ),
    (
        {"plate": [ONE, TWO, plate("P3", 12, HERE)], "bolt": [bolt("P1", "P3", "P2")]},
        'look: bolt 1 passes P1, P2, P3 in this order where they stand, not as listed: through = ["P1", "P2", "P3"]',
    ),
]  # fmt: skip


SILENT: list[Tables] = [
    {"plate": [ONE, TWO], "bolt": [bolt("P2", "P1")]},
    {"plate": [ONE, TWO], "bolt": [bolt("P1", "P2")]},
    # Out of line by less than the clearance of the holes, 1 mm in each.
    {"plate": [ONE, plate("P2", 6, (30.9, 30.0))], "bolt": [bolt("P2", "P1")]},
    # A spacer fills the gap.
    {"plate": [ONE, plate("P2", 14, HERE)], "bolt": [bolt("P2", 8, "P1")]},
    # The second part has no place: nothing is known of its axis.
    {"plate": [ONE, {key: value for key, value in TWO.items() if key != "place"}], "bolt": [bolt("P2", "P1")]},
    # More holes than bolts of the table, and another part's bolts in the rest.
    {"plate": [plate("P1", 0, HERE, (70.0, 30.0)), TWO], "bolt": [bolt("P2", "P1")]},
]

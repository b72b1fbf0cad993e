"""How every two things near one another stand, as job.json has it."""

from __future__ import annotations

from typing import Any

from jobs import checked, definitions, tube

HOLE = [{"at": [50, 30], "bolt": "M10"}]


def plate(mark: str, *at: float, **keys: Any) -> dict[str, Any]:
    return {"mark": mark, "thickness": 6, "rectangle": [100, 60], "place": {"at": list(at)}} | keys


def how(**tables: Any) -> dict[tuple[str, str], str]:
    pairs = checked(definitions(**tables), planned=True).contacts.pairs
    return {(pair.one.mark, pair.other.mark): pair.how for pair in pairs}


def test_each_is_one_of_four() -> None:
    found = how(
        tube=[tube("T1", (50, 30, 12), (50, 30, 400)), tube("T2", (50, 30, 200), (350, 30, 200), section="33.7 x 2.6"),
              tube("T3", (60, -200, 150), (200, 200, 150), section="20 x 2"),
              tube("T4", (60, -200, 300), (60, 200, 300), section="20 x 2")],
        plate=[plate("P1", 0, 0, 0), plate("P2", 0, 0, 6), plate("P3", 40, 20, 9), plate("P4", 50, 0, -6.9, holes=HOLE),
               plate("P5", 50, 0, -13.5, holes=HOLE)],
        bolt=[{"thread": "M10", "through": ["P4", "P5"]}],
    )  # fmt: skip
    assert found["P2", "P3"] == "into one another"
    assert found["T1", "P2"] == "meant"
    assert found["T1", "T2"] == "meant"
    assert found["P1", "P2"] == "seated"
    assert found["P1", "P4"] == "seated"
    assert {pair for pair, each in found.items() if each == "meant" and "bolt 1" in pair} == {
        ("P4", "bolt 1"),
        ("P5", "bolt 1"),
    }
    assert found["T1", "T3"] == "clear"
    assert found["T1", "T4"] == "into one another"


def test_how_deep_and_how_far() -> None:
    job = checked(definitions(plate=[plate("P1", 0, 0, 0), plate("P2", 20, 10, 2), plate("P3", 50, 60, 8.4)]))
    pairs = {(pair.one.mark, pair.other.mark): pair for pair in job.contacts.pairs}
    assert pairs["P1", "P2"].into is not None
    assert round(pairs["P1", "P2"].into.deepest.deep, 3) == 4.0
    assert round(pairs["P2", "P3"].gap, 3) == 0.4

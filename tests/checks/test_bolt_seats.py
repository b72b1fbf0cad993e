"""bolt-flat, bolt-on-weld and bolt-hole-wide: what heads, nuts and washers lie on."""

from __future__ import annotations

from typing import Any

import pytest
from faulty_bolt_lines import UNSEATED, Tables, bolt, plate, post
from jobs import checked, definitions, findings, tube

from fabgen.checks.bolt.bolt_seats import RULES


def told(tables: Tables) -> list[str]:
    job = checked(definitions(**tables), planned=True)
    return [f"{each.level}: {each.text}" for each in findings(job, RULES)]


@pytest.mark.parametrize(("tables", "words"), UNSEATED)
def test_what_lies_badly_is_told(tables: Tables, words: str) -> None:
    (text,) = told(tables)
    assert words in text


HOLE = {"at": 300, "from": "start", "side": "top", "bolt": "M10", "both_walls": True}
ON_TOP = plate("P1", 24.15, (50.0, 30.0), at=(250, -30))


def clamped(**keys: Any) -> Tables:
    """A round tube of 48.3 that a bolt clamps under a plate."""
    pipe = tube("T1", (0, 0, 0), (800, 0, 0), holes=[HOLE | keys])
    return {"tube": [pipe], "plate": [ON_TOP], "bolt": [bolt("P1", "T1")]}


SILENT: dict[str, Tables] = {
    "in the middle of plates": {"plate": [plate("P1", 0, (50.0, 30.0)), plate("P2", 6, (50.0, 30.0))],
                                "bolt": [bolt("P2", "P1")]},
    "on a sleeve as wide as the nut": clamped(sleeve="16 x 2.5"),
    "a washer that stands out past an edge, the nut on metal": {
        "plate": [plate("P1", 0, (50.0, 8.5)), plate("P2", 6, (50.0, 30.0), at=(0, -21.5))],
        "bolt": [bolt("P2", "P1")],
    },
    "on the flat of a square tube": {
        "tube": [tube("T1", (0, 0, 0), (800, 0, 0), section="40 x 40 x 3", holes=[HOLE])],
        "plate": [plate("P1", 20, (50.0, 30.0), at=(250, -30))],
        "bolt": [bolt("P1", "T1")],
    },
    "a slot of its own width": {
        "plate": [plate("P1", 0, (50.0, 30.0)),
                  plate("P2", 6, holes=[{"at": [50, 30], "bolt": "M10", "length": 40}])],
        "bolt": [bolt("P2", "P1")],
    },
    "a stand clear of the washer by its weld": post(50.0 + 10 + 6 + 0.5),
    "a large hole under a plate that covers it": {
        "plate": [plate("P1", 0, (50.0, 30.0)), plate("P2", 6, holes=[{"at": [50, 30], "diameter": 22}]),
                  plate("P3", 12, (50.0, 30.0))],
        "bolt": [bolt("P3", "P2", "P1")],
    },
}  # fmt: skip


@pytest.mark.parametrize("name", SILENT)
def test_what_lies_well_is_not_told(name: str) -> None:
    assert told(SILENT[name]) == []


@pytest.mark.parametrize(("from_edge", "speaks"), [(7.42, True), (7.58, False)])
def test_the_flat_is_that_of_the_nut_less_what_points_are_measured_to(from_edge: float, speaks: bool) -> None:
    """M10: 16 mm across flats, 8 mm from the middle less 0.5; 1 % either side of that."""
    low = plate("P1", 0, holes=[{"at": [50, from_edge], "diameter": 10.5}])
    high = plate("P2", 6, (50.0, 30.0), at=(0, from_edge - 30.0))
    assert bool(told({"plate": [low, high], "bolt": [bolt("P2", "P1")]})) == speaks


@pytest.mark.parametrize(("away", "speaks"), [(15.4, True), (15.6, False)])
def test_the_weld_is_as_thick_as_the_thinner_metal(away: float, speaks: bool) -> None:
    """A washer of 20 and a leg of 6: 16 mm from the middle less 0.5."""
    assert bool(told(post(50.0 + away))) == speaks


@pytest.mark.parametrize(("share", "level"), [(0.99, ""), (1.01, "warn")])
def test_a_hole_that_a_washer_slips_into(share: float, level: str) -> None:
    """The washer of M10, 20 mm, with its bolt on one side of the hole: (20 + 10) / 2."""
    wide = plate("P2", 6, holes=[{"at": [50, 30], "diameter": 15 * share}])
    said = told({"plate": [plate("P1", 0, (50.0, 30.0)), wide], "bolt": [bolt("P2", "P1")]})
    assert [text[: len(level)] for text in said] == ([level] if level else [])


@pytest.mark.parametrize(("diameter", "level"), [(19.8, "warn"), (20.2, "stop")])
def test_a_hole_that_a_washer_falls_through(diameter: float, level: str) -> None:
    loose = {"mark": "P2", "thickness": 6, "rectangle": [100, 60], "holes": [{"at": [50, 30], "diameter": diameter}]}
    (text,) = told({"plate": [plate("P1", 0, (50.0, 30.0)), loose], "bolt": [bolt("P2", "P1")]})
    assert text.startswith(level)

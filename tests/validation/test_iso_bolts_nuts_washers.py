"""Sizes of hexagon bolts, nuts and washers against the standards' tables.

ISO 4014:2011 (ranges of length of bolts with a plain shank), ISO 4032:2012 (greatest heights of
nuts), ISO 7089:2000 (greatest thickness of washers): as tabled in the open data files of the
Python package bd_warehouse 0.4.0 (Apache-2.0: hex_head_parameters.csv, hex_nut_parameters.csv,
plain_washer_parameters.csv), copied to tests/data/iso_fasteners.csv.
ISO 888:2012: nominal lengths and the thread length b = 2 d + 6, + 12, + 25 mm.
ASME B18.2.1: thread length of inch bolts, as Machinery's Handbook tables it (from memory).
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from fabgen.shop.threaded.fasteners import choose_bolt, lengths, nut_height, thread_length, washer_thickness
from fabgen.shop.threads import parse_thread

ROWS = list(csv.DictReader((Path(__file__).parent.parent / "data" / "iso_fasteners.csv").open(encoding="utf-8")))

WASHER_TOLERANCE = {0.5: 0.05, 0.8: 0.1, 1.0: 0.1, 1.6: 0.2, 2.0: 0.2, 2.5: 0.2, 3.0: 0.3, 4.0: 0.3, 5.0: 0.6}
"""Upper limit deviation of the thickness in ISO 7089 by nominal thickness, mm."""


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["size"])
def test_nuts_by_iso_4032(row: dict[str, str]) -> None:
    assert nut_height(parse_thread(row["size"]), "plain") == float(row["iso4032_m_max"])


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["size"])
def test_washers_by_iso_7089(row: dict[str, str]) -> None:
    nominal = washer_thickness(parse_thread(row["size"]))
    assert nominal + WASHER_TOLERANCE[nominal] == pytest.approx(float(row["iso7089_h_max"]))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["size"])
def test_range_of_lengths_by_iso_4014(row: dict[str, str]) -> None:
    """Sweeping the grip finds bolts with a shank from the shortest length of the standard to the longest."""
    thread = parse_thread(row["size"])
    longest = float(row["iso4014_longest"])
    over = nut_height(thread, "plain") + 2 * thread.pitch
    found = {
        choice.length
        for grip in range(1, int(longest - over) + 1)
        if (choice := choose_bolt(thread, float(grip), 0, "plain")).standard == "ISO 4014"
    }
    assert min(found) == float(row["iso4014_shortest"])
    assert max(found) == longest
    assert found <= set(lengths())
    with pytest.raises(ValueError, match="long enough"):
        choose_bolt(thread, longest - over + 0.5, 0, "plain")


@pytest.mark.parametrize(
    ("size", "length", "b"),
    [
        # ISO 4014:2011, table 1, rows b for l <= 125, 125 < l <= 200, l > 200.
        ("M6", 60, 18), ("M8", 80, 22), ("M10", 100, 26), ("M12", 120, 30), ("M16", 100, 38), ("M16", 160, 44),
        ("M20", 100, 46), ("M20", 200, 52), ("M24", 100, 54), ("M24", 200, 60), ("M24", 240, 73), ("M30", 300, 85),
        ("M36", 220, 97),
    ],
)  # fmt: skip
def test_thread_length_by_iso_888(size: str, length: float, b: float) -> None:
    assert thread_length(parse_thread(size), length) == b


@pytest.mark.parametrize(
    ("size", "length", "inches"),
    [("1/4-20", 2, 0.75), ("3/8-16", 3, 1.0), ("1/2-13", 4, 1.25), ("3/4-10", 6, 1.75), ("3/4-10", 6.5, 2.0)],
)
def test_thread_length_by_asme_b18_2_1(size: str, length: float, inches: float) -> None:
    assert thread_length(parse_thread(size), length * 25.4) == pytest.approx(inches * 25.4)

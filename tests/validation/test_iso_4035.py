"""Thin hexagon nuts: ISO 4035:2012, greatest height m, and the coarse pitch of each size, as tabled in
the open data file hex_nut_parameters.csv of the Python package bd_warehouse 0.4.0 (Apache-2.0), copied to
tests/data/thin_nuts.csv.  Its M3 has the pitch of before ISO 261, 0.45 mm, and is left out."""

import csv
from pathlib import Path

import pytest

from fabgen.shop.threads import parse_thread

with (Path(__file__).parents[1] / "data" / "thin_nuts.csv").open(newline="") as file:
    NUTS = {row["size"]: (float(row["pitch"]), float(row["m_max"])) for row in csv.DictReader(file)}
NOT_OURS = ("M1.6", "M1.8", "M2", "M2.5", "M3", "M3.5", "M39", "M42", "M45", "M48", "M52")


@pytest.mark.parametrize("name", [size for size in NUTS if size not in NOT_OURS])
def test_height_and_pitch(name: str) -> None:
    thread = parse_thread(name)
    assert (thread.pitch, thread.jam_nut) == NUTS[name]

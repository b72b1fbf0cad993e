"""Metric pitches: ISO 261:1998, ISO general purpose metric screw threads - General plan, table 2 (from memory; the
coarse pitches are checked against an open data file in test_iso_4035.py)."""

import pytest

from fabgen.shop.threads import parse_thread

COARSE = {
    5: 0.8, 6: 1.0, 8: 1.25, 10: 1.5, 12: 1.75, 14: 2.0, 16: 2.0, 18: 2.5, 20: 2.5, 22: 2.5, 24: 3.0, 27: 3.0, 30: 3.5,
}  # fmt: skip
FINE = {8: 1.0, 10: 1.25, 12: 1.25, 14: 1.5, 16: 1.5, 18: 1.5, 20: 1.5, 22: 1.5, 24: 2.0, 27: 2.0, 30: 2.0}


@pytest.mark.parametrize(("size", "pitch"), COARSE.items())
def test_coarse(size: int, pitch: float) -> None:
    assert parse_thread(f"M{size}").pitch == pitch


@pytest.mark.parametrize(("size", "pitch"), FINE.items())
def test_fine(size: int, pitch: float) -> None:
    assert parse_thread(f"M{size} x {pitch:g}").pitch == pitch

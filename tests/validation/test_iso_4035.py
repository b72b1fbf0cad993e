"""Thin hexagon nuts: ISO 4035:2012, greatest height m."""

import pytest

from fabgen.shop.threads import parse_thread

HEIGHTS = {"M5": 2.7, "M6": 3.2, "M8": 4.0, "M10": 5.0, "M12": 6.0, "M16": 8.0, "M20": 10.0, "M24": 12.0, "M30": 15.0}


@pytest.mark.parametrize(("name", "height"), HEIGHTS.items())
def test_height(name: str, height: float) -> None:
    assert parse_thread(name).jam_nut == height

"""ISO 273:1979, Fasteners - Clearance holes for bolts and screws, table 1."""

import pytest

from fabgen.shop.holes import clearance

# Bolt: fine, medium, coarse.
TABLE_1 = {
    "M3": (3.2, 3.4, 3.6),
    "M4": (4.3, 4.5, 4.8),
    "M5": (5.3, 5.5, 5.8),
    "M6": (6.4, 6.6, 7.0),
    "M8": (8.4, 9.0, 10.0),
    "M10": (10.5, 11.0, 12.0),
    "M12": (13.0, 13.5, 14.5),
    "M14": (15.0, 15.5, 16.5),
    "M16": (17.0, 17.5, 18.5),
    "M20": (21.0, 22.0, 24.0),
    "M24": (25.0, 26.0, 28.0),
    "M30": (31.0, 33.0, 35.0),
    "M36": (37.0, 39.0, 42.0),
}


@pytest.mark.parametrize("bolt", list(TABLE_1))
def test_clearance_holes(bolt: str) -> None:
    assert tuple(clearance(bolt, fit).diameter for fit in ("close", "medium", "coarse")) == TABLE_1[bolt]

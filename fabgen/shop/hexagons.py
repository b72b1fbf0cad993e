"""Hexagon heads: width across flats and height.

Metric widths by ISO 272:1982 (as ISO 4014 and ISO 4017 take them), heights k of ISO 4014:2011; inch sizes
by ASME B18.2.1.  All from memory, check against your bolt: bolts to older standards have other
widths (M10 17, M12 19, M14 22, M22 32 mm).
"""

from __future__ import annotations

from dataclasses import dataclass

from fabgen.wording.inches import INCH

MEMORY = "from memory, check against your bolt"


@dataclass(frozen=True, slots=True)
class Head:
    """Width across flats and height of a hexagon head, mm, and the source."""

    across_flats: float
    height: float
    source: str


_METRIC = {
    4.0: (7.0, 2.8),
    5.0: (8.0, 3.5),
    6.0: (10.0, 4.0),
    8.0: (13.0, 5.3),
    10.0: (16.0, 6.4),
    12.0: (18.0, 7.5),
    14.0: (21.0, 8.8),
    16.0: (24.0, 10.0),
    18.0: (27.0, 11.5),
    20.0: (30.0, 12.5),
    22.0: (34.0, 14.0),
    24.0: (36.0, 15.0),
    27.0: (41.0, 17.0),
    30.0: (46.0, 18.7),
}
_INCH = {
    "1/4": (7 / 16, 5 / 32),
    "5/16": (1 / 2, 13 / 64),
    "3/8": (9 / 16, 15 / 64),
    "7/16": (5 / 8, 9 / 32),
    "1/2": (3 / 4, 5 / 16),
    "5/8": (15 / 16, 25 / 64),
    "3/4": (1 + 1 / 8, 15 / 32),
    "7/8": (1 + 5 / 16, 35 / 64),
    "1": (1 + 1 / 2, 39 / 64),
}


def head(bolt: str) -> Head | None:
    """The head of a bolt named as `shop.holes` names it, 'M10' or '3/8 in'; None where no table has it."""
    if bolt.startswith("M"):
        found = _METRIC.get(float(bolt[1:]))
        return None if found is None else Head(*found, f"ISO 272 and ISO 4014, {MEMORY}")
    sizes = _INCH.get(bolt.removesuffix(" in"))
    return None if sizes is None else Head(sizes[0] * INCH, sizes[1] * INCH, f"ASME B18.2.1, {MEMORY}")

"""The shapes of brackets by name, each a function that builds a leaf (`geometry/leaves.py`)."""

from __future__ import annotations

from collections.abc import Callable

from fabgen.job.bracket_tables import BASE_AND_FLANGES
from fabgen.parts.bracket_asked import Asked, Shape
from fabgen.parts.bracket_boxes import base_and_flanges, box
from fabgen.parts.bracket_ears import clevis, ear, tabbed
from fabgen.parts.bracket_seats import gusset, saddle
from fabgen.parts.bracket_strips import angle, channel, hat, zed

SHAPES: dict[str, Callable[[Asked], Shape]] = {
    "angle": angle,
    "channel": channel,
    "zed": zed,
    "hat": hat,
    "box": box,
    "clevis": clevis,
    "ear": ear,
    "tabbed": tabbed,
    "saddle": saddle,
    "gusset": gusset,
    BASE_AND_FLANGES: base_and_flanges,
}

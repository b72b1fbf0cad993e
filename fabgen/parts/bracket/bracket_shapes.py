"""The shapes of brackets by name, each a function that builds a leaf (`geometry/leaves.py`)."""

from __future__ import annotations

from collections.abc import Callable

from fabgen.job.tables.bracket_tables import BASE_AND_FLANGES
from fabgen.parts.bracket.base_and_flanges import base_and_flanges, box
from fabgen.parts.bracket.bracket_definition import Asked, Shape
from fabgen.parts.bracket.ears_and_clevises import clevis, ear, tabbed
from fabgen.parts.bracket.parallel_folds import angle, channel, hat, zed
from fabgen.parts.bracket.saddles_and_gussets import gusset, saddle

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

"""Rod ends with a threaded shank, and the weld-in bungs they screw into.

Shank and eye sizes follow the style of ISO 12240-4 (spherical plain bearing rod ends, series
K, male thread) and of the common inch series; makers differ, so every figure here is from
memory, check against your part, and a job may give its own.  They are in data/rod_ends.toml.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from fabgen.shop.tables import table
from fabgen.shop.threads import Thread
from fabgen.wording.inches import INCH

MEMORY = "from memory, check against your part"


@dataclass(frozen=True, slots=True)
class RodEnd:
    """A male rod end, mm: `shank` from the ball's centre to the end of the shank, of which
    `thread_length` is threaded; `bore` and `eye_width` of the ball; the pitch it usually has."""

    size: str
    pitch: float
    shank: float
    thread_length: float
    bore: float
    eye_width: float


def find(thread: Thread) -> RodEnd | None:
    """The table's rod end of a nominal size, None where it has none.

    Args:
        thread: of the shank.
    """
    return _by_size().get(thread.size)


def sizes() -> tuple[str, ...]:
    """Nominal sizes the table has."""
    return tuple(_by_size())


@cache
def _by_size() -> dict[str, RodEnd]:
    metric = [RodEnd(size, **row) for size, row in table("rod_ends", "metric").rows.items()]
    inch = []
    for size, row in table("rod_ends", "inch").rows.items():
        per_inch, *lengths = row.values()
        inch.append(RodEnd(size, INCH / per_inch, *lengths))
    return {rod_end.size: rod_end for rod_end in metric + inch}


@dataclass(frozen=True, slots=True)
class Bung:
    """A weld-in threaded bung, mm: `thread_length`, tapped right through, of which `head`
    stands out of the tube."""

    thread_length: float
    head: float


def usual_bung(thread: Thread, least: float = 0.0) -> Bung:
    """Thread twice the diameter long, in a head of a third of it, 3 to 6 mm (common practice, no source).

    Args:
        thread: of the bung.
        least: thread that must be engaged, mm; where that is more, so long, up to a full millimetre.
    """
    d = thread.diameter
    long = round(2.0 * d, 1)
    return Bung(
        thread_length=long if long >= least - 0.05 else float(math.ceil(least)),
        head=round(min(6.0, max(3.0, d / 3.0)), 1),
    )


def least_wall(thread: Thread) -> float:
    """Least metal round the thread of a bung, mm: a fifth of the diameter, but 2 at least (common practice, no source).

    Args:
        thread: of the bung.
    """
    return max(2.0, 0.2 * thread.diameter)


def usual_swing(thread: Thread) -> float:
    """How far the ball of a rod end tilts each way before the eye meets the fork, degrees.

    Args:
        thread: of the shank.
    Source: from memory, check against your part; makers differ.
    """
    return 13.0 if thread.series == "M" else 12.0

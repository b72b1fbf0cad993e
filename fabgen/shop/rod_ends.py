"""Rod ends with a threaded shank, and the weld-in bungs they screw into.

Shank and eye sizes follow the style of ISO 12240-4 (spherical plain bearing rod ends, series
K, male thread) and of the common inch series; makers differ, so every figure here is from
memory, check against your part, and a job may give its own.
"""

from __future__ import annotations

from dataclasses import dataclass

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


def _inch(size: str, per_inch: int, shank: float, thread: float, bore: float, width: float) -> RodEnd:
    return RodEnd(size, INCH / per_inch, shank * INCH, thread * INCH, bore * INCH, width * INCH)


_TABLE = (
    RodEnd("M5", 0.8, 33.0, 20.0, 5.0, 8.0),
    RodEnd("M6", 1.0, 36.0, 22.0, 6.0, 9.0),
    RodEnd("M8", 1.25, 42.0, 25.0, 8.0, 12.0),
    RodEnd("M10", 1.5, 48.0, 29.0, 10.0, 14.0),
    RodEnd("M12", 1.75, 54.0, 33.0, 12.0, 16.0),
    RodEnd("M14", 2.0, 60.0, 36.0, 14.0, 19.0),
    RodEnd("M16", 2.0, 66.0, 40.0, 16.0, 21.0),
    RodEnd("M18", 1.5, 72.0, 44.0, 18.0, 23.0),
    RodEnd("M20", 1.5, 78.0, 47.0, 20.0, 25.0),
    RodEnd("M22", 1.5, 84.0, 51.0, 22.0, 28.0),
    RodEnd("M24", 2.0, 94.0, 57.0, 25.0, 31.0),
    RodEnd("M27", 2.0, 103.0, 62.0, 28.0, 35.0),
    RodEnd("M30", 2.0, 110.0, 66.0, 30.0, 37.0),
    _inch("10", 32, 1.25, 0.75, 0.19, 0.312),
    _inch("1/4", 28, 1.562, 1.0, 0.25, 0.375),
    _inch("5/16", 24, 1.875, 1.25, 0.3125, 0.437),
    _inch("3/8", 24, 1.938, 1.25, 0.375, 0.5),
    _inch("7/16", 20, 2.125, 1.375, 0.4375, 0.562),
    _inch("1/2", 20, 2.438, 1.5, 0.5, 0.625),
    _inch("5/8", 18, 2.625, 1.625, 0.625, 0.75),
    _inch("3/4", 16, 2.875, 1.75, 0.75, 0.875),
)

_BY_SIZE = {rod_end.size: rod_end for rod_end in _TABLE}


def find(thread: Thread) -> RodEnd | None:
    """The table's rod end of a nominal size, None where it has none.

    Args:
        thread: of the shank.
    """
    return _BY_SIZE.get(thread.size)


def sizes() -> tuple[str, ...]:
    """Nominal sizes the table has."""
    return tuple(_BY_SIZE)


@dataclass(frozen=True, slots=True)
class Bung:
    """A weld-in threaded bung, mm: `thread_length`, tapped right through, of which `head`
    stands out of the tube."""

    thread_length: float
    head: float


def usual_bung(thread: Thread) -> Bung:
    """Thread twice the diameter long, in a head of a third of it, 3 to 6 mm (common practice, no source).

    Args:
        thread: of the bung.
    """
    d = thread.diameter
    return Bung(thread_length=round(2.0 * d, 1), head=round(min(6.0, max(3.0, d / 3.0)), 1))


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

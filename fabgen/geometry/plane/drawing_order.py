"""One way to write a shape: where a closed loop begins and which way a line runs, however it was made.

So that parts of like shape give like files, an outline begins at its lowest corner, of several at the leftmost, and a
line at its lower end, of a level one at the left.
"""

from __future__ import annotations

from collections.abc import Sequence

from fabgen.geometry.plane.outline import Circle, Loop, Outline, Xy

PLACES = 4
"""Decimals of a millimetre that tell corners apart."""

Key = tuple[float, float]


def reading_order(at: Xy) -> Key:
    """What points are ordered by: from below, then from the left.

    Args:
        at: mm.
    """
    return round(at[1], PLACES) + 0.0, round(at[0], PLACES) + 0.0


def begun_low(loop: Loop) -> Loop:
    """The loop, the same way round, from its lowest leftmost corner."""
    if isinstance(loop, Circle):
        return loop
    corners = loop.vertices
    first = min(range(len(corners)), key=lambda i: reading_order((corners[i].x, corners[i].y)))
    return Outline(corners[first:] + corners[:first]) if first else loop


def run_up(line: Sequence[Xy]) -> list[Xy]:
    """The line from whichever of its ends is lower, or left of the other.

    Args:
        line: its points, mm.
    """
    return list(line if reading_order(line[0]) <= reading_order(line[-1]) else reversed(line))

"""The ends of two flanges that meet at a corner: where each is to stop, worked out in space.

A flange's end is a line in its own face, cut square through the sheet: where the neighbour's
skin plane crosses it, taken on whichever of its own skins comes first, so that no metal of the
one lies in the other.  Everything is a crossing of planes; angles of bends and corners may be any.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.sheet.folded import bent_frame, tangent_frame
from fabgen.geometry.sheet.folds import SAME, Bend
from fabgen.geometry.space.frame import Array, Frame

LEAST_STEP = 0.1
"""A flange that is wider or narrower than its bend becomes so at least this far above it, mm."""
ORIGIN = Frame(np.zeros(3), *np.eye(3))


@dataclass(frozen=True, slots=True)
class Closing:
    """How two flanges meet at a corner: 'open' = each ends where the other's bend begins; 'gap' =
    inner edge to inner edge, `gap` mm apart; 'butt' = one runs over the end of the other, to its
    outside, and that one stops `gap` mm short."""

    kind: Literal["open", "gap", "butt"] = "open"
    gap: float = 0.0


@dataclass(frozen=True, slots=True)
class EndLine:
    """What bounds the end of a flange: the line x = at + slope y in its face, from y = start up.
    `widens`: the flange is to go out to it; else it is only cut back to it."""

    at: float
    slope: float
    start: float
    widens: bool

    def x(self, y: float) -> float:
        """The line's x at a place of the face, mm.

        Args:
            y: from the bend's tangent line, mm.
        """
        return self.at + self.slope * y


def end_points(x: float, line: EndLine | None, height: float, way: float) -> list[Xy]:
    """Points of a plain flange's end, from above its hinge's end up to its far edge, mm.

    Args:
        x: of the hinge's end, mm.
        line: what bounds the flange there; None for nothing.
        height: of the flange from its tangent line, mm.
        way: 1 at the end of greater x, -1 at the other.
    """
    if line is None or line.start >= height:
        return [(x, height)]
    low, high = (way * (line.x(y) - x) for y in (line.start, height))
    if not line.widens and min(low, high) > -SAME:
        return [(x, height)]
    far = (line.x(height), height)
    crossing = (x - line.at) / line.slope if line.slope else math.inf
    if abs(low) < SAME:
        return [far] if abs(high) < SAME else [(x, line.start), far]
    if low < 0.0:
        # Cut back: from where the line crosses the flange's own end, or from just above the bend.
        step = [(x, crossing)] if 0.0 < crossing < line.start else [(x, LEAST_STEP), (line.x(LEAST_STEP), LEAST_STEP)]
        return [*step, far]
    if not line.widens:
        return [(x, crossing), far]
    return [(x, line.start), (line.x(line.start), line.start), far]


@dataclass(frozen=True, slots=True)
class FlangeStance:
    """A flange by its bend: where its x is 0 on the tangent line, in its parent, and the heading of its x."""

    bend: Bend
    up: bool
    x: float
    y: float
    turn: float

    @property
    def frame(self) -> Frame:
        """The flange's frame once folded, in the parent's coordinates."""
        return bent_frame(tangent_frame(ORIGIN, self.x, self.y, self.turn), self.bend, self.up)

    @property
    def skins(self) -> tuple[float, float]:
        """Heights of the inner and the outer skin over the frame's origin, mm."""
        return (self.bend.thickness, 0.0) if self.up else (0.0, self.bend.thickness)


def end_line(
    mine: FlangeStance, other: FlangeStance, left: bool, closing: Closing, over: bool, start: float
) -> EndLine | None:
    """What bounds one end of a flange at a corner where both fold the same way.

    Args:
        mine: the flange whose end it is.
        other: its neighbour at the corner.
        left: whether it is the flange's end of lesser x.
        closing: how the two meet.
        over: whether this is the one that runs over the other's end.
        start: the line holds from this y up, mm.
    Returns: the line in the flange's own face; None where the two lie in one plane.
    """
    frame = mine.frame
    plane = other.skins[1] if closing.kind == "butt" and over else other.skins[0]
    # The one that runs over ends with its inner edge in the plane of the other's outside.
    heights = mine.skins if closing.kind == "butt" and not over else mine.skins[:1]
    found = [line for height in heights if (line := _crossing(frame, height, other.frame, plane)) is not None]
    if not found:
        return None
    at, slope = (max if left else min)(found)
    back = 0.0 if closing.kind == "butt" and over else _back(mine, slope, other, left, closing)
    return EndLine(at + (back if left else -back), slope, start, closing.kind != "open")


def _crossing(frame: Frame, height: float, other: Frame, plane: float) -> tuple[float, float] | None:
    """(at, slope) of the line in which the skin at `height` of one face meets the plane at `plane` of the other."""
    run = float(other.z @ frame.x)
    if abs(run) < 1e-9:
        return None
    level = float(other.z @ (other.origin + plane * other.z - frame.origin - height * frame.z))
    return level / run, -float(other.z @ frame.y) / run


def _back(mine: FlangeStance, slope: float, other: FlangeStance, left: bool, closing: Closing) -> float:
    """How far along x an end stays back from the crossing line so that the gap is as given, mm."""
    if closing.kind == "butt":
        return closing.gap / abs(float(other.frame.z @ mine.frame.x))  # square to the neighbour's skin
    # Both ends stay back alike from the line where the inner skins meet: gap = 2 back sin(angle between them / 2).
    crossed = _crossing(other.frame, other.skins[0], mine.frame, mine.skins[0])
    assert crossed is not None
    cosine = float(_into(mine.frame, slope, left) @ _into(other.frame, crossed[1], not left))
    half = math.acos(max(-1.0, min(1.0, cosine))) / 2.0
    return closing.gap / (2.0 * math.sin(half)) * math.hypot(1.0, slope)


def _into(frame: Frame, slope: float, left: bool) -> Array:
    """The unit direction in a face from the line that bounds its end into the face, square to the line."""
    return np.asarray((frame.x - slope * frame.y) * ((1.0 if left else -1.0) / math.hypot(1.0, slope)))

"""Whether a nest is sound, by the parts' true outlines and not by what they were nested with."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import shapely
from shapely import Polygon

from fabgen.geometry.plane.no_fit import covering
from fabgen.parts.piece import FlatPart
from fabgen.plan.plan import PlacedPart
from fabgen.plan.sheets.blanks import laid
from fabgen.plan.sheets.sheet_stock import Room

FLATTENED = 0.004
"""Arcs are taken as tangents outside and chords inside, each within this of the arc, mm."""
SHORT = 0.01
"""Parts may be this much nearer than the gap, mm: packed exactly the gap apart, their tangents measure less."""
ROUNDING = 1e-6


def metal(part: FlatPart, place: PlacedPart) -> Polygon:
    """A polygon that covers the metal of a part where it lies, and stands out by `FLATTENED` at most."""
    holes = [laid(hole.shape, place).points(FLATTENED) for hole in part.holes]
    return Polygon(covering(laid(part.outline, place), FLATTENED), holes)


def faults(placed: Sequence[PlacedPart], parts: Mapping[str, FlatPart], room: Room, gap: float) -> list[str]:
    """What is wrong with a nest, in words; none when every part lies in the room and `gap` off every other.

    Parts may lie in holes of others.
    """
    shapes = [metal(parts[place.mark], place) for place in placed]
    region = room.region.buffer(FLATTENED + ROUNDING, join_style="mitre")
    inside = shapely.covers(region, shapes)
    found = [f"{place.mark} leaves the sheet" for place, is_inside in zip(placed, inside, strict=True) if not is_inside]
    tree = shapely.STRtree(shapes)
    pairs = tree.query(shapes, predicate="dwithin", distance=max(0.0, gap - SHORT))
    found += [f"{placed[i].mark} lies too near to {placed[j].mark}" for i, j in pairs.T.tolist() if i < j]
    return found

"""Whether sheet has holes over what it lies on, so that it may be riveted or screwed there."""

from __future__ import annotations

from fabgen.contact.solids import Solid
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import FlatPart, Piece
from fabgen.parts.shape.bored.hole_ways import HoleWay, hole_ways

RIM = 1.0
"""So far outside a hole's rim, and so far beyond the sheet, there is metal of what it is fastened to, mm."""


def is_holed_for(one: Solid, other: Solid) -> bool:
    """Whether a hole of either, if that is sheet, opens on the other's metal.

    Args:
        one, other: where they stand, seated on one another.
    """
    return any(_opens_on(way, on) for sheet, on in ((one, other), (other, one)) for way in _ways(sheet))


def _ways(solid: Solid) -> list[HoleWay]:
    if not isinstance(solid.source, Piece) or not isinstance(solid.part, FlatPart):
        return []
    return [way for way in hole_ways(solid.source) if way.place in (0, solid.number + 1)]


def _opens_on(way: HoleWay, on: Solid) -> bool:
    return any(_is_metal(on, mouth + rim) for mouth in way.mouths(RIM) for rim in _beside_rim(way))


def _beside_rim(way: HoleWay) -> list[Array]:
    """From the middle of a hole to places outside its rim, square to its axis."""
    found = []
    for point in way.edge[:: max(1, len(way.edge) // 8)]:
        off = point - way.centre
        off = off - float(off @ way.axis) * way.axis
        size = float((off @ off) ** 0.5)
        found.append(off * (1.0 + RIM / size))
    return found


def _is_metal(solid: Solid, point: Array) -> bool:
    return solid.shape.skin.holds(solid.frame.inside(point))

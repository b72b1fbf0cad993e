"""Placed sheet parts that lie on a tube's skin, over its holes: on a face, on their edge, or rolled round it.

A part lies there where its surface looks at the hole and is near its edge.  A hole of the part over the tube's own one
is meant to be there.
"""

from __future__ import annotations

import math

from fabgen.parts.piece import DrilledHole
from fabgen.parts.shape.hollow.lids import Lid, Mouth

TOUCHES = 1.0
"""A surface this near to a hole's edge lies on the tube, mm."""


def distance_over(lid: Lid, hole: DrilledHole) -> float:
    """How far a part is from a hole, seen along the drill, mm: 0 where it lies over it, inf where it does not lie on
    the tube there.

    Args:
        lid: a sheet part.
        hole: a tube's.
    """
    import shapely

    mouth = Mouth(hole.skin.at(hole.edge.station, hole.edge.along), hole.frame)
    if not lid.may_reach(mouth) or (lying := lid.lying(mouth, -TOUCHES, TOUCHES)) is None:
        return math.inf
    seen = shapely.Polygon(mouth.seen(mouth.rim))
    rings = (ring for each in shapely.get_parts(lying) for ring in each.interiors)
    if any(shapely.Polygon(ring).contains(seen.centroid) for ring in rings):
        return math.inf
    return float(seen.distance(lying))

"""The rounded end of an ear: an arc about the hole, its sides tangent to it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from fabgen.geometry.plane.outline import OutlineError, Xy


@dataclass(frozen=True, slots=True)
class RoundedEnd:
    """Where the sides touch the arc, on the right and on the left, and the arc's bulge from right to left."""

    right: Xy
    left: Xy
    bulge: float


def rounded_end(left: Xy, right: Xy, centre: Xy, radius: float) -> RoundedEnd:
    """The end about `centre`, above, of an ear that stands on the foot from `left` to `right`.

    Each side is the outer tangent from its corner of the foot.  Raises OutlineError where a corner
    lies inside the arc.
    """
    touches = []
    for corner, way in ((right, 1.0), (left, -1.0)):
        apart = math.dist(corner, centre)
        if apart < radius - 1e-9:
            raise OutlineError(f"the rounded end of {radius:.2f} mm reaches over a corner of its foot")
        turn = way * math.acos(min(1.0, radius / apart))
        heading = math.atan2(corner[1] - centre[1], corner[0] - centre[0]) + turn
        touches.append((centre[0] + radius * math.cos(heading), centre[1] + radius * math.sin(heading)))
    start, end = (math.atan2(y - centre[1], x - centre[0]) for x, y in touches)
    return RoundedEnd(touches[0], touches[1], math.tan(((end - start) % (2.0 * math.pi)) / 4.0))

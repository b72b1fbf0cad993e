"""How far it is from skin to skin between what a tube's two ends sit on: a tape reaches that, and not their axes."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.geometry.tube.contact import greatest
from fabgen.geometry.tube.solids import Walls
from fabgen.parts.piece import LengthPart, WorkedEnd
from fabgen.parts.shape.tubes import as_met

_LEAN = 1e-3
"""A face that a tube meets at a smaller cosine than this runs along it."""


def between_skins(part: LengthPart, tubes: Mapping[str, LengthPart]) -> float | None:
    """The distance along a straight tube's axis between what its ends sit on, mm; of a free end where its metal ends.

    Args:
        part: the tube, placed, its ends worked.
        tubes: the tubes of the job, by mark.
    Returns: None where an end is mitred or misses, and of a bent tube.
    """
    if part.frame is None or part.path is not None:
        return None
    found = [_on_skin(part, end, tubes) for end in part.ends]
    one, other = found
    return None if one is None or other is None else math.dist(one, other)


def _on_skin(part: LengthPart, end: WorkedEnd, tubes: Mapping[str, LengthPart]) -> Array | None:
    """Where the tube's axis comes through the skin of what an end sits on, (3,) mm."""
    origin, along = end.frame.origin, end.frame.x
    if end.is_free:
        cut = end.line.x[~np.isnan(end.line.x)]
        return np.asarray(origin + (float(cut.min()) + float(cut.max())) / 2.0 * along)
    places = [_through_plate(plate.normal, plate.level, origin, along) for plate in end.plates]
    for joint in end.joints if end.cut == "cope" else ():
        solid = as_met(tubes.get(joint.onto), part, end)
        places.append(math.nan if solid is None else float(greatest(solid, Walls.lines(origin[np.newaxis], along))[0]))
    if not places or any(math.isnan(place) for place in places):
        return None
    return np.asarray(origin + max(places) * along)


def _through_plate(normal: Array, level: float, origin: Array, along: Array) -> float:
    lean = float(normal @ along)
    return (level - float(normal @ origin)) / lean if abs(lean) > _LEAN else math.nan

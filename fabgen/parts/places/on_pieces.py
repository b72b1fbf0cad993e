"""Places along a tube that the program cut in pieces, at crossings or splices or as a ring: on the piece that lies
there."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.job.expansion.pieces import pieces_of
from fabgen.job.tables.place_tables import PlaceGiven
from fabgen.parts.piece import LengthPart, Piece
from fabgen.parts.shape.along_tube import along_near, axis_at, saw_cut_at


def on_piece(mark: str, given: PlaceGiven, known: Mapping[str, Piece]) -> tuple[str, PlaceGiven]:
    """The mark of the piece that lies at a place, and the place along it; of a part that is whole both as they are.

    Args:
        mark: of what the place is against.
        given: the place.
        known: all pieces by their marks.
    """
    marks = pieces_of(mark, known)
    tubes = {each: part for each in marks if (part := known[each].length_part) is not None and part.frame is not None}
    if not tubes or (given.near is None and not isinstance(given.at, int | float)):
        return mark, given
    if given.near is not None:
        point = np.array(given.near.xyz)
        nearest = min(tubes, key=lambda each: _off(tubes[each], point))
        return nearest, given.model_copy(update={"against": nearest})
    assert isinstance(given.at, int | float)
    lengths = {each: _route(part) for each, part in tubes.items()}
    first, last = tubes[next(iter(tubes))], tubes[next(reversed(tubes))]
    at = saw_cut_at(first) + given.at
    if given.from_ == "finish":
        cut_back = _route(last) - saw_cut_at(last) - last.length
        at = sum(lengths.values()) - cut_back - given.at
    for each, part in tubes.items():
        if at <= lengths[each] or part is last:
            place = {"against": each, "at": at - saw_cut_at(part), "from_": "start"}
            return each, given.model_copy(update=place)
        at -= lengths[each]
    raise AssertionError("the last piece takes what lies past the others")


def _route(part: LengthPart) -> float:
    """How far its route is from end to end, mm along its centreline."""
    return part.axis if part.path is None else part.path.length


def _off(part: LengthPart, point: Array) -> float:
    """How far a point is from the middle line of a piece between its saw cuts, mm."""
    along = float(np.clip(along_near(part, point), 0.0, part.length))
    return float(np.linalg.norm(axis_at(part, along).origin - point))

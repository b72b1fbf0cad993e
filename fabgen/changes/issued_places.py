"""Where pieces stand, as their papers have it: sizes of the set-out sheet, and lines on the jig."""

from __future__ import annotations

import math
from collections.abc import Sequence

from fabgen.changes.issued_part import At, IssuedPlace
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import FlatPart, Piece, SetOut
from fabgen.parts.shape.standing import Standing, corners
from fabgen.parts.survey.lines_on_jig import line_on_jig


def issued_places(piece: Piece) -> tuple[IssuedPlace, ...]:
    """The places of a piece in their order; none of what has no place, or one that no size can tell.

    Args:
        piece: complete, set out.
    """
    part = piece.shape
    if (line := line_on_jig(piece)) is not None:
        return (IssuedPlace(at_mm=(_at(line.start), _at(line.finish))),)
    if not isinstance(part, FlatPart):
        return ()
    found: list[IssuedPlace] = []
    for number, place in enumerate(part.places, 1):
        if place.set_out is not None:
            found.append(_set_out(place.set_out))
        elif any(datum.corners for datum in part.datums.values()):
            spots = corners(Standing(piece, part, place, number))
            found.append(IssuedPlace(at_mm=tuple(_at(spot) for _, spot in spots)))
        else:
            found.append(IssuedPlace())
    return tuple(found)


def _set_out(found: SetOut) -> IssuedPlace:
    return IssuedPlace(
        on=found.on if found.on_place == 1 else f"{found.on} ({found.on_place})",
        foot=found.foot,
        along_mm=_figures(found.along or (found.middle, found.middle)),
        side=found.face,
        round_deg=None if found.way is None else _figure(math.degrees(found.way % (2.0 * math.pi))),
        across_mm=_figures(found.across),
        turn_deg=_figure(math.degrees(found.turn)),
        over_mm=None if found.over is None else _figure(found.over),
    )


def _figure(value: float) -> float:
    return round(float(value), 2) + 0.0


def _figures(values: Sequence[float]) -> tuple[float, float]:
    return _figure(values[0]), _figure(values[1])


def _at(point: Array) -> At:
    return _figure(point[0]), _figure(point[1]), _figure(point[2])

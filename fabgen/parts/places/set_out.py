"""How placed parts are set out with a tape: their edges along what carries them, how far round, and their holes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import FlatPart, HoleSetOut, Piece, Place, SetOut, Skin
from fabgen.parts.shape.sheet_body import sheet_body

_SQUARE = 0.02
"""A hole whose axis is within this of the skin's normal, as the cosine of the rest, runs square to it."""
_BODY = 0.01
"""Chords of the part's outline stay this near to it, mm."""


def with_set_out(pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces, each place against something with how it is set out there.

    Args:
        pieces: all of the job, complete.
    """
    return [_piece(piece) for piece in pieces]


def _piece(piece: Piece) -> Piece:
    part = piece.flat_part
    if part is None or not any(place.skin is not None for place in part.places):
        return piece
    body = sheet_body(part, _BODY).vertices
    places = tuple(replace(place, set_out=_set_out(part, place, body)) for place in part.places)
    return replace(piece, shape=replace(part, places=places))


def _set_out(part: FlatPart, place: Place, body: Array) -> SetOut | None:
    skin = place.skin
    if skin is None:
        return None
    along, beside, over = _seen(skin, place.frame.outside(body))
    edges = _across(skin, float(beside.min())), _across(skin, float(beside.max()))
    return SetOut(
        place.against,
        place.foot,
        skin.at,
        (float(along.min()), float(along.max())) if skin.is_straight else None,
        skin.way,
        None if skin.way is None else skin.radius * math.remainder(skin.way, 2.0 * math.pi),
        skin.face,
        (min(edges), max(edges)),
        skin.datum,
        _across(skin, skin.offset),
        place.turn,
        float(over.max()),
        tuple(_holes(part, place, skin)),
    )


def _seen(skin: Skin, points: Array) -> tuple[Array, Array, Array]:
    """Points (n, 3) as a tape sees them: along the run, beside the origin and over the skin, (n,) mm."""
    away = points - skin.origin
    return skin.at + away @ skin.along, away @ skin.beside, away @ skin.out


def _across(skin: Skin, beside: float) -> float:
    """From the datum across the run, mm."""
    zero, one = skin.across
    return zero + (one - zero) * beside


def _holes(part: FlatPart, place: Place, skin: Skin) -> Iterator[HoleSetOut]:
    for number, (face, at) in enumerate(part.numbered, 1):
        datum = part.datums.get(face) or next(iter(part.datums.values()))
        middle = place.frame.outside(datum.at(at, part.thickness / 2.0))
        along, beside, over = (float(each[0]) for each in _seen(skin, middle[None, :]))
        axis = datum.front @ place.frame.axes
        is_square = abs(float(axis @ skin.out)) > 1.0 - _SQUARE
        yield HoleSetOut(number, along, _across(skin, beside), None if is_square else over)

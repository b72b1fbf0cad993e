"""How placed parts are set out with a tape: their edges along what carries them, how far round, and their holes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import FlatPart, HoleSetOut, LengthPart, Piece, Place, ProfilePart, SetOut, Skin, tube_parts
from fabgen.parts.places.on_ends import TubeEnds, on_end
from fabgen.parts.places.on_tube import skin_at
from fabgen.parts.places.touching import touching
from fabgen.parts.shape.along_tube import along_near, axis_at, saw_cut_at
from fabgen.parts.shape.sheet_body import sheet_body
from fabgen.parts.shape.standing import bar_skin

_SQUARE = 0.02
"""A hole whose axis is within this of the skin's normal, as the cosine of the rest, runs square to it."""
_BODY = 0.01
"""Chords of the part's outline stay this near to it, mm."""
_REACH = 0.5
"""A part may reach so far into a bend, mm, and is still set out as on the straight."""
_STEP = math.radians(1.0)
"""Places along a bar's bends stand so far apart."""


def with_set_out(pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces, each place against something, of a strap round a tube, or by points beside what it touches, with how
    it is set out there; what stands there already is not set out.

    Args:
        pieces: all of the job, complete.
    """
    tubes = tube_parts(pieces)
    ends = TubeEnds.of(pieces)
    return [piece if piece.state == "there already" else _piece(piece, tubes, ends, pieces) for piece in pieces]


def _piece(piece: Piece, tubes: Mapping[str, LengthPart], ends: TubeEnds, pieces: Sequence[Piece]) -> Piece:
    part = piece.shape
    if isinstance(part, ProfilePart) or not part.places:
        return piece
    places = part.places
    if (mark := _goes_round(part)) in tubes:
        foot = f"inside, {'ears' if isinstance(part, FlatPart) else 'legs'} this way"
        places = tuple(_round_tube(place, mark, tubes[mark], foot) for place in places)
    body = sheet_body(part, _BODY).vertices if isinstance(part, FlatPart) else bar_skin(part, _STEP)
    if isinstance(part, FlatPart) and part.band is None and any(place.skin is None for place in places):
        carriers = _carriers(piece, pieces)
        places = tuple(touching(part, each, body, carriers) if each.skin is None else each for each in places)
        places = tuple(
            each if each.skin is not None else replace(each, on_end=on_end(part, each, ends)) for each in places
        )
    if not any(place.skin is not None or place.on_end is not None for place in places):
        return piece
    stood = tuple(replace(place, set_out=_set_out(part, place, body, tubes.get(place.against))) for place in places)
    return replace(piece, shape=replace(part, places=stood))


def _carriers(piece: Piece, pieces: Sequence[Piece]) -> list[Piece]:
    """What a piece may stand on: first what its other places are against, then tubes, profiles and sheet as listed.

    Sheet carries it only where what that stands on at last is a length, or sheet by points listed before the piece: so
    no two parts are set out on one another.
    """
    part = piece.flat_part
    others = {place.against for place in part.places} if part is not None else set()
    kinds = (LengthPart, ProfilePart, FlatPart)
    rank = {kind: number for number, kind in enumerate(kinds)}
    listed = {each.mark: number for number, each in enumerate(pieces)}
    on = [
        each
        for each in pieces
        if each.mark != piece.mark
        and isinstance(each.shape, kinds)
        and all(listed[end] < listed[piece.mark] for end in _sheet_at_last(each, pieces, listed))
    ]
    return sorted(on, key=lambda each: (each.mark not in others, rank.get(type(each.shape), 0)))


def _sheet_at_last(piece: Piece, pieces: Sequence[Piece], listed: Mapping[str, int]) -> set[str]:
    """The marks of the parts of sheet by points that a part of sheet stands on at last, itself if it is one; none of
    lengths, nor of what stands on these."""
    part = piece.flat_part
    if part is None:
        return set()
    ends: set[str] = set()
    for place in part.places:
        below = pieces[listed[place.against]] if place.skin is not None and place.against in listed else None
        ends |= {piece.mark} if below is None else _sheet_at_last(below, pieces, listed)
    return ends


def _goes_round(part: FlatPart | LengthPart) -> str:
    """The mark of the tube that a strap or a U-bolt goes round; '' of others."""
    if isinstance(part, FlatPart):
        return part.band.mark if part.band is not None else ""
    return part.places[0].against if part.clasp is not None else ""


def _round_tube(place: Place, mark: str, tube: LengthPart, foot: str) -> Place:
    """The place of a strap or a U-bolt with where its ears or legs point on the tube that it goes round: y of its
    frame."""
    if place.skin is not None or tube.frame is None:
        return place
    along = along_near(tube, place.frame.origin)
    axis = axis_at(tube, along)
    out = place.frame.y
    way = math.atan2(-float(out @ axis.y), float(out @ axis.z)) % (2.0 * math.pi)
    return replace(place, against=mark, skin=skin_at(tube, along, axis, way, out), foot=foot)


def _set_out(part: FlatPart | LengthPart, place: Place, body: Array, on: LengthPart | None) -> SetOut | None:
    """How a part is set out where it touches something, `on` a tube if it is one."""
    skin = place.skin
    if skin is None:
        return None
    along, beside, over = _seen(skin, place.frame.outside(body))
    edges = _across(skin, float(beside.min())), _across(skin, float(beside.max()))
    ends = float(along.min()), float(along.max())
    return SetOut(
        place.against,
        place.against_place,
        place.foot,
        skin.at,
        ends if on is None or _is_straight(on, skin.at, ends) else None,
        skin.way,
        None if skin.way is None else skin.radius * math.remainder(skin.way, 2.0 * math.pi),
        skin.face,
        (min(edges), max(edges)),
        skin.datum,
        _across(skin, skin.offset),
        place.turn,
        None if _goes_round(part) else float(over.max()),
        tuple(_holes(part, place, skin)) if isinstance(part, FlatPart) else (),
    )


def _is_straight(tube: LengthPart, at: float, ends: tuple[float, float]) -> bool:
    """Whether a tube is straight at a place along it and as far as a part there reaches, mm from its start's saw cut;
    past its own ends it counts as straight."""
    if tube.path is None:
        return True
    cut = saw_cut_at(tube)
    straights = tube.path.straights
    first, last = straights[0], straights[-1]
    return any(
        (each is first or each.at < min(at, ends[0]) + cut + _REACH)
        and (each is last or max(at, ends[1]) + cut < each.at + each.length + _REACH)
        and each.at - _REACH < at + cut < each.at + each.length + _REACH
        for each in straights
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

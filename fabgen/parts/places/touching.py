"""What a part touches that is placed by points and directions, so that it is set out on that with a tape too."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.job.errors import InputError
from fabgen.job.tables.place_tables import PlaceGiven
from fabgen.job.values.point import Point
from fabgen.parts.piece import Datum, FlatPart, LengthPart, Piece, Place, ProfilePart, Skin
from fabgen.parts.places.on_profile import skin_of_profile
from fabgen.parts.places.on_sheet import skin_of_sheet
from fabgen.parts.places.on_tube import skin_at
from fabgen.parts.shape.along_tube import along_near, axis_at

FEET = ("foot", "first leg's foot")
"""What the lower edges are called that are cut to sit on tubes."""
GAP = 0.5
"""What is no farther from a skin, and no deeper in it, touches it, mm."""
_ALIKE = 1e-5
"""Two unit ways whose cosine differs from 1 by less are one."""
_SQUARE = 1e-4
"""Cosine below which a way is square to a tube."""
_FAR = 1e6
"""A place this far that way says which way that is, mm."""


def touching(part: FlatPart, place: Place, body: Array, carriers: Sequence[Piece]) -> Place:
    """A part's place with what it touches: the first that it lies or stands square on; the place itself where there
    is none.

    Args:
        part: the part.
        place: one of its places, by points and directions.
        body: points of its metal in its own frame, (n, 3) mm.
        carriers: what there is to stand on, the likeliest first.
    """
    flat = dict(part.datums) if part.rolled else {name: datum for name, datum in part.datums.items() if datum.corners}
    points = place.frame.outside(body)
    for carrier in carriers:
        for way, is_edge in _ways(flat, place, bool(part.rolled)):
            for number, skin, half in _skins(carrier, (points.min(axis=0) + points.max(axis=0)) / 2.0, way):
                if _touches(skin, half, points, is_edge) and (stance := _stance(part, flat, place, skin, points)):
                    foot, turn, stands = stance
                    return replace(
                        place,
                        against=carrier.mark,
                        against_place=number,
                        skin=skin,
                        foot=foot,
                        turn=turn,
                        stands=stands,
                    )
    return place


def _ways(datums: dict[str, Datum], place: Place, is_round: bool) -> list[tuple[Array, bool]]:
    """Ways that what it touches may look, as it lies or stands, and whether that is on an edge: its front and back, and
    away from its edges; of what is round along its axis alone."""
    found: list[tuple[Array, bool]] = []
    for datum in datums.values():
        edges = () if is_round else (datum.v, datum.u, -datum.v, -datum.u)
        for number, way in enumerate((datum.front, -datum.front, *edges)):
            out = way @ place.frame.axes
            if not any(float(out @ each) > 1.0 - _ALIKE for each, _ in found):
                found.append((out, number > 1))
    return found


def _skins(carrier: Piece, middle: Array, out: Array) -> Iterator[tuple[int, Skin, float]]:
    """Skins of a carrier that look that way beside a part, after the number of the carrier's place, and how far they
    reach to either side, mm."""
    match carrier.shape:
        case LengthPart() as tube if tube.frame is not None and not tube.is_bent_bar:
            along = along_near(tube, middle)
            axis = axis_at(tube, along)
            way = math.atan2(-float(out @ axis.y), float(out @ axis.z)) % (2.0 * math.pi)
            square = tube.section.is_round or abs(math.remainder(way, math.pi / 2.0)) < _SQUARE
            if square and abs(float(out @ axis.x)) < _SQUARE and 0.0 <= along <= tube.length:
                yield 1, skin_at(tube, along, axis, way, out), tube.section.beside(way) / 2.0
        case ProfilePart() | FlatPart() as shape:
            (x, y, z), (u, v, w) = middle.tolist(), (middle + _FAR * out).tolist()
            at, toward = Point(x, y, z), Point(u, v, w)
            places = shape.places if isinstance(shape, FlatPart) else (None,)
            for number in range(1, len(places) + 1):
                given = PlaceGiven.model_construct(near=at, toward=toward, against_place=number)
                try:
                    if isinstance(shape, FlatPart):
                        skin = skin_of_sheet(carrier.mark, shape, given)
                    else:
                        skin = skin_of_profile(carrier.mark, shape, given)
                except InputError:
                    continue
                half = math.inf  # the place was found on the metal
                if isinstance(shape, ProfilePart):
                    half = next(face.width for face in shape.cross.faces if face.name == skin.face) / 2.0
                if float(skin.out @ out) > 1.0 - _ALIKE:
                    yield number, skin, half


def _touches(skin: Skin, half: float, points: Array, is_edge: bool) -> bool:
    """Whether a part touches a skin with its lowest points, or with an edge sits on what is round."""
    away = points - skin.origin
    beside, over = away @ skin.beside, away @ skin.out
    if is_edge and not skin.radius and skin.section is not None:
        # A foot that is cut to a square tube hangs down past its corners.
        flat = np.abs(beside) < half - skin.section.corner + GAP
        beside, over = beside[flat], over[flat]
        if not len(over):
            return False
    low = float(over.min())
    lowest = over < low + GAP
    first, last = float(beside[lowest].min()), float(beside[lowest].max())
    if not skin.radius:
        return abs(low) < GAP and first < half and last > -half
    if abs(low) < GAP and first <= 0.0 <= last:
        return True
    near = np.hypot(beside[lowest], over[lowest] + skin.radius) - skin.radius
    return is_edge and low > -skin.radius and abs(float(near.min())) < GAP


def _stance(
    part: FlatPart, datums: dict[str, Datum], place: Place, skin: Skin, points: Array
) -> tuple[str, float, bool] | None:
    """With what it touches, how that is turned from along, rad clockwise seen from outside, and whether it stands; None
    where it leans on the skin."""
    axes, low = place.frame.axes, float(((points - skin.origin) @ skin.out).min())
    if part.rolled:
        datum = next(iter(datums.values()))
        is_up = float(datum.front @ axes @ skin.out) > 0.0
        return "bottom" if is_up else "top", _turn(datum.u @ axes, skin), False
    lying = []
    for name, datum in datums.items():
        for foot, sign, height in (("back", 1.0, 0.0), ("front", -1.0, part.thickness)):
            if sign * float(datum.front @ axes @ skin.out) > 1.0 - _ALIKE:
                off = place.frame.outside(datum.at(datum.middle, height)) - skin.origin
                lying.append((abs(float(off @ skin.out)), foot, name))
    if lying and (found := min(lying))[0] < GAP:
        _, foot, name = found
        return _named(foot, name), _turn(datums[name].u @ axes, skin), False
    feet = [each.foot for each in part.places if each.foot in FEET]
    for name, datum in datums.items():
        # An edge runs so that the part's front looks to the right of it.
        u, v = datum.u @ axes, datum.v @ axes
        for foot, up, run in (("bottom", v, u), ("top", -v, -u), ("left", u, -v), ("right", -u, v)):
            if float(up @ skin.out) > 1.0 - _ALIKE:
                corners = np.array([place.frame.outside(datum.at(at, 0.0)) for at in datum.corners]) - skin.origin
                if float((corners @ skin.out).min()) > low + GAP:
                    continue
                words = feet[0] if feet and foot == "bottom" else _named(f"{foot} edge", name)
                return words, _turn(run, skin), True
    return None


def _named(foot: str, name: str) -> str:
    return f"{foot} of face {name}" if name else foot


def _turn(run: Array, skin: Skin) -> float:
    return math.atan2(float(run @ skin.beside), float(run @ skin.along))

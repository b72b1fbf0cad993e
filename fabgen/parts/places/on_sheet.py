"""The place on a face of a plate, a bracket or a cover that another part is placed against."""

from __future__ import annotations

import numpy as np
import shapely

from fabgen.geometry.plane.outline import Xy
from fabgen.job.errors import InputError, listed, nearest, shown
from fabgen.job.tables.place_tables import PlaceGiven
from fabgen.parts.piece import Datum, FlatPart, Place, Skin
from fabgen.parts.places.keys import needs_no
from fabgen.wording.figures import figure

_FACES = {"front": 1.0, "back": 0.0}
_NEAR_EDGE = 0.02
"""A place this far past the metal still lies on its edge, mm."""


def skin_of_sheet(mark: str, part: FlatPart, given: PlaceGiven) -> Skin:
    """Where a place against a sheet part lies on one of its faces.

    Args:
        mark: of the part.
        part: the part, placed.
        given: the place.
    Raises:
        InputError: the key below the place says where.
    """
    needs_no(given, ("offset", "gauge"), f"{mark} is of sheet")
    if given.from_ == "finish":
        raise InputError(f"{mark} is of sheet: it has no finish", "at = [u, v] on its face", key=("from",))
    place = _place(mark, part, given)
    face, on = _where(mark, part, given, place)
    datum = part.datums[face]
    side = _side(mark, part, given, datum, place, on)
    at = place.frame.outside(datum.at(on, _FACES[side] * part.thickness))
    out = (datum.front if side == "front" else -datum.front) @ place.frame.axes
    along = datum.u @ place.frame.axes
    u0, v0, _, _ = datum.bounds
    beside = float(np.cross(along, out) @ (datum.v @ place.frame.axes))
    across = on[1] - v0, on[1] - v0 + beside
    named = f"{side} of {face}" if face else side
    return Skin(at, along, out, at=on[0] - u0, face=named, across=across, datum="the lower edge")


def _place(mark: str, part: FlatPart, given: PlaceGiven) -> Place:
    if not part.places:
        what = f"{mark} has no place itself, so nothing can stand against it"
        raise InputError(what, f"a `place` for {mark}", key=("against",))
    if not any(datum.corners for datum in part.datums.values()):
        raise InputError(f"{mark} has no flat face", "a plate, a bracket or a flat cover", key=("against",))
    number = given.against_place or 1
    if number > len(part.places):
        what = f"{mark} stands in {len(part.places)} place{'s' if len(part.places) > 1 else ''}, not in {number}"
        raise InputError(what, f"1 to {len(part.places)}", key=("against_place",))
    return part.places[number - 1]


def _where(mark: str, part: FlatPart, given: PlaceGiven, place: Place) -> tuple[str, Xy]:
    """The face, and (u, v) on it."""
    named = [name for name in part.datums if name]
    if given.against_face and given.against_face not in named:
        accepted = listed([shown(name) for name in named]) if named else "no `against_face`: it is one flat"
        what = f"{mark} has no face {shown(given.against_face)}"
        raise InputError(what, accepted, nearest(given.against_face, named), ("against_face",))
    face = given.against_face or next(iter(part.datums))
    if given.against_hole is not None:
        count = len(part.numbered)
        if given.against_hole > count:
            accepted = f"a number from 1 to {count}" if count else "at = [u, v]; the part has no holes"
            raise InputError(f"{mark} has no hole {given.against_hole}", accepted, key=("against_hole",))
        on_face, on = part.numbered[given.against_hole - 1]
        return (on_face if on_face in part.datums else face), on
    datum = part.datums[face]
    key, on = "at", (0.0, 0.0)
    if given.near is not None:
        key = "near"
        away = place.frame.inside(np.array([given.near.xyz]))[0] - datum.origin
        on = float(away @ datum.u), float(away @ datum.v)
    elif isinstance(given.at, tuple):
        on = given.at
    else:
        what = f"{mark} is of sheet: `at` is a place on its face"
        raise InputError(what, "at = [u, v] as its holes are given; against_hole = a number", key=("at",))
    u0, v0, u1, v1 = datum.bounds
    folds = len(part.datums) > 1
    metal = shapely.box(u0, v0, u1, v1) if folds else shapely.Polygon(datum.corners)
    if shapely.distance(metal, shapely.Point(on)) > _NEAR_EDGE:
        what = f"[{figure(on[0])}, {figure(on[1])}] lies off the metal of {mark}"
        accepted = f"a place on it: u from {figure(u0)} to {figure(u1)}, v from {figure(v0)} to {figure(v1)}"
        raise InputError(what, accepted, key=(key,))
    return face, on


def _side(mark: str, part: FlatPart, given: PlaceGiven, datum: Datum, place: Place, on: Xy) -> str:
    if given.toward is not None:
        away = place.frame.inside(np.array([given.toward.xyz]))[0] - datum.at(on, part.thickness / 2.0)
        return "front" if float(away @ datum.front) > 0.0 else "back"
    side = "front" if given.side is None else given.side
    if side not in _FACES:
        known = list(_FACES)
        what = f"{mark} is of sheet, it has no side {shown(side)}"
        raise InputError(what, '"front" or "back"; toward = a point', nearest(str(side), known), ("side",))
    return str(side)

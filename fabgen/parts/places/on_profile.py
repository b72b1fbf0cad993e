"""The place on a profile's face that a part is placed against."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fabgen.geometry.profile.cross_section import Face
from fabgen.geometry.profile.limbs import Limb
from fabgen.geometry.space.frame import Array
from fabgen.job.errors import InputError, listed, nearest, shown
from fabgen.job.tables.place_tables import PlaceGiven
from fabgen.job.tables.tube_hole_tables import JOB_SIDES
from fabgen.parts.piece import ProfilePart, Skin
from fabgen.parts.places.keys import along_given, needs_no, past_the_end, where_key
from fabgen.parts.shape.legs import leg_limb, leg_of_face, leg_station
from fabgen.shop.profiles.gauge_lines import Leg, datum_of
from fabgen.wording.sentence import mm, sentence

_LOOKS = 0.7
"""A face whose outward has this cosine with a way looks that way."""


def skin_of_profile(mark: str, part: ProfilePart, given: PlaceGiven) -> Skin:
    """Where a place against a profile lies on one of its faces.

    Args:
        mark: of the profile.
        part: the profile, its ends cut.
        given: the place.
    Raises:
        InputError: the key below the place says where.
    """
    needs_no(given, ("against_face", "against_hole"), f"{mark} is a profile")
    along = along_given(f"{mark} is a profile", part.length, given, part.along_near)
    past_the_end(mark, along, part.length, given)
    x = along + part.begins
    axis = part.frame.origin + x * part.frame.x
    face = _face(mark, part, given, axis)
    beside, out = np.array(face.along), np.array(face.outward)
    # What runs counter-clockwise round the outline in (y, z) runs clockwise seen from the start.
    offset = given.offset
    middle = (np.array(face.start) + np.array(face.end)) / 2.0
    if given.gauge is not None:
        offset = _gauged(mark, part, face, given.gauge)
    if abs(offset) > face.width / 2.0 + 1e-6:
        what = sentence("that is ", mm(abs(offset) - face.width / 2.0), f" off the face {shown(face.name)} of {mark}")
        key = "gauge" if given.gauge is not None else "offset"
        raise InputError(what, sentence("within its ", mm(face.width)), key=(key,))
    at = middle + offset * beside
    _check_cut(mark, part, x, face, at, given)
    across = np.vstack((part.frame.y, part.frame.z))
    skin = Skin(axis + middle @ across, part.frame.x, out @ across, offset, at=along, face=face.name)
    leg = leg_of_face(part.section, face.name)
    if leg is None:
        return replace(skin, datum="the middle")
    zero, one = (_gauged(mark, part, face, gauge) for gauge in (0.0, 1.0))
    sense = 1.0 / (one - zero)
    return replace(skin, across=(-zero * sense, (1.0 - zero) * sense), datum=f"the {datum_of(part.section, leg)}")


def _face(mark: str, part: ProfilePart, given: PlaceGiven, axis: Array) -> Face:
    """The face that is named, or that looks the way that is said, the outermost of several."""
    faces = [face for face in part.cross.faces if face.name]
    names = [face.name for face in faces]
    across = np.vstack((part.frame.y, part.frame.z))
    if given.toward is not None:
        way, key = across @ (np.array(given.toward.xyz) - axis), "toward"
    elif isinstance(given.side, str) and given.side not in JOB_SIDES:
        for face in faces:
            if face.name.lower() == given.side:
                return face
        what = f"{mark} has no face {shown(given.side)}"
        accepted = f"{', '.join(JOB_SIDES)}, or {listed(names, 12)}"
        raise InputError(what, accepted, nearest(given.side, [*names, *JOB_SIDES]), ("side",))
    elif given.side is None or isinstance(given.side, str):
        way, key = across @ np.array(JOB_SIDES[str(given.side or "top")]), "side"
    else:
        what = f"{mark} is a profile, it has no TOP to count degrees from"
        raise InputError(what, f"{', '.join(JOB_SIDES)}, or {listed(names, 12)}", key=("side",))
    long = float(np.linalg.norm(way))
    looking = [face for face in faces if long > 1e-9 and float(np.array(face.outward) @ way) > _LOOKS * long]
    if not looking:
        what = f"no face of {mark} looks that way"
        raise InputError(what, f"a side across it, or {listed(names, 12)}", key=(key,))
    return max(looking, key=lambda face: (round(float(np.array(face.start) @ way) / long, 3), face.width))


def _limb(part: ProfilePart, leg: Leg) -> Limb:
    """The limb of a leg as it lies in the profile's frame."""
    return part.ends[0].cut.edge(leg_limb(part.section, leg).name).limb


def _gauged(mark: str, part: ProfilePart, face: Face, gauge: float) -> float:
    """How far from the middle of a face a gauge lies, mm along its edge."""
    leg = leg_of_face(part.section, face.name)
    if leg is None:
        what = f"the face {shown(face.name)} of {mark} has no gauge line"
        raise InputError(what, "offset: from the middle of the face", key=("gauge",))
    drawn = leg_limb(part.section, leg)
    station = leg_station(part.section, drawn, leg, gauge)
    limb = _limb(part, leg)
    (on,), _ = limb.skin(np.array([limb.width - station if part.flipped else station]))
    middle = (np.array(face.start) + np.array(face.end)) / 2.0
    return float((on - middle) @ np.array(face.along))


def _check_cut(mark: str, part: ProfilePart, x: float, face: Face, at: Array, given: PlaceGiven) -> None:
    """Raises InputError where an end is cut back past the place on this leg."""
    leg = leg_of_face(part.section, face.name)
    if leg is None:
        return
    limb = _limb(part, leg)
    station = float(np.clip(limb.place(at[None, :])[0][0], 0.0, limb.width))
    one, other = part.ends[0].cut.edge(limb.name), part.ends[1].cut.edge(limb.name)
    gone = (
        ("start", float(np.interp(station, one.station, one.x)) - x, part.ends[0].longest),
        (
            "finish",
            float(np.interp(limb.width - station, other.station, other.x)) - part.axis + x,
            part.ends[1].longest,
        ),
    )
    for end, over, longest in gone:
        if over > 1e-6:
            back = (x + over if end == "start" else part.axis - x + over) - longest
            what = sentence(f"{mark} is cut back ", mm(back), f" there at its {end}, past this place")
            accepted = sentence(mm(back), f" or more from the {end}, or another face")
            raise InputError(what, accepted, key=where_key(given))

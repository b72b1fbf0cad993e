"""Legs of profiles: the limb that each is, and where a place in the metal lies on it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.profile.limbs import Limb, marked_limbs
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import Across, LegHole, ProfileEnd, ProfilePart
from fabgen.parts.shape.profiles import cross_section
from fabgen.shop.profiles.gauge_lines import Leg, datum_of, legs_of
from fabgen.shop.profiles.profile_section import ProfileSection


@dataclass(frozen=True, slots=True)
class LegPlace:
    """A place in the metal of a profile: its leg and the face that it is marked on, `station` along that, its `gauge`
    and how far `along` from the start's saw cut it is, mm."""

    leg: Leg
    face: str
    station: float
    gauge: float
    along: float


def leg_place(part: ProfilePart, point: Array) -> LegPlace | None:
    """Where in a profile's metal a point lies; None where it lies in none of its legs.

    Args:
        part: the profile, placed.
        point: (3,) in the job's axes, mm.
    """
    x, *across = part.frame.inside(point)
    for edge in part.ends[0].cut.edges:
        limb = edge.limb
        if not limb.name:
            continue
        station, deep = (float(each[0]) for each in limb.place(np.array([across])))
        if not (0.0 < station < limb.width and 0.0 < deep < float(limb.depth(np.array([station]))[0])):
            continue
        other = part.ends[1].cut.edge(limb.name)
        first = float(np.interp(station, edge.station, edge.x))
        last = part.axis - float(np.interp(limb.width - station, other.station, other.x))
        if first < x < last:
            leg, gauge = _gauged(part, limb.name, limb.width - station if part.flipped else station)
            return LegPlace(leg, limb.name, station, gauge, x - part.begins)
    return None


def hole_places(part: ProfilePart, hole: LegHole, end: ProfileEnd) -> Iterator[tuple[float, float]]:
    """Middles of a hole's round ends as an end of its profile has them: station along the face and x, mm.

    Args:
        part: the profile.
        hole: one of its holes.
        end: one of its ends.
    """
    width = end.cut.edge(hole.face).limb.width
    for station, along in hole.round_ends:
        if end.at == "start":
            yield station, end.longest + along
        else:
            yield width - station, end.longest + part.length - along


def _gauged(part: ProfilePart, face: str, station: float) -> tuple[Leg, float]:
    """The leg behind a face, and the gauge of a station on it as the trade draws the section."""
    found: list[tuple[Leg, float]] = []
    for leg in legs_of(part.section):
        limb = leg_limb(part.section, leg)
        if limb.name == face:
            datum, one = (leg_station(part.section, limb, leg, at) for at in (0.0, 1.0))
            found.append((leg, (station - datum) * (one - datum)))
    # Of a T's flange that side toward which the gauge is not negative.
    return max(found, key=lambda each: each[1])


def across_face(part: ProfilePart, face: str, points: Array) -> Across | None:
    """From where to where places on a face lie across it.

    Args:
        part: the profile.
        face: name of one of its faces, outside or inside.
        points: (n, 2) on it, in (y, z) of the profile's frame.
    Returns: None of a face that no hole is measured on: a toe, the edge of a bar.
    """
    leg = leg_of_face(part.section, face)
    if leg is None:
        return None
    own = leg_limb(part.section, leg)
    limb = part.ends[0].cut.edge(own.name).limb
    places = np.clip(limb.place(points)[0], 0.0, limb.width)
    station = limb.width - places if part.flipped else places
    datum, one = (leg_station(part.section, own, leg, at) for at in (0.0, 1.0))
    gauge = (station - datum) * (one - datum)
    word = f"the {datum_of(part.section, leg)}"
    if word == "the middle":
        gauge, word = limb.width / 2.0 - gauge, {"channel": "flange a", "T": "toe a"}.get(part.section.kind, "edge a")
    stations = (float(places.min()), float(places.max()))
    return Across(max(0.0, float(gauge.min())), float(gauge.max()), word, own.name, stations)


_OUTER = {
    "leg a inside": "leg a outside",
    "leg b inside": "leg b outside",
    "flange a inside": "flange a outside",
    "flange b inside": "flange b outside",
    "web inside": "web outside",
    "flange inside a": "flange outside",
    "flange inside b": "flange outside",
    "stem side b": "stem side a",
    "face b": "face a",
}
"""The outer face that a leg is marked on, by the face at its back."""


def leg_of_face(section: ProfileSection, face: str) -> Leg | None:
    """The leg whose face it is, of a T's flange side a; None of a toe, and of the edge of a bar.

    Args:
        section: of the profile.
        face: name of one of its faces, outside or inside.
    """
    outer = _OUTER.get(face, face)
    return next((leg for leg in legs_of(section) if leg_limb(section, leg).name == outer), None)


def leg_limb(section: ProfileSection, leg: Leg) -> Limb:
    """The limb of a leg, as the trade draws the section.

    Args:
        section: of the profile.
        leg: one of its legs.
    """
    names = {"a": "leg a outside", "b": "leg b outside", "stem": "stem side a", "face": "face a"}
    name = "flange outside" if section.kind == "T" and leg.startswith("flange") else names.get(leg, f"{leg} outside")
    return next(limb for limb in marked_limbs(cross_section(section)) if limb.name == name)


def leg_station(section: ProfileSection, limb: Limb, leg: Leg, gauge: float) -> float:
    """Where on a limb's face a gauge lies, mm from its start.

    Args:
        section: of the profile.
        limb: that of the leg.
        leg: one of its legs.
        gauge: mm from its datum.
    """
    y, z = 0.0, 0.0
    match leg:
        case "b":
            y = gauge
        case "a" | "web" | "face":
            z = gauge
        case "stem":
            z = -gauge
        case _:
            # A T's flange runs along y, its side a toward -y; a channel's along y from its back.
            y = -gauge if section.kind == "T" and leg == "flange a" else gauge
    start, along = np.array(limb.edge.start), np.subtract(limb.edge.end, limb.edge.start) / limb.width
    return float((np.array([y, z]) - start) @ along)

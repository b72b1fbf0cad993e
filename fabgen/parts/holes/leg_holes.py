"""Holes that a job gives its profiles, from the keys to where they lie on a leg."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from fabgen.job.errors import InputError, nearest
from fabgen.job.tables.tube_hole_tables import LegHoleGiven
from fabgen.parts.piece.leg_hole import LegHole
from fabgen.parts.piece.piece import Fact, fact
from fabgen.parts.piece.profile import ProfilePart
from fabgen.parts.shape.legs import hole_places, leg_limb, leg_station
from fabgen.shop.profiles.gauge_lines import Leg, datum_of, flat_of, legs_of, usual_gauge
from fabgen.shop.profiles.profile_section import ProfileSection
from fabgen.shop.threaded.clearance_holes import HoleFit, UnknownBoltError, clearance
from fabgen.wording.sentence import joined, lengths, mm, sentence


def leg_holes(mark: str, part: ProfilePart, given: LegHoleGiven, fit: HoleFit, after: int = 0) -> tuple[LegHole, ...]:
    """The holes of one table, a row's one after the other.

    Args:
        mark: of the profile.
        part: the profile, its ends cut.
        given: the table.
        fit: series of ISO 273 for bolts.
        after: number of the hole before them.
    Raises:
        InputError: the key below the table says where.
    """
    leg = _leg(part.section, given)
    usual = usual_gauge(part.section, leg)
    gauge = usual.distance if given.gauge is None else given.gauge
    limb = leg_limb(part.section, leg)
    datum, station = leg_station(part.section, limb, leg, 0.0), leg_station(part.section, limb, leg, gauge)
    if not 0.0 < station < limb.width:
        low, high = flat_of(part.section, leg)
        what = f"the hole's middle lies off the {'leg' if leg in ('a', 'b') else leg}"
        raise InputError(what, sentence("a gauge from ", lengths((low, high), " to ")), key=("gauge",))
    depth = float(limb.depth(np.array([station]))[0])
    width, bolt = _size(given, fit)
    if part.flipped:
        datum, station = limb.width - datum, limb.width - station
    if given.length is not None and given.length <= width:
        raise InputError("the slot is no longer than it is wide", "a length above its diameter", key=("length",))
    first = _first(part, given)
    count, pitch = (given.row.count, given.row.pitch) if given.row else (1, 0.0)
    way = -1.0 if given.at is not None and given.from_ == "finish" else 1.0
    key = ("at",) if given.at is not None else ("near",)
    holes = []
    for number in range(count):
        along = first + way * pitch * number
        if not 0.0 < along < part.length:
            off = sentence(f"hole {number + 1} lies off the profile: ", mm(along), " along, of ", mm(part.length))
            raise InputError(off, "a place between its ends", key=("row",) if number else key)
        hole = LegHole(
            mark, after + number + 1, leg, limb.name, gauge, datum_of(part.section, leg), given.gauge is None,
            station, datum, along, given.length or width, width,
            depth, inner_flat(part.section, leg), given.turn, bolt, is_there=given.state is not None,
        )  # fmt: skip
        holes.append(_measured(part, hole))
    return tuple(holes)


def leg_hole_fact(holes: Sequence[LegHole]) -> Fact:
    """What to print of the holes of one table.

    Args:
        holes: of it, in order.
    """
    first, count = holes[0], len(holes)
    number = str(first.number) if count == 1 else f"{first.number} to {holes[-1].number}"
    places = joined(", ", (mm(hole.along, fixed=True) for hole in holes))
    return fact(
        "drilled", f"hole{'s' if count > 1 else ''} {number}",
        first.kind, ", ", first.where, ", ", sentence(places), " from the start's saw cut",
    )  # fmt: skip


def inner_flat(section: ProfileSection, leg: Leg) -> tuple[float, float]:
    """From where to where a leg is flat inside, mm from its datum: past the root radius of the leg beside it.

    Args:
        section: of the profile.
        leg: one of its legs.
    """
    low, high = flat_of(section, leg)
    if section.kind in ("flat", "square bar"):
        return low, high
    return low + section.root, high - (section.root if leg == "web" else 0.0)


def _measured(part: ProfilePart, hole: LegHole) -> LegHole:
    """The hole with how far it is from the cut ends."""
    to_start, to_finish = (
        min(end.cut.edge(hole.face).off(*place) for place in hole_places(part, hole, end)) for end in part.ends
    )
    return replace(hole, to_ends=(to_start, to_finish))


def _leg(section: ProfileSection, given: LegHoleGiven) -> Leg:
    legs = legs_of(section)
    if not legs:
        raise InputError(f"{section.words()} has no flat leg to drill", "no `holes`", key=())
    if given.leg is None:
        if len(legs) > 1:
            raise InputError("which leg is drilled is not given", f"leg = {' or '.join(map(repr, legs))}", key=())
        return legs[0]
    word = given.leg.lower().removeprefix("leg ").strip()
    for leg in legs:
        if word == leg:
            return leg
    what = f"{section.words()} has no leg called {given.leg!r}"
    raise InputError(what, ", ".join(legs), nearest(word, legs), key=("leg",))


def _size(given: LegHoleGiven, fit: HoleFit) -> tuple[float, str]:
    if given.diameter is not None:
        return given.diameter, ""
    try:
        found = clearance(given.bolt or "", fit)
    except UnknownBoltError as error:
        raise error.below("bolt") from None
    return found.diameter, found.bolt


def _first(part: ProfilePart, given: LegHoleGiven) -> float:
    """The place of the first hole, mm from the start's saw cut."""
    if given.at is not None:
        return part.length - given.at if given.from_ == "finish" else given.at
    assert given.near is not None
    return float((np.array(given.near.xyz) - part.frame.origin) @ part.frame.x) - part.begins

"""The place on a tube's skin that a part is placed against."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.centreline import Turn
from fabgen.job.errors import InputError, nearest, shown
from fabgen.job.tables.place_tables import PlaceGiven
from fabgen.job.tables.tube_hole_tables import SIDES
from fabgen.parts.holes.drilled_holes import around, side_round
from fabgen.parts.holes.openings import cut_at, stretch_along
from fabgen.parts.piece import LengthPart, Skin
from fabgen.parts.places.keys import along_given, needs_no, past_the_end, where_key
from fabgen.parts.shape.along_tube import along_near, axis_at, saw_cut_at
from fabgen.shop.section import Section
from fabgen.wording.sentence import mm, sentence

_HOLLOW = math.sin(math.radians(1.0))
"""A side that looks less than this toward the middle of a bend is none of its inside."""


def skin_of_tube(mark: str, part: LengthPart, given: PlaceGiven) -> Skin:
    """Where a place against a tube lies on its skin.

    Args:
        mark: of the tube.
        part: the tube, placed, its ends worked.
        given: the place.
    Raises:
        InputError: the key below the place says where.
    """
    if part.frame is None:
        raise InputError(f"{mark} has no place itself", "a part that stands in the job", key=("against",))
    needs_no(given, ("against_face", "against_hole", "gauge"), f"{mark} is a tube")
    if isinstance(given.side, str) and given.side not in SIDES:
        what = f"{mark} is a tube, it has no side {shown(given.side)}"
        accepted = f"{', '.join(SIDES)}, or degrees from TOP, clockwise seen from the start"
        raise InputError(what, accepted, nearest(given.side, SIDES), ("side",))
    along = along_given(f"{mark} is a tube", part.length, given, lambda point: along_near(part, point))
    past_the_end(mark, along, part.length, given)
    axis, turn = axis_at(part, along), _bend_at(part, along)
    toward = None if given.toward is None else np.array(given.toward.xyz)
    way, beside = side_round(part.section, axis, given.side, toward)
    out = around(axis, way)
    offset = _offset(part.section, way, beside, given, mark)
    is_hollow = turn is not None and float(_inward(turn, axis) @ out) > _HOLLOW
    plain = skin_at(part, along, axis, way, out)
    skin = replace(plain, offset=offset, is_hollow=is_hollow, in_bend=turn is not None)
    _check_cut(mark, part, along, skin, given)
    return skin


def skin_at(part: LengthPart, along: float, axis: Frame, way: float, out: Array) -> Skin:
    """The skin of a placed tube in the middle of one of its sides.

    Args:
        part: the tube.
        along: mm from its start's saw cut.
        axis: `axis_at` there.
        way: of that side, rad from TOP, clockwise seen from the start.
        out: the way that it looks, unit (3,).
    """
    section = part.section
    return Skin(
        axis.origin + section.through(way) / 2.0 * out,
        axis.x,
        out,
        radius=section.width / 2.0 if section.is_round else 0.0,
        section=section,
        at=along,
        way=way,
        datum="the middle",
    )


def _bend_at(part: LengthPart, along: float) -> Turn | None:
    """The bend that a place is in."""
    s = along + saw_cut_at(part)
    turns = part.path.turns if part.path is not None else ()
    return next((each for each in turns if each.at < s < each.at + each.length), None)


def _inward(turn: Turn, axis: Frame) -> Array:
    """Unit direction from the centreline to the middle of a bend."""
    return np.cross(turn.axis, axis.x)


def _offset(section: Section, way: float, beside: float, given: PlaceGiven, mark: str) -> float:
    offset = beside + given.offset
    if section.is_round:
        if given.stands_on is None or abs(offset) < section.width / 2.0:
            return offset
        half, what = section.width / 2.0, "skin"
    else:
        half = section.beside(way) / 2.0 - section.corner
        what = "face"
    if abs(offset) > half + 1e-6:
        over = sentence(mm(abs(offset)), f" beside the middle is off the {what} of {mark}")
        raise InputError(over, sentence(mm(half), " at most"), key=("offset",) if given.offset else ("side",))
    return offset


def _check_cut(mark: str, part: LengthPart, along: float, skin: Skin, given: PlaceGiven) -> None:
    """Raises InputError where the end is cut back past the place on this side."""
    stretch = stretch_along(part, along)
    if stretch is None:
        return
    station, _ = stretch.outside.developed(skin.place[None, :])
    for end, gone, there in (
        (part.ends[0], float(cut_at(part, part.ends[0], station)[0]), along),
        (part.ends[1], float(cut_at(part, part.ends[1], -station)[0]), part.length - along),
    ):
        if there < gone - 1e-6:
            what = sentence(f"{mark} is cut back ", mm(gone), f" on that side of its {end.at}, past this place")
            accepted = sentence(mm(gone), f" or more from the {end.at}, or another side")
            raise InputError(what, accepted, key=where_key(given))

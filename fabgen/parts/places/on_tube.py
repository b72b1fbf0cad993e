"""The place on a tube's skin that a part is placed against."""

from __future__ import annotations

import math

import numpy as np

from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.centreline import Turn
from fabgen.job.errors import InputError, nearest, shown
from fabgen.job.tables.place_tables import PlaceGiven
from fabgen.job.tables.tube_hole_tables import SIDES
from fabgen.parts.holes.drilled_holes import along_near, around, side_round
from fabgen.parts.holes.openings import cut_at, saw_cut_at, stretch_along
from fabgen.parts.piece import LengthPart, Skin
from fabgen.parts.places.keys import needs_no, past_the_end
from fabgen.shop.section import Section
from fabgen.wording.figures import figure

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
    along = _along(mark, part, given)
    axis, turn = axis_at(part, along), _bend_at(part, along)
    toward = None if given.toward is None else np.array(given.toward.xyz)
    way, beside = side_round(part.section, axis, given.side, toward)
    out = around(axis, way)
    offset = _offset(part.section, way, beside, given, mark)
    skin = Skin(
        axis.origin + part.section.through(way) / 2.0 * out,
        axis.x,
        out,
        offset,
        part.section.width / 2.0 if part.section.is_round else 0.0,
        turn is not None and float(_inward(turn, axis) @ out) > _HOLLOW,
        along,
        part.path is None,
        way,
        datum="the middle",
    )
    _check_cut(mark, part, along, skin, given)
    return skin


def _along(mark: str, part: LengthPart, given: PlaceGiven) -> float:
    """Of the place, mm from the start's saw cut."""
    if given.near is not None:
        along = along_near(part, np.array(given.near.xyz))
    else:
        if not isinstance(given.at, int | float):
            raise InputError(
                f"{mark} is a tube: `at` is a length along it", "e.g. at = 300; near = a point", key=("at",)
            )
        along = part.length - given.at if given.from_ == "finish" else float(given.at)
    past_the_end(mark, along, part.length, given)
    return along


def axis_at(part: LengthPart, along: float) -> Frame:
    """A placed tube's frame at a place, x along it, z its top.

    Args:
        part: the tube.
        along: mm from its start's saw cut.
    """
    s = along + saw_cut_at(part)
    if part.path is not None:
        return part.path.frame_at(s)
    assert part.frame is not None
    frame = part.frame
    return Frame(frame.origin + s * frame.x, frame.x, frame.y, frame.z)


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
        over = f"{figure(abs(offset))} mm beside the middle is off the {what} of {mark}"
        raise InputError(over, f"{figure(half)} mm at most", key=("offset",) if given.offset else ("side",))
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
            what = f"{mark} is cut back {figure(gone)} mm on that side of its {end.at}, past this place"
            accepted = f"{figure(gone)} mm or more from the {end.at}, or another side"
            raise InputError(what, accepted, key=("near",) if given.near is not None else ("at",))

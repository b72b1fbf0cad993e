"""Holes that a job gives its tubes, from the keys to the edge on the skin.

A round tube is drilled toward its middle, or along a line `offset` beside it; a flat face is drilled square.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from fabgen.geometry.space.frame import Array, Frame
from fabgen.job.errors import InputError
from fabgen.job.tables.tube_hole_tables import JOB_SIDES, SlitGiven, TubeHoleGiven
from fabgen.parts.holes.openings import Stretch, closed_edge, cut_at, off_the_end, stretch_along, tangents
from fabgen.parts.piece import DrilledHole, Fact, LengthPart, fact
from fabgen.parts.shape.along_tube import along_near, saw_cut_at
from fabgen.parts.shape.sections import angle_about, section_profile
from fabgen.shop.section import Section
from fabgen.shop.threaded.clearance_holes import HoleFit, UnknownBoltError, clearance
from fabgen.wording.figures import figure
from fabgen.wording.sentence import joined, mm, sentence

SLEEVE_ROOM = 0.2
"""A hole is so much wider than the sleeve that is welded into it, mm (common practice, no source)."""
_LEAST_ACROSS = math.sin(math.radians(20.0))
"""A way that leans less than this from the tube's own names none of its sides."""
_BETWEEN = math.radians(1.0)
"""A way this near to the corner between two faces names neither."""


@dataclass(frozen=True)
class Drill:
    """What makes one hole: the cut-out, its way round the tube (rad from TOP, clockwise seen from the start) and how
    far beside the middle it runs, mm."""

    bore: Section
    round: float
    offset: float = 0.0
    turn: float = 0.0
    bolt: str = ""
    both_walls: bool = False
    vent: bool = False
    sleeve: Section | None = None
    plug: bool = False


def drilled_holes(mark: str, part: LengthPart, given: TubeHoleGiven, fit: HoleFit) -> list[DrilledHole]:
    """The holes of one table, a row's one after the other, numbered from 1.

    Args:
        mark: of the tube.
        part: the tube, placed, its ends worked.
        fit: series of ISO 273 for bolts.
    Raises:
        InputError: the key below the table says where.
    """
    if given.sleeve is not None and part.section.is_solid:
        what = f"{mark} is solid, so nothing pulls its walls together and a sleeve has no room"
        raise InputError(what, "the bolt's hole alone, without `sleeve`", key=("sleeve",))
    bore, bolt = _bore(given, fit)
    first = _first(part, given)
    count, pitch = (given.row.count, given.row.pitch) if given.row else (1, 0.0)
    way = -1.0 if given.at is not None and given.from_ == "finish" else 1.0
    key = ("at",) if given.at is not None else ("near",)
    holes: list[DrilledHole] = []
    for number in range(count):
        along = first + way * pitch * number
        if not 0.0 < along < part.length:
            off = sentence(f"hole {number + 1} lies off the tube: ", mm(along), " along, of ", mm(part.length))
            raise InputError(off, "a place between its ends", key=("row",) if number else key)
        if stretch_along(part, along) is None:
            bent = sentence(f"hole {number + 1} lies in a bend, ", mm(along), " from the start's saw cut")
            raise InputError(bent, _straights_of(part), key=("row",) if number else key)
        round_, offset = way_round(part, along, given)
        drill = Drill(
            bore, round_, offset + given.offset, given.turn, bolt, given.both_walls,
            sleeve=given.sleeve, plug=given.plug,
        )  # fmt: skip
        made = drilled(mark, part, along, drill)
        if not made:
            what = f"the hole is as wide as {mark} there: it has no closed edge"
            raise InputError(what, "a smaller hole, or a smaller offset", key=("offset",) if given.offset else ())
        is_there = given.state is not None
        holes += (replace(hole, number=number + 1, is_there=is_there) for hole in made)
    return holes


def drilled(mark: str, part: LengthPart, along: float, drill: Drill) -> list[DrilledHole]:
    """The hole in the near wall and, of a drill that goes on, in the far one; none where it has no closed edge.

    Args:
        along: mm from the start's saw cut, on a straight.
    """
    stretch = stretch_along(part, along)
    assert stretch is not None
    axis = stretch.outside.frame
    out, beside = around(axis, drill.round), around(axis, drill.round + math.pi / 2.0)
    origin = axis.origin + along * axis.x + drill.offset * beside
    holes = []
    for far in (False, True) if drill.both_walls else (False,):
        away = -out if far else out
        frame = Frame.along(origin, away, axis.x)
        turn = -drill.turn if far else drill.turn
        lengthwise = math.cos(turn) * axis.x + math.sin(turn) * np.cross(axis.x, away)
        top = angle_about(frame, lengthwise)
        profile = section_profile(drill.bore, top)
        edge = closed_edge(drill.bore, profile.phi, frame, top, stretch.outside)
        if edge.misses or math.isnan(edge.centre[0]):
            return []
        made = DrilledHole(
            mark, 1, far, part.section, drill.bore, edge, stretch.outside, frame, drill.offset, turn,
            drill.bolt, drill.vent, drill.both_walls, tangents(profile), drill.sleeve,
            plug=drill.plug,
        )  # fmt: skip
        holes.append(_measured(part, made, stretch))
    return holes


def _measured(part: LengthPart, hole: DrilledHole, stretch: Stretch) -> DrilledHole:
    """The hole with how far it is from ends and bends."""
    start, finish = part.ends
    round_, along = np.array([hole.station]), hole.edge.along
    ahead = (hole.bore.width - hole.width) / 2.0 * abs(math.cos(hole.turn))
    to_start = hole.along - ahead - float(cut_at(part, start, round_)[0])
    to_finish = part.length - hole.along - ahead - float(cut_at(part, finish, -round_)[0])
    to_bend = min(float(along.min()) - stretch.first, stretch.last - float(along.max()))
    return replace(hole, off=off_the_end(part, stretch, hole.edge), to_ends=(to_start, to_finish), to_bend=to_bend)


def hole_facts(holes: list[DrilledHole]) -> Iterator[Fact]:
    """What to print of the holes of one table."""
    near = [hole for hole in holes if not hole.far]
    first, count = near[0], len(near)
    walls = " through both walls" if first.both_walls else ""
    number = str(first.number) if count == 1 else f"{first.number} to {near[-1].number}"
    places = joined(", ", (mm(hole.along, fixed=True) for hole in near))
    if (slit := first.slit) is not None:
        ahead = (", middle of the hole ", mm(slit.centre, fixed=True), " from the saw cut") if slit.hole else ()
        yield fact("drilled", f"slit {number}", f"at the {slit.at}: ", first.kind, *ahead, f"{walls}, ",
                   _side_words(first), "; a square tab goes in ", mm(slit.takes))  # fmt: skip
        return
    yield fact(
        "drilled",
        f"{first.word}{'s' if count > 1 else ''} {number}",
        first.kind, f"{walls}, ", sentence(places), " from the start's saw cut, ", _side_words(first),
    )  # fmt: skip


def _side_words(hole: DrilledHole) -> str:
    """'on TOP', '90 degrees from TOP', with how far beside the middle it is drilled."""
    round_ = math.degrees(hole.way)
    side = "on TOP" if round_ < 0.05 else f"{figure(round_)} degrees from TOP"
    return side if abs(hole.offset) < 0.05 else f"{side}, {figure(hole.offset)} mm beside the middle"


def around(axis: Frame, round_: float) -> Array:
    return math.cos(round_) * axis.z - math.sin(round_) * axis.y


def _bore(given: TubeHoleGiven, fit: HoleFit) -> tuple[Section, str]:
    bolt = ""
    if given.diameter is not None:
        size = given.diameter
    else:
        try:
            found = clearance(given.bolt or "", fit)
        except UnknownBoltError as error:
            raise error.below("bolt") from None
        size, bolt = found.diameter, found.bolt
    if (sleeve := given.sleeve) is not None:
        if not sleeve.is_round or sleeve.is_solid:
            raise InputError(
                "a crush sleeve is a round tube", 'outside diameter x wall, e.g. "16 x 2"', key=("sleeve",)
            )
        if size > sleeve.bore + 1e-6:
            over = sentence("the bolt's hole of ", mm(size, 2), " is wider than the sleeve's bore of ")
            raise InputError(
                sentence(over, mm(sleeve.bore, 2)), "a wider sleeve, or one with less wall", key=("sleeve",)
            )
        size = sleeve.width + SLEEVE_ROOM
    if given.length is None:
        return Section("round", size, size, 0.0), bolt
    if given.length <= size:
        raise InputError("the slot is no longer than it is wide", "a length above its diameter", key=("length",))
    return Section("rectangular", given.length, size, 0.0, size / 2.0), bolt


def _first(part: LengthPart, given: TubeHoleGiven) -> float:
    """The place of the first hole, mm from the start's saw cut."""
    if given.at is not None:
        return part.length - given.at if given.from_ == "finish" else given.at
    assert given.near is not None
    return along_near(part, np.array(given.near.xyz))


def way_round(part: LengthPart, along: float, given: TubeHoleGiven | SlitGiven) -> tuple[float, float]:
    """Which way round the drill comes, rad, and how far beside the middle of a face that is, mm."""
    stretch = stretch_along(part, along)
    assert stretch is not None
    axis = stretch.outside.frame
    there = replace(axis, origin=axis.origin + along * axis.x)
    toward = None if given.toward is None else np.array(given.toward.xyz)
    return side_round(part.section, there, given.side, toward)


def side_round(section: Section, axis: Frame, side: str | float | None, toward: Array | None) -> tuple[float, float]:
    """Which way round a tube a side of it looks, rad from TOP, clockwise seen from the start, and how far beside the
    middle of a face that is, mm.

    Args:
        section: of the tube.
        axis: at the place: x along the tube, z its top.
        side: of `JOB_SIDES`, or rad from TOP; None = top.
        toward: (3,) the point that it looks toward, instead.
    Raises:
        InputError: that is no side of this tube.
    """
    if toward is not None:
        angle = _seen_round(axis, toward - axis.origin, "that point", ("toward",))
    elif isinstance(side, str):
        angle = _seen_round(axis, np.array(JOB_SIDES[side]), f"its {side}", ("side",))
    else:
        angle = float(side or 0.0)
        return (angle, 0.0) if section.is_round else _on_face(section, angle)
    if section.is_round:
        return angle, 0.0
    face = round(angle / (math.pi / 2.0)) * math.pi / 2.0
    if abs(math.remainder(angle - face, 2.0 * math.pi)) > math.pi / 4.0 - _BETWEEN:
        raise InputError(
            "that way lies on the corner between two faces of this tube",
            "degrees from TOP: 0, 90, 180 or 270 for the middle of a face",
            key=("toward",) if toward is not None else ("side",),
        )
    return face, 0.0


def _seen_round(axis: Frame, way: Array, name: str, key: tuple[str, ...]) -> float:
    across = way - (way @ axis.x) * axis.x
    if float(np.linalg.norm(across)) < _LEAST_ACROSS * max(float(np.linalg.norm(way)), 1e-9):
        what = f"{name} looks along this tube, so it is none of its sides"
        raise InputError(what, "a side across the tube, or degrees from TOP", key=key)
    return math.atan2(-float(across @ axis.y), float(across @ axis.z)) % (2.0 * math.pi)


def _on_face(section: Section, angle: float) -> tuple[float, float]:
    """The face that a ray from the middle comes out of, and how far from the middle of that face."""
    face, beside = section.face_at(angle)
    if abs(beside) > section.beside(face) / 2.0 - section.corner:
        what = f"{figure(math.degrees(angle))} degrees from TOP is the corner between two faces of this tube"
        raise InputError(what, "0, 90, 180 or 270 for the middle of a face", key=("side",))
    return face, beside


def _straights_of(part: LengthPart) -> str:
    """'a place on a straight: 0 to 210, 320 to 800 mm', mm from the start's saw cut."""
    assert part.path is not None
    saw_cut = saw_cut_at(part)
    spans = []
    for straight in part.path.straights:
        first, last = max(0.0, straight.at - saw_cut), min(part.length, straight.at - saw_cut + straight.length)
        if last - first > 0.1:
            spans.append(f"{figure(first)} to {figure(last)}")
    return f"a place on a straight: {', '.join(spans)} mm"

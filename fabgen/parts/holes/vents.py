"""Vents and drains that find their own place: at a closed tube's low end, underneath, as wide as its check asks."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from fabgen.geometry.space.frame import Frame
from fabgen.job.errors import InputError, Problems
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.holes.drilled_holes import Drill, drilled, hole_facts
from fabgen.parts.holes.openings import stretch_along
from fabgen.parts.piece import ENDS, At, DrilledHole, Fact, LengthPart, Piece, numbered
from fabgen.parts.shape.hollow.closed_members import closed_members, drains_zinc, holes_at, is_vented, low_end
from fabgen.parts.shape.hollow.mouths import Mouths
from fabgen.shop.galvanizing import end_holes, weld_vent
from fabgen.shop.section import Section
from fabgen.wording.sentence import mm, sentence

GALVANIZED = "galvanized after"
CLEAR = 2.0
"""Between the weld at a tube's end, as wide as its wall, and a vent, mm: as near as a drill comes (common practice, no
source)."""
_STEP, _FARTHEST = 5.0, 100.0
"""A vent that finds no room moves on by this, and so far at most, mm."""
_UPRIGHT = math.sin(math.radians(20.0))
"""A tube nearer than this to upright has no underside."""


def with_vents(job: Definitions, pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces with the vents that the job asks for, tube by tube or for all closed ones.

    Raises:
        JobError: a vent finds no place.
    """
    wanted = {tube.mark: number for number, tube in enumerate(job.tube) if any(hole.vent for hole in tube.holes)}
    mouths = Mouths(job, pieces)
    closed: set[str] = set()
    if job.job.vents:
        found = closed_members(job, pieces, drilled=False, mouths=mouths)
        closed = {piece.mark for piece in found if piece.kind == "tube"}
    problems = Problems()
    made: list[Piece] = []
    for piece in pieces:
        part = piece.length_part
        if part is None or part.frame is None:
            made.append(piece)
        elif piece.mark in wanted:
            with problems.at("tube", wanted[piece.mark], "holes"):
                made.append(_vented(job, piece, part, mouths))
        elif piece.mark in closed and not _served(piece, mouths.aired(piece.mark, part)):
            try:
                made.append(_vented(job, piece, part, mouths))
            except InputError:
                made.append(piece)  # its check says that it is closed
        else:
            made.append(piece)
    problems.report()
    return made


def _served(piece: Piece, part: LengthPart) -> bool:
    """Whether the holes that it has do already."""
    if piece.coating == GALVANIZED:
        return drains_zinc(part, end_holes(part.section, part.length))
    low = low_end(part)
    return is_vented(part) and (low is None or bool(holes_at(part, low)))


def _vented(job: Definitions, piece: Piece, part: LengthPart, mouths: Mouths) -> Piece:
    if part.section.is_solid:
        raise InputError(f"{piece.mark} is solid bar: there is nothing to vent", "a hollow tube")
    facts: list[Fact] = []
    new: list[DrilledHole] = []
    for at, size, both, low in _sizes(piece, part):
        hole = _placed(piece.mark, part, at, Section("round", size, size, 0.0), both, low, mouths)
        hole = numbered(hole, len({each.number for each in part.drilled}))
        part = replace(part, drilled=(*part.drilled, *hole))
        new += hole
        facts += hole_facts(list(hole))
    lost = sum(hole.bore.area for hole in new) * part.section.wall
    mass = piece.mass - job.find_material(piece.material).density * lost * 1e-9
    return replace(piece, shape=part, mass=mass, facts=(*piece.facts, *facts))


def _sizes(piece: Piece, part: LengthPart) -> Iterator[tuple[At, float, bool, bool]]:
    """Each vent: its end, its diameter, mm, whether through both walls, and whether on the underside."""
    low: At = low_end(part) or "start"
    if piece.coating != GALVANIZED:
        yield low, weld_vent(), False, True
        return
    needed = end_holes(part.section, part.length)
    most = min(part.section.width, part.section.depth) / 2.0
    if needed.sizes:
        count, size = next(((n, d) for n, d in needed.sizes if d <= most and n <= 2), needed.sizes[0])
    else:
        count, size = 1, math.sqrt(4.0 * needed.area / math.pi)
        if size > most:
            count, size = 2, math.sqrt(2.0 * needed.area / math.pi)
        size = math.ceil(size)
    for at in ENDS:
        # Those of one end lie opposite those of the other: zinc runs in below and air goes out above.
        yield at, float(size), count > 1, at == low


def _placed(
    mark: str, part: LengthPart, at: At, bore: Section, both: bool, low: bool, mouths: Mouths
) -> tuple[DrilledHole, ...]:
    """A vent as near to an end as there is room: in the wall that looks down, or up, else in one beside it."""
    for more in np.arange(0.0, _FARTHEST + _STEP, _STEP):
        for beside in (0.0, math.pi / 2.0, -math.pi / 2.0):
            holes = _tried(mark, part, at, bore, both, low, beside, float(more))
            if holes and all(_is_free(part, hole, mouths) for hole in holes):
                return tuple(holes)
    raise InputError(
        sentence(f"the vent of {mark} finds no room within ", mm(_FARTHEST, 3), f" of its {at}"),
        "a hole of its own: { at = …, side = …, diameter = … }, and no vent",
    )


def _tried(
    mark: str, part: LengthPart, at: At, bore: Section, both: bool, low: bool, beside: float, more: float
) -> list[DrilledHole]:
    """The vent `more` mm beyond the place nearest to the end's cut, `beside` rad from the wall that looks down; none
    where there is no straight for it."""
    number = ENDS.index(at)
    least = (part.ends[number].flattened or part.section.wall + CLEAR) + bore.width / 2.0
    holes: list[DrilledHole] = []
    off = least
    for _ in range(2):
        along = off if at == "start" else part.length - off
        stretch = stretch_along(part, along) if 0.0 < along < part.length else None
        if stretch is None:
            return []
        way = _underside(part, at, stretch.outside.frame, low) + beside
        holes = drilled(mark, part, along, Drill(bore, way, both_walls=both, vent=True))
        # The cut may lie deeper on that side than the saw cut that the way is measured from.
        off += max([0.0, *(least - hole.to_ends[number] for hole in holes)]) + more
        more = 0.0
    return holes


def _underside(part: LengthPart, at: At, axis: Frame, low: bool) -> float:
    """The way round that looks down there, or up; of an upright tube the heel of the end, where rain does not come."""
    end = part.ends[ENDS.index(at)]
    down = np.array([0.0, 0.0, -1.0 if low else 1.0])
    if float(np.linalg.norm(down - (down @ axis.x) * axis.x)) < _UPRIGHT:
        down = end.frame.y if end.has_heel else -axis.z
        down = down if low else -down
    round_ = math.atan2(-float(down @ axis.y), float(down @ axis.z))
    return round_ if part.section.is_round else round(round_ / (math.pi / 2.0)) * math.pi / 2.0


def _is_free(part: LengthPart, hole: DrilledHole, mouths: Mouths) -> bool:
    """Whether no tube sits there, no other hole is near, and nothing lies over it."""
    if hole.off:
        return False
    radius = hole.skin.girth / (2.0 * math.pi)
    for landing in part.landings:
        if landing.skin is None or landing.round is None:
            continue
        apart = abs(math.remainder(landing.round - hole.way, 2.0 * math.pi)) * radius
        reach = part.section.reach / max(math.sin(landing.angle), 0.2) + hole.width
        if abs(landing.skin - hole.along) < reach and apart < part.section.reach + hole.width:
            return False
    return not mouths.drilled(hole.main, hole).by and all(
        math.hypot(other.along - hole.along, math.remainder(other.station - hole.station, hole.skin.girth))
        > (other.bore.width + hole.width)
        for other in part.drilled
    )

"""Seams that are seen from the parts: how long they are, and how thick the metal is there."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import CutLine, FlatPart, LengthPart, LinkPart, Piece, ProfilePart, made_here
from fabgen.parts.shape.welds.welded import LET_IN
from fabgen.plan.buying.cover_seams import bodies_in_place, seam_round
from fabgen.shop.section import Section

WIDEST = math.radians(135.0)
"""Where surfaces meet at more the weld is no fillet: it fills the gap at the edge, and is taken as a fillet in a corner
of this angle (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Seam:
    """`length` mm of weld in all, on metal `thickness` mm thick (the thinner part's); `wedge`: its section over that of
    a square fillet of the same throat."""

    mark: str
    length: float
    thickness: float
    wedge: float = 1.0


def seams(job: Definitions, pieces: Sequence[Piece]) -> tuple[list[Seam], list[str]]:
    """Every seam of the job, and the marks of parts whose welds are not known.

    A part's `weld` key wins; without it coped ends, and ends on plates, are welded all round, a mitre all
    round once for both tubes, bungs into link rods, and caps into their openings as far as these go round them.
    """
    given = {part.mark: part.weld for part in job.parts()}
    let_in = {cover.mark: cover.weld_gap or 0.0 for cover in job.cover if cover.shape in LET_IN}
    walls = {piece.mark: _thickness(piece) for piece in pieces}
    # The seam of a tube that stands on a plate, or is slit over it, is the tube's.
    parts = [part for piece in pieces if (part := piece.length_part) is not None]
    stood_on = {end.stands_on for part in parts for end in part.ends} | {
        weld.onto for part in parts for weld in part.welds
    }
    bodies = bodies_in_place(pieces) if let_in else []
    found: list[Seam] = []
    unknown: list[str] = []
    for piece in made_here(pieces):
        stated = given.get(piece.mark)
        if stated is not None:
            own = [Seam(piece.mark, stated, walls[piece.mark])]
        elif isinstance(piece.shape, LengthPart):
            own = _tube_seams(piece, piece.shape, walls)
        elif isinstance(piece.shape, ProfilePart):
            own = _profile_seams(piece, piece.shape, walls)
        elif piece.mark in let_in and isinstance(piece.shape, FlatPart):
            long = seam_round(piece, bodies, max(let_in[piece.mark], job.job.weld_gap))
            own = [Seam(piece.mark, long or piece.shape.outline.perimeter, piece.shape.thickness)]
        else:
            own = []
            unknown += [piece.mark] if piece.mark not in stood_on else []
        found += [replace(seam, length=seam.length * piece.quantity) for seam in own if seam.length > 0.0]
    return found, unknown


def line_length(line: CutLine, perimeter: float) -> float:
    """Length of a cut line on the tube's skin, mm, straight between its places; what misses is left out."""
    along = np.append(line.station, line.station[0] + perimeter)
    x = np.append(line.x, line.x[0])
    return float(np.nansum(np.hypot(np.diff(along), np.diff(x))))


def _tube_seams(piece: Piece, part: LengthPart, walls: Mapping[str, float]) -> list[Seam]:
    # A mitre's run stands at both tubes' ends, each of which counts half of it.
    found = [
        Seam(
            piece.mark,
            weld.share,
            min(walls[piece.mark], walls.get(weld.onto, math.inf)),
            weld.run.wedge(WIDEST),
        )
        for weld in part.welds
    ]
    if isinstance(part, LinkPart) and part.bungs:
        found.append(Seam(piece.mark, len(part.rods) * part.section.perimeter, walls[piece.mark]))
    return found


def _profile_seams(piece: Piece, part: ProfilePart, walls: Mapping[str, float]) -> list[Seam]:
    return [
        Seam(piece.mark, end.weld, min(walls[piece.mark], *(walls.get(mark, math.inf) for mark in end.onto)))
        for end in part.ends
        if end.onto
    ]


def _thickness(piece: Piece) -> float:
    return _wall(piece.shape.section) if isinstance(piece.shape, LengthPart) else piece.thickness


def _wall(section: Section) -> float:
    """The wall; of solid bar a quarter of its smaller size (common practice, no source)."""
    return section.wall or min(section.width, section.depth) / 4.0

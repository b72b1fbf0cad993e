"""What lands on a tube, as its views show it: the lines on which it comes, and where these are dimensioned."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import FaceLanding, Landing, LengthPart, Piece, WorkedEnd
from fabgen.parts.shape.along_tube import axis_at
from fabgen.parts.shape.standing import standing_on

FACES = {"top": 0.0, "right": math.pi / 2.0, "bottom": math.pi, "left": 1.5 * math.pi}
"""Where the faces of a rectangular tube are as a face landing names them: rad from TOP, clockwise seen from the
start."""


@dataclass(frozen=True, eq=False)
class Arrival:
    """What lands on a tube.

    `places`: where it is dimensioned, mm from the start's saw cut: where its axis comes through the skin, or its two
    edges.  `way`: where round the tube, rad from TOP, clockwise seen from the start.  `heading`: the way it goes from
    there, unit, along the tube, to its left and up.  `half`: of a tube, half its diameter or half its wider side, mm.
    """

    mark: str
    places: tuple[float, ...]
    way: float
    heading: Array
    half: float = 0.0

    @property
    def reach(self) -> tuple[float, float]:
        """From where to where it lies on the skin, mm from the start's saw cut."""
        slant = max(0.3, math.hypot(self.heading[1], self.heading[2]))
        return min(self.places) - self.half / slant, max(self.places) + self.half / slant


def arrivals(piece: Piece, part: LengthPart, known: Mapping[str, Piece]) -> list[Arrival]:
    """All that lands on a tube: ends of tubes and profiles, and placed parts, from its start on.

    Args:
        piece: the tube.
        part: its shape.
        known: all pieces of the job by mark.
    """
    found = [_of_tube(part, landing, known) for landing in part.landings]
    found += [_of_profile(part, landing, known) for landing in part.profiles]
    found += _placed(piece, known)
    return sorted(found, key=lambda each: (round(min(each.places), 3), each.mark))


def _of_tube(main: LengthPart, landing: Landing, known: Mapping[str, Piece]) -> Arrival:
    place = landing.axes if landing.skin is None else landing.skin
    branch = known[landing.branch].length_part if landing.branch in known else None
    heading = None if branch is None else _heading(main, landing.axes, branch.ends[landing.at == "finish"])
    way = landing.round
    if way is None:
        way = 0.0 if heading is None else math.atan2(-heading[1], heading[2]) % (2.0 * math.pi)
    half = 0.0 if branch is None else max(branch.section.width, branch.section.depth) / 2.0
    return Arrival(landing.branch, (place,), way, _outward(way) if heading is None else heading, half)


def _heading(main: LengthPart, along: float, end: WorkedEnd) -> Array | None:
    """The way a branch goes away from a main."""
    if main.frame is None:
        return None
    return np.asarray(axis_at(main, along).axes @ end.frame.x)


def _outward(way: float) -> Array:
    return np.array([0.0, -math.sin(way), math.cos(way)])


def _of_profile(main: LengthPart, landing: FaceLanding, known: Mapping[str, Piece]) -> Arrival:
    way = FACES[landing.faces[0]] if landing.faces else landing.round or 0.0
    return Arrival(landing.branch, (landing.first, landing.last), way, _outward(way))


def _placed(piece: Piece, known: Mapping[str, Piece]) -> Iterator[Arrival]:
    for each, found in standing_on(piece.mark, known.values()):
        if found.way is not None:
            way = found.way % (2.0 * math.pi)
            yield Arrival(each.name, found.along or (found.middle,), way, _outward(way))

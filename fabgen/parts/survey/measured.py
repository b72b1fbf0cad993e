"""How well the lengths of parts are known that hang on measured points.

Tolerances are how far measured points, and lengths between them, may be off the truth, 95 in 100.  A reading that two
points share moves both, so its effect on the length between them is that of the difference
(`job/points/measured_points.py` says how scatter comes about).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.measuring_tables import COVER
from fabgen.job.values.point import Point
from fabgen.parts.piece import Fact, Piece, fact
from fabgen.wording.sentence import mm

LEAST = 0.05
"""Tolerances, and changes of a part, below this are none, mm."""

UNHELD = 100.0
"""A tolerance above this says no more than that the readings do not hold the point that way, mm: fifty times a tape's
usual error, farther than the linear law reaches that tolerances come from."""


def place_tolerance(point: Point) -> tuple[float, float, float]:
    """Of each coordinate, mm; 0 for a point that is given outright."""
    x, y, z = (
        COVER * math.sqrt(math.fsum(effect[axis] ** 2 for effect in point.scatter.values())) for axis in range(3)
    )
    return x, y, z


def distance_tolerance(one: Point, other: Point) -> float:
    """Of the distance between two points, mm."""
    return route_tolerance((one, other))


def route_tolerance(points: Sequence[Point]) -> float:
    """Of the length along straight lines from point to point, mm."""
    moves: dict[str, float] = {}
    for one, other in pairwise(points):
        length = math.dist(one.xyz, other.xyz)
        if length < 1e-6:
            continue
        way = [(b - a) / length for a, b in zip(one.xyz, other.xyz, strict=True)]
        for point, sign in ((one, -1.0), (other, 1.0)):
            for key, effect in point.scatter.items():
                moves[key] = moves.get(key, 0.0) + sign * sum(w * e for w, e in zip(way, effect, strict=True))
    return COVER * math.sqrt(math.fsum(move * move for move in moves.values()))


def length_tolerances(job: Definitions, pieces: Sequence[Piece]) -> dict[str, float]:
    """By mark: how far the length between a part's points may be off, 95 in 100, mm; marks with none are left out."""
    ends = {part.mark: part.runs_between for part in job.parts()}
    found = {piece.mark: route_tolerance(between) for piece in pieces if (between := ends.get(piece.mark))}
    return {mark: tolerance for mark, tolerance in found.items() if tolerance >= LEAST}


def with_tolerances(job: Definitions, pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces, those between measured points with a fact that says how well their length is known."""
    if not any(point.scatter for point in job.points.values()):
        return list(pieces)
    known = length_tolerances(job, pieces)
    return [_with(piece, _known_to(known[piece.mark])) if piece.mark in known else piece for piece in pieces]


def _known_to(tolerance: float) -> Fact:
    how = ("± ", mm(tolerance), " between its points") if tolerance <= UNHELD else ("not held by its readings",)
    return fact("as-measured", "as measured", *how)


def _with(piece: Piece, fact: Fact) -> Piece:
    return replace(piece, facts=(*piece.facts, fact))

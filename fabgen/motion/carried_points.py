"""Points that no body names and that ride on one: where a tube or profile of it ends, or a part of it is drilled."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.job.values.point import Point
from fabgen.motion.riders import Riders
from fabgen.parts.piece import FlatPart, LinkPart, Piece
from fabgen.parts.shape.bored.hole_ways import HoleWay, hole_ways
from fabgen.parts.shape.directions import array

SAME = 1.0
"""A point no farther off an end or a hole's axis is on it, mm."""


def carried(riders: Riders) -> Mapping[tuple[float, float, float], int]:
    """The body of each end of a rod or damper, and of each driven or watched point, that no body names.

    Where parts of two bodies meet in one point, or one of the frame does, the job has to say which it is.

    Args:
        riders: what the parts of the job ride on.
    """
    linkage = riders.linkage
    asked = {point.xyz: array(point) for point in _asked(riders) if f"point {point.name}" not in linkage.riding}
    if not asked or not any(body.marks for body in linkage.job.body):
        return {}
    found: dict[tuple[float, float, float], set[int]] = {xyz: set() for xyz in asked}
    for body, reaches in (*_tubes(riders), *_drilled(riders)):
        for xyz, at in asked.items():
            if reaches(at):
                found[xyz].add(body)
    return {xyz: next(iter(bodies)) for xyz, bodies in found.items() if len(bodies) == 1}


def _asked(riders: Riders) -> Iterator[Point]:
    given = riders.linkage.job
    for link in given.link:
        yield from link.between or ()
    for damper in given.damper:
        yield from damper.between
    for sweep in given.sweep:
        yield from (*sweep.watch, *(() if sweep.height is None else (sweep.height,)))


Reaches = Callable[[Array], bool]


def _tubes(riders: Riders) -> Iterator[tuple[int, Reaches]]:
    """Each tube and profile with the two ends of its route, as the job draws it."""
    job = riders.linkage.job
    routes = {part.mark: part.route for part in job.tube} | {part.mark: part.route for part in job.profile}
    for piece in riders.pieces:
        if piece.mark in routes:
            ends = np.array([array(routes[piece.mark][end]) for end in (0, -1)])
            yield riders.body(piece), partial(_ends_at, ends)


def _drilled(riders: Riders) -> Iterator[tuple[int, Reaches]]:
    """Each part at each of its places with its holes."""
    for piece in riders.pieces:
        if isinstance(piece.shape, LinkPart):
            continue
        for number, placed in enumerate(_one_by_one(piece)):
            if ways := list(hole_ways(placed)):
                yield riders.body(piece, number), partial(_is_in_holes, ways)


def _one_by_one(piece: Piece) -> Sequence[Piece]:
    part = piece.shape
    if not isinstance(part, FlatPart):
        return (piece,)
    return [replace(piece, shape=replace(part, places=(place,))) for place in part.places]


def _ends_at(ends: Array, at: Array) -> bool:
    return bool((np.linalg.norm(ends - at, axis=1) <= SAME).any())


def _is_in_holes(ways: Sequence[HoleWay], at: Array) -> bool:
    """Whether a point is in a hole, or between two in line, as those of two ears are."""
    beyond = [
        float((mouth - at) @ ways[0].axis)
        for way in ways
        if float(np.linalg.norm(np.cross(at - way.centre, way.axis))) <= SAME
        for mouth in way.mouths(SAME)
    ]
    return bool(beyond) and min(beyond) <= 0.0 <= max(beyond)

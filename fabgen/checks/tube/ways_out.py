"""What to write where two tubes run through one another, neither of them coped onto the other: at an end, side by side,
or bent; what crosses between its ends is in `crossing_tubes`."""

from __future__ import annotations

import math

import numpy as np

from fabgen.checks.tube.crossing_tubes import Crossing, bent_crossing, clear_of, straight_crossing
from fabgen.checks.tube.tube_bodies import Body
from fabgen.geometry.space.frame import Array, cross
from fabgen.job.expansion.written_keys import Wanted, WrittenKeys
from fabgen.parts.piece import ENDS, At
from fabgen.parts.shape.cuts import LEAST_ANGLE
from fabgen.parts.shape.tubes import route_point
from fabgen.wording.sentence import Sentence, joined, outward_to_paste, sentence, to_paste

_STEP = 2.0
"""Centre lines of bent tubes are held against one another at places this far apart, mm."""

_TURNS = 20
"""So often the nearest place on either is taken in turn, which leaves nothing of that step."""

_NEAR = 2.0
"""An end within so many times both tubes' reach of the other's centre line was meant for it."""


def ways_out(one: Body, other: Body, over: float, written: WrittenKeys) -> Sentence | Crossing:
    """The lines to write: where an end is near the other tube, what fits it to that; where two lie side by side or both
    are bent, what moves one clear.

    Args:
        one: the tube listed first.
        other: the one that the finding is about.
        over: how far it runs through the first, mm.
        written: the job file.
    Returns: of two that cross between their ends the crossing.
    """
    if (fitted := _end_onto(one, other, written)) is not None:
        return fitted
    if one.part.path is None and other.part.path is None and _angle(one, other, one.frame.origin) < LEAST_ANGLE:
        return _alongside(one, other)
    if one.part.path is not None or other.part.path is not None:
        there, past = _nearest_points(one, other)
        square = _square_to_both(one, other, there, past)
        crossing = bent_crossing(one, other, over, there, past, square)
        return crossing or sentence(": ", moved_clear(one, other, past - there, square))
    return straight_crossing(one, other, over) or sentence("")


def moved_clear(one: Body, other: Body, apart: Array, square: Array) -> Sentence:
    """The offset that takes the other tube clear, along `square`, of what it is `apart` from."""
    move = [outward_to_paste(float(each)) for each in clear_of(one, other, apart, square)]
    return sentence("`offset = [", joined(", ", move), f"]` in the table of {other.mark} moves it clear")


# -- an end near the other tube ------------------------------------------------------
def _end_onto(one: Body, other: Body, written: WrittenKeys) -> Sentence | None:
    """What fits the end that is nearest to the other tube to that; None where none is near."""
    near: list[tuple[float, Body, At, Body, Array]] = []  # those too flat to be coped have none
    for branch, main in ((other, one), (one, other)):
        for at in ENDS:
            point = route_point(branch.part, at)
            place = _on_centreline(main, point)
            if _angle(branch, main, point) >= LEAST_ANGLE:
                near.append((round(float(np.linalg.norm(point - place)), 3), branch, at, main, place))
    if not near:
        return None
    off, branch, at, main, place = min(near, key=lambda each: each[0])
    if off > _NEAR * (branch.part.section.reach + main.part.section.reach):
        return None
    if off < 1.0:
        line = Wanted(branch.mark, at, {"onto": [main.mark], "extend": None})
        return sentence(": ", written.lines([line], " copes it"))
    point_there = joined(", ", [to_paste(float(v)) for v in place])
    return sentence(
        f": set the point of the {at} of {branch.mark} to [", point_there, f"], on {main.mark}, to have it coped"
    )


def _angle(one: Body, other: Body, point: Array) -> float:
    """The acute angle between two tubes' axes near a point, rad."""
    ways = [body.path.nearest(point).frame_at(0.0).x for body in (one, other)]
    return math.acos(min(1.0, abs(float(ways[0] @ ways[1]))))


def _alongside(one: Body, other: Body) -> Sentence:
    """What to write where two straight tubes run side by side."""
    apart = other.frame.origin - one.frame.origin
    apart = apart - float(apart @ one.frame.x) * one.frame.x
    away = float(np.linalg.norm(apart))
    return sentence(": ", moved_clear(one, other, apart, apart / away if away > 1e-6 else other.frame.z))


def _on_centreline(body: Body, point: Array) -> Array:
    """The place on a tube's centre line nearest to a point, (3,) mm."""
    stretch = body.path.nearest(point)
    return stretch.frame_at(float(stretch.locate(point[None, :], 0.0, stretch.length)[0][0])).origin


# -- bent tubes ------------------------------------------------------------------------
def _nearest_points(one: Body, other: Body) -> tuple[Array, Array]:
    """Where the centre lines of two tubes are nearest to one another, each (3,) mm."""
    lines = []
    for body in (one, other):
        count = max(2, math.ceil(body.path.length / _STEP))
        lines.append(np.array([body.path.frame_at(s).origin for s in np.linspace(0.0, body.path.length, count)]))
    away = [float(np.linalg.norm(lines[1] - point, axis=1).min()) for point in lines[0]]
    there: Array = lines[0][int(np.argmin(np.round(away, 3)))]
    past = _on_centreline(other, there)
    for _ in range(_TURNS):
        there = _on_centreline(one, past)
        past = _on_centreline(other, there)
    return there, past


def _square_to_both(one: Body, other: Body, there: Array, past: Array) -> Array:
    """The direction from one centre line to the other where they are nearest; where they meet, square to both."""
    if float(np.linalg.norm(past - there)) > 0.5:
        return np.asarray((past - there) / np.linalg.norm(past - there))
    ways = [body.path.nearest(there).frame_at(0.0).x for body in (one, other)]
    square = cross(*ways)
    length = float(np.linalg.norm(square))
    return np.asarray(square / length) if length > 1e-6 else other.frame.z

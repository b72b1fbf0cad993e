"""What to write where two tubes run through one another, neither of them coped onto the other: at an end, side by side,
or bent; what crosses between its ends is in `crossing_tubes`."""

from __future__ import annotations

import math
from collections.abc import Container, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.tube.crossing_tubes import Crossing, bent_crossing, clear_of, offset_of, straight_crossing
from fabgen.checks.tube.tube_bodies import Body
from fabgen.geometry.space.frame import Array, cross
from fabgen.job.expansion.written_keys import Wanted
from fabgen.parts.piece import ENDS, At
from fabgen.parts.shape.cuts import LEAST_ANGLE
from fabgen.parts.shape.tubes import route_point
from fabgen.wording.sentence import Sentence, sentence

_STEP = 2.0
"""Centre lines of bent tubes are held against one another at places this far apart, mm."""

_TURNS = 20
"""So often the nearest place on either is taken in turn, which leaves nothing of that step."""

_THERE = 1.0
"""An end this near to a centre line has its point there, mm."""

_NEAR = 2.0
"""An end within so many times both tubes' reach of the other's centre line was meant for it."""


@dataclass(frozen=True, eq=False)
class Fit:
    """What is to be done with a tube that runs into another one.

    Args:
        kind: its end is coped onto the other, the end's point is set on that, or it is moved clear of that.
        mark: the tube.
        main: the mark of the other.
        at: the end, where it is one.
        place: (3,) mm, where the end's point is to lie.
        move: (3,) mm, what takes it clear.
    """

    kind: Literal["onto", "point", "offset"]
    mark: str
    main: str
    at: str = ""
    place: Array | None = None
    move: Array | None = None


def ways_out(one: Body, other: Body, over: float, plain: Container[tuple[str, str]] = ()) -> Fit | Crossing:
    """Where an end is near the other tube, what fits it to that; of two that cross between their ends the crossing;
    where two lie side by side or both are bent, what moves one clear.

    Args:
        one: the tube listed first.
        other: the one that the finding is about.
        over: how far it runs through the first, mm.
        plain: the tubes' ends, by mark, that the job has sawn square at their points: they are moved onto no other.
    """
    if (fitted := _end_onto(one, other, plain)) is not None:
        return fitted
    if one.part.path is None and other.part.path is None:
        if _angle(one, other, one.frame.origin) < LEAST_ANGLE:
            return _alongside(one, other)
        if (crossing := straight_crossing(one, other, over)) is not None:
            return crossing
    there, past = _nearest_points(one, other)
    square = _square_to_both(one, other, there, past)
    crossing = bent_crossing(one, other, over, there, past, square)
    return crossing or _moved(one, other, past - there, square)


def fit_words(fits: Sequence[Fit], job: Checked) -> Sentence:
    """The lines to write for fits of one kind."""
    tubes, it = job.tube_tables, "it" if len(fits) == 1 else "them"
    if fits[0].kind == "onto":
        keys = (Wanted(fit.mark, fit.at, {"onto": [fit.main], "extend": None}) for fit in fits)
        return job.written.lines(keys, f" copes {it}")
    if fits[0].kind == "point":
        moved = [(tubes[fit.mark], fit.at, fit.place.tolist()) for fit in fits if fit.place is not None]
        on = f", on {fits[0].main}," if len(fits) == 1 else ""
        return sentence(job.written.points(moved), f"{on} to have {it} coped")
    moves = [
        Wanted(fit.mark, "", {"offset": offset_of(fit.move, tubes[fit.mark].offset)})
        for fit in fits
        if fit.move is not None
    ]
    return job.written.lines(moves, f" moves {it} clear")


def moved_clear(one: Body, other: Body, apart: Array, square: Array, job: Checked) -> Sentence:
    """The line of the offset that takes the other tube clear, along `square`, of what it is `apart` from."""
    return fit_words([_moved(one, other, apart, square)], job)


def _moved(one: Body, other: Body, apart: Array, square: Array) -> Fit:
    return Fit("offset", other.mark, one.mark, move=clear_of(one, other, apart, square))


# -- an end near the other tube ------------------------------------------------------
def _end_onto(one: Body, other: Body, plain: Container[tuple[str, str]]) -> Fit | None:
    """What fits the end that is nearest to the other tube to that; None where none is near."""
    near: list[tuple[float, Body, At, Body, Array]] = []  # those too flat to be coped have none
    for branch, main in ((other, one), (one, other)):
        for at in ENDS:
            point = route_point(branch.part, at)
            place = _on_centreline(main, point)
            off = round(float(np.linalg.norm(point - place)), 3)
            if _angle(branch, main, point) >= LEAST_ANGLE and (off < _THERE or (branch.mark, at) not in plain):
                near.append((off, branch, at, main, place))
    if not near:
        return None
    off, branch, at, main, place = min(near, key=lambda each: each[0])
    if off > _NEAR * (branch.part.section.reach + main.part.section.reach):
        return None
    return Fit("onto" if off < _THERE else "point", branch.mark, main.mark, at, place)


def _angle(one: Body, other: Body, point: Array) -> float:
    """The acute angle between two tubes' axes near a point, rad."""
    ways = [body.path.nearest(point).frame_at(0.0).x for body in (one, other)]
    return math.acos(min(1.0, abs(float(ways[0] @ ways[1]))))


def _alongside(one: Body, other: Body) -> Fit:
    """What moves one of two straight tubes that run side by side clear."""
    apart = other.frame.origin - one.frame.origin
    apart = apart - float(apart @ one.frame.x) * one.frame.x
    away = float(np.linalg.norm(apart))
    return _moved(one, other, apart, apart / away if away > 1e-6 else other.frame.z)


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

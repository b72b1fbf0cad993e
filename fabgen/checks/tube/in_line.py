"""Tubes that lie in one another along one line: how far, and what to write.

Their skins coincide where the two are alike, so this is asked of their axes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.tube.tube_bodies import Body
from fabgen.checks.tube.ways_out import moved_clear
from fabgen.geometry.space.frame import Array
from fabgen.job.expansion.written_keys import Wanted
from fabgen.parts.piece import ENDS, At
from fabgen.parts.shape.tubes import route_point
from fabgen.wording.sentence import Sentence, mm, sentence

LEAST = 1.0
"""Ends that reach into one another by less meet, mm; measured points are seldom better."""

APART = 1.0
"""Axes nearer to one another than this all along lie in one line, mm."""

_PARALLEL = math.cos(math.radians(5.0))


@dataclass(frozen=True, eq=False)
class InLine:
    """Where two tubes lie in one another along one line.

    Args:
        length: mm along.
        end: the second's end that is to stand elsewhere; None where it lies in the first as a whole, or no end does.
        where: the first's end to which that is to be moved.
        whole: which of the two lies in the other all along; None of neither.
    """

    length: float
    end: At | None = None
    where: At | None = None
    whole: Body | None = None


def overlap_in_line(one: Body, other: Body) -> InLine | None:
    """How two tubes lie in one another along one line; None where they do not.

    Args:
        one: the tube listed first.
        other: the one that the finding is about.
    """
    longest = max(_overlaps(one, other), key=lambda each: each[0], default=None)
    if longest is None:
        return None
    length, ours, theirs = longest
    for body, whole in ((other, theirs), (one, ours)):
        if whole and body.part.path is None:
            return InLine(length, whole=body)
    inside = [at for at in ENDS if _is_in(route_point(other.part, at), one)]
    stops = [at for at in ENDS if _is_in(route_point(one.part, at), other)]
    return InLine(length, inside[0], stops[0]) if inside and stops else InLine(length)


def _overlaps(one: Body, other: Body) -> Iterator[tuple[float, bool, bool]]:
    """The length over which two straight stretches lie in one another, mm, and whether that is all of either."""
    for begin, end in one.straights:
        long = float(np.linalg.norm(end - begin))
        along = (end - begin) / long
        for first, last in other.straights:
            way = (last - first) / np.linalg.norm(last - first)
            if abs(float(way @ along)) < _PARALLEL:
                continue
            span = sorted(float((point - begin) @ along) for point in (first, last))
            low, high = max(span[0], 0.0), min(span[1], long)
            if high - low <= LEAST:
                continue
            off = [_off(begin + at * along, first, way) for at in (low, high)]
            if max(off) < APART:
                yield high - low, high - low > long - LEAST, high - low > span[1] - span[0] - LEAST


def _off(point: Array, line: Array, way: Array) -> float:
    away = point - line
    return float(np.linalg.norm(away - float(away @ way) * way))


def _is_in(point: Array, body: Body) -> bool:
    """Whether a point lies on the axis of a tube, between its ends."""
    for begin, end in body.straights:
        long = float(np.linalg.norm(end - begin))
        way = (end - begin) / long
        if -LEAST < float((point - begin) @ way) < long + LEAST and _off(point, begin, way) < APART:
            return True
    return False


def in_line_words(one: Body, other: Body, found: InLine, job: Checked) -> Iterator[Sentence]:
    """What is wrong, and the line to write.

    Args:
        one, other: the two tubes, as those of `overlap_in_line`.
        found: how they lie in one another.
        job: which both are of.
    """
    yield sentence(f"lies in {one.mark} over ", mm(found.length), ", both in one line: ")
    if found.end is None or found.where is None:
        if found.whole is not None:
            all_of = "both are all of it" if _is_same(one, other) else f"that is all of {found.whole.mark}"
            yield sentence(f"{all_of}, so leave {found.whole.mark} out, or ")
        if one.part.path is None and other.part.path is None:
            yield moved_clear(one, other, np.zeros(3), other.frame.y, job)
        else:
            yield sentence("move one of them clear")
        return
    place = route_point(one.part, found.where).tolist()
    moved = job.written.points([(job.tube_tables[other.mark], found.end, place)])
    yield sentence(moved, f", where {one.mark} ends")
    if one.part.section == other.part.section:
        how = "sleeved" if one.part.section.is_round and not one.part.section.is_solid else "welded"
        line = job.written.lines([Wanted(one.mark, found.where, {"splice": how})])
        yield sentence("; for one length of the two add ", line)


def _is_same(one: Body, other: Body) -> bool:
    """Whether two straight tubes have the same ends."""
    ends = [[route_point(body.part, at) for at in ENDS] for body in (one, other)]
    return any(
        max(math.dist(a, b) for a, b in zip(ends[0], order, strict=True)) <= LEAST for order in (ends[1], ends[1][::-1])
    )

"""Checks of how the ends of tubes are cut: whether they meet what they sit on, and what the saw must reach."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from fabgen.checks.checked import Checked, Checking
from fabgen.checks.rule import Found, found, rule
from fabgen.geometry.tube.centreline import Turn
from fabgen.job.expansion.written_keys import Wanted
from fabgen.parts.piece import LengthPart, WorkedEnd, sawn_square
from fabgen.parts.shape.cuts import section_share
from fabgen.parts.shape.tubes import route_point
from fabgen.parts.shape.welds.weld_families import side_words
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, joined, lengths, mm, number, sentence

_ON_BEND = 1.0
"""A point this near to the centreline of a bend is meant to lie on it, mm."""

Tube = Checking[LengthPart]


_HALF = 0.5
"""An end that more than this share of its round has nothing to sit on makes no joint (common practice, no source)."""


@rule("end-misses", Level.WARN, Level.STOP)
def end_misses(of: Tube) -> Iterator[Found]:
    """A coped or mitred end meets its mains all the way round: where it does not meet them at all, or runs past them
    over more than half of its round, there is no joint; where it runs past less of them, that part of it has no
    seat."""
    for end in of.part.ends:
        if not end.line.misses or end.cut == "plane":
            continue
        onto = " and ".join(joint.onto for joint in end.joints)
        lost = np.isnan(end.line.x)
        bend = _bend_point(of, end)
        if lost.all():
            nowhere = f"the {end.at} does not meet {onto} anywhere: "
            advice = bend or "check its point, its offset and what it sits on"
            yield found(nowhere, advice, level=Level.STOP)
            continue
        share = _share(of.part, end, lost)
        past = sentence(f"the {end.at} runs past {onto} over ", number(100.0 * share, 0), " % of its round, ")
        cure = bend or "take a thinner branch, a wider main or less offset"
        if share > _HALF:
            yield found(past, _arcs(end, lost), ": that is no joint; ", cure, level=Level.STOP)
        else:
            yield found(past, _arcs(end, lost), ", with nothing to sit on there: ", cure)


def _bend_point(of: Tube, end: WorkedEnd) -> Sentence | None:
    """Where to set the point of an end that aims past the bend of a main; None where it aims at a straight, or well."""
    if of.part.frame is None:
        return None
    for joint in end.joints:
        main = of.job.tubes.get(joint.onto)
        path = main.path if main is not None else None
        point = route_point(of.part, end.at)
        turn = path.nearest(point) if path is not None else None
        if not isinstance(turn, Turn):
            continue
        place = turn.frame_at(float(turn.locate(point[None, :], 0.0, turn.length)[0][0])).origin
        if (off := float(np.linalg.norm(point - place))) > _ON_BEND:
            moved = of.job.written.points([(of.job.tube_tables[of.mark], end.at, place.tolist())])
            return sentence("its point lies ", mm(off), f" off a bend of {joint.onto}; ", moved, ", the nearest on it")
    return None


@rule("saw-reach", Level.NOTE)
def saw_reach(of: Tube) -> Iterator[Found]:
    """A straight cut needs no more than 45 degrees of swing or tilt, which is as far as most saws go."""
    if any(end.saw is not None and end.saw.is_beyond_reach for end in of.part.ends):
        instead = "clamp it square to the fence and swing the rest of 90°, or cut by the template"
        yield found(f"a cut of it needs the saw over 45° from square, which few reach: {instead}; see its drawing")


@rule("solid-square", Level.NOTE, source="geometry of the two sections")
def solid_square(job: Checked) -> Iterator[Found]:
    """Solid bar square on a round tube is not left sawn square, open at the sides, unsaid."""
    square = [
        (mark, end, (math.hypot(main.section.width, part.section.width) - main.section.width) / 2.0)
        for mark, part in job.own_tubes.items()
        for end in part.ends
        if end.joints and (main := job.tubes.get(end.joints[0].onto)) is not None
        and main.section.is_round and part.section.is_round and sawn_square(part.section, end)
    ]  # fmt: skip
    if not square:
        return
    one, (_, end, left) = len(square) == 1, max(square, key=lambda each: each[2])
    whose = f"its {end.at} is sawn square, leaves " if one else f"{len(square)} ends are sawn square, leave up to "
    where = f"of {end.joints[0].onto}, and has no template; " if one else "of what they sit on, and have no template; "
    copes = " copes it" if one else " copes them"
    lines = job.written.lines((Wanted(mark, end.at, {"fit": "outside"}) for mark, end, _ in square), copes)
    yield found(whose, mm(left), " open at the sides ", where, lines, about=[mark for mark, *_ in square])


RULES = (end_misses, saw_reach)


# -- helpers ----------------------------------------------------------------------
def _arcs(end: WorkedEnd, lost: NDArray[np.bool_]) -> Sentence:
    """'at the sides, 20 to 34 mm and 71 to 85 mm along the wrap from its left edge', the lost places taken
    round the tube."""
    count, phi, station = len(lost), end.line.phi, end.line.station
    begins = [i for i in range(count) if lost[i] and not lost[i - 1]]
    places, sides = [], []
    for begin in begins:
        last = begin
        while lost[(last + 1) % count]:
            last = (last + 1) % count
        middle = phi[begin] + (phi[last] - phi[begin]) % (2.0 * math.pi) / 2.0
        sides.append(f"at {side_words(end, float(middle))}")
        places.append(lengths((station[begin], station[last]), " to ", 0))
    where = f"{' and '.join(dict.fromkeys(sides))}, "
    return sentence(where, joined(" and ", places), " along the wrap from its left edge")


def _share(part: LengthPart, end: WorkedEnd, lost: NDArray[np.bool_]) -> float:
    """Share of the round that is lost."""
    return float(section_share(part, part.ends.index(end))[lost].sum())

"""Two tubes end to end in one straight line, and where a tube that is longer than any bar may be spliced."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.geometry.space.box_overlap import overlapping
from fabgen.geometry.tube.centreline import Centreline, Straight
from fabgen.parts.piece import At, LengthPart, WorkedEnd
from fabgen.parts.shape.tubes import route_point
from fabgen.shop.sleeves import half_sleeve
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, joined, mm, sentence, to_paste

End = tuple[str, At]
"""A tube's mark, and which end."""

MEET = 1.0
"""Ends this near meet, mm."""

IN_LINE = math.cos(math.radians(1.0))
"""Ends within a degree of one straight line lie in it."""

_TENTH = 0.1
"""Places are advised to a tenth, mm."""

MIDDLE = 0.25
"""The share of a free stretch about its middle where it bends most (common practice, no source)."""

_GRID = 50.0
"""Where no quarter will do, places so far apart are tried, mm."""

MOST_PIECES = 40
"""A tube of more bars than this is a slip of the pen; no places are looked for."""

QUARTER = 0.25
"""A splice stands so far along a free stretch, where it bends least (common practice, no source)."""


@rule("splice", Level.WARN, Level.STOP, source=PRACTICE)
def splice(job: Checked) -> Iterator[Found]:
    """Two tubes of one section that meet end to end in one straight line are one tube, or a splice that the job
    confirms; what it does not confirm carries no other tube."""
    pairs = list(_in_line(job))
    carried = {pair: on for pair in pairs if (on := _sitting_on(job, pair))}
    bare = [pair for pair in pairs if pair not in carried]
    if carried:
        each = (sentence(f"{' and '.join(on)} on {one[0]} with {other[0]}") for (one, other), on in carried.items())
        marks = list(dict.fromkeys(mark for one, other in carried for mark in (one[0], other[0])))
        head = sentence("sitting on two tubes that only butt there: ", joined(", ", each), ": ")
        yield found(head, _ways_out(job, next(iter(carried))), about=marks, level=Level.STOP)
    if bare:
        each = (
            sentence(
                f"{one[0]} with {other[0]} (", mm(job.tubes[one[0]].length + job.tubes[other[0]].length), " as one)"
            )
            for one, other in bare
        )
        marks = list(dict.fromkeys(mark for one, other in bare for mark in (one[0], other[0])))
        head = sentence("end to end in one straight line: ", joined(", ", each), ": ")
        yield found(head, _ways_out(job, bare[0]), about=marks)


def _ways_out(job: Checked, pair: tuple[End, End]) -> Sentence:
    """What to write of two ends in one straight line."""
    (one, at), (other, there) = pair
    if not job.as_it_is.isdisjoint((one, other)):
        mark, end = (other, there) if one in job.as_it_is else (one, at)
        return sentence(f'say how they are spliced, `{end} = {{ splice = "welded" }}` in the table of {mark}')
    stops = _stops_as_one(job, pair)
    place = _place(stops, 0.0, stops[-1])
    moved = sentence(", spliced where nothing lands by `splices = [", to_paste(place), "]`") if place else sentence("")
    kept = f'or confirm the splice where it is, `{at} = {{ splice = "sleeved" }}` in the table of {one}'
    return sentence(f"make {one} and {other} one tube", moved, f"; {kept}")


def _in_line(job: Checked) -> Iterator[tuple[End, End]]:
    """The pairs of plain ends that meet in one straight line, and are not said to be spliced."""
    return ((one, other) for one, other, confirmed in _pairs(job) if not confirmed)


def _pairs(job: Checked) -> Iterator[tuple[End, End, bool]]:
    """The pairs of plain ends that meet in one straight line, and whether they are said to be spliced."""
    ends = [
        (tube.mark, part, end, tube.end(end.at).splice is not None)
        for tube in job.job.tube
        if (part := job.tubes.get(tube.mark)) is not None and part.frame is not None
        for end in part.ends
        if end.cut == "plain"
    ]
    if not ends:
        return
    points = np.array([route_point(part, end.at) for _, part, end, _ in ends])
    for i, j in overlapping(points - MEET, points + MEET, points, points):
        (one, first, here, said), (other, second, there, said_too) = ends[i], ends[j]
        alike = one != other and first.section == second.section
        own = not {one, other} <= job.as_it_is
        if i < j and alike and own and is_spliced(here, there):
            yield (one, here.at), (other, there.at), said or said_too


def _sitting_on(job: Checked, pair: tuple[End, End]) -> list[str]:
    """The marks of the tubes of which an end sits on both."""
    both = {mark for mark, _ in pair}
    return [
        mark
        for mark, part in job.tubes.items()
        if any(both <= {joint.onto for joint in end.joints} for end in part.ends)
    ]


def _stops_as_one(job: Checked, pair: tuple[End, End]) -> list[float]:
    """Where what lands on two tubes lies along both as one, from the far end of the first; 0 and the length too."""
    (one, at), (other, there) = pair
    first, second = job.tubes[one], job.tubes[other]
    on_first = [each.axes if at == "finish" else first.length - each.axes for each in first.landings]
    on_second = [each.axes if there == "start" else second.length - each.axes for each in second.landings]
    length = first.length + second.length
    return [0.0, *sorted([*on_first, *(first.length + along for along in on_second)]), length]


@rule("splice-place", Level.WARN, Level.NOTE, source=PRACTICE)
def splice_place(job: Checked) -> Iterator[Found]:
    """A splice stands neither in the middle of a free stretch, where it bends most, nor where another tube lands."""
    sleeved = {frozenset(part.sleeve_of) for part in job.tubes.values() if part.sleeve_of}
    middle: dict[tuple[str, str], Sentence] = {}
    for row in _rows(job):
        for (one, other), place in row.joints:
            below, above = max(s for s in row.stops if s <= place), min(s for s in row.stops if s >= place)
            near = min(place - below, above - place)
            lands = place - below if place - below <= above - place else above - place
            is_end = (below if lands == place - below else above) in (0.0, row.length)
            section = job.tubes[one].section
            clear = half_sleeve(section) if frozenset((one, other)) in sleeved else max(section.width, section.depth)
            if near < clear - _TENTH and not is_end:
                level = Level.NOTE if frozenset((one, other)) in sleeved else Level.WARN
                away = sentence("something lands ", mm(near), " from the splice, ", mm(clear), " needed: move it clear")
                yield found(away, about=(one, other), level=level)
            elif row.is_carried and is_mid_span((place - below) / (above - below)):
                quarter = below + QUARTER * (above - below)
                middle[one, other] = sentence(mm(abs(place - quarter)), " nearer to the start of ", row.first)
    if middle:
        pairs = (sentence(f"{one} with {other}, better ", better) for (one, other), better in middle.items())
        yield found(
            "spliced in the middle of a free stretch, where it bends most: ", joined(", ", pairs),
            about=list(dict.fromkeys(mark for pair in middle for mark in pair)),
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Row:
    """Tubes spliced in a row: what lands on them and the row's ends, and the splices, mm along from its start."""

    first: str
    length: float
    stops: tuple[float, ...]
    joints: tuple[tuple[tuple[str, str], float], ...]
    is_carried: bool
    """Whether both its ends sit on something, or something lands near them."""


def _rows(job: Checked) -> Iterator[_Row]:
    """The tubes whose splices are confirmed, row by row."""
    links: dict[End, End] = {}
    for one, other, confirmed in _pairs(job):
        if confirmed:
            links |= {one: other, other: one}
    done: set[str] = set()
    for mark in dict.fromkeys(mark for mark, _ in links):
        ends: tuple[At, At] = ("start", "finish")
        heads = [(mark, at) for at in ends if (mark, at) not in links]
        if mark not in done and heads:
            row = _row(job, heads[0], links)
            done |= {each for pair, _ in row.joints for each in pair}
            yield row


def _row(job: Checked, head: End, links: Mapping[End, End]) -> _Row:
    along, stops, joints, (mark, at) = 0.0, [0.0], [], head
    carried = job.tubes[mark].ends[0 if at == "start" else 1].cut != "plain"
    while True:
        part = job.tubes[mark]
        stops += [along + (each.axes if at == "start" else part.length - each.axes) for each in part.landings]
        along += part.length
        far: End = (mark, "finish" if at == "start" else "start")
        if (following := links.get(far)) is None:
            break
        joints.append(((mark, following[0]), along))
        mark, at = following
    carried = carried and part.ends[0 if far[1] == "start" else 1].cut != "plain"
    row = tuple(sorted({min(max(each, 0.0), along) for each in (*stops, along)}))
    reach = 2.0 * max(part.section.width, part.section.depth)
    lands = len(row) > 2 and row[1] <= reach and along - row[-2] <= reach
    return _Row(head[0], along, row, tuple(joints), carried or lands)


def is_spliced(one: WorkedEnd, other: WorkedEnd) -> bool:
    """Whether two plain ends meet in one straight line."""
    near = float(np.linalg.norm(one.frame.origin - other.frame.origin)) <= MEET
    return near and one.cut == other.cut == "plain" and float(one.frame.x @ other.frame.x) < -IN_LINE


def place_of_splice(part: LengthPart, most: float) -> Sentence:
    """Where to splice a tube that no bar is long enough for, as a finding goes on; '' where it has no place.

    Args:
        part: the tube.
        most: the longest that a bar gives, mm.
    """
    places = places_of_splices(part, most)
    if not places:
        return sentence("")
    at = joined(", ", (to_paste(round(place, 1)) for place in places))
    sleeved = ", sleeved, in its table"
    if part.section.is_solid:
        sleeved = ' and `sleeve = "none"`, welded, in its table'
    elif not part.section.is_round:
        sleeved = ' and `sleeve = "…"`, a section that goes in, or "none", welded, in its table'
    return sentence(" where it bends least, clear of what lands on it: `splices = [", at, f"]`{sleeved}")


def places_of_splices(part: LengthPart, most: float) -> list[float]:
    """The fewest places at which a tube can be spliced so that a bar gives every piece, mm along its centreline from
    its start; of as many, those that bend least.

    None lies in a bend or within half a sleeve of one, of an end or of another; none where there is no such row.

    Args:
        part: the tube; one placed in the job.
        most: the longest that a bar gives, mm.
    """
    if part.frame is None or most <= 0.0 or part.is_ring or any(not hole.vent for hole in part.drilled):
        return []
    if part.length > MOST_PIECES * most:
        return []
    clear, start = half_sleeve(part.section), part.ends[0]
    # What lands is measured from the saw cut, the route from its own start.
    before = float((start.frame.origin - part.frame.origin) @ start.frame.x) + start.line.longest
    stops = [before, *sorted(before + landing.axes for landing in part.landings), before + part.length]
    line = part.path or Centreline((Straight(part.frame, part.axis, 0.0),))
    spans = [(max(s.at, before) + clear, min(s.at + s.length, stops[-1]) - clear) for s in line.straights]
    places = {
        round(place, 1): cost
        for place, cost in sorted(_candidates(stops, clear), key=lambda each: -each[1])
        if any(first <= place <= last for first, last in spans)
    }
    # How many pieces up to a place, how much they bend, and the place before it.
    best: dict[float, tuple[int, float, float]] = {stops[0]: (0, 0.0, stops[0])}
    near = [stops[0]]
    for place, cost in [*sorted(places.items()), (stops[-1], 0.0)]:
        least = 2.0 * clear if place != stops[-1] else 0.0
        near = [at for at in near if place - at <= most]  # what is too far from here is so from all that follow
        ways = [(best[at][0] + 1, best[at][1] + cost, at) for at in near if at == stops[0] or place - at >= least]
        if ways:
            best[place] = min(ways)
            near.append(place)
    if stops[-1] not in best:
        return []
    row = [best[stops[-1]][2]]
    while row[-1] != stops[0]:
        row.append(best[row[-1]][2])
    return row[-2::-1]


def _candidates(stops: Sequence[float], clear: float) -> Iterator[tuple[float, float]]:
    """Places clear of what lands, each with how far it is from bending least: 0 at a quarter of a free stretch, less
    of a long one; up to 2 in the middle."""
    whole, spare = stops[-1] - stops[0], clear + _TENTH
    for a, b in pairwise(stops):
        free = b - a
        if free < 2.0 * spare:
            continue
        short = 0.1 * (1.0 - free / whole)
        for share in (QUARTER, 1.0 - QUARTER):
            if QUARTER * free > spare:
                yield a + share * free, short
        for place in np.arange(a + spare, b - spare, _GRID).tolist():
            yield place, 1.0 + short + (1.0 if is_mid_span((place - a) / free) else 0.0)


def is_mid_span(share: float) -> bool:
    """Whether a place so far along a free stretch, 0 to 1, lies in the middle quarter of it."""
    return abs(share - 0.5) < MIDDLE / 2.0


def _place(stops: Sequence[float], first: float, last: float) -> float | None:
    """A quarter of the longest free stretch along, within limits; None where no quarter lies there.

    Args:
        stops: what lands on the tube and its two ends, mm along it, in order.
        first, last: limits, mm.
    """
    quarters = [(b - a, a + share * (b - a)) for a, b in pairwise(stops) if b > a for share in (QUARTER, 1.0 - QUARTER)]
    fitting = [(-free, place) for free, place in quarters if first <= place <= last]
    return min(fitting)[1] if fitting else None

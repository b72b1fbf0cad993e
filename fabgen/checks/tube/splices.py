"""Two tubes end to end in one straight line, and where a tube that is longer than any bar may be spliced."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.geometry.space.box_overlap import overlapping
from fabgen.parts.piece import LengthPart, WorkedEnd
from fabgen.parts.shape.tubes import route_point
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, joined, mm, sentence, to_paste

MEET = 1.0
"""Ends this near meet, mm."""

IN_LINE = math.cos(math.radians(1.0))
"""Ends within a degree of one straight line lie in it."""

QUARTER = 0.25
"""A splice stands so far along a free stretch, where it bends least (common practice, no source)."""


@rule("splice", Level.WARN, source=PRACTICE)
def splice(job: Checked) -> Iterator[Found]:
    """Two tubes of one section that meet end to end in one straight line are one tube, or a splice that the job
    confirms."""
    pairs = list(_in_line(job))
    if not pairs:
        return
    each = (
        sentence(f"{one} with {other} (", mm(job.tubes[one].length + job.tubes[other].length), " as one)")
        for one, other in pairs
    )
    marks = list(dict.fromkeys(mark for pair in pairs for mark in pair))
    yield found(
        "end to end in one straight line: ", joined(", ", each), ": make them one tube; or keep the splice, sleeved, "
        'where nothing lands on it, and say so by `cut = "plain"` at both ends',
        about=marks,
    )  # fmt: skip


def _in_line(job: Checked) -> Iterator[tuple[str, str]]:
    """The pairs of tubes with open ends that meet in one straight line."""
    ends = [
        (tube.mark, part, end)
        for tube in job.job.tube
        if (part := job.tubes.get(tube.mark)) is not None and part.frame is not None
        for end in part.ends
        if end.cut == "plain" and getattr(tube, end.at).cut == "auto"
    ]
    if not ends:
        return
    points = np.array([route_point(part, end.at) for _, part, end in ends])
    for i, j in overlapping(points - MEET, points + MEET, points, points):
        (one, first, here), (other, second, there) = ends[i], ends[j]
        if i < j and one != other and first.section == second.section and is_spliced(here, there):
            yield one, other


def is_spliced(one: WorkedEnd, other: WorkedEnd) -> bool:
    """Whether two plain ends meet in one straight line."""
    near = float(np.linalg.norm(one.frame.origin - other.frame.origin)) <= MEET
    return near and one.cut == other.cut == "plain" and float(one.frame.x @ other.frame.x) < -IN_LINE


def place_of_splice(part: LengthPart, most: float) -> Sentence:
    """Where to splice a straight tube that no bar is long enough for, as a finding goes on; '' where it bends, has no
    place, or makes more than two pieces.

    Args:
        part: the tube.
        most: the longest that a bar gives, mm.
    """
    if part.frame is None or part.path is not None or part.length > 2.0 * most:
        return sentence("")
    first, last = part.length - most, most
    stops = [0.0, *sorted(landing.axes for landing in part.landings), part.length]
    quarters = [(b - a, a + share * (b - a)) for a, b in pairwise(stops) if b > a for share in (QUARTER, 1.0 - QUARTER)]
    fitting = [(-free, place) for free, place in quarters if first <= place <= last]
    if not fitting:
        return sentence("")
    place = min(fitting)[1]
    start = part.ends[0]
    point = start.frame.origin + (start.line.longest + place) * part.frame.x
    at = joined(", ", (to_paste(round(float(v), 1) + 0.0) for v in point))
    two = 'two tubes that meet there, sleeved, each end with `cut = "plain"`'
    return sentence(" at ", mm(place), " from its start, clear of what lands on it: at [", at, f"], {two}")

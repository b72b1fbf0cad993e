"""Tube ends left plain that lie in line with another tube, but past its end: a point mistyped or measured wrong."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from fabgen.geometry.space.box_overlap import overlapping
from fabgen.geometry.tube.contact import Walls, distance, greatest
from fabgen.parts.piece import ENDS, At, Concern
from fabgen.parts.shape.cuts import LEAST_ANGLE
from fabgen.parts.tube.fit_up import OVERLAP, TOUCH, Fitting, between
from fabgen.parts.tube.route import Run
from fabgen.wording.figures import figure
from fabgen.wording.levels import Level

BEYOND = 100.0
"""An end farther past another tube's end than this is taken to be meant so, mm."""

Concerns = dict[int, list[Concern]]


def past_ends(fitting: Fitting) -> Concerns:
    """By a run's place in the job, what is to be told of its ends."""
    ends = [(run, at) for run in fitting.sound for at in ENDS if is_open(run, at, fitting)]
    if not ends:
        return {}
    points = np.array([run.point(at) for run, at in ends])
    reach = np.array([run.section.reach + TOUCH for run, _ in ends])[:, None]
    low, high = (np.array([run.box[i] for run in fitting.sound]) for i in (0, 1))
    found: Concerns = {}
    for i, j in overlapping(points - reach, points + reach, low - BEYOND, high + BEYOND):
        (run, at), main = ends[i], fitting.sound[j]
        if main is run or main.index > run.index:
            continue
        for theirs, past in _past(run, at, main):
            found.setdefault(run.index, []).append(_concern(at, main, theirs, past))
    return found


def is_open(run: Run, at: At, fitting: Fitting) -> bool:
    """Whether the job leaves an end to be fitted, and it met nothing."""
    given = run.given(at)
    return given.cut == "auto" and not given.extend and fitting.works[run.index, at].cut == "plain"


def _past(run: Run, at: At, main: Run) -> Iterator[tuple[At, float]]:
    """The end of the main that the run's end lies past, and by how much, where the main carried on would be met."""
    point, along = run.point(at), run.inward(at)
    if between(run, at, main) < LEAST_ANGLE:
        return
    for theirs in ENDS:
        past = -float((point - main.point(theirs)) @ main.inward(theirs)) - main.given(theirs).extend
        if not 0.0 < past <= BEYOND:
            continue
        gap = float(distance(main.solid, run.face(at)).min())
        into = gap <= TOUCH and not np.isnan(greatest(main.solid, Walls.lines(point[None, :], along))).any()
        if gap <= -OVERLAP or into:
            yield theirs, past


def _concern(at: At, main: Run, theirs: At, past: float) -> Concern:
    text = (
        f"its {at} would sit on {main.mark}, but lies {figure(past)} mm past the {theirs} of that, so it meets nothing "
        f'and is left plain: move the point, let {main.mark} go on (`{theirs} = {{ extend = "…" }}`), or say '
        f'`{at} = {{ cut = "plain" }}`'
    )
    return Concern(Level.WARN, "past-main-end", text, "common practice, no source")

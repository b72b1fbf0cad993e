"""Tube ends left plain that lie in line with another tube, but past its end: a point mistyped or measured wrong."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from fabgen.geometry.space.box_overlap import overlapping
from fabgen.geometry.tube.contact import greatest
from fabgen.geometry.tube.solids import Walls, distance
from fabgen.parts.piece import ENDS, At, Concern
from fabgen.parts.shape.cuts import LEAST_ANGLE
from fabgen.parts.tube.end_work import OVERLAP, TOUCH, FitUp, between
from fabgen.parts.tube.routed_tube import RoutedTube
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence

BEYOND = 100.0
"""An end farther past another tube's end than this is taken to be meant so, mm."""

Concerns = dict[int, list[Concern]]


def past_ends(fit_up: FitUp) -> Concerns:
    """By a tube's place in the job, concerns about its ends."""
    ends = [(routed, at) for routed in fit_up.sound for at in ENDS if is_open(routed, at, fit_up)]
    if not ends:
        return {}
    points = np.array([routed.point(at) for routed, at in ends])
    reach = np.array([routed.section.reach + TOUCH for routed, _ in ends])[:, None]
    low, high = (np.array([routed.box[i] for routed in fit_up.sound]) for i in (0, 1))
    found: Concerns = {}
    for i, j in overlapping(points - reach, points + reach, low - BEYOND, high + BEYOND):
        (routed, at), main = ends[i], fit_up.sound[j]
        if main is routed or main.index > routed.index:
            continue
        for theirs, past in _past(routed, at, main):
            found.setdefault(routed.index, []).append(_concern(at, main, theirs, past))
    return found


def is_open(routed: RoutedTube, at: At, fit_up: FitUp) -> bool:
    """Whether the job leaves an end to be fitted, and it met nothing."""
    given = routed.given(at)
    return given.cut == "auto" and not given.extend and fit_up.works[routed.index, at].cut == "plain"


def _past(routed: RoutedTube, at: At, main: RoutedTube) -> Iterator[tuple[At, float]]:
    """The end of the main that the tube's end lies past, and by how much, where the main carried on would be met."""
    point, along = routed.point(at), routed.inward(at)
    if between(routed, at, main) < LEAST_ANGLE:
        return
    for theirs in ENDS:
        past = -float((point - main.point(theirs)) @ main.inward(theirs)) - main.given(theirs).extend
        if not 0.0 < past <= BEYOND:
            continue
        gap = float(distance(main.solid, routed.face(at)).min())
        into = gap <= TOUCH and not np.isnan(greatest(main.solid, Walls.lines(point[None, :], along))).any()
        if gap <= -OVERLAP or into:
            yield theirs, past


def _concern(at: At, main: RoutedTube, theirs: At, past: float) -> Concern:
    text = sentence(
        f"its {at} would sit on {main.mark}, but lies ",
        mm(past),
        f" past the {theirs} of that, so it meets nothing and is left plain: move the point, let {main.mark} go on "
        f'(`{theirs} = {{ extend = "…" }}`), or say `{at} = {{ cut = "plain" }}`',
    )
    return Concern(Level.WARN, "past-main-end", text, "common practice, no source")

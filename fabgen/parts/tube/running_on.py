"""How far a tube runs on past its point at a corner: just so far that what lands on it there has its whole seat."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.geometry.tube.solids import HalfSpace
from fabgen.parts.piece import ENDS, At, Concern, WorkedEnd
from fabgen.parts.shape.cuts import lines_onto
from fabgen.parts.shape.sections import section_profile
from fabgen.parts.tube.corners import goes_on_in
from fabgen.parts.tube.end_work import FitUp
from fabgen.parts.tube.routed_tube import RoutedTube
from fabgen.parts.tube.worked_ends import solids_met, worked_end
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence

LEAST = 0.05
"""A foot that hangs by less is seated, mm."""

MOST = 1.25
"""A tube runs on by at most so many times its own greater size."""

_ALIKE = 0.05
"""Ends that run on as far but for less run on alike, mm."""

_SEATED = 0.01
"""A line within this of a main's own sits on it, mm."""


def run_on(fit_up: FitUp) -> Mapping[int, Sequence[Concern]]:
    """Lets every open end on which others sit run on as far as they need.

    Args:
        fit_up: whose tubes are lengthened.
    Returns: by a tube's place in the job, a note on its ends that run on.
    """
    needs: dict[tuple[int, At], float] = defaultdict(float)
    carries = _open_mains(fit_up)
    for (index, at), work in fit_up.works.items():
        branch = fit_up.tubes[index]
        if work.cut != "cope" or branch is None:
            continue
        mains = [(main, end) for i in work.mains for main, end in carries.get(i, ()) if _is_near(branch, at, main, end)]
        if not mains:
            continue
        worked = worked_end(branch, at, fit_up)
        for main, end in mains:
            if LEAST < (hangs := _hangs(branch, worked, main, end, fit_up)) <= MOST * _size(main):
                needs[main.index, end] = max(needs[main.index, end], hangs)
    lengths = {key: round(length, 3) for key, length in needs.items()}
    fit_up.lengthen(lengths)
    goes_on: dict[int, dict[At, float]] = defaultdict(dict)
    for (index, at), length in lengths.items():
        if (past := _past_its_point(fit_up, index, at, length)) > LEAST:
            goes_on[index][at] = past
    source = "common practice, no source"
    return {index: [Concern(Level.NOTE, "runs-on", _words(ends), source)] for index, ends in goes_on.items()}


def _words(ends: Mapping[At, float]) -> Sentence:
    """What is said of the ends of one tube that run on, each by so much, mm."""
    if len(ends) == 1:
        ((at, past),) = ends.items()
        return sentence(f"its {at} runs on ", mm(past), " past its point, flush with what lands on it there")
    start, finish = ends["start"], ends["finish"]
    flush = " past their points, flush with what lands on them there"
    if abs(start - finish) < _ALIKE:
        return sentence("both its ends run on ", mm(start), flush)
    return sentence("its start runs on ", mm(start), " and its finish ", mm(finish), flush)


def _past_its_point(fit_up: FitUp, index: int, at: At, length: float) -> float:
    """How far an end that runs on by a length goes past the point that the job gives for it, mm."""
    routed = fit_up.tubes[index]
    assert routed is not None
    return (
        length - float((routed.point(at) - routed.node(at)) @ routed.inward(at))
        if routed.given_at is not None
        else length
    )


def _size(routed: RoutedTube) -> float:
    return max(routed.section.width, routed.section.depth)


def _open_mains(fit_up: FitUp) -> dict[int, list[tuple[RoutedTube, At]]]:
    """By tube its ends that are left plain, and that the job leaves open."""
    found: dict[int, list[tuple[RoutedTube, At]]] = defaultdict(list)
    for routed in fit_up.sound:
        for at in ENDS:
            given = routed.given(at)
            free = given.cut == "auto" and not given.extend and not routed.as_it_is
            free = free and fit_up.corners.style((routed, at)) != "as drawn"
            if free and fit_up.works[routed.index, at].cut == "plain":
                found[routed.index].append((routed, at))
    every = [end for ends in found.values() for end in ends]
    return {
        index: kept
        for index, ends in found.items()
        if (kept := [end for end in ends if not any(goes_on_in(end, other) for other in every)])
    }


def _is_near(branch: RoutedTube, at: At, main: RoutedTube, end: At) -> bool:
    away = float(np.linalg.norm(branch.point(at) - main.point(end)))
    return away <= 2.0 * (branch.section.reach + main.section.reach)


def _hangs(branch: RoutedTube, worked: WorkedEnd, main: RoutedTube, end: At, fit_up: FitUp) -> float:
    """How far the foot of a branch lies past the point of a main's end, mm; 0 where it does not."""
    profile = section_profile(branch.section, worked.top)
    solids = solids_met(branch, worked.at, fit_up, worked.gap)
    lines = lines_onto(profile, worked.frame, list(solids.values()), worked.fit)
    own = lines[list(solids).index(main.index)]
    planes = [HalfSpace(plate.normal, plate.level + worked.gap) for plate in worked.plates]
    lines += lines_onto(profile, worked.frame, planes, worked.fit)
    seated = np.isfinite(own) & (np.fmax.reduce(lines) - own < _SEATED)
    if not seated.any():
        return 0.0
    points: Array = profile.walls(worked.frame).skin[seated] + own[seated, None] * worked.frame.x
    return max(0.0, float(((points - main.point(end)) @ -main.inward(end)).max()))

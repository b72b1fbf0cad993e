"""Tube ends left plain that meet nothing: past the end of the tube they would sit on, or short of the one they aim
at.  A point was mistyped or measured wrong, or taken at the corner of a bent tube's route, where the bend runs inside
and there is no metal."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from fabgen.geometry.space.box_overlap import overlapping
from fabgen.geometry.tube.contact import greatest
from fabgen.geometry.tube.solids import Walls, distance
from fabgen.parts.piece import ENDS, Array, At, MissedEnd
from fabgen.parts.shape.cuts import LEAST_ANGLE, lines_onto
from fabgen.parts.shape.sections import angle_about, section_profile
from fabgen.parts.tube.bend_corners import RouteCorner
from fabgen.parts.tube.end_work import OVERLAP, TOUCH, FitUp, between
from fabgen.parts.tube.routed_tube import RoutedTube, setting
from fabgen.parts.tube.running_on import MOST

BEYOND = 100.0
"""An end farther past another tube's end than this is taken to be meant so, mm."""
NEAR = 25.0
"""An end that stops farther short than the tube's own size and this is taken to be meant so, mm."""
_AIMS = 0.5
"""Share of the end's face that would land on the other tube, carried on."""

End = tuple[RoutedTube, At]


def missed_ends(fit_up: FitUp) -> Mapping[int, Sequence[MissedEnd]]:
    """The ends that the job leaves to be fitted and that met nothing, by a tube's place in the job, first those past
    another's end."""
    astray = fit_up.astray
    every = [(routed, at) for routed in fit_up.sound for at in ENDS]
    open_ends = [end for end in every if (end[0].index, end[1]) not in astray and _is_open(*end, fit_up)]
    found: dict[int, list[MissedEnd]] = defaultdict(list)
    near = _neighbours(open_ends, fit_up.sound, [TOUCH] * len(open_ends), BEYOND) if open_ends else []
    for (routed, at), mains in zip(open_ends, near, strict=True):
        for main in mains:
            if main.order < routed.order:
                for theirs, past in _past(routed, at, main):
                    # A post under the beam whose end this is carries that: it is the post that is cut.
                    if routed.index not in fit_up.works[main.index, theirs].mains:
                        found[routed.index].append(_past_end(routed, at, main, theirs, past, fit_up))
    for routed, at in every:
        if (corner := astray.get((routed.index, at))) is not None:
            found[routed.index].append(_at_corner(routed, at, corner))
    near = _neighbours(open_ends, fit_up.sound, [_nearest(routed) for routed, _ in open_ends]) if open_ends else []
    for (routed, at), mains in zip(open_ends, near, strict=True):
        if (missed := _short(routed, at, mains)) is not None:
            found[routed.index].append(missed)
    return found


def _is_open(routed: RoutedTube, at: At, fit_up: FitUp) -> bool:
    """Whether the job leaves an end to be fitted, and it met nothing."""
    given = routed.given(at)
    left = given.cut == "auto" and not given.extend and not routed.as_it_is
    return left and fit_up.works[routed.index, at].cut == "plain"


def _neighbours(
    ends: list[End], tubes: list[RoutedTube], off: list[float], beyond: float = 0.0
) -> list[list[RoutedTube]]:
    """For each end the other tubes whose boxes, `beyond` mm larger, come within `off` mm of its section."""
    points = np.array([routed.point(at) for routed, at in ends])
    reach = np.array([routed.section.reach + more for (routed, _), more in zip(ends, off, strict=True)])[:, None]
    low, high = (np.array([routed.box[i] for routed in tubes]) for i in (0, 1))
    near: list[list[RoutedTube]] = [[] for _ in ends]
    for i, j in overlapping(points - reach, points + reach, low - beyond, high + beyond):
        if tubes[j] is not ends[i][0]:
            near[i].append(tubes[j])
    return near


def _nearest(routed: RoutedTube) -> float:
    return max(routed.section.width, routed.section.depth) + NEAR


# -- past an end ------------------------------------------------------------------
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


def _past_end(routed: RoutedTube, at: At, main: RoutedTube, theirs: At, past: float, fit_up: FitUp) -> MissedEnd:
    stands, foot = setting(routed, at, main), _foot_past(routed, at, main, theirs, fit_up)
    goes_on = fit_up.works[main.index, theirs].cut == "plain" and not main.as_it_is
    goes_on = goes_on and foot <= MOST * max(main.section.width, main.section.depth)
    extend = foot if goes_on else None
    beyond = foot - main.given(theirs).extend
    return MissedEnd("past", at, main.mark, past, _xyz(stands.frame.origin), theirs, extend, beyond)


def _foot_past(routed: RoutedTube, at: At, main: RoutedTube, theirs: At, fit_up: FitUp) -> float:
    """How far a tube's foot on another one, carried on, would reach past the point of that one's end, mm."""
    frame, given = setting(routed, at, main).frame, routed.given(at)
    profile = section_profile(routed.section, angle_about(frame, routed.frame_at(at).z))
    gap = fit_up.header.root_gap if given.gap is None else given.gap
    solid = main.solid.grown(gap) if gap else main.solid
    (line,) = lines_onto(profile, frame, [solid], given.fit or fit_up.header.fit)
    points = profile.walls(frame).skin + line[:, None] * frame.x
    return float(np.nanmax((points - main.point(theirs)) @ -main.inward(theirs)))


def _xyz(place: Array) -> tuple[float, float, float]:
    return float(place[0]), float(place[1]), float(place[2])


# -- a gap ------------------------------------------------------------------------
def _apart(routed: RoutedTube, at: At, main: RoutedTube) -> float:
    """How far an end's face is from a tube, mm."""
    return float(distance(main.body, routed.face(at)).min())


def _short(routed: RoutedTube, at: At, near: list[RoutedTube]) -> MissedEnd | None:
    """The nearest of the tubes that the end aims at, if it stops short of one and touches none."""
    if any(_apart(routed, at, main) <= TOUCH for main in near):
        return None  # it stands on something, or something sits on it
    gaps = [(gap, main.mark, main) for main in near if (gap := _gap(routed, at, main)) is not None]
    if not gaps:
        return None
    gap, mark, main = min(gaps, key=lambda each: each[:2])
    return MissedEnd("short", at, mark, gap, _xyz(setting(routed, at, main).frame.origin))


def _gap(routed: RoutedTube, at: At, main: RoutedTube) -> float | None:
    """How far the end would have to go on to meet a tube, mm; None where it does not aim at that, or is not near."""
    if between(routed, at, main) < LEAST_ANGLE:
        return None
    reach = -greatest(main.body, Walls.lines(routed.face(at), routed.inward(at)))
    ahead = reach[reach > 0.0]
    if len(ahead) < _AIMS * len(reach):
        return None
    gap = float(reach[0]) if reach[0] > 0.0 else float(ahead.min())  # the first is the axis itself
    return gap if gap <= _nearest(routed) else None


# -- a corner ----------------------------------------------------------------------
def _at_corner(routed: RoutedTube, at: At, corner: RouteCorner) -> MissedEnd:
    place = corner.nearest_on_bend(routed.point(at))
    inside = float(np.linalg.norm(routed.point(at) - place))
    return MissedEnd("corner", at, corner.main.mark, inside, _xyz(place))

"""Checks of tubes and their copes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from fabgen.checks.finding import Finding
from fabgen.checks.tube.access import check_access
from fabgen.checks.tube.clashes import check_feet, check_through
from fabgen.checks.tube.mitre_outlines import check_mitres
from fabgen.checks.tube.solid_ends import check_solid_ends
from fabgen.checks.tube.tube_bends import check_bends
from fabgen.geometry.space.frame import Frame, cross
from fabgen.parts.piece import Joint, LengthPart, Piece, WorkedEnd
from fabgen.parts.shape.cuts import side_lengths
from fabgen.parts.shape.sections import section_profile
from fabgen.parts.shape.tubes import frame_near
from fabgen.parts.shape.weld_families import side_words
from fabgen.shop.section import Section
from fabgen.wording.figures import figure, mm
from fabgen.wording.levels import Level

LEAST_ANGLE = math.radians(30.0)
ANGLE_SOURCE = "EN 1993-1-8:2005, 7.1.2(3), clause from memory"
WIDTH_SOURCE = "EN 1993-1-8:2005, table 7.1, from memory"
PRACTICE = "common practice, no source"


def check_tubes(pieces: Sequence[Piece]) -> list[Finding]:
    """Every finding on the tubes among `pieces`, by tube in the order given, then on pairs."""
    tubes = [piece for piece in pieces if piece.kind == "tube" and piece.length_part is not None]
    parts = {piece.mark: part for piece in tubes if (part := piece.length_part) is not None}
    airy = vented(parts)
    found: list[Finding] = []
    for mark, part in parts.items():
        for end in part.ends:
            found += check_misses(mark, end)
            found += check_angle(mark, end)
            found += check_width(mark, part, end, parts)
        found += check_cut_through(mark, part)
        found += check_bends(mark, part)
        if mark not in airy:
            found += check_closed(mark, part)
    found += check_solid_ends(parts)
    return [*found, *check_feet(parts), *check_through(parts), *check_access(parts), *check_mitres(parts)]


def check_misses(mark: str, end: WorkedEnd) -> Iterator[Finding]:
    """A coped or mitred end meets its mains all the way round: where it does not meet them at all there is no
    joint; where it runs past them in part, that part of it has no seat."""
    if not end.line.misses or end.cut == "plane":
        return
    onto = " and ".join(joint.onto for joint in end.joints)
    lost = np.isnan(end.line.x)
    if lost.all():
        text = f"the {end.at} does not meet {onto} anywhere: look at its point, its offset and what it sits on"
        yield Finding(Level.STOP, (mark,), "end-misses", text, PRACTICE)
        return
    text = (
        f"the {end.at} runs past {onto} over {figure(100.0 * _share(end, lost), 0)} % of its round, "
        f"{_arcs(end, lost)}, and has nothing to sit on there: a thinner branch, a wider main or less offset"
    )
    yield Finding(Level.WARN, (mark,), "end-misses", text, PRACTICE)


def check_angle(mark: str, end: WorkedEnd) -> Iterator[Finding]:
    """The angle between a branch and its main is 30 degrees or more."""
    if end.cut != "cope":
        return
    for joint in end.joints:
        if joint.angle < LEAST_ANGLE - 1e-6:
            text = (
                f"the {end.at} meets {joint.onto} at {figure(math.degrees(joint.angle))}°, under 30°: "
                "the heel is too tight to weld to the root; see that the joint is designed for it"
            )
            yield Finding(Level.WARN, (mark,), "shallow-cope", text, ANGLE_SOURCE)


def check_width(mark: str, part: LengthPart, end: WorkedEnd, parts: dict[str, LengthPart]) -> Iterator[Finding]:
    """Every finding of `check_seat` on the mains of a coped end."""
    if end.cut != "cope":
        return
    for joint in end.joints:
        if (main := parts.get(joint.onto)) is not None:
            axis = frame_near(main, end.frame.origin, end.frame.x)
            yield from check_seat(mark, part.section, end, joint, main.section, axis)


def check_seat(mark: str, own: Section, end: WorkedEnd, joint: Joint, under: Section, axis: Frame) -> Iterator[Finding]:
    """A branch is no wider than its main, both measured square to the plane of their axes.

    `own` and `under` are the two sections; `axis` the frame of the main's axis, z its top line.
    """
    wide, seat = _widths(own, end, under, axis)
    if wide > seat + 0.1:
        text = (
            f"at its {end.at} the branch is {mm(wide)} wide and {joint.onto} only {mm(seat)}: "
            "its sides have no seat on the main"
        )
        yield Finding(Level.WARN, (mark,), "branch-wider", text, WIDTH_SOURCE)


def check_cut_through(mark: str, part: LengthPart) -> Iterator[Finding]:
    """The cuts of the two ends must not meet."""
    shortest = side_lengths(part)
    if not np.isnan(shortest).all() and np.nanmin(shortest) <= 0.0:
        text = "the cuts of its two ends cross one another: on one side nothing is left of the tube"
        yield Finding(Level.STOP, (mark,), "cut-through", text)


def check_closed(mark: str, part: LengthPart) -> Iterator[Finding]:
    """A tube closed by its joints holds gas while it is welded and water after."""
    if part.section.is_solid:
        return
    low = _low_place(part)
    text = f"closed at both ends by its joints: a vent hole before the last weld, and a drain hole underneath {low}"
    yield Finding(Level.NOTE, (mark,), "closed-tube", text, f"{PRACTICE}; for galvanizing EN ISO 14713-2")


def vented(parts: Mapping[str, LengthPart]) -> set[str]:
    """The tubes whose bores reach the open air: by a plain end of their own, or by holes through others' bores."""
    through: dict[str, set[str]] = {mark: set() for mark in parts}
    for mark, part in parts.items():
        for end in part.ends:
            for joint in end.joints if end.opens else ():
                if joint.onto in parts:
                    through[mark].add(joint.onto)
                    through[joint.onto].add(mark)
    airy = {mark for mark, part in parts.items() if any(end.cut == "plain" for end in part.ends)}
    open_still = list(airy)
    while open_still:
        reached = through[open_still.pop()] - airy
        airy |= reached
        open_still += reached
    return airy


# -- helpers ----------------------------------------------------------------------
def _arcs(end: WorkedEnd, lost: NDArray[np.bool_]) -> str:
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
        places.append(f"{figure(station[begin], 0)} to {mm(station[last], 0)}")
    along = " and ".join(places)
    return f"{' and '.join(dict.fromkeys(sides))}, {along} along the wrap from its left edge"


def _share(end: WorkedEnd, lost: NDArray[np.bool_]) -> float:
    """Share of the round that is lost."""
    station = end.line.station
    steps = np.diff(station, append=2.0 * station[-1] - station[-2])
    return float(steps[lost].sum() / steps.sum())


def _low_place(part: LengthPart) -> str:
    """Where water gathers."""
    start, finish = part.ends
    ends = {"start": float(start.frame.origin[2]), "finish": float(finish.frame.origin[2])}
    if part.path is not None:
        low = [
            min(float(turn.frame_at(s).origin[2]) for s in np.linspace(0.0, turn.length, 33))
            for turn in part.path.turns
        ]
        if min(low) < min(ends.values()) - 1.0:
            which = [i for i, z in enumerate(low, 1) if z < min(low) + 1.0]
            place = f"in bend {which[0]}" if len(which) == 1 else f"from bend {which[0]} to {which[-1]}"
            return f"at its lowest, {place}"
    if abs(ends["start"] - ends["finish"]) <= 1.0:
        return "near either end"
    return f"near its {min(ends, key=lambda at: ends[at])}, the low end"


def _widths(own: Section, end: WorkedEnd, under: Section, axis: Frame) -> tuple[float, float]:
    """Width of a branch and of its main across the plane of their axes, mm."""
    across = cross(end.frame.x, axis.x)
    across = across / np.linalg.norm(across)
    skin = section_profile(own, end.top).skin
    wide = np.ptp(skin @ np.array([across @ end.frame.y, across @ end.frame.z]))
    top = section_profile(under, math.pi / 2.0).skin
    seat = np.ptp(top @ np.array([across @ axis.y, across @ axis.z]))
    return float(wide), float(seat)

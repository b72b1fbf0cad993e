"""Holes in mains where a branch's bore opens into them (`opens = true` at the branch's end).

The hole is the branch's bore carried on to the main: its edge on the main's outside, cut along
the branch's axis.  So nothing of the main's wall is left in the bore, and the branch's own wall
stands on the main all round the hole.
"""

from __future__ import annotations

import math
from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.centreline import Centreline, Straight
from fabgen.geometry.tube.contact import greatest
from fabgen.geometry.tube.penetration import Outside, Penetration, penetration
from fabgen.geometry.tube.profile import Profile
from fabgen.geometry.tube.solids import Walls
from fabgen.parts.piece import At, Joint, LengthPart, Opening, WorkedEnd
from fabgen.parts.shape.along_tube import saw_cut_at
from fabgen.parts.shape.cuts import SHORTEST, TRUE
from fabgen.parts.shape.sections import bore_of, profile_at, section_profile
from fabgen.shop.section import Section

_NOT_COPED = {"plain": "plain", "mitre": "mitred", "plane": "cut to a plane"}

_SAME = 0.01
"""Two mains that a bore line meets this near to one another share it, mm."""


def unfit(part: LengthPart, end: WorkedEnd, solid: Container[str]) -> str:
    """Why an end that is to open into its mains cannot; '' where it can.

    Args:
        solid: the marks of solid bars.
    """
    if part.section.is_solid:
        return "a solid bar has no bore that could open"
    if end.cut != "cope":
        return f"this end is {_NOT_COPED[end.cut]}, so its bore opens into no main"
    onto = next((joint.onto for joint in end.joints if joint.onto in solid), "")
    return f"{onto} is a solid bar: there is nothing to open into" if onto else ""


def openings(mark: str, part: LengthPart, tubes: Mapping[str, LengthPart]) -> Iterator[Opening | NoHole]:
    """The holes in mains that a branch's bore needs, start before finish.

    Args:
        mark: of the branch.
        part: the branch.
        tubes: the tubes of the job, by mark.
    """
    for end in part.ends:
        if end.opens:
            yield from _holes(mark, part, end, tubes)


@dataclass(frozen=True, slots=True)
class NoHole:
    """A hole that cannot be marked for the bore at a branch's end, and why: 'the bore runs past T1 …'."""

    at: At
    why: str


def _holes(mark: str, part: LengthPart, end: WorkedEnd, tubes: Mapping[str, LengthPart]) -> Iterator[Opening | NoHole]:
    """The hole in each main that the bore comes to first; a bore shared between mains makes none."""
    bore = bore_of(part.section)
    profile = section_profile(bore, end.top)
    edges: list[tuple[Joint, LengthPart, Stretch, Penetration]] = []
    for joint in end.joints:
        main = tubes.get(joint.onto)
        stretch = None if main is None else stretch_at(main, end.frame.origin)
        if main is None or stretch is None:
            yield NoHole(end.at, f"{joint.onto} is bent there: mark the hole from the branch itself")
            return
        edges.append((joint, main, stretch, closed_edge(bore, profile.phi, end.frame, end.top, stretch.outside)))
    lines = np.array([edge.x for *_, edge in edges])
    first = np.fmax.reduce(lines)
    reached = [bool((line >= first - _SAME).any()) for line in lines]
    for (joint, main, stretch, edge), line, hit in zip(edges, lines, reached, strict=True):
        if not hit and not np.isnan(first).all():
            continue
        if np.isnan(line).any():
            part_of = "part of the bore runs" if np.isfinite(line).any() else "the bore runs"
            yield NoHole(end.at, f"{part_of} past {joint.onto}, so its hole there has no closed edge")
        elif sum(reached) > 1:
            shared = " and ".join(joint.onto for (joint, *_), hit in zip(edges, reached, strict=True) if hit)
            yield NoHole(end.at, f"the bore opens into {shared} at once: mark the holes from the branch itself")
            return
        elif off := off_the_end(main, stretch, edge):
            yield NoHole(end.at, f"the hole would run {off} of {joint.onto}")
        else:
            through = _through(stretch.outside.inset(main.section.wall), profile, end.frame)
            sizes = (main.section, bore, edge, joint.angle, joint.offset, through)
            yield Opening(joint.onto, mark, end.at, *sizes, tangents=tangents(profile), skin=stretch.outside)


def tangents(profile: Profile) -> tuple[float, ...]:
    """phi of the places of a profile where its corners begin and end: those between its whole degrees, rad."""
    between = np.abs(np.degrees(profile.phi) - np.round(np.degrees(profile.phi))) > 1e-6
    return tuple(profile.phi[between].tolist())


def closed_edge(bore: Section, phi: Array, frame: Frame, top: float, main: Outside) -> Penetration:
    """The hole's edge, at `phi` and between as many places as let it be drawn straight from each to the next.

    Args:
        bore: what the hole is for, as a solid section.
        phi: (n,) rad, about the frame.
        frame: x along the branch, away from the hole.
        top: phi of the branch's top line, rad.
        main: the outside that the hole is in.
    """
    while True:
        edge = penetration(profile_at(bore, top, phi), frame, main)
        steps = np.diff(phi, append=phi[0] + 2.0 * math.pi)
        middles = phi + steps / 2.0
        between = penetration(profile_at(bore, top, middles), frame, main)
        chord = np.roll(edge.points, -1, axis=0) - edge.points
        long = np.maximum(np.hypot(*chord.T), 1e-12)
        away = between.points - edge.points
        off = np.abs(chord[:, 0] * away[:, 1] - chord[:, 1] * away[:, 0]) / long
        more = (off > TRUE / 2.0) & (long > SHORTEST)
        if edge.misses or not more.any():
            return edge
        phi = np.insert(phi, np.flatnonzero(more) + 1, middles[more])


@dataclass(frozen=True, eq=False)
class Stretch:
    """A straight of a placed tube: its outside, `along` counted from the tube's start's saw cut as the
    tube lies before it is bent; and where it begins and ends, no end where the tube's own end is."""

    outside: Outside
    first: float = -math.inf
    last: float = math.inf


def stretch_at(part: LengthPart, point: Array) -> Stretch | None:
    """The straight of a tube that a point is nearest to.

    Args:
        point: (3,) mm.
    Returns: None where that is a bend, or the job does not place the tube.
    """
    if part.frame is None:
        return None
    if part.path is None:
        return Stretch(_outside(part.section, part.frame, saw_cut_at(part)))
    straight = part.path.nearest(point)
    return _stretch(part, part.path, straight) if isinstance(straight, Straight) else None


def stretch_along(part: LengthPart, along: float) -> Stretch | None:
    """The straight of a placed tube on which a place lies.

    Args:
        along: mm from its start's saw cut.
    Returns: None where that is in a bend.
    """
    assert part.frame is not None
    saw_cut = saw_cut_at(part)
    if part.path is None:
        return Stretch(_outside(part.section, part.frame, saw_cut))
    s = along + saw_cut
    if any(turn.at < s < turn.at + turn.length for turn in part.path.turns):
        return None
    straights = part.path.straights
    on = [each for each in straights if each.at <= s + 1e-9]
    return _stretch(part, part.path, on[-1] if on else straights[0])


def _stretch(part: LengthPart, path: Centreline, straight: Straight) -> Stretch:
    saw_cut = saw_cut_at(part)
    first, last = (edge is straight for edge in (path.stretches[0], path.stretches[-1]))
    begin = straight.at - saw_cut
    return Stretch(
        _outside(part.section, straight.frame, saw_cut - straight.at),
        -math.inf if first else begin,
        math.inf if last else begin + straight.length,
    )


def _outside(section: Section, frame: Frame, ahead: float) -> Outside:
    """A section's outside along frame.x, counted from `ahead` mm on from its origin."""
    counted = replace(frame, origin=frame.origin + ahead * frame.x)
    if section.is_round:
        return Outside.of_round(counted, section.width)
    return Outside(counted, section.depth, section.width, section.corner)


def off_the_end(main: LengthPart, stretch: Stretch, edge: Penetration) -> str:
    """Where the hole crosses an end's cut, or runs into a bend; '' where it stays on the straight."""
    start, finish = main.ends
    if (edge.along <= cut_at(main, start, edge.station)).any():
        return "off the start"
    if (edge.along >= main.length - cut_at(main, finish, -edge.station)).any():
        return "off the finish"
    if edge.along.min() < stretch.first or edge.along.max() > stretch.last:
        return "into a bend"
    return ""


def cut_at(main: LengthPart, end: WorkedEnd, round_from_top: Array) -> Array:
    """How far above its saw cut an end is cut, mm, at places round it from the top line in the sense of its phi."""
    line, girth = end.line, main.section.perimeter
    if np.isnan(line.x).all():
        return np.zeros_like(round_from_top)
    turn = 2.0 * math.pi
    top = np.interp(end.top % turn, np.append(line.phi, turn), np.append(line.station, girth))
    x = np.where(np.isnan(line.x), np.nanmin(line.x), line.x)
    return np.asarray(np.interp(top + round_from_top, line.station, x - x.min(), period=girth))


def _through(inside: Outside, bore: Profile, branch: Frame) -> bool:
    """Whether all of the bore, carried on, comes out in the main's own bore."""
    points = branch.origin + bore.skin @ np.vstack((branch.y, branch.z))
    return not np.isnan(greatest(inside.solid, Walls.lines(points, branch.x))).any()

"""Holes in mains where a branch's bore opens into them (`opens = true` at the branch's end).

The hole is the branch's bore carried on to the main: its edge on the main's outside, cut along
the branch's axis.  So nothing of the main's wall is left in the bore, and the branch's own wall
stands on the main all round the hole.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fabgen.geometry.space.frame import Frame
from fabgen.geometry.tube.centreline import Straight
from fabgen.geometry.tube.contact import Array, Walls, greatest
from fabgen.geometry.tube.penetration import Outside, Penetration, penetration
from fabgen.geometry.tube.profile import Profile
from fabgen.job.errors import JobError, Problem
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import Joint, LengthPart, Piece, WorkedEnd, fact
from fabgen.parts.tube.cope import section_profile
from fabgen.parts.tube.route import At
from fabgen.shop.section import Section
from fabgen.wording.sentence import Sentence, Value, lengths, mm, sentence

_NOT_COPED = {"plain": "plain", "mitre": "mitred", "plane": "cut to a plane"}

_SAME = 0.01
"""Two mains that a bore line meets this near to one another share it, mm."""


@dataclass(frozen=True, eq=False)
class Opening:
    """A hole in the tube `main` for the bore of `branch` at its end `at`.

    `edge`: station mm round the main from its top line to the right, looking from its start to
    its finish; along mm from its start's saw cut, of a bent main as it lies before it is bent.
    `angle` rad and `offset` mm as the joint's.  `through`: the whole bore comes out in the main's
    own bore; False where its sides run down in the main's wall.  `only`: no other end of the
    branch opens into this main.
    """

    main: str
    branch: str
    at: At
    onto: Section
    bore: Section
    edge: Penetration
    angle: float
    offset: float
    through: bool
    only: bool = True

    @property
    def name(self) -> str:
        """'T2', or 'T2 finish' where both its ends open into the main."""
        return self.branch if self.only else f"{self.branch} {self.at}"

    @property
    def bore_size(self) -> Value:
        """'41.9 mm', or '54 x 34 mm' for a rectangular bore."""
        bore = self.bore
        return mm(bore.width, 3) if bore.is_round else lengths((bore.width, bore.depth), decimals=3)

    @property
    def place(self) -> Sentence:
        """'512.3 mm from the start's saw cut, 37.9 mm round to the right of TOP'."""
        station, along = self.edge.centre
        from_start = mm(along, fixed=True).named("centre from the start")
        return sentence(from_start, " from the start's saw cut, ", side_of_top(station))


@dataclass(frozen=True, slots=True)
class Refusal:
    """A hole that cannot be marked, and why: 'the bore runs past T1 …'."""

    branch: str
    at: At
    why: str


def side_of_top(station: float) -> Sentence:
    """'on TOP', or '37.9 mm round to the right of TOP', as seen looking from the main's start."""
    if abs(station) < 0.05:
        return sentence("on TOP")
    side = "right" if station > 0.0 else "left"
    return sentence(mm(abs(station), fixed=True).named(f"round to the {side}"), f" round to the {side} of TOP")


# -- from the job to pieces ---------------------------------------------------------
def with_openings(job: Definitions, pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces, with the ends marked that open and the holes told among their mains' facts.

    Raises JobError where `opens` stands at an end that has nothing to open, or nothing to open into.
    """
    problems: list[Problem] = []
    solid = {piece.mark for piece in pieces if (part := piece.length_part) is not None and part.section.is_solid}
    marked = [_marked(job, piece, solid, problems) for piece in pieces]
    if problems:
        raise JobError(problems)
    holes = openings(marked)
    return [_told(piece, holes.get(piece.mark, ())) for piece in marked] if holes else marked


def _marked(job: Definitions, piece: Piece, solid: set[str], problems: list[Problem]) -> Piece:
    part = piece.length_part
    if part is None or len(piece.path) < 2 or piece.path[0] != "tube":
        return piece
    given = job.tube[int(piece.path[1])]
    asked = {end.at for end in part.ends if (given.start if end.at == "start" else given.finish).opens}
    if not asked:
        return piece
    for end in part.ends:
        if end.at in asked and (what := _unfit(part, end, solid)):
            accepted = "a hollow tube's end that is coped to another hollow tube"
            problems.append(Problem((*piece.path, end.at, "opens"), what, accepted))
    start, finish = (replace(end, opens=end.at in asked) for end in part.ends)
    return replace(piece, shape=replace(part, ends=(start, finish)))


def _unfit(part: LengthPart, end: WorkedEnd, solid: set[str]) -> str:
    if part.section.is_solid:
        return "a solid bar has no bore that could open"
    if end.cut != "cope":
        return f"this end is {_NOT_COPED[end.cut]}, so its bore opens into no main"
    onto = next((joint.onto for joint in end.joints if joint.onto in solid), "")
    return f"{onto} is a solid bar: there is nothing to open into" if onto else ""


def _told(piece: Piece, holes: Sequence[Opening]) -> Piece:
    facts = tuple(
        fact("hole", f"hole for {hole.name}", "bore ", hole.bore_size.named("bore"), ", centre ", hole.place)
        for hole in holes
    )
    return replace(piece, facts=piece.facts + facts) if facts else piece


# -- the holes ------------------------------------------------------------------------
def openings(pieces: Sequence[Piece]) -> dict[str, list[Opening]]:
    """The holes in each main, by its mark, in the order of the branches."""
    found: dict[str, list[Opening]] = {}
    for thing in _worked(pieces):
        if isinstance(thing, Opening):
            found.setdefault(thing.main, []).append(thing)
    return {
        main: [replace(one, only=[other.branch for other in holes].count(one.branch) == 1) for one in holes]
        for main, holes in found.items()
    }


def refusals(pieces: Sequence[Piece]) -> list[Refusal]:
    """The holes that were asked for and cannot be marked."""
    return [thing for thing in _worked(pieces) if isinstance(thing, Refusal)]


def _worked(pieces: Sequence[Piece]) -> Iterator[Opening | Refusal]:
    tubes = {piece.mark: part for piece in pieces if piece.kind == "tube" and (part := piece.length_part) is not None}
    for mark, part in tubes.items():
        for end in part.ends:
            if end.opens:
                yield from _holes(mark, part, end, tubes)


def _holes(mark: str, part: LengthPart, end: WorkedEnd, tubes: Mapping[str, LengthPart]) -> Iterator[Opening | Refusal]:
    """The hole in each main that the bore comes to first; a bore shared between mains makes none."""
    bore = _bore(part.section)
    profile = section_profile(bore, end.top)
    edges: list[tuple[Joint, LengthPart, Stretch, Penetration]] = []
    for joint in end.joints:
        main = tubes.get(joint.onto)
        stretch = None if main is None else stretch_at(main, end.frame.origin)
        if main is None or stretch is None:
            yield Refusal(mark, end.at, f"{joint.onto} is bent there: mark the hole from the branch itself")
            return
        edges.append((joint, main, stretch, penetration(profile, end.frame, stretch.outside)))
    lines = np.array([edge.x for *_, edge in edges])
    first = np.fmax.reduce(lines)
    reached = [bool((line >= first - _SAME).any()) for line in lines]
    for (joint, main, stretch, edge), line, hit in zip(edges, lines, reached, strict=True):
        if not hit and not np.isnan(first).all():
            continue
        if np.isnan(line).any():
            part_of = "part of the bore runs" if np.isfinite(line).any() else "the bore runs"
            yield Refusal(mark, end.at, f"{part_of} past {joint.onto}, so its hole there has no closed edge")
        elif sum(reached) > 1:
            shared = " and ".join(joint.onto for (joint, *_), hit in zip(edges, reached, strict=True) if hit)
            yield Refusal(mark, end.at, f"the bore opens into {shared} at once: mark the holes from the branch itself")
            return
        elif off := _off_the_end(main, stretch, edge):
            yield Refusal(mark, end.at, f"the hole would run {off} of {joint.onto}")
        else:
            through = _through(stretch.outside.inset(main.section.wall), profile, end.frame)
            yield Opening(joint.onto, mark, end.at, main.section, bore, edge, joint.angle, joint.offset, through)


@dataclass(frozen=True, eq=False)
class Stretch:
    """A straight of a placed tube: its outside, `along` counted from the tube's start's saw cut as the
    tube lies before it is bent; and where it begins and ends, no end where the tube's own end is."""

    outside: Outside
    first: float = -math.inf
    last: float = math.inf


def stretch_at(part: LengthPart, point: Array) -> Stretch | None:
    """The straight that `point` is nearest to; None where that is a bend, or the tube is not placed."""
    if part.frame is None:
        return None
    saw_cut = saw_cut_at(part)
    if part.path is None:
        return Stretch(_outside(part.section, part.frame, saw_cut))
    straight = part.path.nearest(point)
    if not isinstance(straight, Straight):
        return None
    first, last = (edge is straight for edge in (part.path.stretches[0], part.path.stretches[-1]))
    begin = straight.at - saw_cut
    return Stretch(
        _outside(part.section, straight.frame, saw_cut - straight.at),
        -math.inf if first else begin,
        math.inf if last else begin + straight.length,
    )


def saw_cut_at(part: LengthPart) -> float:
    """Where the start's saw cut of a placed tube lies along its centreline, mm from the route's start."""
    assert part.frame is not None
    start = part.ends[0]
    longest = 0.0 if np.isnan(start.line.x).all() else float(np.nanmin(start.line.x))
    return float((start.frame.origin - part.frame.origin) @ part.frame.x) + longest


def _outside(section: Section, frame: Frame, ahead: float) -> Outside:
    """A section's outside along frame.x, counted from `ahead` mm on from its origin."""
    counted = replace(frame, origin=frame.origin + ahead * frame.x)
    if section.is_round:
        return Outside.of_round(counted, section.width)
    return Outside(counted, section.depth, section.width, section.corner)


def _bore(section: Section) -> Section:
    """The bore as a solid section."""
    inner = 2.0 * section.wall
    return Section(section.shape, section.width - inner, section.depth - inner, 0.0, section.inner_corner)


def _off_the_end(main: LengthPart, stretch: Stretch, edge: Penetration) -> str:
    """Where the hole crosses an end's cut, or runs into a bend; '' where it stays on the straight."""
    start, finish = main.ends
    if (edge.along <= _cut_at(main, start, edge.station)).any():
        return "off the start"
    if (edge.along >= main.length - _cut_at(main, finish, -edge.station)).any():
        return "off the finish"
    if edge.along.min() < stretch.first or edge.along.max() > stretch.last:
        return "into a bend"
    return ""


def _cut_at(main: LengthPart, end: WorkedEnd, round_from_top: Array) -> Array:
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

"""Who sits on whom: what is done to every tube end, by the order in which tubes are fitted.

An end that the job leaves open *reaches* an earlier tube when the tube's section, set square
across the route's last point, goes into the earlier tube by more than `OVERLAP`; or when it
comes within `TOUCH` of it and the branch's axis, carried on, runs into it.  The earlier tube
counts from end to end of its own route, bends and all.  So axes may pass one another (an offset), the point
may lie anywhere along the earlier tube or where it ends, on its axis or on its skin; a tube
alongside, or a gap, is not reached.  An end given as plain is sawn straight up to what it
reaches.  Tubes within five degrees of parallel are never coped:
they butt, and the end stays plain.

A tube that is bought or there already is earlier than all that are made here, and runs on wherever they meet it; its
own ends are fitted to others like it, and to nothing else.

Of the tubes reached those are kept that shape the cut; one whose metal lies wholly within
another's there (two braces on one chord) is left out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Container, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from fabgen.geometry.space.box_overlap import overlapping
from fabgen.geometry.space.frame import Array
from fabgen.geometry.tube.contact import greatest
from fabgen.geometry.tube.solids import Walls, distance
from fabgen.job.errors import InputError, Problem, nearest
from fabgen.job.tables.definitions import Header
from fabgen.parts.piece import ENDS, At, CutKind, WorkedEnd
from fabgen.parts.shape.cuts import LEAST_ANGLE
from fabgen.parts.shape.standing_faces import StandingFace
from fabgen.parts.tube.bend_corners import BendCorners, RouteCorner
from fabgen.parts.tube.corners import Corners, goes_on_in, overhangs, parts_chord
from fabgen.parts.tube.routed_tube import RoutedTube
from fabgen.parts.tube.standing_on import Stand, stand_of

OVERLAP = 0.5
_LEVEL = math.cos(math.radians(0.1))
"""Upright part of a face's direction, of one that counts as level."""
TOUCH = 1.0
"""mm; measured points are seldom better than this."""


@dataclass(frozen=True)
class EndWork:
    """What is done to one end: coped onto `mains` (by index), mitred with the ends in `partners`,
    or cut to the plane that the job gives."""

    cut: CutKind
    mains: tuple[int, ...] = ()
    partners: tuple[tuple[int, At], ...] = ()
    automatic: bool = False
    straight: bool = False
    """Whether the end is sawn straight up to its mains."""


PLAIN = EndWork("plain")


class FitUp:
    """The fit-up of a job's tubes: what is done to every end, by the order they are fitted in; faults gather in
    `problems`.

    `tubes` stand as the job lists them and `marks` are theirs; a tube that could not be built
    is None, and what names it is passed over.  `faces` are those of placed sheet, on which ends that meet no tube
    may stand, and to which what sits on tubes is cut where it meets them besides; `legs` are the faces of profiles, on
    which ends may stand as well; `kept` are the marks of parts that are bought or there already, `bodies` has what
    moves by the marks of the parts on it, and `stands` is what the former are cut to.  `astray` are open ends drawn to
    the corner of a bent tube's route, where there is no metal: they are left plain. `header` is for what an end leaves
    open, `worked` keeps the ends that are worked out.
    """

    def __init__(
        self,
        tubes: Sequence[RoutedTube | None],
        marks: Sequence[str],
        header: Header,
        corners: Corners,
        faces: Sequence[StandingFace] = (),
        legs: Sequence[StandingFace] = (),
        kept: Container[str] = (),
        bodies: Mapping[str, str] | None = None,
    ) -> None:
        self.bodies = bodies or {}
        self.tubes = list(tubes)
        self.header = header
        self.worked: dict[tuple[int, At], WorkedEnd] = {}
        self.in_work: set[tuple[int, At]] = set()
        self.faces, self.legs, self._kept = faces, legs, kept
        self._marks = frozenset(marks)
        self.corners = corners
        self.by_mark = {routed.mark: routed for routed in self.sound}
        self.problems: list[Problem] = []
        self.works: dict[tuple[int, At], EndWork] = {}
        self.stands: dict[tuple[int, At], Stand] = {}
        self._candidates = self._neighbours()
        ends = [(routed, at) for routed in self.sound for at in ENDS]
        for routed, at in ends:
            if routed.given(at).plane is not None or routed.given(at).cut == "level":
                self.works[routed.index, at] = EndWork("plane")
            elif routed.given(at).cut == "plain" or self._is_spliced(routed, at):
                self.works[routed.index, at] = PLAIN
        self._work_out(ends, self._listed, self._mitred, self._joined)
        self._left = frozenset((routed.index, at) for routed, at in ends) - self.works.keys()
        self.astray = self._drawn_to_corners(ends)
        self.works |= dict.fromkeys(self.astray, PLAIN)
        self._posts = self._through_posts(ends)
        self._work_out(ends, self._cornered, self._automatic)
        for routed, at in ends:
            if stops := self._stops(routed, at):
                self.works[routed.index, at] = EndWork("cope", stops, automatic=True, straight=True)
            elif (routed.index, at) in self.stands:
                continue
            elif stand := stand_of(routed, at, self._faces_under(routed, at, (*faces, *legs))):
                self.works[routed.index, at] = EndWork("plane")
                self.stands[routed.index, at] = stand
        self._refuse_rings(ends)

    def faces_for(self, routed: RoutedTube, faces: Sequence[StandingFace]) -> Sequence[StandingFace]:
        """Those of the faces to which a tube may be cut: one that is taken as it is only to those like it, and none to
        what moves against it."""
        own = self.bodies.get(routed.mark)
        faces = [face for face in faces if self.bodies.get(face.mark) == own] if self.bodies else faces
        return [face for face in faces if face.mark in self._kept] if routed.as_it_is else faces

    def _faces_under(self, routed: RoutedTube, at: At, faces: Sequence[StandingFace]) -> Sequence[StandingFace]:
        """The faces of plates and brackets that an end may stand on: all where the job leaves it open and it meets no
        tube, level ones where it is to be level."""
        given, faces = routed.given(at), self.faces_for(routed, faces)
        if given.cut == "level":
            return [face for face in faces if abs(float(face.frame.z[2])) > _LEVEL]
        is_said = given.extend or given.opens or self._is_spliced(routed, at)
        is_open = self.works[routed.index, at] == PLAIN and given.cut == "auto" and not is_said
        return faces if is_open else ()

    def _is_spliced(self, routed: RoutedTube, at: At) -> bool:
        """Whether the job says of an end, or of the one that goes on from it, that they are spliced."""
        if routed.given(at).splice is not None:
            return True
        return any(
            other.given(end).splice is not None and goes_on_in((routed, at), (other, end))
            for other, end in self._ends_at(routed, at)
        )

    def _stops(self, routed: RoutedTube, at: At) -> tuple[int, ...]:
        """The tubes up to whose faces an end is sawn that the job gives as plain, without a figure of how far."""
        given = routed.given(at)
        if given.cut != "plain" or given.extend or self._is_spliced(routed, at):
            return ()
        others = [self._routed(j) for j in self._candidates[routed.index, at]]
        return tuple(
            other.index
            for other in others
            if (other.order < routed.order or self._runs_through(other, routed, at))
            and not self._sits_on(other, routed, at)
            and reaches(routed, at, other)
        )

    def _work_out(
        self, ends: Sequence[tuple[RoutedTube, At]], *steps: Callable[[RoutedTube, At], EndWork | None]
    ) -> None:
        """Settles the ends that the steps, one after another, have something to say of."""
        for step in steps:
            for routed, at in ends:
                if (routed.index, at) in self.works:
                    continue
                try:
                    if (work := step(routed, at)) is not None:
                        self.works[routed.index, at] = work
                except InputError as fault:
                    self.works[routed.index, at] = PLAIN
                    self.problems.append(Problem.of(("tube", routed.index, at), fault))

    @property
    def sound(self) -> list[RoutedTube]:
        """The tubes that could be built, as the job lists them."""
        return [routed for routed in self.tubes if routed is not None]

    def lengthen(self, lengths: Mapping[tuple[int, At], float]) -> None:
        """Lets plain ends go on past their points.

        Args:
            lengths: mm, by a tube's place in the job and its end.
        """
        for (index, at), length in lengths.items():
            routed = self._routed(index)
            end = routed.given(at).model_copy(update={"extend": length})
            longer = replace(routed, start=end) if at == "start" else replace(routed, finish=end)
            self.tubes[index] = self.by_mark[routed.mark] = longer
        if lengths:
            self.worked.clear()

    def _refuse_rings(self, ends: Sequence[tuple[RoutedTube, At]]) -> None:
        """Faults of ends coped onto one another in a ring at one place: none of them can be first.

        A ring of tubes each on the side of the next, as a pinwheel has it, is none: its joints lie apart.
        """
        done: set[tuple[int, At]] = set()
        for routed, at in ends:
            if (routed.index, at) in done:
                continue
            ring = self._ring((routed.index, at))
            done.update(ring)
            if ring:
                tubes = [self._routed(index) for index, _ in ring]
                marks = list(dict.fromkeys(tube.mark for tube in tubes))
                what, only = f"{marks[0]} and {marks[1]} are each coped onto the other here", "one of the two ends only"
                if len(marks) > 2:
                    round_it = ", ".join(f"{one} onto {other}" for one, other in pairwise([*marks, marks[0]]))
                    what = f"these ends are coped in a ring, {round_it}: none can be first"
                    only = "one of these ends less"
                fault = InputError(what, f'`onto` at {only}, or cut = "mitre"', key=("onto",))
                last = max(ring, key=lambda end: end[0])
                self.problems.append(Problem.of(("tube", *last), fault))

    def _ring(self, first: tuple[int, At]) -> list[tuple[int, At]]:
        """The ends of a ring that `first` is part of, from it on; none where it is in none."""
        ways = [[first]]
        seen = {first}
        while ways:
            way = ways.pop()
            for follower in self._carried_by(way[-1]):
                if follower == first:
                    return way
                if follower not in seen:
                    seen.add(follower)
                    ways.append([*way, follower])
        return []

    def _carried_by(self, end: tuple[int, At]) -> Iterator[tuple[int, At]]:
        """The coped ends, at the place of a coped end, of the tubes that it sits on."""
        work = self.works[end]
        if work.cut != "cope":
            return
        own = self._routed(end[0])
        for i in work.mains:
            main = self._routed(i)
            both_straight = own.path is None and main.path is None
            for at in ENDS:
                theirs = self.works[i, at]
                near = math.dist(own.point(end[1]), main.point(at)) <= own.section.reach + main.section.reach
                # Two straight tubes meet at one place only, however far apart their points lie.
                if theirs.cut == "cope" and (near or (both_straight and end[0] in theirs.mains)):
                    yield i, at

    # -- ends that say what they sit on -------------------------------------------
    def _listed(self, routed: RoutedTube, at: At) -> EndWork | None:
        given = routed.given(at)
        if given.onto is None or given.cut == "mitre":
            return None
        _no_extension(routed, at, "is coped, as it names what it sits on")
        if (stand := self._named_stand(routed, at, given.onto)) is not None:
            self.stands[routed.index, at] = stand
            return EndWork("plane")
        mains = [self._named(routed, mark, i) for i, mark in enumerate(given.onto)]
        found = [main for main in mains if main is not None]
        for main in found:
            if routed.as_it_is and not main.as_it_is:
                what = f"{routed.mark} is not made here, so nothing cuts it to {main.mark}"
                raise InputError(what, f"`onto` at the end of {main.mark}", key=("onto",))
            if between(routed, at, main) < LEAST_ANGLE:
                what = f"{routed.mark} runs within 5 degrees of parallel to {main.mark}, so it cannot be coped onto it"
                raise InputError(what, 'cut = "plain" for a butt joint, or cut = "mitre"', key=("onto",))
            for other in ENDS:
                back = main.given(other)
                meet = routed.meets_end(at, main, other)
                if meet and back.cut in ("auto", "cope") and back.onto and routed.mark in back.onto:
                    what = f"{routed.mark} and {main.mark} are each coped onto the other here"
                    raise InputError(what, "`onto` at one of the two ends only", key=("onto",))
        return EndWork("cope", tuple(main.index for main in found)) if found else PLAIN

    def _named_stand(self, routed: RoutedTube, at: At, named: Sequence[str]) -> Stand | None:
        """The face of a profile or of placed sheet that an end names as what it sits on; None where it names tubes."""
        every = (*self.faces, *self.legs)
        if len(named) != 1 or named[0] in self._marks or not any(face.mark == named[0] for face in every):
            return None
        stand = stand_of(routed, at, [face for face in every if face.mark == named[0]])
        if stand is None:
            what = f"this end stands on no flat face of {named[0]}"
            raise InputError(what, "a point on one of its faces, with half of the section over metal", key=("onto",))
        return stand

    def _named(self, routed: RoutedTube, mark: str, place: int) -> RoutedTube | None:
        main = self.by_mark.get(mark)
        if main is routed:
            raise InputError(f"{mark} is named as its own partner", "the marks of other tubes", key=("onto", place))
        if main is None and mark not in self._marks:
            what = f'there is no tube "{mark}"'
            accepted = f"marks of tubes: {_some(self.by_mark)}"
            raise InputError(what, accepted, nearest(mark, self.by_mark), ("onto", place))
        return main

    # -- mitres -------------------------------------------------------------------
    def _joined(self, routed: RoutedTube, at: At) -> EndWork | None:
        """An open end that another is to be mitred with is mitred too."""
        if routed.given(at).cut != "auto":
            return None
        asking = tuple(
            (other.index, end)
            for other, end in self._ends_at(routed, at)
            if (routed.index, at) in self.works.get((other.index, end), PLAIN).partners
        )
        return EndWork("mitre", partners=asking) if asking else None

    def _mitred(self, routed: RoutedTube, at: At) -> EndWork | None:
        if routed.given(at).cut != "mitre":
            return None
        partners = self._partners(routed, at)
        if not partners:
            what = "no other tube ends here that could be mitred with this end"
            raise InputError(what, 'two or more tubes that end at one point, each with cut = "mitre"', key=("cut",))
        for other, end in partners:
            theirs = other.given(end)
            if other.as_it_is and not routed.as_it_is:
                what = f"{other.mark} is not made here, so nothing mitres it with {routed.mark}"
                raise InputError(what, 'cut = "cope", or no `cut`: this end then sits on it', key=("cut",))
            if (
                theirs.plane is not None
                or theirs.cut in ("plain", "level", "cope")
                or (theirs.onto and theirs.cut == "auto")
            ):
                given = "cut to a plane" if theirs.plane is not None else f"given as {theirs.cut}"
                what = f"the {end} of {other.mark} is to be mitred with this end, but is {given}"
                raise InputError(what, f'cut = "mitre" at the {end} of {other.mark} too', key=("cut",))
            _no_extension(other, end, f"is mitred with {routed.mark}")
            if math.acos(max(-1.0, min(1.0, float(routed.inward(at) @ other.inward(end))))) < 2.0 * LEAST_ANGLE:
                what = f"{routed.mark} and {other.mark} leave this point within 10 degrees of one another: no mitre"
                raise InputError(what, "tubes that part by 10 degrees or more", key=("cut",))
        if len(partners) > 1 and routed.given(at).seam == "edges":
            raise InputError("three tubes have no seam from edge to edge", 'seam = "bisect"', key=("seam",))
        return EndWork("mitre", partners=tuple((other.index, end) for other, end in partners))

    def _partners(self, routed: RoutedTube, at: At) -> list[tuple[RoutedTube, At]]:
        """Ends mitred with this one: those it names; or those at its point that ask for a
        mitre too; or, where none does, the only other end there that says nothing else."""
        there = self._ends_at(routed, at)
        given = routed.given(at)
        if given.onto is not None:
            marks = [self._named(routed, mark, i) for i, mark in enumerate(given.onto)]
            missing = [main.mark for main in marks if main and not any(other is main for other, _ in there)]
            if missing:
                raise InputError(f"{missing[0]} has no end at this point", "tubes that end here", key=("onto",))
            return [(other, end) for other, end in there if any(other is main for main in marks)]
        asking = [(o, end) for o, end in there if o.given(end).cut == "mitre"]
        if asking:
            return [(o, e) for o, e in asking if (named := o.given(e).onto) is None or routed.mark in named]
        open_ends = [
            (o, end)
            for o, end in there
            if (theirs := o.given(end)).cut == "auto" and theirs.onto is None and theirs.plane is None
        ]
        if len(open_ends) > 1:
            what = f"{' and '.join(o.mark for o, _ in open_ends)} all end here: it is not said which one is mitred"
            raise InputError(what, 'cut = "mitre" at every end that takes part, or `onto` with the marks', key=("cut",))
        return open_ends

    def _ends_at(self, routed: RoutedTube, at: At) -> list[tuple[RoutedTube, At]]:
        """Other tubes' ends at the same point, in fit order."""
        return [
            (other, end)
            for j in self._candidates[routed.index, at]
            if (other := self._routed(j)) is not routed
            for end in ENDS
            if routed.meets_end(at, other, end)
        ]

    # -- corners --------------------------------------------------------------------
    def _cornered(self, routed: RoutedTube, at: At) -> EndWork | None:
        """An open end that a corner's own rules mitre with another one."""
        if not self._is_open(routed, at):
            return None
        if any(other.as_it_is != routed.as_it_is for other, _ in self._ends_at(routed, at)):
            return None  # what is there runs on, and what is made here sits on it
        ends = [(routed, at), *((other, end) for other, end in self._ends_at(routed, at) if self._is_open(other, end))]
        has_post = any((one.index, end) in self._posts for one, end in ends)
        ordered = sorted(ends, key=lambda end: end[0].index)
        pair = self.corners.mitred_pair(ordered) if len(ends) > 1 and not has_post else None
        partners = [(other, end) for other, end in pair or () if other is not routed or end != at]
        if pair is None or len(partners) > 1 or any(self._carried(one, end) for one, end in pair):
            return None
        return EndWork("mitre", partners=tuple((other.index, end) for other, end in partners), automatic=True)

    def _is_open(self, routed: RoutedTube, at: At) -> bool:
        """Whether the job leaves an end to its corner."""
        given = routed.given(at)
        return (routed.index, at) in self._left and given.cut == "auto" and not given.extend and not given.opens

    def _carried(self, routed: RoutedTube, at: At) -> bool:
        """Whether an end reaches a tube that does not end there."""
        return any(
            self._runs_through(other, routed, at) and reaches(routed, at, other)
            for other in map(self._routed, self._candidates[routed.index, at])
        )

    def _runs_through(self, other: RoutedTube, routed: RoutedTube, at: At) -> bool:
        near = self._ends_near(other, routed, at)
        return not near or any(overhangs((other, end), (routed, at)) for end in near)

    def _ends_near(self, other: RoutedTube, routed: RoutedTube, at: At) -> list[At]:
        """The ends of another tube that meet an end, or lie so near it that their tubes touch."""
        far = routed.section.reach + other.section.reach
        return [end for end in ENDS if math.dist(other.point(end), routed.point(at)) <= far]

    def _goes_before(self, other: RoutedTube, routed: RoutedTube, at: At) -> bool:
        """Whether an open end is fitted to another tube, not the other way round."""
        if other.as_it_is != routed.as_it_is:
            return other.as_it_is
        if not self._is_open(routed, at) or self.corners.style((routed, at)) == "as drawn":
            return other.order < routed.order
        near = self._ends_near(other, routed, at)
        if any(self._is_spliced(other, end) or overhangs((other, end), (routed, at)) for end in near):
            return True
        if any(self._can_yield(other, end) and overhangs((routed, at), (other, end)) for end in near):
            return False
        if not near and other.order > routed.order:
            return not any(reaches(other, end, routed) for end in ENDS)
        if not near or any(self.works.get((other.index, end), PLAIN).cut == "mitre" for end in near):
            return True
        if all(self._is_open(other, end) for end in near):
            return min(self._order(other, end) for end in near) < self._order(routed, at)
        return other.order < routed.order

    def _order(self, routed: RoutedTube, at: At) -> tuple[bool, bool, bool, float, int]:
        """The place of an open end among those that meet at its point: the least runs on.  What stands on a plate of
        its own there carries the others."""
        named, size, index = self.corners.order((routed, at))
        return named, routed.given(at).foot is None, (routed.index, at) not in self._posts, size, index

    def _through_posts(self, ends: Sequence[tuple[RoutedTube, At]]) -> set[tuple[int, At]]:
        """The open ends that run through between two others which lie end to end in one straight line, as a post does
        where the chords of a truss are drawn bay by bay."""
        posts: set[tuple[int, At]] = set()
        for routed, at in ends:
            if not self._is_open(routed, at) or self.corners.style((routed, at)) == "as drawn":
                continue
            there = [(other, end) for other, end in self._ends_at(routed, at) if self._is_open(other, end)]
            is_named = any(not self.corners.order(each)[0] for each in [(routed, at), *there])
            if not is_named and any(goes_on_in((routed, at), each) for each in there):
                after = [each for each in there if not any(goes_on_in(each, one) for one in [(routed, at), *there])]
                carrying = [each for each in after if parts_chord(each, (routed, at))]
                posts |= {(post.index, end) for post, end in sorted(carrying, key=self.corners.order)[:1]}
        return posts

    def _can_yield(self, routed: RoutedTube, at: At) -> bool:
        """Whether an end is fitted to a tube that goes on past it: left open, or sawn straight up to what stands
        there."""
        given = routed.given(at)
        return self._is_open(routed, at) or (given.cut == "plain" and not given.extend)

    def _drawn_to_corners(self, ends: Sequence[tuple[RoutedTube, At]]) -> dict[tuple[int, At], RouteCorner]:
        """The open ends that are drawn to the corner of a bent tube's route and miss the bend, with these corners."""
        bends = BendCorners(self.sound)
        found: dict[tuple[int, At], RouteCorner] = {}
        for routed, at in ends:
            given = routed.given(at)
            if (routed.index, at) in self._left and given.cut == "auto" and not given.opens:
                corner = bends.aimed_at(routed, at, TOUCH)
                if corner is not None and not self._carried(routed, at):
                    found[routed.index, at] = corner
        return found

    # -- open ends ----------------------------------------------------------------
    def _automatic(self, routed: RoutedTube, at: At) -> EndWork:
        mains = [
            j
            for j in self._candidates[routed.index, at]
            if self._goes_before(self._routed(j), routed, at)
            and not self._sits_on(self._routed(j), routed, at)
            and reaches(routed, at, self._routed(j))
        ]
        if mains:
            _no_extension(routed, at, f"is coped, as it reaches {self._routed(mains[0]).mark}")
            return EndWork("cope", tuple(mains), automatic=True)
        if routed.given(at).cut == "cope":
            what = "this end reaches no earlier tube that it could be coped onto"
            accepted = "`onto` with the marks it sits on, or a tube listed before it that runs through its point"
            raise InputError(what, accepted, key=("cut",))
        return PLAIN

    def _sits_on(self, earlier: RoutedTube, routed: RoutedTube, at: At) -> bool:
        """Whether an end of `earlier` here is already worked to sit on `routed`, or mitred with it."""
        for end in ENDS:
            work = self.works.get((earlier.index, end))
            if (
                work is None
                or math.dist(earlier.point(end), routed.point(at)) > routed.section.reach + earlier.section.reach
            ):
                continue
            if routed.index in work.mains or any(j == routed.index for j, _ in work.partners):
                return True
        return False

    # -- helpers --------------------------------------------------------------------
    def _routed(self, index: int) -> RoutedTube:
        routed = self.tubes[index]
        assert routed is not None
        return routed

    def _neighbours(self) -> dict[tuple[int, At], list[int]]:
        """For every end the tubes whose boxes come near it, in fit order."""
        if not self.sound:
            return {}
        low, high = (np.array([routed.box[i] for routed in self.sound]) for i in (0, 1))
        ends = [(routed, at) for routed in self.sound for at in ENDS]
        points = np.array([routed.point(at) for routed, at in ends])
        reach = np.array([routed.section.reach + TOUCH for routed, _ in ends])[:, None]
        near: dict[tuple[int, At], list[int]] = {(routed.index, at): [] for routed, at in ends}
        for i, j in overlapping(points - reach, points + reach, low, high):
            routed, at = ends[i]
            fits = self.sound[j].as_it_is or not routed.as_it_is
            if fits and self.sound[j] is not routed and not self.sound[j].is_sleeve and not routed.is_sleeve:
                near[routed.index, at].append(self.sound[j].index)
        return near


def reaches(routed: RoutedTube, at: At, main: RoutedTube) -> bool:
    """Whether an end reaches a main, by the rule at the head of this module.

    Args:
        routed: the tube whose end `at` it is.
        main: an earlier tube.
    """
    if between(routed, at, main) < LEAST_ANGLE:
        return False
    gap = float(distance(main.body, routed.face(at)).min())
    if gap <= -OVERLAP:
        return True
    return gap <= TOUCH and _runs_into(routed.point(at), routed.inward(at), main)


def holds(main: RoutedTube, routed: RoutedTube) -> bool:
    """Whether a straight tube lies wholly within a hollow one, to its skin."""
    if routed.path is not None or main.section.is_solid:
        return False
    return all(float(distance(main.body, routed.face(at)).max()) <= TOUCH for at in ENDS)


def between(routed: RoutedTube, at: At, main: RoutedTube) -> float:
    """Acute angle between an end's axis and a main's, as it lies there.

    Args:
        routed: the tube whose end `at` it is.
        main: of a bent one its tangent counts where it is nearest to the end's axis.
    Returns: rad, in [0, pi/2].
    """
    along = routed.inward(at)
    return math.acos(min(1.0, abs(float(along @ main.axis_near(routed.point(at), along).x))))


def _runs_into(point: Array, along: Array, main: RoutedTube) -> bool:
    return not np.isnan(greatest(main.body, Walls.lines(point[None, :], along))).any()


def _no_extension(routed: RoutedTube, at: At, why: str) -> None:
    if routed.given(at).extend:
        what = f"the {at} of {routed.mark} {why}, so it cannot be extended"
        raise InputError(what, 'cut = "plain" for an end that goes on past its point, or no `extend`', key=("extend",))


def _some(marks: dict[str, RoutedTube]) -> str:
    return ", ".join(list(marks)[:12]) + (", …" if len(marks) > 12 else "")

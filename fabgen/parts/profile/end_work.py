"""What is done to every end of a job's profiles, by the order in which they are fitted.

An end that the job leaves open is mitred with another open end of the same section at its point, where their cut
faces are one another's image.  Where more than two would fit, as of a frame and a leg, the level pair is mitred, else
that listed first, and a third is fitted to both, wherever it is listed.  Other ends sit on every tube, and on every
earlier profile, that they run into: their metal,
set square across the route's last point, goes into the other by more than `OVERLAP`, or comes within `TOUCH` and runs
into it when it is carried on.  So legs that lie back to back, or side by side, are left alone.  Else it stands on the
face of a placed plate or bracket.  Profiles within five degrees of parallel sit on nothing.
"""

from __future__ import annotations

import math
from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from fabgen.geometry.profile.end_cut import SawnPlane
from fabgen.geometry.profile.sawing import apart_on_mitre
from fabgen.geometry.space.frame import Array
from fabgen.geometry.tube.contact import greatest
from fabgen.geometry.tube.solids import HalfSpace, Solid, Walls, distance
from fabgen.job.errors import InputError, listed, nearest
from fabgen.parts.piece import ENDS, At, ProfileCut
from fabgen.parts.routed_profile import SAME_POINT, RoutedProfile
from fabgen.parts.shape.cuts import LEAST_ANGLE
from fabgen.parts.shape.standing_faces import StandingFace
from fabgen.parts.tube.routed_tube import RoutedTube
from fabgen.wording.sentence import sentence

OVERLAP, TOUCH = 0.5, 1.0
"""mm, as of tubes."""
FITS = 0.05
"""Two mitred ends whose outlines lie within this of one another all round fit, mm: finer than anything is sawn."""
_INSET = 0.1
"""An end is tried so far within its faces, mm: what only touches them it runs past."""
_SEATED = 0.5
"""Share of an end that must be over the metal of a plate that it stands on."""


Main = RoutedProfile | RoutedTube
"""What an end may sit on besides sheet."""


@dataclass(frozen=True, eq=False)
class Work:
    """What is done to an end: its `kind`, notch standing for whatever sits on `mains`; `partner` of a mitre; `plane`
    that it is sawn to, whose normal points into the profile, and whose it is."""

    kind: ProfileCut
    mains: tuple[str, ...] = ()
    partner: tuple[RoutedProfile, At] | None = None
    plane: HalfSpace | None = None
    automatic: bool = False


PLAIN = Work("plain")


@dataclass(frozen=True, eq=False)
class Around:
    """All that the ends of profiles may sit on: the profiles and tubes of the job, and the faces of placed sheet;
    `kept` are the marks of what is bought or there already."""

    profiles: Sequence[RoutedProfile]
    tubes: Sequence[RoutedTube]
    faces: Sequence[StandingFace]
    kept: Container[str] = ()

    def under(self, routed: RoutedProfile) -> Around:
        """What a profile's ends may sit on: those of one that is taken as it is only on others like it."""
        if not routed.as_it_is:
            return self
        profiles = [each for each in self.profiles if each.as_it_is]
        tubes = [each for each in self.tubes if each.as_it_is]
        return Around(profiles, tubes, [face for face in self.faces if face.mark in self.kept], self.kept)

    def main(self, mark: str) -> Main | None:
        """The tube or profile of a mark; None where there is none."""
        every: list[Main] = [*self.profiles, *self.tubes]
        return next((each for each in every if each.mark == mark), None)

    @property
    def marks(self) -> list[str]:
        """Of all of them."""
        return list(dict.fromkeys([*(p.mark for p in self.profiles), *(t.mark for t in self.tubes), *self.sheet]))

    @property
    def sheet(self) -> list[str]:
        """Marks of the placed plates and brackets."""
        return list(dict.fromkeys(face.mark for face in self.faces))


def work_of(routed: RoutedProfile, at: At, around: Around) -> Work:
    """What is done to an end.

    Args:
        routed: the profile whose end `at` it is.
        around: what it may sit on.
    Raises:
        InputError: it cannot be done.
    """
    given = routed.given(at)
    if given.plane is not None or given.cut == "level":
        return Work("level" if given.cut == "level" else "plane", plane=_plane(routed, at))
    if given.cut == "plain":
        return PLAIN
    if given.cut == "mitre":
        return Work("mitre", partner=_partner(routed, at, around))
    if given.onto is not None:
        return _onto(routed, at, around, given.onto)
    if given.cut == "auto":
        if given.extend:
            return PLAIN
        if partner := _asking(routed, at, around):
            return Work("mitre", partner=partner)
        if partner := _fitting(routed, at, around):
            return Work("mitre", partner=partner, automatic=True)
    if mains := tuple(_run_into(routed, at, around)):
        return Work("notch", mains=mains, automatic=True)
    if (stand := _stand(routed, at, around.faces)) is not None:
        return Work("face", mains=(stand[1],), plane=stand[0], automatic=True)
    if given.cut == "notch":
        what = "this end runs into nothing that it could sit on"
        raise InputError(what, "`onto` with the marks it sits on, or points that reach them", key=("cut",))
    return PLAIN


# -- planes -----------------------------------------------------------------------------
def _plane(routed: RoutedProfile, at: At) -> HalfSpace:
    """The plane that the job gives, its normal into the profile."""
    given, along = routed.given(at), routed.inward(at)
    if given.cut == "level":
        point, normal = routed.point(at), np.array([0.0, 0.0, 1.0])
    elif isinstance(given.plane, list):
        one, two, three = (np.array(p.xyz) for p in given.plane)
        point, normal = one, np.cross(two - one, three - one)
    else:
        assert given.plane is not None
        point, normal = np.array(given.plane.at.xyz), np.array(given.plane.normal, dtype=float)
    size = float(np.linalg.norm(normal))
    key = ("cut",) if given.cut == "level" else ("plane",)
    if size < 1e-9:
        raise InputError("the three points of the plane lie in one line", "three points in no line", key=key)
    lean = float(normal @ along) / size
    if abs(lean) < math.sin(LEAST_ANGLE):
        raise InputError("the plane runs along the profile", "one that crosses it", key=key)
    return HalfSpace.at(point, normal * math.copysign(1.0, lean))


def sawn_to(routed: RoutedProfile, at: At, plane: HalfSpace) -> SawnPlane:
    """A plane in the frame of an end.

    Args:
        routed: the profile whose end `at` it is.
        plane: its normal points into the profile.
    """
    return SawnPlane.of(plane, routed.end_frame(at))


# -- mitres ---------------------------------------------------------------------------------
def _ends_at(routed: RoutedProfile, at: At, around: Around) -> Iterator[tuple[RoutedProfile, At]]:
    """Other profiles' ends at the same point: of those made here only these, as nothing mitres what is not."""
    for other in around.profiles:
        if other is not routed and other.as_it_is == routed.as_it_is:
            for end in ENDS:
                if math.dist(routed.point(at), other.point(end)) <= SAME_POINT:
                    yield other, end


def mitre_gap(one: tuple[RoutedProfile, At], other: tuple[RoutedProfile, At]) -> float:
    """How far two mitred ends are from meeting all round, mm.

    Args:
        one: a profile and its end.
        other: its partner.
    """
    (a, at), (b, end) = one, other
    outlines = [p.end_section(e).outline for p, e in (one, other)]
    return apart_on_mitre(outlines[0], a.end_frame(at), outlines[1], b.end_frame(end))


def _turn_by(routed: RoutedProfile, at: At, other: RoutedProfile, end: At) -> float:
    """The angle between the ways in which two ends run from their point, rad."""
    return math.acos(max(-1.0, min(1.0, float(routed.inward(at) @ other.inward(end)))))


def _is_open(routed: RoutedProfile, at: At) -> bool:
    given = routed.given(at)
    return given.cut == "auto" and given.onto is None and given.plane is None and not given.extend


End = tuple[RoutedProfile, At]


def _asking(routed: RoutedProfile, at: At, around: Around) -> End | None:
    """The one end that asks to be mitred with an end that says nothing."""
    asking = [(o, end) for o, end in _ends_at(routed, at, around) if o.given(end).cut == "mitre"]
    return asking[0] if len(asking) == 1 and _partner(*asking[0], around)[0] is routed else None


def _fitting(routed: RoutedProfile, at: At, around: Around) -> End | None:
    """The open end at an end's point with which it is mitred of itself."""
    there = [(other, end) for other, end in _ends_at(routed, at, around) if _is_free(other, end, around)]
    fit = [pair for pair in combinations([(routed, at), *there], 2) if _fits(*pair)]
    # A frame's corner is mitred and its leg stands under it: the level pair first, then as they are listed.
    fit.sort(key=lambda pair: (not all(_is_level(*end) for end in pair), sorted(p.index for p, _ in pair)))
    taken: set[int] = set()
    for one, other in fit:
        if not taken & {one[0].index, other[0].index}:
            if routed in (one[0], other[0]):
                return other if one[0] is routed else one
            taken |= {one[0].index, other[0].index}
    return None


def _is_free(routed: RoutedProfile, at: At, around: Around) -> bool:
    return _is_open(routed, at) and _asking(routed, at, around) is None


def _fits(one: End, other: End) -> bool:
    """Whether two ends are of one section, part by enough for a mitre, and meet on it all round."""
    return (
        other[0].section.nominal == one[0].section.nominal
        and LEAST_ANGLE * 2.0 < _turn_by(*one, *other) < math.pi - LEAST_ANGLE
        and mitre_gap(one, other) <= FITS
    )


def _is_level(routed: RoutedProfile, at: At) -> bool:
    return abs(float(routed.inward(at)[2])) < math.sin(LEAST_ANGLE)


def _is_mitred(routed: RoutedProfile, at: At, around: Around) -> bool:
    """Whether an end is mitred, of itself or as the job says."""
    if not _is_open(routed, at):
        return routed.given(at).cut == "mitre"
    return bool(_asking(routed, at, around) or _fitting(routed, at, around))


def _partner(routed: RoutedProfile, at: At, around: Around) -> End:
    """The end that one which asks for a mitre is mitred with."""
    there = list(_ends_at(routed, at, around))
    named = routed.given(at).onto
    if named is not None:
        for i, mark in enumerate(named):
            if not any(other.mark == mark for other, _ in there):
                known = [other.mark for other, _ in there]
                what = f"{mark} has no end at this point"
                raise InputError(what, f"profiles that end here: {listed(known) or 'none'}", key=("onto", i))
        there = [(other, end) for other, end in there if other.mark in named]
    asking = [(other, end) for other, end in there if other.given(end).cut == "mitre"]
    ends = asking or [(other, end) for other, end in there if _is_open(other, end)]
    if len(ends) != 1:
        what = (
            "no other profile ends here that could be mitred with this end"
            if not ends
            else f"{' and '.join(other.mark for other, _ in ends)} all end here: it is not said which one is mitred"
        )
        raise InputError(what, "one other end at the same point, or `onto` with its mark", key=("cut",))
    other, end = ends[0]
    if other.section.nominal != routed.section.nominal:
        both = sentence(f"{routed.mark} is ", routed.section, f" and {other.mark} ", other.section)
        raise InputError(
            sentence(both, ": they do not meet on a mitre"), 'two of the same section, or cut = "notch"', key=("cut",)
        )
    if not LEAST_ANGLE * 2.0 < _turn_by(routed, at, other, end) < math.pi - 1e-4:
        what = f"{routed.mark} and {other.mark} run within 10 degrees of one another or in one line: no mitre"
        raise InputError(what, 'profiles that part by more, or cut = "plain"', key=("cut",))
    return ends[0]


# -- what an end sits on ------------------------------------------------------------------------
def _onto(routed: RoutedProfile, at: At, around: Around, named: Sequence[str]) -> Work:
    """An end that says what it sits on."""
    for i, mark in enumerate(named):
        if mark == routed.mark:
            raise InputError(f"{mark} is named as its own partner", "the marks of others", key=("onto", i))
        if mark not in around.marks:
            known = [each for each in around.marks if each != routed.mark]
            what = f'there is no tube, profile or placed plate "{mark}"'
            raise InputError(what, f"marks: {listed(known)}", nearest(mark, known), ("onto", i))
    if any(mark in around.sheet for mark in named):
        if len(named) > 1:
            raise InputError("a plate is named beside others", "the plate alone, or none", key=("onto",))
        stand = _stand(routed, at, [face for face in around.faces if face.mark == named[0]], near=False)
        if stand is None:
            raise InputError(f"this end runs past {named[0]}", "points that reach it", key=("onto",))
        return Work("face", mains=tuple(named), plane=stand[0])
    for mark in named:
        main = around.main(mark)
        if main is not None and _is_along(routed, at, main):
            what = f"{routed.mark} runs within 5 degrees of parallel to {mark}, so it cannot sit on it"
            raise InputError(what, 'cut = "plain" for a butt joint, or cut = "mitre"', key=("onto",))
    return Work("notch", mains=tuple(named))


def _is_along(routed: RoutedProfile, at: At, main: Main) -> bool:
    along = routed.inward(at)
    axis = main.frame.x if isinstance(main, RoutedProfile) else main.axis_near(routed.point(at), along).x
    return abs(float(along @ axis)) > math.cos(LEAST_ANGLE)


def _run_into(routed: RoutedProfile, at: At, around: Around) -> Iterator[str]:
    """Marks of the tubes and earlier profiles that an open end runs into, and of later ones that pass it or are mitred
    with one another where it ends."""
    face = routed.face(at, _INSET)
    earlier = [other for other in around.profiles if other.order < routed.order]
    later = [other for other in around.profiles if other.order > routed.order]
    mitred = [other for other, end in _ends_at(routed, at, around) if _is_mitred(other, end, around)]
    later = [other for other in later if other in mitred or not _ends_near(routed, at, other)]
    mains: list[Main] = [*earlier, *later, *around.tubes]
    for main in mains:
        if _is_along(routed, at, main) or not _is_near(main, face):
            continue
        gap = float(distance(main.body, face).min())
        if gap <= -OVERLAP or (gap <= TOUCH and _hits(main.body, face, routed.inward(at))):
            yield main.mark


def _ends_near(routed: RoutedProfile, at: At, other: RoutedProfile) -> bool:
    far = routed.reach + other.reach
    return any(math.dist(other.point(end), routed.point(at)) <= far for end in ENDS)


def _is_near(main: Main, face: Array) -> bool:
    if isinstance(main, RoutedTube):
        low, high = main.box
    else:
        ends = np.array([main.point(at) for at in ENDS])
        low, high = ends.min(axis=0) - main.reach, ends.max(axis=0) + main.reach
    return bool((face.max(axis=0) >= low - TOUCH).all() and (face.min(axis=0) <= high + TOUCH).all())


def _hits(body: Solid, face: Array, along: Array) -> bool:
    return not np.isnan(greatest(body, Walls.lines(face, along))).all()


def _stand(
    routed: RoutedProfile, at: At, faces: Sequence[StandingFace], near: bool = True
) -> tuple[HalfSpace, str] | None:
    """The face of sheet that an end stands on, the one farthest into the profile; None where there is none."""
    along, point = routed.inward(at), routed.point(at)
    skin = routed.face(at, _INSET)
    best: tuple[float, HalfSpace, str] | None = None
    for face in faces:
        lean = float(face.frame.z @ along)
        if lean < math.sin(LEAST_ANGLE):
            continue
        under = float((face.frame.origin - point) @ face.frame.z)
        if near and not -TOUCH <= under <= face.thickness + TOUCH:
            continue
        plane = HalfSpace.at(face.frame.origin, face.frame.z)
        onto = skin + ((plane.level - skin @ plane.normal) / lean)[:, np.newaxis] * along
        if face.share_on(onto) >= _SEATED and (best is None or under / lean > best[0]):
            best = under / lean, plane, face.mark
    return None if best is None else best[1:]

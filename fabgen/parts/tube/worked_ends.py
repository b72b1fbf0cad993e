"""The ends of a job's tubes, cut to sit on what they meet."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.contact import union
from fabgen.geometry.tube.profile import Profile
from fabgen.geometry.tube.solids import HalfSpace, Solid, Trimmed
from fabgen.job.tables.part_tables import Fit
from fabgen.parts.piece import ENDS, LEAST_HEEL, At, Joint, PlateSeat, WorkedEnd
from fabgen.parts.shape.cuts import cut_line, drawn_line, lines_onto, plain_line
from fabgen.parts.shape.sections import angle_about, section_profile
from fabgen.parts.tube.corners import goes_on_in
from fabgen.parts.tube.end_work import EndWork, FitUp
from fabgen.parts.tube.flat_faces import FaceMet, face_met, square_stop
from fabgen.parts.tube.mitre import crossing, flat_cut, given_plane, seam
from fabgen.parts.tube.routed_tube import RoutedTube, setting
from fabgen.parts.tube.standing_on import Stand, plates_beside

_SHAPES = 0.01
"""A main that moves the cut by less than this is not one the end sits on, mm."""


def worked_end(routed: RoutedTube, at: At, fit_up: FitUp) -> WorkedEnd:
    """An end of a tube as it is cut.

    Args:
        routed: the tube whose end `at` it is.
        fit_up: what is done to every end of the job's tubes; it keeps the ends that are worked out.
    """
    key = (routed.index, at)
    if (found := fit_up.worked.get(key)) is None:
        fit_up.in_work.add(key)
        found = fit_up.worked[key] = _worked(routed, at, fit_up)
        fit_up.in_work.discard(key)
    return found


def _worked(routed: RoutedTube, at: At, fit_up: FitUp) -> WorkedEnd:
    given, work, header = routed.given(at), fit_up.works[routed.index, at], fit_up.header
    gap = header.root_gap if given.gap is None else given.gap
    if work.cut == "cope":
        return _coped(routed, at, work, fit_up, given.fit or header.fit, gap)
    if work.cut == "mitre":
        return _mitred(routed, at, work, fit_up, header.root_gap)
    if work.cut == "plane":
        return _on_plane(routed, at, fit_up.stands.get((routed.index, at)), gap)
    along = routed.inward(at)
    frame = Frame.along(routed.point(at) - along * given.extend, along, routed.frame_at(at).z)
    profile = _profile(routed, at, frame)
    corner = fit_up.astray.get((routed.index, at))
    astray = "" if corner is None else corner.main.mark
    return WorkedEnd(at, "plain", plain_line(profile), frame, _top(routed, at, frame), opens=given.opens, astray=astray)


def _coped(routed: RoutedTube, at: At, work: EndWork, fit_up: FitUp, fit: Fit, gap: float) -> WorkedEnd:
    mains = [main for i in work.mains if (main := fit_up.tubes[i]) is not None]
    solids = list(solids_met(routed, at, fit_up, gap).values())
    frame = setting(routed, at, mains[0]).frame
    profile = _profile(routed, at, frame)
    lines = lines_onto(profile, frame, solids, fit)
    face = face_met(profile, frame, mains, solids, lines, gap)
    if work.straight:
        face = face or square_stop(profile, frame, solids, lines)
    ours = not routed.section.is_round and _is_ours(routed, at)
    is_sawn = face is not None and (work.straight or (face.is_sawn_by_itself and ours))
    if fit_up.faces and not work.straight:
        is_flat = face is not None and (is_sawn or (face.is_whole and routed.given(at).fit is None))
        own: Fit = "outside" if is_flat else fit
        seen = _with_face(face, solids) if is_flat and face is not None else solids
        if (end := _coped_beside(routed, at, frame, mains, seen, own, fit_up, gap)) is not None:
            return end
    if face is not None and is_sawn:
        return _sawn_to(face, routed, at, mains[face.main], gap)
    kept = _shaping(lines) if work.automatic else list(range(len(mains)))
    if face is not None and face.is_whole and kept == [face.main] and routed.given(at).fit is None:
        # One straight saw cut makes this cope too: its wall's edge lies in the plane all through.
        fit = "outside"
        lines = lines_onto(profile, frame, solids, fit)
    settings = [setting(routed, at, mains[i]) for i in kept]
    rough: Array | None = union([lines[i] for i in kept])
    if kept != [0]:
        frame = settings[0].frame
        if len(kept) > 1:
            outermost = min((s.frame.origin for s in settings), key=lambda origin: float(origin @ frame.x))
            frame = _turned_to_heel(routed, at, replace(frame, origin=outermost), [solids[i] for i in kept], fit)
        rough = None
    top = _top(routed, at, frame)
    line = drawn_line(routed.section, top, frame, [solids[i] for i in kept], fit, rough)
    joints = tuple(Joint(mains[i].mark, s.angle, s.offset) for i, s in zip(kept, settings, strict=True))
    left_open = face.left_open if face is not None and len(kept) == 1 and ours else 0.0
    return WorkedEnd(at, "cope", line, frame, top, joints, fit, routed.given(at).opens, gap, left_open=left_open)


def _with_face(face: FaceMet, solids: Sequence[Solid]) -> list[Solid]:
    """The mains as an end meets them that a straight cut brings up to one: its face for that."""
    return [face.plane if i == face.main else solid for i, solid in enumerate(solids)]


def _coped_beside(
    routed: RoutedTube, at: At, frame: Frame, mains: Sequence[RoutedTube], solids: Sequence[Solid], fit: Fit,
    fit_up: FitUp, gap: float,
) -> WorkedEnd | None:  # fmt: skip
    """An end on tubes and plates, cut by the first contact with either; None where it meets no plate.

    Args:
        frame: along the tube from its work point.
        mains: the tubes that it reaches.
        solids: these as it meets them, with the root gap on them.
    """
    profile = _profile(routed, at, frame)
    lines = lines_onto(profile, frame, solids, fit)
    faces = fit_up.faces_for(routed, fit_up.faces)
    plates = plates_beside(routed, frame.x, profile.walls(frame).skin, union(lines), faces)
    if not plates:
        return None
    kept = _shaping(lines)
    settings = [setting(routed, at, mains[i]) for i in kept]
    every = [*(solids[i] for i in kept), *(HalfSpace(plate.normal, plate.level + gap) for plate in plates)]
    outermost = min((s.frame.origin for s in settings), key=lambda origin: float(origin @ frame.x))
    frame = _turned_to_heel(routed, at, replace(settings[0].frame, origin=outermost), every, fit)
    top = _top(routed, at, frame)
    line = drawn_line(routed.section, top, frame, every, fit)
    joints = tuple(Joint(mains[i].mark, s.angle, s.offset) for i, s in zip(kept, settings, strict=True))
    end = WorkedEnd(at, "cope", line, frame, top, joints, fit, routed.given(at).opens, gap)
    return replace(end, plates=tuple(plates))


def _is_ours(routed: RoutedTube, at: At) -> bool:
    """Whether the job leaves it open how an end that sits on a tube is cut."""
    given = routed.given(at)
    return given.cut == "auto" and given.fit is None


def _sawn_to(face: FaceMet, routed: RoutedTube, at: At, main: RoutedTube, gap: float) -> WorkedEnd:
    """An end that one straight saw cut brings up to a main."""
    stands = setting(routed, at, main)
    top = _top(routed, at, stands.frame)
    line = drawn_line(routed.section, top, stands.frame, [face.plane], "outside")
    flat = flat_cut(main.mark, face.plane, stands.frame, at, top)
    joint = Joint(main.mark, stands.angle, stands.offset)
    opens = routed.given(at).opens
    end = WorkedEnd(at, "cope", line, stands.frame, top, (joint,), "outside", opens, gap, (flat,))
    return replace(end, left_open=face.left_open, root_open=face.root_open)


def _turned_to_heel(routed: RoutedTube, at: At, frame: Frame, solids: Sequence[Solid], fit: Fit) -> Frame:
    """The frame of an end on several tubes with y on the heel, which the line itself shows; toward the tube's top
    where no side is the shortest."""
    for _ in range(2):  # the second time at the same places round the heel, whatever the first began with
        line = cut_line(_profile(routed, at, frame), frame, solids, fit)
        phi, farther = line.heel
        if farther <= LEAST_HEEL:
            return Frame.along(frame.origin, frame.x, routed.frame_at(at).z)
        frame = Frame.along(frame.origin, frame.x, math.cos(phi) * frame.y + math.sin(phi) * frame.z)
    return frame


def solids_met(routed: RoutedTube, at: At, fit_up: FitUp, gap: float) -> dict[int, Solid]:
    """The mains of a coped end as it meets them, by their places in the job.

    Args:
        routed: the tube whose end `at` it is.
        gap: root gap, mm.
    """
    work = fit_up.works[routed.index, at]
    mains = ((i, fit_up.tubes[i]) for i in work.mains)
    return {i: _as_met(main, routed, at, work, fit_up, gap) for i, main in mains if main is not None}


def _shaping(lines: Sequence[Array]) -> list[int]:
    """Which of the mains' lines the cut needs: the later ones are tried first for leaving out."""
    kept = list(range(len(lines)))
    greatest = union(lines)
    for i in reversed(range(len(lines))):
        rest = [k for k in kept if k != i]
        if rest and np.allclose(union([lines[k] for k in rest]), greatest, rtol=0.0, atol=_SHAPES, equal_nan=True):
            kept = rest
    return kept


def _as_met(main: RoutedTube, branch: RoutedTube, at: At, work: EndWork, fit_up: FitUp, gap: float) -> Solid:
    """A main as the branch meets it, with the root gap on it.

    It runs on past its ends, so that a foot over a short end shows what to extend; but where an
    end of it sits on, or is mitred with, another of the same mains, it stops there: what would
    lie beyond is cut away.  A bent main counts only as far as the branch is straight, at most to
    its middle: a tube across a hoop meets it at both its ends.
    """
    planes: dict[At, list[HalfSpace]] = {}
    for end in ENDS:
        own = fit_up.works[main.index, end]
        others = [i for i in own.mains if i in work.mains]
        partners = [(i, far) for i, far in own.partners if i in work.mains]
        planes[end] = [HalfSpace(-plane.normal, -plane.level) for plane in _seams(main, end, partners, fit_up)]
        if others and (main.index, end) not in fit_up.in_work:  # round in a circle: such a job is refused
            planes[end].append(_behind(worked_end(main, end, fit_up)))
        if own.cut == "plain" and _is_spliced(main, end, work, fit_up):
            planes[end].append(HalfSpace.at(main.point(end), -main.inward(end)))
    solid = main.cut_back(tuple(planes["start"]), tuple(planes["finish"]))
    if gap:
        solid = solid.grown(gap)
    if main.path is None:
        return solid
    along = branch.inward(at)
    return Trimmed(solid, (HalfSpace.at(branch.point(at) + _counts(branch, at) * along, along),))


def _is_spliced(main: RoutedTube, end: At, work: EndWork, fit_up: FitUp) -> bool:
    """Whether another of the mains goes on from an end in one straight line."""
    others = (other for i in work.mains if i != main.index and (other := fit_up.tubes[i]) is not None)
    return any(goes_on_in((main, end), (other, far)) for other in others for far in ENDS)


def _behind(end: WorkedEnd) -> HalfSpace:
    """What lies behind a coped end: from its work point on, or from the metal that reaches past that."""
    past = min(0.0, end.line.longest)
    return HalfSpace.at(end.frame.origin + past * end.frame.x, -end.frame.x)


def _counts(branch: RoutedTube, at: At) -> float:
    """How far from its end a branch's lines count, mm."""
    return branch.axis / 2.0 if branch.path is None else branch.straight(at)


def _mitred(routed: RoutedTube, at: At, work: EndWork, fit_up: FitUp, usual_gap: float) -> WorkedEnd:
    along = routed.inward(at)
    met = [(other, end) for i, end in work.partners if (other := fit_up.tubes[i]) is not None]
    gap = _mitre_gap(routed, at, met, usual_gap)
    planes = [plane.grown(gap / 2.0) for plane in _seams(routed, at, work.partners, fit_up)]
    ways = [other.inward(end) for other, end in met]
    toward = next((way for way in ways if np.linalg.norm(np.cross(way, along)) > 1e-6), routed.frame_at(at).z)
    frame = Frame.along(routed.point(at), along, toward)
    # A mitre is sawn flat, so the wall's edge lies in the plane all through.
    if len(planes) > 1:
        frame = _turned_to_heel(routed, at, frame, planes, "outside")
    top = _top(routed, at, frame)
    line = drawn_line(routed.section, top, frame, planes, "outside")
    joints = tuple(
        Joint(other.mark, math.asin(max(-1.0, min(1.0, float(plane.normal @ along)))), 0.0)
        for (other, _), plane in zip(met, planes, strict=True)
    )
    flats = tuple(flat_cut(other.mark, plane, frame, at, top) for (other, _), plane in zip(met, planes, strict=True))
    end = WorkedEnd(at, "mitre", line, frame, top, joints, "outside", routed.given(at).opens, gap, flats)
    return replace(end, is_own_choice=work.automatic and fit_up.corners.style((routed, at)) != "mitred")


def _mitre_gap(routed: RoutedTube, at: At, met: Sequence[tuple[RoutedTube, At]], usual: float) -> float:
    """The root gap of a mitre, half of it off each tube: the greatest that one of the ends gives."""
    given = [g for end in (routed.given(at), *(other.given(end) for other, end in met)) if (g := end.gap) is not None]
    return max(given, default=usual)


def _seams(routed: RoutedTube, at: At, partners: Sequence[tuple[int, At]], fit_up: FitUp) -> list[HalfSpace]:
    """What is cut away for each partner of a mitre."""
    alone = len(fit_up.works[routed.index, at].partners) == 1
    return [seam(routed, at, other, end, alone) for i, end in partners if (other := fit_up.tubes[i]) is not None]


def _on_plane(routed: RoutedTube, at: At, stand: Stand | None, gap: float) -> WorkedEnd:
    along = routed.inward(at)
    try:
        plane = given_plane(routed, at) if stand is None else stand.plane
    except ValueError:  # reported already, with the other faults
        plane = HalfSpace.at(routed.point(at), along)
    level = along - float(plane.normal @ along) * plane.normal
    toward = level if float(np.linalg.norm(level)) > 1e-6 else routed.frame_at(at).z
    frame = Frame.along(crossing(plane, routed.point(at), along), along, toward)
    cut = plane.grown(gap)
    top = _top(routed, at, frame)
    line = drawn_line(routed.section, top, frame, [cut], "outside")
    angle = math.asin(max(-1.0, min(1.0, float(plane.normal @ along))))
    flat = flat_cut(None, cut, frame, at, top)
    opens = routed.given(at).opens
    onto = "" if stand is None else stand.mark
    sawn_level = not onto and routed.given(at).cut == "level"
    plates = () if stand is None else (PlateSeat(onto, plane.normal, plane.level, angle, stand.off),)
    return WorkedEnd(
        at, "plane", line, frame, top, (), "outside", opens, gap, (flat,),
        plane_angle=angle, stands_on=onto, plates=plates, is_level=sawn_level,
    )  # fmt: skip


def _profile(routed: RoutedTube, at: At, frame: Frame) -> Profile:
    return section_profile(routed.section, _top(routed, at, frame))


def _top(routed: RoutedTube, at: At, frame: Frame) -> float:
    """phi of the tube's top line about an end's frame, rad."""
    return angle_about(frame, routed.frame_at(at).z)

"""The ends of a job's tubes, cut to sit on what they meet."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from fabgen.geometry.space.frame import Frame
from fabgen.geometry.tube.contact import Array, HalfSpace, Solid, Trimmed, union
from fabgen.geometry.tube.profile import Profile
from fabgen.job.tables.definitions import Definitions, Fit
from fabgen.parts.piece import ENDS, At, CutLine, Joint, WorkedEnd
from fabgen.parts.shape.cuts import cut_line, lines_onto, plain_line
from fabgen.parts.shape.sections import angle_about, section_profile
from fabgen.parts.tube.fit_up import Fitting, Work
from fabgen.parts.tube.mitre import crossing, flat_cut, given_plane, seam
from fabgen.parts.tube.route import Run, setting

_SHAPES = 0.01
"""A main that moves the cut by less than this is not one the end sits on, mm."""


def worked_end(run: Run, at: At, fitting: Fitting, job: Definitions) -> WorkedEnd:
    """An end of a tube as it is cut.

    Args:
        fitting: what is done to every end of the job's tubes.
        job: for what an end leaves open: the fit and the root gap.
    """
    given, work = run.given(at), fitting.works[run.index, at]
    gap = job.job.root_gap if given.gap is None else given.gap
    if work.cut == "cope":
        return _coped(run, at, work, fitting, given.fit or job.job.fit, gap)
    if work.cut == "mitre":
        return _mitred(run, at, work, fitting, job.job.root_gap)
    if work.cut == "plane":
        return _on_plane(run, at, gap)
    along = run.inward(at)
    frame = Frame.along(run.point(at) - along * given.extend, along, run.frame_at(at).z)
    profile = _profile(run, at, frame)
    return WorkedEnd(at, "plain", plain_line(profile), frame, _top(run, at, frame), opens=given.opens)


def _coped(run: Run, at: At, work: Work, fitting: Fitting, fit: Fit, gap: float) -> WorkedEnd:
    mains = [main for i in work.mains if (main := fitting.runs[i]) is not None]
    solids = [_as_met(main, run, at, work, fitting, gap) for main in mains]
    frame = setting(run, at, mains[0]).frame
    lines = lines_onto(_profile(run, at, frame), frame, solids, fit)
    kept = _shaping(lines) if work.automatic else list(range(len(mains)))
    settings = [setting(run, at, mains[i]) for i in kept]
    if kept[0] != 0:
        frame = settings[0].frame
        lines = lines_onto(_profile(run, at, frame), frame, solids, fit)
    profile = _profile(run, at, frame)
    line = CutLine(profile.phi, profile.station, union([lines[i] for i in kept]))
    joints = tuple(Joint(mains[i].mark, s.angle, s.offset) for i, s in zip(kept, settings, strict=True))
    return WorkedEnd(at, "cope", line, frame, _top(run, at, frame), joints, fit, run.given(at).opens, gap)


def _shaping(lines: Sequence[Array]) -> list[int]:
    """Which of the mains' lines the cut needs: the later ones are tried first for leaving out."""
    kept = list(range(len(lines)))
    whole = union(lines)
    for i in reversed(range(len(lines))):
        rest = [k for k in kept if k != i]
        if rest and np.allclose(union([lines[k] for k in rest]), whole, rtol=0.0, atol=_SHAPES, equal_nan=True):
            kept = rest
    return kept


def _as_met(main: Run, branch: Run, at: At, work: Work, fitting: Fitting, gap: float) -> Solid:
    """A main as the branch meets it, with the root gap on it.

    It runs on past its ends, so that a foot over a short end shows what to extend; but where an
    end of it sits on, or is mitred with, another of the same mains, it stops there: what would
    lie beyond is cut away.  A bent main counts only as far as the branch is straight, at most to
    its middle: a tube across a hoop meets it at both its ends.
    """
    planes: dict[At, list[HalfSpace]] = {}
    for end in ENDS:
        own = fitting.works[main.index, end]
        others = [i for i in own.mains if i in work.mains]
        partners = [(i, far) for i, far in own.partners if i in work.mains]
        planes[end] = [HalfSpace(-plane.normal, -plane.level) for plane in _seams(main, end, partners, fitting)]
        if others and (other := fitting.runs[others[0]]) is not None:
            planes[end].append(HalfSpace.at(setting(main, end, other).frame.origin, -main.inward(end)))
    solid = main.cut_back(tuple(planes["start"]), tuple(planes["finish"]))
    if gap:
        solid = solid.grown(gap)
    if main.path is None:
        return solid
    along = branch.inward(at)
    return Trimmed(solid, (HalfSpace.at(branch.point(at) + _counts(branch, at) * along, along),))


def _counts(branch: Run, at: At) -> float:
    """How far from its end a branch's lines count, mm."""
    return branch.axis / 2.0 if branch.path is None else branch.straight(at)


def _mitred(run: Run, at: At, work: Work, fitting: Fitting, usual_gap: float) -> WorkedEnd:
    along = run.inward(at)
    met = [(other, end) for i, end in work.partners if (other := fitting.runs[i]) is not None]
    gap = _mitre_gap(run, at, met, usual_gap)
    planes = [plane.grown(gap / 2.0) for plane in _seams(run, at, work.partners, fitting)]
    ways = [other.inward(end) for other, end in met]
    toward = next((way for way in ways if np.linalg.norm(np.cross(way, along)) > 1e-6), run.frame_at(at).z)
    frame = Frame.along(run.point(at), along, toward)
    # A mitre is sawn flat, so the wall's edge lies in the plane all through.
    line = cut_line(_profile(run, at, frame), frame, planes, "outside")
    joints = tuple(
        Joint(other.mark, math.asin(max(-1.0, min(1.0, float(plane.normal @ along)))), 0.0)
        for (other, _), plane in zip(met, planes, strict=True)
    )
    top = _top(run, at, frame)
    flats = tuple(flat_cut(other.mark, plane, frame, top) for (other, _), plane in zip(met, planes, strict=True))
    return WorkedEnd(at, "mitre", line, frame, top, joints, "outside", run.given(at).opens, gap, flats)


def _mitre_gap(run: Run, at: At, met: Sequence[tuple[Run, At]], usual: float) -> float:
    """The root gap of a mitre, half of it off each tube: the greatest that one of the ends asks for."""
    given = [g for end in (run.given(at), *(other.given(end) for other, end in met)) if (g := end.gap) is not None]
    return max(given, default=usual)


def _seams(run: Run, at: At, partners: Sequence[tuple[int, At]], fitting: Fitting) -> list[HalfSpace]:
    """What is cut away for each partner of a mitre."""
    return [seam(run, at, other, end) for i, end in partners if (other := fitting.runs[i]) is not None]


def _on_plane(run: Run, at: At, gap: float) -> WorkedEnd:
    along = run.inward(at)
    try:
        plane = given_plane(run, at)
    except ValueError:  # told already, with the other faults
        plane = HalfSpace.at(run.point(at), along)
    level = along - float(plane.normal @ along) * plane.normal
    toward = level if float(np.linalg.norm(level)) > 1e-6 else run.frame_at(at).z
    frame = Frame.along(crossing(plane, run.point(at), along), along, toward)
    cut = plane.grown(gap)
    line = cut_line(_profile(run, at, frame), frame, [cut], "outside")
    angle = math.asin(max(-1.0, min(1.0, float(plane.normal @ along))))
    top = _top(run, at, frame)
    flat = flat_cut(None, cut, frame, top)
    opens = run.given(at).opens
    return WorkedEnd(at, "plane", line, frame, top, (), "outside", opens, gap, (flat,), plane_angle=angle)


def _profile(run: Run, at: At, frame: Frame) -> Profile:
    return section_profile(run.section, _top(run, at, frame))


def _top(run: Run, at: At, frame: Frame) -> float:
    """phi of the tube's top line about an end's frame, rad."""
    return angle_about(frame, run.frame_at(at).z)

"""Tubes: from the job's routes to pieces with worked ends."""

from __future__ import annotations

import math
from collections.abc import Container, Iterator, Sequence
from dataclasses import replace

import numpy as np

from fabgen.geometry.space.frame import Frame
from fabgen.geometry.tube.centreline import RouteError
from fabgen.geometry.tube.contact import Array, HalfSpace, Solid, Trimmed, union
from fabgen.geometry.tube.profile import Profile
from fabgen.job.errors import JobError, Problem
from fabgen.job.tables.definitions import Definitions, Fit, Tube
from fabgen.parts.piece import ENDS, At, CutKind, CutLine, Fact, FlatCut, Joint, LengthPart, Piece, WorkedEnd, fact
from fabgen.parts.shape.cuts import cut_line, lines_onto, plain_line, section_share, side_lengths
from fabgen.parts.shape.sections import angle_about, section_profile
from fabgen.parts.shape.tubes import SKEW, skew
from fabgen.parts.tube.fit_up import Fitting, Work
from fabgen.parts.tube.mitre import crossing, flat_cut, flat_words, given_plane, seam
from fabgen.parts.tube.openings import unfit
from fabgen.parts.tube.past_ends import past_ends
from fabgen.parts.tube.route import Run, setting
from fabgen.parts.tube.short_ends import short_ends
from fabgen.parts.tube.tube_bending import bends_of
from fabgen.shop.section import Section
from fabgen.wording.figures import figure
from fabgen.wording.sentence import degrees, joined, mm

_SHAPES = 0.01
"""A main that moves the cut by less than this is not one the end sits on, mm."""


def pieces(job: Definitions) -> list[Piece]:
    """The tubes of a job, in fit order, every end worked; raises JobError with all faults."""
    problems: list[Problem] = []
    runs = [_run(i, tube, problems) for i, tube in enumerate(job.tube)]
    problems += [fault for run, tube in zip(runs, job.tube, strict=True) if run for fault in _plane_faults(run)]
    fitting = Fitting(runs, [tube.mark for tube in job.tube])
    problems += fitting.problems
    past, short = past_ends(fitting), short_ends(fitting, job.job.units)
    solid = {tube.mark for tube in job.tube if tube.section.is_solid}
    made: list[Piece] = []
    for run, tube in zip(runs, job.tube, strict=True):
        if run is not None:
            piece = _piece(job, run, tube, fitting)
            problems += [*_used_up(run, piece), *_shut(run, piece, solid)]
            made.append(replace(piece, concerns=(*past.get(run.index, ()), *short.get(run.index, ()))))
    if problems:
        raise JobError(problems)
    return made


def _run(index: int, tube: Tube, problems: list[Problem]) -> Run | None:
    path = ("tube", index, "route")
    try:
        run = Run.of(index, tube)
    except RouteError as fault:
        problems.append(Problem.of(path, fault))
        return None
    if run.path is None or run.section.is_round:
        return run
    for i, turn in enumerate(run.path.turns, 1):
        if abs(askew := skew(turn)) > SKEW:
            off = figure(math.degrees(askew))
            what = f"a rectangular tube bends square to a face; bend {i} lies {off} degrees off one"
            straightened = round(math.degrees(math.remainder(tube.turn + askew, math.pi / 2.0)), 2) + 0.0
            turned = f"turn = {straightened:g}"
            problems.append(Problem(("tube", index, "turn"), what, f"{turned}, which turns a face to this bend"))
            return None
    return run


def _plane_faults(run: Run) -> list[Problem]:
    """Faults of the planes that the run's ends are to be cut to."""
    faults: list[Problem] = []
    for at in ENDS:
        if run.given(at).plane is not None:
            try:
                given_plane(run, at)
            except ValueError as fault:
                accepted = "three points in no line, or a point and the way square on the plane"
                faults.append(Problem(("tube", run.index, at, "plane"), str(fault), accepted))
    return faults


def _piece(job: Definitions, run: Run, tube: Tube, fitting: Fitting) -> Piece:
    start, finish = (_worked(run, at, fitting, job) for at in ENDS)
    part = _made(run, (start, finish), job)
    sides = side_lengths(part)
    material = job.find_material(tube.material or job.job.material)
    share = section_share(part)
    hit = ~np.isnan(sides)
    mean = float(np.average(sides[hit], weights=share[hit])) if hit.any() else part.length
    return Piece(
        mark=tube.mark,
        kind="tube",
        quantity=tube.quantity,
        material=material.name,
        mass=material.density * run.section.area * mean * 1e-9,
        shape=part,
        title=tube.title,
        note=tube.note,
        facts=(
            fact("axis", "axis", mm(run.axis)),
            *_bend_facts(part),
            *(fact("saw", f"saw, {end.at}", flat_words(end, run.section)) for end in part.ends if end.flats),
            *_side_facts(part, sides),
        ),
        path=("tube", run.index),
    )


def _made(run: Run, ends: tuple[WorkedEnd, WorkedEnd], job: Definitions) -> LengthPart:
    """The part, of a bent tube with its bends."""
    part = length_part(run.section, run.axis, ends, run.frame)
    if run.path is None:
        return part
    lead, trail = (_overhang(run, end) for end in ends)
    bends, straights = bends_of(run.path, run.section, lead, job.former)
    straights = (*straights[:-1], straights[-1] + trail)
    length = sum(straights) + sum(bend.length for bend in bends)
    return replace(part, length=length, path=run.path, bends=bends, straights=straights)


def _overhang(run: Run, end: WorkedEnd) -> float:
    """From an end's saw cut to the route's end, mm; minus where the tube is cut short of it."""
    return float((run.point(end.at) - end.frame.origin) @ end.frame.x) - end.line.longest


def _shut(run: Run, piece: Piece, solid: Container[str]) -> Iterator[Problem]:
    """Faults of ends that are to open into their mains and cannot."""
    part = piece.length_part
    assert part is not None
    for end in part.ends:
        if end.opens and (what := unfit(part, end, solid)):
            accepted = "a hollow tube's end that is coped to another hollow tube"
            yield Problem(("tube", run.index, end.at, "opens"), what, accepted)


def _used_up(run: Run, piece: Piece) -> list[Problem]:
    """A fault where the ends' cuts leave nothing of the tube."""
    part = piece.length_part
    assert part is not None
    sides = side_lengths(part)
    if part.length > 0.0 and not (sides <= 0.0).all():
        return []
    sits = sorted({joint.onto for end in part.ends for joint in end.joints})
    what = f"the cuts at its ends leave nothing of this tube ({figure(run.axis)} mm between its points)"
    if not sits:
        return [Problem(piece.path, what, "points farther apart, or a smaller minus in `extend`")]
    return [Problem(piece.path, f"{what}; it sits on {' and '.join(sits)}", "points farther apart")]


# -- ends -----------------------------------------------------------------------
def _worked(run: Run, at: At, fitting: Fitting, job: Definitions) -> WorkedEnd:
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
    return _end(run, at, "plain", frame, None, ())


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
    return _end(run, at, "cope", frame, line, joints, fit, gap)


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
    top = angle_about(frame, run.frame_at(at).z)
    flats = tuple(flat_cut(other.mark, plane, frame, top) for (other, _), plane in zip(met, planes, strict=True))
    return _end(run, at, "mitre", frame, line, joints, "outside", gap, flats)


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
    flat = flat_cut(None, cut, frame, angle_about(frame, run.frame_at(at).z))
    return replace(_end(run, at, "plane", frame, line, (), "outside", gap, (flat,)), plane_angle=angle)


def _profile(run: Run, at: At, frame: Frame) -> Profile:
    return section_profile(run.section, angle_about(frame, run.frame_at(at).z))


def _end(
    run: Run,
    at: At,
    cut: CutKind,
    frame: Frame,
    line: CutLine | None,
    joints: tuple[Joint, ...],
    fit: Fit = "clear",
    gap: float = 0.0,
    flats: tuple[FlatCut, ...] = (),
) -> WorkedEnd:
    top = angle_about(frame, run.frame_at(at).z)
    if line is None:
        line = plain_line(section_profile(run.section, top))
    return WorkedEnd(at, cut, line, frame, top, joints, fit, run.given(at).opens, gap, flats)


# -- lengths ----------------------------------------------------------------------
def length_part(section: Section, axis: float, ends: tuple[WorkedEnd, WorkedEnd], frame: Frame | None) -> LengthPart:
    """The part with its saw length: longest point to longest point."""
    start, finish = ends
    between = float((finish.frame.origin - start.frame.origin) @ start.frame.x)
    return LengthPart(section, between - start.line.longest - finish.line.longest, axis, ends, frame)


def _side_facts(part: LengthPart, sides: Array) -> list[Fact]:
    if all(end.cut == "plain" for end in part.ends) or np.isnan(sides).all():
        return []
    return [
        fact("longest-side", "longest side", mm(np.nanmax(sides))),
        fact("shortest-side", "shortest side", mm(np.nanmin(sides))),
    ]


def _bend_facts(part: LengthPart) -> list[Fact]:
    if not part.bends:
        return []
    angles = joined(", ", (degrees(bend.angle).named("angle") for bend in part.bends))
    radii = sorted({round(bend.radius, 2) for bend in part.bends})
    centreline = joined(" and ", (mm(radius, 2).named("centreline radius") for radius in radii))
    return [fact("bends", "bends", angles, "; centreline radius ", centreline)]

"""Tubes: from the job's routes to pieces with worked ends."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

import numpy as np

from fabgen.geometry.contact import Array, HalfSpace, Solid, Trimmed, union
from fabgen.geometry.frame import Frame
from fabgen.geometry.profile import Profile
from fabgen.job.definitions import Definitions, Fit, Tube
from fabgen.job.errors import JobError, Problem
from fabgen.parts.cope import cut_line, lines_onto, plain_line, section_profile
from fabgen.parts.fitting import Fitting, Work
from fabgen.parts.piece import CutLine, Joint, LengthPart, Piece, WorkedEnd
from fabgen.parts.run import ENDS, At, Run, angle_about, setting
from fabgen.shop.section import Section

_SHAPES = 0.01
"""A main that moves the cut by less than this is not one the end sits on, mm."""


def pieces(job: Definitions) -> list[Piece]:
    """The tubes of a job, in fit order, every end worked; raises JobError with all faults."""
    problems: list[Problem] = []
    runs = [_run(i, tube, problems) for i, tube in enumerate(job.tube)]
    fitting = Fitting(runs, [tube.mark for tube in job.tube])
    problems += fitting.problems
    made: list[Piece] = []
    for run, tube in zip(runs, job.tube, strict=True):
        if run is not None:
            piece = _piece(job, run, tube, fitting)
            problems += _used_up(run, piece)
            made.append(piece)
    if problems:
        raise JobError(problems)
    return made


def _run(index: int, tube: Tube, problems: list[Problem]) -> Run | None:
    path = ("tube", index, "route")
    if len(tube.route) > 2:
        problems.append(Problem(path, "a route of more than two points needs a bent tube", "two points"))
        return None
    try:
        return Run.of(index, tube)
    except ValueError as fault:
        problems.append(Problem(path, str(fault), "two points apart"))
        return None


def _piece(job: Definitions, run: Run, tube: Tube, fitting: Fitting) -> Piece:
    start, finish = (_worked(run, at, fitting, run.given(at).fit or job.job.fit) for at in ENDS)
    part = length_part(run.section, run.axis, (start, finish), run.frame)
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
            ("axis", f"{run.axis:.1f} mm"),
            ("start", end_text(start)),
            ("finish", end_text(finish)),
            *_side_facts(part, sides),
        ),
        path=("tube", run.index),
    )


def _used_up(run: Run, piece: Piece) -> list[Problem]:
    """A fault where the ends' cuts leave nothing of the tube."""
    part = piece.length_part
    assert part is not None
    sides = side_lengths(part)
    if part.length > 0.0 and not (sides <= 0.0).all():
        return []
    sits = sorted({joint.onto for end in part.ends for joint in end.joints})
    what = f"the cuts at its ends leave nothing of this tube ({run.axis:.1f} mm between its points)"
    if not sits:
        return [Problem(piece.path, what, "points farther apart, or a smaller minus in `extend`")]
    return [Problem(piece.path, f"{what}; it sits on {' and '.join(sits)}", "points farther apart")]


# -- ends -----------------------------------------------------------------------
def _worked(run: Run, at: At, fitting: Fitting, fit: Fit) -> WorkedEnd:
    work = fitting.works[run.index, at]
    if work.cut == "cope":
        return _coped(run, at, work, fitting, fit)
    if work.cut == "mitre":
        return _mitred(run, at, work, fitting)
    along = run.inward(at)
    frame = Frame.along(run.point(at) - along * run.given(at).extend, along, run.frame.z)
    return _end(run, at, "plain", frame, None, ())


def _coped(run: Run, at: At, work: Work, fitting: Fitting, fit: Fit) -> WorkedEnd:
    mains = [main for i in work.mains if (main := fitting.runs[i]) is not None]
    solids = [_trimmed(main, work, fitting) for main in mains]
    frame = setting(run, at, mains[0]).frame
    lines = lines_onto(_profile(run, frame), frame, solids, fit)
    kept = _shaping(lines) if work.automatic else list(range(len(mains)))
    settings = [setting(run, at, mains[i]) for i in kept]
    if kept[0] != 0:
        frame = settings[0].frame
        lines = lines_onto(_profile(run, frame), frame, solids, fit)
    profile = _profile(run, frame)
    line = CutLine(profile.phi, profile.station, union([lines[i] for i in kept]))
    joints = tuple(Joint(mains[i].mark, s.angle, s.offset) for i, s in zip(kept, settings, strict=True))
    return _end(run, at, "cope", frame, line, joints, fit)


def _shaping(lines: Sequence[Array]) -> list[int]:
    """Which of the mains' lines the cut needs: the later ones are tried first for leaving out."""
    kept = list(range(len(lines)))
    whole = union(lines)
    for i in reversed(range(len(lines))):
        rest = [k for k in kept if k != i]
        if rest and np.allclose(union([lines[k] for k in rest]), whole, rtol=0.0, atol=_SHAPES, equal_nan=True):
            kept = rest
    return kept


def _trimmed(main: Run, work: Work, fitting: Fitting) -> Solid:
    """A main as the branch meets it: it runs on past its ends, so that a foot over a short end
    shows what to extend; but where an end of it sits on, or is mitred with, another of the same
    mains, it stops there: what would lie beyond is cut away."""
    planes: list[HalfSpace] = []
    for at in ENDS:
        own = fitting.works[main.index, at]
        others = [i for i in own.mains if i in work.mains]
        if others and (other := fitting.runs[others[0]]) is not None:
            planes.append(HalfSpace.at(setting(main, at, other).frame.origin, -main.inward(at)))
        partners = [(i, end) for i, end in own.partners if i in work.mains]
        planes += [HalfSpace(-plane.normal, -plane.level) for plane in _mitre_planes(main, at, partners, fitting)]
    return Trimmed(main.solid, tuple(planes)) if planes else main.solid


def _mitred(run: Run, at: At, work: Work, fitting: Fitting) -> WorkedEnd:
    along = run.inward(at)
    planes = _mitre_planes(run, at, work.partners, fitting)
    ways = [(other, other.inward(end)) for i, end in work.partners if (other := fitting.runs[i]) is not None]
    toward = next((way for _, way in ways if np.linalg.norm(np.cross(way, along)) > 1e-6), run.frame.z)
    frame = Frame.along(run.point(at), along, toward)
    # A mitre is sawn flat, so the wall's edge lies in the plane all through.
    line = cut_line(_profile(run, frame), frame, planes, "outside")
    joints = tuple(
        Joint(other.mark, math.acos(max(-1.0, min(1.0, float(way @ along)))) / 2.0, 0.0) for other, way in ways
    )
    return _end(run, at, "mitre", frame, line, joints, "outside")


def _mitre_planes(run: Run, at: At, partners: Sequence[tuple[int, At]], fitting: Fitting) -> list[HalfSpace]:
    """What is cut away for each partner: the side of the bisecting plane that is the partner's."""
    return [
        HalfSpace.at((run.point(at) + other.point(end)) / 2.0, run.inward(at) - other.inward(end))
        for i, end in partners
        if (other := fitting.runs[i]) is not None
    ]


def _profile(run: Run, frame: Frame) -> Profile:
    return section_profile(run.section, angle_about(frame, run.frame.z))


def _end(
    run: Run,
    at: At,
    cut: Literal["plain", "cope", "mitre"],
    frame: Frame,
    line: CutLine | None,
    joints: tuple[Joint, ...],
    fit: Fit = "clear",
) -> WorkedEnd:
    if line is None:
        line = plain_line(_profile(run, frame))
    return WorkedEnd(at, cut, line, frame, angle_about(frame, run.frame.z), joints, fit)


# -- lengths ----------------------------------------------------------------------
def length_part(section: Section, axis: float, ends: tuple[WorkedEnd, WorkedEnd], frame: Frame | None) -> LengthPart:
    """The part with its saw length: longest point to longest point."""
    start, finish = ends
    between = float((finish.frame.origin - start.frame.origin) @ start.frame.x)
    return LengthPart(section, between - _longest(start.line) - _longest(finish.line), axis, ends, frame)


def _longest(line: CutLine) -> float:
    """Where the end's longest point lies: its least x; 0 where it misses its mains altogether."""
    return 0.0 if np.isnan(line.x).all() else float(np.nanmin(line.x))


def side_lengths(part: LengthPart) -> Array:
    """Length of the tube along its outside at each place of the start's line, (n,) mm; nan
    where an end misses its main.

    The finish's phi runs the other way round, and the top line is common to both ends.
    """
    start, finish = part.ends
    between = float((finish.frame.origin - start.frame.origin) @ start.frame.x)
    phi = finish.top - (start.line.phi - start.top)
    return np.asarray(between - start.line.x - np.interp(phi, finish.line.phi, finish.line.x, period=2.0 * math.pi))


def section_share(part: LengthPart) -> Array:
    """Share of the perimeter at each place of the start's line, adding up to 1."""
    line, perimeter = part.ends[0].line, part.section.perimeter
    after = np.append(line.station[1:], perimeter)
    before = np.append(line.station[-1] - perimeter, line.station[:-1])
    return np.asarray((after - before) / (2.0 * perimeter))


def _side_facts(part: LengthPart, sides: Array) -> list[tuple[str, str]]:
    if all(end.cut == "plain" for end in part.ends) or np.isnan(sides).all():
        return []
    return [("longest side", f"{np.nanmax(sides):.1f} mm"), ("shortest side", f"{np.nanmin(sides):.1f} mm")]


# -- words ------------------------------------------------------------------------
def end_text(end: WorkedEnd) -> str:
    """'cope onto T2 at 63.4°, offset 4.0 mm and T3 at 90.0°', 'mitre with T5 at 45.0°' or 'plain'."""
    if end.cut == "plain":
        return "plain"
    words = []
    for joint in end.joints:
        offset = f", offset {joint.offset:.1f} mm" if abs(joint.offset) >= 0.05 else ""
        words.append(f"{joint.onto} at {math.degrees(joint.angle):.1f}°{offset}")
    return f"{'cope onto' if end.cut == 'cope' else 'mitre with'} {' and '.join(words)}"

"""Tubes: from the job's routes to pieces with worked ends."""

from __future__ import annotations

import math
from collections.abc import Container, Iterator
from dataclasses import replace

import numpy as np

from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.centreline import RouteError
from fabgen.job.errors import Problem, Problems, listed, nearest
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.part_tables import Tube
from fabgen.parts.holes.crush_sleeves import crush_sleeves
from fabgen.parts.holes.drilled_holes import drilled_holes, hole_facts
from fabgen.parts.holes.openings import unfit
from fabgen.parts.holes.slits import slit_holes
from fabgen.parts.piece import ENDS, Fact, FlattenedEnd, LengthPart, Piece, WorkedEnd, fact, numbered
from fabgen.parts.placed_sheet import placed_sheet
from fabgen.parts.routed_profile import routed_profiles
from fabgen.parts.shape.cuts import section_share, side_lengths, side_range
from fabgen.parts.shape.standing_faces import standing_faces
from fabgen.parts.shape.tubes import SKEW, skew
from fabgen.parts.tube.corners import Corners, runs_faults
from fabgen.parts.tube.crushed_ends import crush_fact, crushed_end
from fabgen.parts.tube.end_work import FitUp, holds
from fabgen.parts.tube.missed_ends import missed_ends
from fabgen.parts.tube.mitre import flat_words, given_plane
from fabgen.parts.tube.riding import moving_bodies
from fabgen.parts.tube.routed_tube import RoutedTube
from fabgen.parts.tube.running_on import run_on
from fabgen.parts.tube.tube_bending import bends_of
from fabgen.parts.tube.worked_ends import worked_end
from fabgen.shop.section import Section
from fabgen.wording.figures import figure
from fabgen.wording.sentence import Sentence, coordinate, degrees, joined, mm, sentence

_ASKEW = 0.02
"""Cosine of the angle between a tube and what it lies square across, to within 1 degree."""
_ASIDE = 1.0
"""A sleeve's axis passes that of its tube no farther off, mm."""


def pieces(job: Definitions) -> list[Piece]:
    """The tubes of a job, in fit order, every end worked; what depends on other pieces is put on by `joined`.

    Raises:
        JobError: with the faults of all tubes.
    """
    problems = Problems()
    tubes = [_routed(i, tube, problems) for i, tube in enumerate(job.tube)]
    problems += [fault for routed in tubes if routed is not None for fault in _plane_faults(routed)]
    corners = Corners.of(job)
    faces = list(standing_faces(placed_sheet(job))) if job.tube else []
    legs = [face for profile in routed_profiles(job) for face in profile.standing_faces] if job.tube else []
    kept = {part.mark for part in job.parts() if part.as_it_is}
    fit_up = FitUp(tubes, [tube.mark for tube in job.tube], job.job, corners, faces, legs, kept, moving_bodies(job))
    problems += [*fit_up.problems, *_passing_faults(job), *runs_faults(job, fit_up.sound)]
    runs, missed = run_on(fit_up), missed_ends(fit_up)
    solid = {tube.mark for tube in job.tube if tube.section.is_solid}
    made: list[Piece] = []
    for routed, tube in zip(fit_up.tubes, job.tube, strict=True):
        if routed is not None:
            piece = _drilled(job, _piece(job, routed, tube, fit_up), tube, routed.index, problems)
            problems += [*_used_up(routed, piece, fit_up), *_shut(routed, piece, solid)]
            noted = tuple(runs.get(routed.index, ()))
            made.append(replace(piece, concerns=noted, missed=tuple(missed.get(routed.index, ()))))
            with problems.at("tube", routed.index):
                made += crush_sleeves(job, piece)
    problems.report()
    return made


def _routed(index: int, tube: Tube, problems: list[Problem]) -> RoutedTube | None:
    path = ("tube", index, "route")
    try:
        routed = RoutedTube.of(index, tube)
    except RouteError as fault:
        problems.append(Problem.of(path, fault))
        return None
    if routed.path is None or routed.section.is_round:
        return routed
    for i, turn in enumerate(routed.path.turns, 1):
        if abs(askew := skew(turn)) > SKEW:
            off = figure(math.degrees(askew))
            what = f"a rectangular tube bends square to a face; bend {i} lies {off} degrees off one"
            straightened = round(math.degrees(math.remainder(tube.turn + askew, math.pi / 2.0)), 2) + 0.0
            turned = f"turn = {straightened:g}"
            problems.append(Problem(("tube", index, "turn"), what, f"{turned}, which turns a face to this bend"))
            return None
    return routed


def _passing_faults(job: Definitions) -> Iterator[Problem]:
    """Tubes that are to pass through, or to be the sleeve of, what is no other tube."""
    marks = [tube.mark for tube in job.tube]
    for i, tube in enumerate(job.tube):
        named = [("through", "to pass through", j, name) for j, name in enumerate(tube.through)]
        named += [("sleeve_of", "that it could join", j, name) for j, name in enumerate(tube.sleeve_of or ())]
        for key, to, j, name in named:
            if name not in marks or name == tube.mark:
                what = f"{name} is itself" if name == tube.mark else f'there is no tube "{name}" {to}'
                others = [mark for mark in marks if mark != tube.mark]
                path = ("tube", i, key, j)
                yield Problem(path, what, f"marks of tubes: {listed(others)}", nearest(name, others))


def _plane_faults(routed: RoutedTube) -> list[Problem]:
    """Faults of the planes that the tube's ends are to be cut to."""
    faults: list[Problem] = []
    for at in ENDS:
        is_level = routed.given(at).cut == "level"
        if routed.given(at).plane is not None or is_level:
            try:
                given_plane(routed, at)
            except ValueError as fault:
                accepted = "three points in no line, or a point and the way square on the plane"
                if is_level:
                    accepted = 'a tube that is not level itself, or cut = "plain"'
                faults.append(Problem(("tube", routed.index, at, "cut" if is_level else "plane"), str(fault), accepted))
    return faults


def _piece(job: Definitions, routed: RoutedTube, tube: Tube, fit_up: FitUp) -> Piece:
    start, finish = (worked_end(routed, at, fit_up) for at in ENDS)
    part = replace(
        _made(routed, (start, finish), job), through=tuple(tube.through), sleeve_of=tuple(tube.sleeve_of or ())
    )
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
        mass=material.density * routed.section.area * mean * 1e-9,
        shape=part,
        title=tube.title,
        note=tube.note,
        facts=(
            fact("axis", "axis", mm(routed.axis)),
            *_bend_facts(part),
            *_ring_facts(part),
            *_sleeve_facts(part, job),
            *(fact("saw", f"saw, {end.at}", flat_words(end, routed.section)) for end in part.ends if end.flats),
            *_side_facts(part),
            *_shrinkage_facts(part),
        ),
        path=("tube", routed.index),
    )


def _sleeve_facts(part: LengthPart, job: Definitions) -> Iterator[Fact]:
    """Of a sleeve: what it joins, and how loose it is in the bore."""
    if part.sleeve_of:
        yield fact("sleeve_of", "sleeve in", " and ".join(part.sleeve_of))
        main = next((tube.section for tube in job.tube if tube.mark == part.sleeve_of[0]), None)
        if main is not None and main.is_round and part.section.is_round:
            yield fact("play", "play in the bore", mm(main.bore - part.section.width, 2))


def _drilled(job: Definitions, piece: Piece, tube: Tube, index: int, problems: Problems) -> Piece:
    """The tube with the holes that the job gives it; vents come when all pieces are known."""
    part = piece.length_part
    assert part is not None
    facts: list[Fact] = []
    for number, given in enumerate(tube.holes):
        if given.vent:
            continue
        with problems.at("tube", index, "holes", number):
            if part.length <= 0.0:
                continue
            count = len({hole.number for hole in part.drilled})
            made = numbered(drilled_holes(tube.mark, part, given, job.job.hole_fit), count)
            part = replace(part, drilled=(*part.drilled, *made))
            facts += hole_facts(list(made))
    for at in ENDS:
        if (crush := getattr(tube, at).crush) is not None and part.length > 0.0:
            with problems.at("tube", index, at, "crush"):
                form = crushed_end(part, at, crush)
                ends = (replace(end, form=form) if end.at == at else end for end in part.ends)
                part = replace(part, ends=(next(ends), next(ends)))
                facts.append(crush_fact(at, form))
        for number, slit in enumerate(getattr(tube, at).slit):
            with problems.at("tube", index, at, "slit", number):
                count = len({hole.number for hole in part.drilled})
                made = numbered(slit_holes(job, tube.mark, part, at, slit), count)
                part = replace(part, drilled=(*part.drilled, *made))
                facts += hole_facts(list(made))
    flats = [end.form for end in part.ends if isinstance(end.form, FlattenedEnd)]
    if not part.drilled and not flats:
        return piece
    lost = sum(hole.area for hole in part.drilled) * part.section.wall
    lost += sum(math.pi / 4.0 * flat.hole**2 * flat.thickness for flat in flats)
    mass = piece.mass - job.find_material(piece.material).density * lost * 1e-9
    return replace(piece, shape=part, mass=mass, facts=(*piece.facts, *facts))


def _made(routed: RoutedTube, ends: tuple[WorkedEnd, WorkedEnd], job: Definitions) -> LengthPart:
    """The part, of a bent tube with its bends."""
    part = length_part(routed.section, routed.axis, ends, routed.frame)
    butted = routed.path is not None and routed.path.closed
    start, finish = (job.job.shrinkage * _joints_of(end, butted) for end in ends)
    part = replace(part, length=part.length + start + finish, allowance=(start, finish))
    if routed.path is None:
        return part
    lead, trail = (_overhang(routed, end) + more for end, more in zip(ends, part.allowance, strict=True))
    bends, straights = bends_of(routed.path, routed.section, lead, job.former)
    straights = (*straights[:-1], straights[-1] + trail)
    length = sum(straights) + sum(bend.length for bend in bends)
    return replace(part, length=length, path=routed.path, bends=bends, straights=straights)


def _joints_of(end: WorkedEnd, butted: bool) -> float:
    """What share of one welded joint an end has: half where its partner has the other."""
    if end.cut == "mitre" or butted:
        return 0.5
    return 1.0 if end.joints or end.stands_on else 0.0


def _overhang(routed: RoutedTube, end: WorkedEnd) -> float:
    """From an end's saw cut to the route's end, mm; minus where the tube is cut short of it."""
    return float((routed.point(end.at) - end.frame.origin) @ end.frame.x) - end.line.longest


def _shut(routed: RoutedTube, piece: Piece, solid: Container[str]) -> Iterator[Problem]:
    """Faults of ends that are to open into their mains and cannot."""
    part = piece.length_part
    assert part is not None
    for end in part.ends:
        if end.opens and (what := unfit(part, end, solid)):
            accepted = "a hollow tube's end that is coped to another hollow tube"
            yield Problem(("tube", routed.index, end.at, "opens"), what, accepted)


def _used_up(routed: RoutedTube, piece: Piece, fit_up: FitUp) -> list[Problem]:
    """A fault where the ends' cuts leave nothing of the tube."""
    part = piece.length_part
    assert part is not None
    sides = side_lengths(part)
    if part.length > 0.0 and not (sides <= 0.0).all():
        return []
    sits = sorted({joint.onto for end in part.ends for joint in end.joints})
    what = sentence("the cuts at its ends leave nothing of this tube (", mm(routed.axis), " between its points)")
    if not sits:
        return [Problem(piece.path, what, "points farther apart, or a smaller minus in `extend`")]
    if (holder := next((each for mark in sits if holds((each := fit_up.by_mark[mark]), routed)), None)) is not None:
        return [Problem(piece.path, sentence(what, f"; it lies inside {holder.mark}"), _sleeve_words(holder, routed))]
    return [Problem(piece.path, sentence(what, f"; it sits on {' and '.join(sits)}"), "points farther apart")]


def _sleeve_words(holder: RoutedTube, routed: RoutedTube) -> str | Sentence:
    """How the job gives a tube inside another: as the sleeve of a bolt's hole, where it is one."""
    start, finish = routed.point("start"), routed.point("finish")
    middle = (start + finish) / 2.0
    axis = holder.axis_near(middle, routed.frame.x)
    away = middle - axis.origin
    off = math.sqrt(max(0.0, float(away @ away - (away @ axis.x) ** 2 - (away @ routed.frame.x) ** 2)))
    if not routed.section.is_round or abs(float(axis.x @ routed.frame.x)) > _ASKEW or off > _ASIDE:
        return (
            "points farther apart: no tube stands inside another but as the sleeve of a bolt, round and square across"
        )
    at = [_point_to_paste(middle), _point_to_paste(start)]
    width, wall = (replace(coordinate(size), decimals=2) for size in (routed.section.width, routed.section.wall))
    keys = sentence("near = ", at[0], ", toward = ", at[1], ', bolt = "…", both_walls = true')
    hole = sentence("holes = [{ ", keys, ', sleeve = "', width, " x ", wall, '" }]')
    return sentence(f"a crush sleeve goes with its hole, in the table of {holder.mark}: ", hole)


def _point_to_paste(at: Array) -> Sentence:
    x, y, z = (coordinate(float(each) + 0.0) for each in at)
    return sentence("[", x, ", ", y, ", ", z, "]")


# -- lengths ----------------------------------------------------------------------
def length_part(section: Section, axis: float, ends: tuple[WorkedEnd, WorkedEnd], frame: Frame | None) -> LengthPart:
    """The part with its saw length: longest point to longest point.

    Args:
        axis: length of the route, mm.
        frame: at the route's start; None where the job does not place the part.
    """
    start, finish = ends
    between = float((finish.frame.origin - start.frame.origin) @ start.frame.x)
    return LengthPart(section, between - start.line.longest - finish.line.longest, axis, ends, frame)


def _side_facts(part: LengthPart) -> list[Fact]:
    shortest, longest = side_range(part)
    if all(end.cut == "plain" for end in part.ends) or math.isnan(shortest):
        return []
    return [
        fact("longest-side", "longest side", mm(longest)),
        fact("shortest-side", "shortest side", mm(shortest)),
    ]


def _shrinkage_facts(part: LengthPart) -> list[Fact]:
    more = sum(part.allowance)
    return [fact("shrinkage", "shrinkage", mm(more, 2), " more in its saw length for its welds")] if more else []


def _ring_facts(part: LengthPart) -> list[Fact]:
    if not part.is_ring:
        return []
    before = mm(part.bends[0].at)
    return [fact("ring", "ring", "its two ends, sawn square, butt ", before, " before the start of bend 1")]


def _bend_facts(part: LengthPart) -> list[Fact]:
    if not part.bends:
        return []
    angles = joined(", ", (degrees(bend.angle).named("angle") for bend in part.bends))
    radii = sorted({round(bend.radius, 2) for bend in part.bends})
    centreline = joined(" and ", (mm(radius, 2).named("centreline radius") for radius in radii))
    return [fact("bends", "bends", angles, "; centreline radius ", centreline)]

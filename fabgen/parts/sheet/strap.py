"""Straps and bands: flat bar or strip rolled to an arc, its ends turned out, set out or plain.

The neutral line of what is rolled lies in the middle of the thickness (mean diameter x pi round a whole ring; common
practice).  The ears' sharp bends have their allowance from the bend tables.  The body stands with the middle of the arc
at the origin, its axis along z, the middle of the strap at the bottom; the flat is seen from the arc's inside.

A band's ears lie side by side, `gap` apart.  With mid-thickness radii R of the arc and r of the ears' bends, whose
middles are R + r apart, half the opening of the arc is the angle whose sine is (gap/2 + t/2 + r) / (R + r), and an ear
turns by a right angle less that.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from fabgen.geometry.plane.outline import Circle, Outline
from fabgen.geometry.sheet.folds import Bend
from fabgen.geometry.space.frame import Frame
from fabgen.geometry.tube.centreline import Centreline, Turn, in_plane
from fabgen.job.errors import listed, nearest
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.lengths.bar_tables import Strap
from fabgen.parts.piece import Band, Fact, FlatBend, Hardware, Hole, Piece, fact
from fabgen.parts.sheet.bend_data import bend_k, brake_facts, inside_radius
from fabgen.parts.sheet.face_axes import Datum
from fabgen.parts.sheet.holes import check_flat_holes, given_holes
from fabgen.parts.sheet.placing import Placing
from fabgen.parts.sheet.request import SheetRequest
from fabgen.parts.sheet.sheet_piece import Development, pieces_of, sheet_piece
from fabgen.shop.bending.press_brake import lower_tool
from fabgen.shop.flat_bars import flat_bar
from fabgen.shop.goods import Threaded
from fabgen.shop.threaded.clearance_holes import UnknownBoltError, clearance
from fabgen.shop.threaded.fasteners import THREADS_OUT, FastenerError, choose_bolt, nut_height, washer_thickness
from fabgen.shop.threads import ThreadError, parse_thread
from fabgen.wording.figures import figure
from fabgen.wording.sentence import degrees, mm, sentence

SHARE, LEAST_GAP = 0.04, 3.0
FIFTH = 0.2
JOGGLE = math.radians(30.0)
"""A joggle's two bends, where its step leaves room for them."""


def pieces(job: Definitions) -> list[Piece]:
    """One piece a [[strap]].

    Raises:
        JobError: the faults of all straps.
    """
    return pieces_of((SheetRequest(strap, job, ("strap", i)) for i, strap in enumerate(job.strap)), _piece)


Request = SheetRequest[Strap]


@dataclass(frozen=True, slots=True)
class _Run:
    """Straights and bends in order, `bends` rad plus to the arc's inside, `radii` inside; `arc`: which is the arc."""

    legs: tuple[float, ...]
    bends: tuple[float, ...]
    radii: tuple[float, ...]
    arc: int


def _piece(request: Request) -> Piece:
    given = request.given
    around, mark = _around(request)
    gap = _gap(given, around)
    run = _run(request, around, gap)
    path = _path(run, given.thickness)
    flat, along, bends = _laid(request, run)
    holes = [*_ear_holes(request, flat), *_given(request, flat)]
    outline = Outline.rectangle(flat[-1], given.width, given.corner_radius)
    request.need_no_faults()
    thread, needs = _reach(request, gap)
    inside = 2.0 * run.radii[run.arc]
    band = Band(
        path,
        flat,
        along,
        given.shape,
        inside,
        around,
        mark,
        given.rubber,
        gap,
        run.bends[run.arc],
        needs,
        given.bolt_length,
    )
    sold = flat_bar(given.width, given.thickness, request.job.job.units)
    if given.cut_from == "bar" and sold is None:
        size = f"{figure(given.width, 2)} x {figure(given.thickness, 2)}"
        raise request.unfit(
            "cut_from", f"{size} mm is no flat bar as it is sold", 'cut_from = "sheet", or another size'
        )
    development = Development(
        outline,
        tuple(holes),
        bends,
        lines=tuple(((at, 0.0), (at, given.width)) for at in flat[2 * run.arc + 1 : 2 * run.arc + 3]),
        band=band,
        bar=None if given.cut_from == "sheet" else sold,
        sizes=(("inside diameter", inside), ("width", given.width)),
        facts=(*_facts(request, band, run, flat), *brake_facts(request, bends)),
    )
    made = sheet_piece(
        request, "strap", development, Placing(request, {"": Datum(np.zeros(3), *np.eye(3))}, []).places()
    )
    return replace(made, title=made.title or given.shape, hardware=tuple(_hardware(request, thread, needs)))


def _around(request: Request) -> tuple[float, str]:
    """Diameter and mark of what it goes round."""
    around = request.given.round
    if not isinstance(around, str):
        return around, ""
    marks = {tube.mark: tube.section for tube in request.job.tube if tube.section.is_round}
    if around not in marks:
        accepted = "the mark of a round tube, or a diameter" + (f": {listed(list(marks))}" if marks else "")
        raise request.unfit("round", f'"{around}" is the mark of no round tube', accepted, nearest(around, list(marks)))
    return marks[around].width, around


def _gap(given: Strap, around: float) -> float:
    if given.squeeze is not None or given.shape == "arc":
        return given.squeeze or 0.0
    if given.rubber:
        return {"band": 2.0 * math.pi, "half band": math.pi, "saddle": 1.0}[given.shape] * FIFTH * given.rubber
    return 0.0 if given.shape == "saddle" else math.ceil(max(LEAST_GAP, SHARE * around) - 1e-9)


def _run(request: Request, around: float, gap: float) -> _Run:
    given, t = request.given, request.thickness
    big = around / 2.0 + given.rubber
    small = inside_radius(request) if given.radius is None else given.radius
    if given.shape == "arc":
        assert given.arc is not None
        if len(given.straights) != 2:
            raise request.unfit("straights", "an arc has two ends", "straights = [20, 20]")
        s0, s1 = given.straights
        if given.ends == "plain":
            return _Run((s0, s1), (given.arc,), (big,), 0)
        ear = _ear(request, small)
        if given.ends == "flanged":
            return _Run((ear, s0, s1, ear), (-math.pi / 2.0, given.arc, -math.pi / 2.0), (small, big, small), 1)
        turn, between = _joggle(given.joggle or t, small + t / 2.0)
        legs = (ear, between, s0, s1, between, ear)
        return _Run(legs, (turn, -turn, given.arc, -turn, turn), (small, small, big, small, small), 2)
    ear = _ear(request, small)
    if given.shape == "saddle":
        down = around / 2.0 - gap - t - small
        if down < 0.0:
            raise request.unfit("radius", "the ears' bends are higher than the sides are long", "a smaller radius")
        return _Run((ear, down, down, ear), (-math.pi / 2.0, math.pi, -math.pi / 2.0), (small, big, small), 1)
    share = (gap / 2.0 + t + small) / (big + t + small)
    if share > 0.9:
        raise request.unfit("squeeze", "the ears and their bends are wider than what it goes round", "a smaller gap")
    opening = math.asin(share)
    arc = (2.0 if given.shape == "band" else 1.0) * math.pi - 2.0 * opening
    return _Run((ear, 0.0, 0.0, ear), (opening - math.pi / 2.0, arc, opening - math.pi / 2.0), (small, big, small), 1)


def _ear(request: Request, radius: float) -> float:
    """Flat of an ear, mm: as given, or so long that its hole keeps off its edge and off the lower tool of its bend."""
    given = request.given
    if given.ear is not None:
        return given.ear
    try:
        usual = 20.0 if given.bolt is None else 4.0 * clearance(given.bolt).nominal
    except UnknownBoltError:
        return 20.0  # reported with the hole
    return math.ceil(max(usual, lower_tool(request.material, request.thickness, radius, request.die).opening))


def _joggle(step: float, middle: float) -> tuple[float, float]:
    """Angle of a joggle's two bends, rad, and the straight between them, mm."""
    rest = step - 2.0 * middle * (1.0 - math.cos(JOGGLE))
    if rest < 0.0:
        return math.acos(1.0 - step / (2.0 * middle)), 0.0
    return JOGGLE, rest / math.sin(JOGGLE)


def _path(run: _Run, thickness: float) -> Centreline:
    """Mid-thickness of the made strap, the arc's centre at the origin and its middle at the bottom."""
    middles = [radius + thickness / 2.0 for radius in run.radii]
    start = Frame(np.zeros(3), np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, -1.0]), np.array([0.0, 1.0, 0.0]))
    rough = in_plane(start, run.legs, run.bends, middles)
    turn = max((each for each in rough.stretches if isinstance(each, Turn)), key=lambda each: each.radius)
    heading = turn.frame_at(turn.length / 2.0).x
    c, s = float(heading[0]), -float(heading[1])
    turned = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    axes = [turned @ each for each in (start.x, start.y, start.z)]
    return in_plane(Frame(-(turned @ turn.centre), *axes), run.legs, run.bends, middles)


def _laid(request: Request, run: _Run) -> tuple[tuple[float, ...], tuple[float, ...], tuple[FlatBend, ...]]:
    """Where straights and bends end on the flat and on the path, and the sharp bends."""
    t, wide = request.thickness, request.given.width
    flat, along = [0.0], [0.0]
    bends: list[FlatBend] = []
    for i, leg in enumerate(run.legs):
        flat.append(flat[-1] + leg)
        along.append(along[-1] + leg)
        if i == len(run.bends):
            break
        angle, radius = run.bends[i], run.radii[i]
        k = 0.5 if i == run.arc else bend_k(request, radius).value
        bend = Bend(t, radius, abs(angle), k)
        if i != run.arc:
            at = flat[-1] + bend.allowance / 2.0
            bends.append(FlatBend((at, 0.0), (at, wide), bend, angle > 0.0, f"ear {len(bends) + 1}"))
        flat.append(flat[-1] + bend.allowance)
        along.append(along[-1] + abs(angle) * (radius + t / 2.0))
    return tuple(flat), tuple(along), tuple(bends)


def _ear_holes(request: Request, flat: tuple[float, ...]) -> Iterator[Hole]:
    given = request.given
    if given.bolt is None or (given.shape == "arc" and given.ends == "plain"):
        return
    try:
        size = clearance(given.bolt, request.job.job.hole_fit)
    except UnknownBoltError as error:
        raise request.unfit("bolt", error.what, error.accepted, error.nearest) from error
    if given.slot is not None and given.slot <= size.diameter:
        what = f"the slot of {figure(given.slot, 2)} mm is no longer than its hole for {size.bolt} is wide"
        raise request.unfit("slot", what, f"a length above {figure(size.diameter, 2)} mm")
    for at in (flat[1] / 2.0, flat[-1] - (flat[-1] - flat[-2]) / 2.0):
        shape = Circle(at, given.width / 2.0, size.diameter)
        label = f"{figure(size.diameter, 2)} for {size.bolt}"
        if given.slot is None:
            yield Hole(shape, label, size.bolt)
        else:
            slot = Outline.stadium(given.slot, size.diameter).moved(at, given.width / 2.0)
            yield Hole(slot, f"slot {figure(given.slot, 2)} x {label}", size.bolt)


def _given(request: Request, flat: tuple[float, ...]) -> list[Hole]:
    """The holes of the job, from the middle of the strap; they must have metal round them."""
    placed = given_holes(request)
    dx, dy = flat[-1] / 2.0, request.given.width / 2.0
    check_flat_holes(placed, Outline.rectangle(flat[-1], request.given.width).moved(-dx, -dy), request.problems)
    return [replace(each.hole, shape=each.hole.shape.moved(dx, dy)) for each in placed]


def _reach(request: Request, gap: float) -> tuple[str, float]:
    """The thread of the bolt through two ears, and the length that reaches over them and the gap with washers, nut
    and two threads out, mm."""
    given = request.given
    if given.bolt is None or given.shape not in ("band", "half band"):
        return "", 0.0
    try:
        thread = parse_thread(given.bolt)
        fixed = 2.0 * washer_thickness(thread) + nut_height(thread, "lock")
    except (FastenerError, ThreadError) as fault:
        raise request.unfit("bolt", fault.what, fault.accepted, fault.nearest) from None
    return given.bolt, 2.0 * given.thickness + gap + fixed + THREADS_OUT * thread.pitch


def _hardware(request: Request, bolt: str, needs: float) -> Iterator[Hardware]:
    if not needs:
        return
    thread, given = parse_thread(bolt), request.given
    fixed = 2.0 * washer_thickness(thread) + nut_height(thread, "lock") + THREADS_OUT * thread.pitch
    try:
        length = given.bolt_length or choose_bolt(thread, needs - fixed, 2, "lock").length
    except FastenerError as fault:
        raise request.unfit("squeeze", fault.what, fault.accepted) from None
    size, strong = thread.size, "8.8" if thread.series == "M" else "grade 5"
    note = sentence("threaded to the head")
    name = f"{size} x {length:g}" if thread.series == "M" else f"{size} x {figure(length / 25.4, 3)} in"
    yield Hardware("bolt", Threaded(name, thread.name, length, strong), 1, note)
    yield Hardware("lock nut", Threaded(size, thread.name), 1)
    yield Hardware("washer", Threaded(size, size), 2)


def _facts(request: Request, band: Band, run: _Run, flat: tuple[float, ...]) -> Iterator[Fact]:
    mean = band.inside + request.thickness
    yield fact("developed", "developed length", mm(flat[-1], 1).named("developed length"))
    long = mm(mean / 2.0 * band.arc).named("arc length")
    middle = sentence(", neutral line Ø", mm(mean, 2).named("mean diameter"), " in the middle of the thickness")
    yield fact("arc", "arc", degrees(band.arc, 1).named("arc"), " on Ø", mm(band.inside, 2), " inside, ", long, middle)
    ends = (mm(at).named(name) for at, name in zip(flat[2 * run.arc + 1 :], ("begins", "ends"), strict=False))
    yield fact(
        "roll",
        "rolling",
        "on rolls or over a former (common practice), on the flat from ",
        next(ends),
        " to ",
        next(ends),
    )
    if request.given.bolt is not None and band.shape in ("saddle", "half band"):
        one, other = (band.path.frame_at(s).origin for s in (run.legs[0] / 2.0, band.path.length - run.legs[-1] / 2.0))
        apart = mm(float(np.linalg.norm(other - one)), 1).named("between the ears' holes")
        yield fact("ear_holes", "holes of the ears", apart, " middle to middle when it is rolled")
    if band.gap:
        where = "below the ears" if band.shape == "saddle" else "between the ears"
        yield fact("squeeze", "squeeze", mm(band.gap).named("gap"), f" {where} before it is tightened")
    if band.rubber:
        yield fact("rubber", "rubber", mm(band.rubber, 2).named("rubber"), " thick between")
    for bend in dict.fromkeys(bend for bend in _sharp(request, run)):
        yield fact("bends", "ears", degrees(bend.angle, 1), " bend, inside radius ", mm(bend.radius, 2))


def _sharp(request: Request, run: _Run) -> Iterator[Bend]:
    for i, (angle, radius) in enumerate(zip(run.bends, run.radii, strict=True)):
        if i != run.arc:
            yield Bend(request.thickness, radius, abs(angle), 0.5)

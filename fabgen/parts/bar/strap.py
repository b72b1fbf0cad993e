"""Straps and bands: flat bar or strip rolled or bent round something, its ends turned out, set out or plain.

The neutral line of what is rolled lies in the middle of the thickness (mean diameter x pi round a whole ring; common
practice).  The bends of ears and corners have their allowance from the bend tables.  The body stands with the middle of
what it goes round at the origin, its axis along z, the middle of the strap at the bottom; the flat is seen from inside.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fabgen.geometry.plane.outline import Circle, Outline
from fabgen.geometry.sheet.folds import Bend
from fabgen.geometry.space.frame import Frame
from fabgen.job.errors import FollowOnError, InputError
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.lengths.bar_tables import Strap
from fabgen.parts.bar.around_tube import AroundTube, around_tube
from fabgen.parts.bar.strap_runs import Request, StrapRun, Thing, gap_of, run_of, thing_of
from fabgen.parts.piece import Band, BandBox, Datum, Fact, FlatBend, Hardware, Hole, Piece, Place, fact
from fabgen.parts.sheet.bend_data import bend_k, brake_facts
from fabgen.parts.sheet.development import Development
from fabgen.parts.sheet.holes import check_flat_holes, given_holes
from fabgen.parts.sheet.opposite_hand import datums_of_hand
from fabgen.parts.sheet.placing import Placing, Stands
from fabgen.parts.sheet.request import SheetRequest, Unfit
from fabgen.parts.sheet.sheet_piece import pieces_of, sheet_piece
from fabgen.shop.goods import Threaded
from fabgen.shop.profiles.standard_sizes import flat as flat_bar
from fabgen.shop.section import Section
from fabgen.shop.threaded.clearance_holes import UnknownBoltError, clearance
from fabgen.shop.threaded.fasteners import (
    THREADS_OUT,
    FastenerError,
    bolt_name,
    choose_bolt,
    nut_height,
    nut_name,
    washer_thickness,
)
from fabgen.shop.threads import Thread, ThreadError, parse_thread
from fabgen.wording.figures import figure
from fabgen.wording.sentence import degrees, mm, sentence

SHOWS = 0.05
"""What is less is printed as 0, mm."""


def pieces(job: Definitions) -> list[Piece]:
    """One piece a [[strap]].

    Raises:
        JobError: the faults of all straps.
    """
    return pieces_of((SheetRequest(strap, job, ("strap", i)) for i, strap in enumerate(job.strap)), _piece)


def _piece(request: Request) -> Piece:
    given = request.given
    stands = _stands(request)
    thing = thing_of(request, stands[0].first_is_upright if stands else True)
    gap = gap_of(given, thing)
    run = run_of(request, thing, gap)
    flat, along, bends = _laid(request, run)
    holes = [*_ear_holes(request, flat), *_given(request, flat)]
    outline = Outline.rectangle(flat[-1], given.width, given.corner_radius)
    request.need_no_faults()
    clamped = _clamped(request, gap)
    band = _band(request, run, thing, gap, flat, along, 0.0 if clamped is None else clamped.needs)
    as_bar = flat_bar(given.width, given.thickness)
    sold = Section("rectangular", given.width, given.thickness, 0.0) if as_bar.standard else None
    if given.cut_from == "bar" and sold is None:
        size = f"{figure(given.width, 2)} x {figure(given.thickness, 2)}"
        raise request.unfit(
            "cut_from", f"{size} mm is no flat bar as it is sold", 'cut_from = "sheet", or another size'
        )
    rolled = () if run.arc is None else flat[2 * run.arc + 1 : 2 * run.arc + 3]
    development = Development(
        outline,
        tuple(holes),
        bends,
        lines=tuple(((at, 0.0), (at, given.width)) for at in rolled),
        band=band,
        bar=None if given.cut_from == "sheet" else sold,
        sizes=(*_inside(band), ("width", given.width)),
        facts=(*_facts(request, band, run, flat, bends), *brake_facts(request, bends)),
    )
    datums = datums_of_hand(given, development, {"": Datum(np.zeros(3), *np.eye(3))})
    bench = Placing(request, datums, []).stands()
    places = _places(given, stands) if stands else bench.places
    made = sheet_piece(request, "strap", development, Stands(places) if stands else bench)
    return replace(
        made,
        title=made.title or given.shape,
        quantity=max(made.quantity, len(places)) if stands else made.quantity,
        hardware=tuple(_hardware(request, clamped)),
    )


def _band(
    request: Request,
    run: StrapRun,
    thing: Thing,
    gap: float,
    flat: tuple[float, ...],
    along: tuple[float, ...],
    needs: float,
) -> Band:
    given = request.given
    return Band(
        run.path(request.thickness),
        flat,
        along,
        given.shape,
        0.0 if run.arc is None else 2.0 * run.radii[run.arc],
        thing.girth / math.pi if given.shape != "saddle" else thing.up,
        thing.mark,
        given.rubber,
        gap,
        0.0 if run.arc is None else run.bends[run.arc],
        needs,
        given.bolt_length,
        None if run.box is None else BandBox((thing.across, thing.up), run.box, run.radii[1], run.off),
    )


def _inside(band: Band) -> tuple[tuple[str, float], ...]:
    if band.box is None:
        return (("inside diameter", band.inside),)
    across, up = band.box.inside
    return ("inside, across", across), ("inside, up", up), ("inside radius of corners", band.box.corner)


def _stands(request: Request) -> list[AroundTube]:
    """Where it stands along its tube, as far as `at` says."""
    given = request.given
    if not given.at:
        return []
    if not isinstance(given.round, str):
        raise request.unfit("at", "`at` needs the tube that it is along", "`round` with the mark of a tube")
    thing_of(request)
    toward = given.ears_to or ("bottom" if given.shape == "saddle" else "top")
    try:
        found = [
            around_tube(request.job, given.round, at, toward, "ears_to", given.ears_to is not None) for at in given.at
        ]
    except FollowOnError:
        raise Unfit from None
    except InputError as fault:
        raise request.unfit(fault.key, fault.said, fault.takes) from None
    if len({each.first_is_upright for each in found}) > 1 and not found[0].is_square:
        raise request.unfit("at", "the tube lies otherwise at these places", "a strap of its own for each")
    return found


def _places(given: Strap, stands: Sequence[AroundTube]) -> tuple[Place, ...]:
    """One for each place, of half bands two that face one another."""
    pages = [each.page for each in stands]
    if given.shape == "half band":
        pages = [page for each in pages for page in (each, Frame(each.origin, -each.x, -each.y, each.z))]
    if given.opposite_of:  # its body is mirrored along the tube, so it stands the other way round on it
        pages = [Frame(page.origin, -page.x, page.y, -page.z) for page in pages]
    return tuple(Place(page) for page in pages)


def _laid(request: Request, run: StrapRun) -> tuple[tuple[float, ...], tuple[float, ...], tuple[FlatBend, ...]]:
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
            bends.append(FlatBend((at, 0.0), (at, wide), bend, angle > 0.0, run.names[i]))
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
        raise request.unfit("bolt", error.said, error.takes, error.nearest) from error
    if given.slot is not None and given.slot <= size.diameter:
        what = sentence("the slot of ", mm(given.slot, 2), f" is no longer than its hole for {size.bolt} is wide")
        raise request.unfit("slot", what, sentence("a length above ", mm(size.diameter, 2)))
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


@dataclass(frozen=True, slots=True)
class _Clamped:
    """What the bolt through two ears holds: its thread, the `grip` of ears and gap, and what two washers, nut and two
    threads out take besides, mm."""

    thread: Thread
    grip: float
    fixings: float

    @property
    def needs(self) -> float:
        """Length of bolt, mm."""
        return self.grip + self.fixings


def _clamped(request: Request, gap: float) -> _Clamped | None:
    """None of a strap without such a bolt."""
    given = request.given
    if given.bolt is None or given.shape not in ("band", "half band"):
        return None
    try:
        thread = parse_thread(given.bolt)
        fixed = 2.0 * washer_thickness(thread) + nut_height(thread, "lock")
    except (FastenerError, ThreadError) as fault:
        raise request.unfit("bolt", fault.said, fault.takes, fault.nearest) from None
    return _Clamped(thread, 2.0 * given.thickness + gap, fixed + THREADS_OUT * thread.pitch)


def _hardware(request: Request, clamped: _Clamped | None) -> Iterator[Hardware]:
    if clamped is None:
        return
    thread = clamped.thread
    try:
        length = request.given.bolt_length or choose_bolt(thread, clamped.grip, 2, "lock").length
    except FastenerError as fault:
        raise request.unfit("squeeze", fault.said, fault.takes) from None
    size, strong = thread.size, "8.8" if thread.series == "M" else "grade 5"
    note = sentence("threaded to the head")
    yield Hardware("bolt", Threaded(bolt_name(thread, length), thread.name, length, strong), 1, note)
    yield Hardware("lock nut", Threaded(nut_name(thread), thread.name), 1)
    yield Hardware("washer", Threaded(size, size), 2)


def _facts(
    request: Request, band: Band, run: StrapRun, flat: tuple[float, ...], bends: Sequence[FlatBend]
) -> Iterator[Fact]:
    yield fact("developed", "developed length", mm(flat[-1], 1).named("developed length"))
    if run.arc is not None:
        yield from _rolled_facts(band, run.arc, flat, request.thickness)
    elif band.box is not None and band.box.off >= SHOWS:
        off = mm(band.box.off).named("off the faces")
        yield fact("off", "stands", off, " off the faces, as its corners are rounder than what it goes round")
    if request.given.bolt is not None and band.shape in ("saddle", "half band"):
        one, other = (band.path.frame_at(s).origin for s in (run.legs[0] / 2.0, band.path.length - run.legs[-1] / 2.0))
        apart = mm(float(np.linalg.norm(other - one)), 1).named("between the ears' holes")
        yield fact(
            "ear_holes",
            "holes of the ears",
            apart,
            f" middle to middle when it is {'bent' if run.arc is None else 'rolled'}",
        )
    if band.gap:
        where = "below the ears" if band.shape == "saddle" else "between the ears"
        yield fact("squeeze", "squeeze", mm(band.gap).named("gap"), f" {where} before it is tightened")
    if band.rubber:
        yield fact("rubber", "rubber", mm(band.rubber, 2).named("rubber"), " thick between")
    for name, bend in dict.fromkeys((each.name.split()[0], each.bend) for each in bends):  # 'ear', 'corner'
        yield fact("bends", f"{name}s", degrees(bend.angle, 1), " bend, inside radius ", mm(bend.radius, 2))


def _rolled_facts(band: Band, arc: int, flat: tuple[float, ...], thickness: float) -> Iterator[Fact]:
    mean = band.inside + thickness
    long = mm(mean / 2.0 * band.arc).named("arc length")
    middle = sentence(", neutral line Ø", mm(mean, 2).named("mean diameter"), " in the middle of the thickness")
    yield fact("arc", "arc", degrees(band.arc, 1).named("arc"), " on Ø", mm(band.inside, 2), " inside, ", long, middle)
    begins, ends = mm(flat[2 * arc + 1]).named("begins"), mm(flat[2 * arc + 2]).named("ends")
    rolls = "on rolls or over a former (common practice), on the flat from "
    yield fact("roll", "rolling", rolls, begins, " to ", ends)

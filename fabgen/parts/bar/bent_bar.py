"""Bent round bar: U-bolts, J-bolts, hooks, loops, tie bars, from their sizes to pieces.

A bar lies in one plane, the page of its drawing: u to the right, v up.  A U-bolt stands with its legs up, the middle of
what it goes round at the origin; any other bar starts at the origin and runs to the right.  Plus bends to the left.
What keeps its length in a bend is the line that lies a share k of the diameter d from its inside, so that a bend of
angle a and inside radius r takes a (r + k d); k = 0.5 is the middle.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from fabgen.geometry.space.frame import Frame, cross
from fabgen.geometry.tube.centreline import Centreline, in_plane
from fabgen.job.errors import InputError, Path, Problems, listed, nearest
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.lengths.bar_tables import Bar, BarEndGiven
from fabgen.parts.bar.around_tube import AroundTube, around_tube
from fabgen.parts.bar.placed_bar import bar_places
from fabgen.parts.piece import (
    BarEnd,
    Clasp,
    Fact,
    FlattenedEnd,
    Hardware,
    LengthPart,
    Piece,
    Place,
    ThreadedEnd,
    WorkedEnd,
    fact,
)
from fabgen.parts.shape.cuts import plain_line
from fabgen.parts.shape.sections import section_profile
from fabgen.parts.tube.tube_bending import bends_of
from fabgen.shop.bending.bar_bending import MIDDLE, PRACTICE, least_radius
from fabgen.shop.goods import Threaded
from fabgen.shop.materials import Material
from fabgen.shop.section import Section
from fabgen.shop.threaded import fasteners
from fabgen.shop.threaded.fasteners import FastenerError
from fabgen.shop.threaded.nuts import choose_nut
from fabgen.shop.threads import Thread, ThreadError, parse_thread
from fabgen.wording.inches import INCH
from fabgen.wording.sentence import Sentence, lengths, mm, number, sentence

LEAST_BEND = math.radians(0.5)
FINE = math.radians(0.25)
STEP = {"mm": 5.0, "in": INCH / 4.0}
"""Lengths that the job leaves to us are rounded up to this, mm."""
FINEST = {"mm": 1.0, "in": INCH / 16.0}
"""A thread down to the tube is rounded down to this, mm."""


def pieces(job: Definitions) -> list[Piece]:
    """The bent bars of a job.

    Raises:
        JobError: with all faults.
    """
    problems = Problems()
    made: list[Piece] = []
    for i, bar in enumerate(job.bar):
        with problems.at("bar", i):
            made.append(_piece(job, bar, ("bar", i)))
    problems.report()
    return made


# -- the shape in its plane -------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class BarShape:
    """Straights and bends in order: `legs` mm, one more than there are `bends`, rad, plus to the left, with inside
    `radii`, mm; the first leg starts at `start` (u, v) and runs `heading` rad from u toward v."""

    legs: tuple[float, ...]
    bends: tuple[float, ...] = ()
    radii: tuple[float, ...] = ()
    start: tuple[float, float] = (0.0, 0.0)
    heading: float = 0.0

    def path(self, diameter: float, page: Frame) -> Centreline:
        """The centreline on a page.

        Args:
            diameter: of the bar, mm.
            page: its x is u, its y is v.
        """
        u, v = page.x, page.y
        x = math.cos(self.heading) * u + math.sin(self.heading) * v
        left = math.cos(self.heading) * v - math.sin(self.heading) * u
        frame = Frame(page.origin + self.start[0] * u + self.start[1] * v, x, cross(left, x), left)
        middles = [radius + diameter / 2.0 for radius in self.radii]
        return in_plane(frame, self.legs, self.bends, middles)

    def overall(self, diameter: float) -> tuple[float, float]:
        """Width and height over the outside of bar of a diameter, on the page, mm."""
        path = self.path(diameter, Frame(np.zeros(3), *np.eye(3)))
        frames = [path.frame_at(s) for s in path.stations(FINE)]
        edges = np.array([f.origin + side * f.z * diameter / 2.0 for f in frames for side in (1.0, -1.0)])
        wide, high, _ = np.ptp(edges, axis=0).tolist()
        return wide, high


def _by_legs(bar: Bar) -> BarShape:
    for i, bend in enumerate(bar.bends):
        if abs(bend) < LEAST_BEND:
            raise InputError("a bend of 0 degrees is none", "an angle, plus to the left", key=("bends", i))
    radii = bar.radius or ()
    each = radii * len(bar.bends) if len(radii) == 1 else radii
    return BarShape(tuple(bar.legs or ()), tuple(bar.bends), each)


def _j_bolt(bar: Bar) -> BarShape:
    assert bar.inside is not None
    assert bar.height is not None
    radius = bar.inside / 2.0
    if bar.radius is not None and abs(bar.radius[0] - radius) > 0.01:
        what = sentence(
            "a bow of 180 degrees that is ", mm(bar.inside, 3), " wide inside has a radius of ", mm(radius, 3)
        )
        raise InputError(what, "`inside` alone", key=("radius",))
    if bar.height <= radius:
        raise InputError(sentence("the bow alone is ", mm(radius, 3), " high inside"), "more height", key=("height",))
    return BarShape((bar.height - radius, bar.short_leg or 0.0), (-math.pi,), (radius,))


def _u_bolt(bar: Bar, inside: float, radius: float, height: float, low: float) -> BarShape:
    """Its legs up, the inside of its bow at v = `low`."""
    half = inside / 2.0
    if height <= radius:
        raise InputError(sentence("the bow alone is ", mm(radius, 3), " high inside"), "more height", key=("height",))
    leg, top, out = height - radius, low + height, half + bar.diameter / 2.0
    start, down = (-out, top), -math.pi / 2.0
    if half - radius < 0.01:
        return BarShape((leg, leg), (math.pi,), (radius,), start, down)
    return BarShape((leg, inside - 2.0 * radius, leg), (math.pi / 2.0,) * 2, (radius,) * 2, start, down)


def stands_off(section: Section, across: float, inside: float, radius: float) -> float:
    """How far the bow of a U-bolt stands off the face of a rectangular tube, because its bends come to bear on the
    tube's corners first, mm.

    Args:
        section: of the tube, whose outside corners are of radius c.
        across: its size across the legs, mm.
        inside: clear width between the legs, mm.
        radius: of the bends inside, mm; the corner's arc touches the bend's where their middles are `radius` - c apart.
    """
    if section.is_round:
        return 0.0
    apart = radius - section.corner
    aside = across / 2.0 - section.corner - (inside / 2.0 - radius)
    if apart <= 0.0 or aside <= 0.0:
        return 0.0
    return apart - math.sqrt(max(0.0, apart**2 - aside**2))


# -- its ends ---------------------------------------------------------------------------------
def _given_end(bar: Bar, at: str) -> tuple[BarEndGiven | None, Path]:
    """What the job says of an end, and where."""
    if bar.ends is not None:
        return bar.ends, ("ends",)
    given = bar.start if at == "start" else bar.finish
    if given is None and bar.shape == "U-bolt" and bar.start is None and bar.finish is None:
        return BarEndGiven(thread=f"M{bar.diameter:g}"), ("ends",)
    return given, (at,)


def _end(bar: Bar, at: str, clamped: float, reach: float | None, step: float) -> BarEnd:
    """`reach`: from the end to what the bar goes round, mm, where that is known."""
    given, key = _given_end(bar, at)
    if given is None:
        return None
    if given.thread is None:
        assert given.thickness is not None
        assert given.length is not None
        return _flattened(bar, given, given.thickness, given.length, key)
    thread = _thread(bar, given, key)
    try:
        washers = given.washers if given.nuts else 0
        washer = fasteners.washer_thickness(thread) if washers else 0.0
        nut = fasteners.nut_height(thread, "plain") if given.nuts else 0.0
    except FastenerError as fault:
        raise InputError(fault.said, fault.takes, fault.nearest, (*key, "thread")) from None
    under = washers * washer
    made = ThreadedEnd(thread, 0.0, given.nuts, washers, given.nuts * nut + under, under)
    length = given.length
    if length is None:
        length = reach or math.ceil((made.takes + clamped + bar.diameter) / step - 1e-9) * step
    return replace(made, length=length)


def _thread(bar: Bar, given: BarEndGiven, key: Path) -> Thread:
    assert given.thread is not None
    try:
        return parse_thread(given.thread, None if "hand" not in given.model_fields_set else given.hand)
    except ThreadError as fault:
        if key == ("ends",) and bar.ends is None:
            what = sentence("no thread is of the bar's own ", mm(bar.diameter, 3), ", and its ends say nothing else")
            raise InputError(what, 'ends = { thread = "…" } of the bar\'s diameter or less') from None
        raise InputError(fault.said, fault.takes, fault.nearest, (*key, "thread")) from None


def _flattened(bar: Bar, given: BarEndGiven, thickness: float, length: float, key: Path) -> FlattenedEnd:
    """Beaten flat it is as long as before and has the same metal: pi d^2 / 4 = thickness x width."""
    if thickness >= bar.diameter:
        what = sentence(mm(thickness, 3), " is not thinner than the bar")
        raise InputError(what, sentence("less than ", mm(bar.diameter, 3)), key=(*key, "thickness"))
    width = math.pi * bar.diameter**2 / (4.0 * thickness)
    at = given.hole_at or length / 2.0
    if given.hole and (at > length or given.hole >= width):
        what = sentence("a hole of ", mm(given.hole, 3), " is not in a flat of ", lengths((width, length)))
        raise InputError(what, "a smaller hole, nearer to the end", key=(*key, "hole"))
    return FlattenedEnd(length, thickness, width, given.hole, at)


def _clamped(job: Definitions, bar: Bar) -> float:
    """Thickness of what the nuts clamp, mm."""
    total = 0.0
    for i, given in enumerate(bar.clamps):
        if isinstance(given, str):
            part = next(part for part in job.parts() if part.mark == given)
            thickness = getattr(part, "thickness", None)
            if thickness is None:
                what = f"{given} is no sheet part: how thick is what is clamped?"
                raise InputError(what, "a length in place of the mark", key=("clamps", i))
            total += thickness
        else:
            total += given
    return total


# -- the piece --------------------------------------------------------------------------------
def _piece(job: Definitions, bar: Bar, path: Path) -> Piece:
    material = job.find_material(bar.material or job.job.material)
    section = Section("round", bar.diameter, bar.diameter, 0.0)
    clamped, step = _clamped(job, bar), STEP[job.job.units]
    clasp, page, shape = None, Frame(np.zeros(3), *np.eye(3)), None
    if bar.shape == "U-bolt":
        clasp, shape = _clasping(job, bar, clamped, material)
        page = _around(job, bar).page if bar.at is not None else page
    else:
        shape = _by_legs(bar) if bar.shape is None else _j_bolt(bar)
    places = bar_places(bar, path) if bar.at is None else (Place(page, against=str(bar.around)),)
    pages = [place.frame for place in places]
    finest = FINEST[job.job.units]
    reach = math.floor(clasp.to_seat / finest) * finest if clasp is not None and clasp.along else None
    forms = [_end(bar, at, clamped, reach, step) for at in ("start", "finish")]
    first, *others = pages or [page]
    part = _part(job, bar, shape, section, (forms[0], forms[1]), first)
    also = tuple(shape.path(bar.diameter, other).start for other in others)
    part = replace(part, clasp=clasp, frame=part.path.start if pages and part.path else None, also=also, places=places)
    return Piece(
        mark=bar.mark,
        kind="bar",
        quantity=bar.quantity,
        material=material.name,
        mass=material.density * section.area * part.length * 1e-9,
        shape=part,
        title=bar.title or bar.shape or ("bent bar" if bar.bends else "tie bar"),
        note=bar.note,
        hardware=tuple(_hardware(part, material)),
        facts=tuple(_facts(bar, part, shape)),
        path=path,
    )


def _part(
    job: Definitions, bar: Bar, shape: BarShape, section: Section, forms: tuple[BarEnd, BarEnd], page: Frame
) -> LengthPart:
    path = shape.path(bar.diameter, page)
    if path.length < 1.0:
        raise InputError("this bar has no length", "legs above zero", key=("legs",))
    shift = (MIDDLE - (MIDDLE if bar.neutral is None else bar.neutral)) * bar.diameter
    bends, straights = bends_of(path, section, bar.trim, job.former, shift)
    straights = (*straights[:-1], straights[-1] + bar.trim)
    line = plain_line(section_profile(section))
    first, last = path.start, path.finish
    ends = (
        WorkedEnd("start", "plain", line, Frame.along(first.origin, first.x, first.z), 0.0, form=forms[0]),
        WorkedEnd("finish", "plain", line, Frame.along(last.origin, -last.x, last.z), 0.0, form=forms[1]),
    )
    length = sum(straights) + sum(bend.length for bend in bends)
    return LengthPart(section, length, path.length, ends, path=path, bends=bends, straights=straights, is_bent_bar=True)


def _clasping(job: Definitions, bar: Bar, clamped: float, material: Material) -> tuple[Clasp, BarShape]:
    """A U-bolt, and what it goes round."""
    section = None if bar.around is None else _section_of(job, bar.around)
    along, across = (section.width, section.depth) if section is not None else (0.0, 0.0)
    if section is not None and bar.at is not None and not _around(job, bar).first_is_upright:
        along, across = across, along
    inside = bar.inside or across + 2.0 * bar.clearance
    radius = _bow_radius(bar, section, inside, least_radius(material, bar.diameter))
    off = stands_off(section, across, inside, radius) if section is not None else 0.0
    height = bar.height or _height(job, bar, along + off if along else 0.0, clamped)
    shape = _u_bolt(bar, inside, radius, height, -along / 2.0 - off)
    mark = bar.around if isinstance(bar.around, str) else ""
    said = "" if section is None else section.words(job.job.units)
    name = f"{mark}, {said}" if mark else said
    seats = tuple(each for each in bar.clamps if isinstance(each, str))
    return Clasp(name, mark, across, along, inside, height, clamped, off, seats), shape


def _section_of(job: Definitions, around: Section | str) -> Section:
    if isinstance(around, Section):
        return around
    marks = {tube.mark: tube.section for tube in job.tube}
    if around not in marks:
        accepted = "a section, or the mark of a tube" + (f": {listed(marks)}" if marks else "")
        raise InputError(f'"{around}" is the mark of no tube', accepted, nearest(around, marks), ("around",))
    return marks[around]


def _bow_radius(bar: Bar, section: Section | None, inside: float, least: float) -> float:
    """Inside radius of a U-bolt's bends, mm; `least` is what its metal takes."""
    half = inside / 2.0
    if not bar.radius:
        return half if section is None or section.is_round else min(half, least)
    if bar.radius[0] > half + 0.01:
        what = sentence(
            "an inside radius of ", mm(bar.radius[0], 3), " does not go between legs that are ", mm(inside, 3), " apart"
        )
        raise InputError(what, sentence(mm(half, 3), " at most"), key=("radius",))
    return bar.radius[0]


def _height(job: Definitions, bar: Bar, along: float, clamped: float) -> float:
    """As far as it must reach, rounded up, mm."""
    forms = [_end(bar, at, clamped, 1.0, 1.0) for at in ("start", "finish")]
    takes = max((form.takes for form in forms if isinstance(form, ThreadedEnd)), default=0.0)
    if not along or not takes:
        raise InputError("a U-bolt needs its height", "height, or `around` and nuts on its ends", key=("height",))
    step = STEP[job.job.units]
    return math.ceil((along + clamped + takes) / step - 1e-9) * step


# -- where it stands --------------------------------------------------------------------------
def _around(job: Definitions, bar: Bar) -> AroundTube:
    """Where the bar stands along its tube, and the way its legs point, square to the tube."""
    if not isinstance(bar.around, str):
        raise InputError("`at` needs the tube that it is along", "`around` with the mark of a tube", key=("at",))
    assert bar.at is not None
    return around_tube(job, bar.around, bar.at, bar.legs_to, "legs_to", "legs_to" in bar.model_fields_set)


# -- its facts -----------------------------------------------------------------------
def _hardware(part: LengthPart, material: Material) -> Iterator[Hardware]:
    """Nuts and washers, both ends together where they are alike."""
    threads = [end.form for end in part.ends if isinstance(end.form, ThreadedEnd)]
    stainless = material.group == "stainless"
    for form in dict.fromkeys(replace(each, length=0.0) for each in threads):
        count = sum(replace(each, length=0.0) == form for each in threads)
        thread = form.thread
        name = thread.size if thread.series == "M" and parse_thread(thread.size).pitch == thread.pitch else thread.name
        hand = " left" if thread.hand == "left" else ""
        if form.nuts:
            # The class of the bar is not known: a nut for 8.8 is stronger than any bar that is bent cold.
            choice = choose_nut(thread, "plain", "A2-70" if stainless else "8.8" if thread.series == "M" else "grade 5")
            goods = Threaded(
                f"{name}{hand}", f"{thread.name}{hand}", strength=choice.strength, standard=choice.standard
            )
            yield Hardware("nut", goods, form.nuts * count, sentence(choice.ordered))
        if form.washers:
            grade = "A2" if stainless else "200 HV" if thread.series == "M" else "hardened"
            standard = fasteners.washer_standard(thread)
            washer = Threaded(thread.size, thread.size, strength=grade, standard=standard)
            yield Hardware("washer", washer, form.washers * count, sentence(standard))


def _facts(bar: Bar, part: LengthPart, shape: BarShape) -> Iterator[Fact]:
    yield fact("overall", "overall", lengths(shape.overall(bar.diameter)).named("overall"))
    if shape.bends:
        legs = lengths(shape.legs, " + ").named("straights")
        takes = lengths([bend.length for bend in part.bends], " + ").named("bends")
        developed = mm(part.length - 2.0 * bar.trim).named("developed length")
        yield fact("developed", "developed length", developed, ": straights ", legs, ", bends ", takes)
        yield fact("inside-radius", "inside radius", lengths(sorted(set(shape.radii)), " and ", 2))
        line: Sentence = sentence(f"in the middle of the bar ({PRACTICE}): bend a test piece")
        if bar.neutral is not None:
            line = sentence(number(bar.neutral, 3), " of the diameter from the inside, as given")
        yield fact("neutral", "neutral line", line)
    if bar.trim:
        yield fact("trim", "cut off after bending", mm(bar.trim), " at each end")
    if part.clasp is not None:
        if part.clasp.name:
            yield fact("around", "goes round", part.clasp.name)
        yield fact("inside", "inside, height", lengths((part.clasp.inside, part.clasp.depth)))
        if part.clasp.stands_off > 0.05:
            yield fact("stands-off", "bow stands off", mm(part.clasp.stands_off), ": it bears on the tube's corners")
    for end in part.ends:
        if isinstance(end.form, FlattenedEnd):
            width = mm(end.form.width).named("width")
            yield fact("flat", f"flat at the {end.at}", "about ", width, " wide, by the bar's metal: beat a test piece")

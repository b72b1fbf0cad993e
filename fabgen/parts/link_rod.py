"""Link rods: a tube between two rod ends, pin to pin, that adjusts on its threads.

Along the rod from one pin: the rod end's shank, `shank` long from the ball's centre to its
end, goes `depth` deep into the bung, counted from the bung's outer face; the bung's head
stands out of the tube.  So for both ends

    pin to pin = tube + sum of (head + shank - depth).

The depth runs from the least engagement (shallower must not be) to the depth at which the jam
nut, kept on the thread, meets the end of the thread: thread length less nut, or the tapped
depth if that is less.  The tube is sawn for both rod ends in the middle of that range.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.frame import Frame
from fabgen.job.definitions import Definitions, Link, RodEndGiven
from fabgen.job.errors import InputError, JobError, Problem
from fabgen.parts.cope import plain_line, section_profile
from fabgen.parts.piece import Hardware, LengthPart, Piece, WorkedEnd
from fabgen.parts.run import ENDS, upright
from fabgen.shop import rod_ends
from fabgen.shop.figures import figure
from fabgen.shop.materials import Material
from fabgen.shop.threads import Thread, ThreadError, parse_thread

INCH = 25.4


@dataclass(frozen=True, slots=True)
class RodEndSetup:
    """One end of a link rod, mm.

    `depth`: how far the shank is screwed in from the bung's outer face as the rod is set up,
    between `least_depth` (the least engagement) and `most_depth`.  `tapped`: length of thread
    in the bung, or in the tube where there is none.  `remembered` tells which figures came
    from the table.
    """

    thread: Thread
    shank: float
    thread_length: float
    bore: float | None
    eye_width: float | None
    usual_pitch: float | None
    tapped: float
    head: float
    least_depth: float
    most_depth: float
    remembered: tuple[str, ...]

    @property
    def room(self) -> float:
        """How far it can be screwed from one limit to the other; 0 where there is no room."""
        return max(0.0, self.most_depth - self.least_depth)

    @property
    def depth(self) -> float:
        """As set up: the middle of the range, or as deep as it goes."""
        return self.most_depth - self.room / 2.0

    @property
    def reach(self) -> float:
        """From the tube's end to the pin as set up."""
        return self.head + self.shank - self.depth

    @property
    def showing(self) -> float:
        """Thread in sight outside the bung as set up, jam nut included."""
        return self.thread_length - self.depth

    def engaged(self, depth: float) -> float:
        """Thread engaged when the shank is in by `depth`."""
        return min(depth, self.tapped)


@dataclass(frozen=True, eq=False, kw_only=True)
class LinkPart(LengthPart):
    """The tube of a link rod and what is screwed into it; lengths mm, pin to pin.

    `each_way`: how far it adjusts from the middle, longer or shorter; `asked`: how far the
    job wants it to; `bungs`: False when the tube itself is tapped.
    """

    pin_to_pin: float
    rods: tuple[RodEndSetup, RodEndSetup]
    asked: float | None
    bungs: bool

    @property
    def in_place(self) -> bool:
        """Whether turning the tube changes its length: one right-hand, one left-hand thread."""
        return self.rods[0].thread.hand != self.rods[1].thread.hand

    @property
    def per_turn(self) -> float:
        """What one turn of the tube changes pin to pin by, mm; by hands alike only their difference."""
        one, other = (rod.thread.pitch for rod in self.rods)
        return one + other if self.in_place else abs(one - other)

    @property
    def each_way(self) -> float:
        """In place both ends turn alike, so the first to reach its limit ends it; apart, each to its own."""
        if not self.in_place:
            return sum(rod.room for rod in self.rods) / 2.0
        return min(rod.room / rod.thread.pitch for rod in self.rods) / 2.0 * self.per_turn


def pieces(job: Definitions) -> list[Piece]:
    """The link rods of a job; raises JobError with all faults."""
    problems: list[Problem] = []
    made: list[Piece] = []
    for i, link in enumerate(job.link):
        material = job.find_material(link.material or job.job.material)
        rods: list[RodEndSetup] = []
        for place in range(2):
            try:
                rods.append(_rod(link, place, soft=material.group == "aluminium"))
            except InputError as fault:
                problems.append(Problem.of(("link", i), fault))
        try:
            part = _part(link, rods)
        except InputError as fault:
            problems.append(Problem.of(("link", i), fault))
            continue
        if part is not None:
            made.append(_piece(link, part, material, job.job.units, i))
    if problems:
        raise JobError(problems)
    return made


def _piece(link: Link, part: LinkPart, material: Material, units: str, index: int) -> Piece:
    return Piece(
        mark=link.mark,
        kind="link",
        quantity=link.quantity,
        material=material.name,
        mass=material.density * link.section.area * part.length * 1e-9,
        shape=part,
        title=link.title,
        note=link.note,
        finish=link.finish,
        hardware=_hardware(part),
        facts=_facts(part, units),
        path=("link", index),
    )


def _pins(link: Link) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """The two pins, (2, 3) mm; along x from the origin where the job does not place them."""
    if link.between is None:
        assert link.length is not None
        return np.array([[0.0, 0.0, 0.0], [link.length, 0.0, 0.0]])
    pins = np.array([[p.x, p.y, p.z] for p in link.between])
    if np.linalg.norm(pins[1] - pins[0]) < 0.01:
        raise InputError("the two points of the link are the same", "two points apart", key=("between",))
    return pins


def _rod(link: Link, place: int, soft: bool) -> RodEndSetup:
    given = link.rod_ends[place]
    own = given if isinstance(given, RodEndGiven) else RodEndGiven(thread=given)
    key = ("rod_ends", place, "thread") if own is given else ("rod_ends", place)
    try:
        thread = parse_thread(own.thread, own.hand if own is given and "hand" in own.model_fields_set else None)
    except ThreadError as fault:
        raise InputError(fault.what, fault.accepted, fault.nearest, key) from None
    table = rod_ends.find(thread)
    if table is None and (own.shank is None or own.thread_length is None):
        raise InputError(
            f"the table has no rod end {thread.size}",
            f"{', '.join(rod_ends.sizes())}; or a table with shank and thread_length of your own",
            key=key,
        )
    figures = {
        name: value if (value := getattr(own, name)) is not None else getattr(table, name, None)
        for name in ("shank", "thread_length", "bore", "eye_width")
    }
    remembered = tuple(name for name in figures if getattr(own, name) is None and table is not None)
    shank, thread_length = figures["shank"], figures["thread_length"]
    assert shank is not None
    assert thread_length is not None
    if thread_length >= shank:
        raise InputError(
            f"the rod end's thread ({thread_length:g} mm) is as long as its shank to the ball's centre ({shank:g} mm)",
            "shank counts from the ball's centre to the end of the thread",
            key=("rod_ends", place),
        )
    bung = rod_ends.usual_bung(thread)
    tapped = thread_length if link.bung == "none" else bung.thread_length
    tapped = tapped if link.bung_length is None else link.bung_length
    head = 0.0 if link.bung == "none" else bung.head
    most = thread_length - thread.jam_nut
    return RodEndSetup(
        thread=thread,
        shank=shank,
        thread_length=thread_length,
        bore=figures["bore"],
        eye_width=figures["eye_width"],
        usual_pitch=table.pitch if table else None,
        tapped=tapped,
        head=head if link.bung_head is None else link.bung_head,
        least_depth=rod_ends.least_engagement(thread, soft),
        # A bung is tapped right through; in the tube itself the tap ends somewhere.
        most_depth=max(0.0, min(most, tapped) if link.bung == "none" else most),
        remembered=remembered,
    )


def _part(link: Link, rods: Sequence[RodEndSetup]) -> LinkPart | None:
    """The tube between two rod ends; None where one of them has a fault, told already."""
    if not link.section.is_round:
        raise InputError("a link rod is made of round tube", 'e.g. section = "25.4 x 4"', key=("section",))
    if link.section.is_solid and link.bung != "none":
        raise InputError("solid bar takes no bung", 'bung = "none": the bar itself is tapped', key=("section",))
    pins = _pins(link)
    if len(rods) < 2:
        return None
    one, other = rods
    pin_to_pin = float(np.linalg.norm(pins[1] - pins[0]))
    length = pin_to_pin - one.reach - other.reach
    if length <= 0.0:
        raise InputError(
            f"pin to pin is {pin_to_pin:.1f} mm, but the rod ends alone take {one.reach + other.reach:.1f} mm",
            "more length, or smaller rod ends",
            key=("between",) if link.between else ("length",),
        )
    along = (pins[1] - pins[0]) / pin_to_pin
    axis = upright(pins[0] + one.reach * along, along)
    profile = section_profile(link.section)
    start = WorkedEnd("start", "plain", plain_line(profile), Frame.along(axis.origin, axis.x, axis.z), 0.0)
    far = Frame.along(axis.origin + length * axis.x, -axis.x, axis.z)
    finish = WorkedEnd("finish", "plain", plain_line(profile), far, 0.0)
    return LinkPart(
        section=link.section,
        length=length,
        axis=length,
        ends=(start, finish),
        frame=axis if link.between else None,
        pin_to_pin=pin_to_pin,
        rods=(one, other),
        asked=link.adjust,
        bungs=link.bung != "none",
    )


# -- what is bought, and how it is set up ------------------------------------------
def _hardware(part: LinkPart) -> tuple[Hardware, ...]:
    wanted: Counter[tuple[str, str, str]] = Counter()
    for rod in part.rods:
        bore = f"bore {rod.bore:.4g} mm, " if rod.bore else ""
        wanted["rod end", str(rod.thread), f"{bore}shank {rod.shank:.4g} mm, thread {rod.thread_length:.4g} mm"] += 1
    for rod in part.rods:
        wanted["jam nut", str(rod.thread), f"thin nut, {_nut_standard(rod.thread)}"] += 1
    for rod in part.rods if part.bungs else ():
        fit = f"to fit the bore of {part.section}, {rod.tapped:.4g} mm of thread, head {rod.head:.4g} mm"
        wanted["weld-in threaded bung", str(rod.thread), fit] += 1
    return tuple(Hardware(item, spec, count, note) for (item, spec, note), count in wanted.items())


def _nut_standard(thread: Thread) -> str:
    if thread.series != "M":
        return "ASME B18.2.2"
    coarse = parse_thread(thread.size).pitch
    return "ISO 4035" if math.isclose(thread.pitch, coarse) else "ISO 8675"


def _facts(part: LinkPart, units: str) -> tuple[tuple[str, str], ...]:
    middle, way = part.pin_to_pin, part.each_way
    facts = [
        ("pin to pin", _mm(middle, units)),
        ("adjusts", f"{_mm(middle - way, units)} to {_mm(middle + way, units)}, {_mm(way, units)} each way"),
    ]
    if part.in_place:
        facts.append(("one turn of the tube", _mm(part.per_turn, units, 2)))
    else:
        steps = " or ".join(sorted({_mm(rod.thread.pitch / 2.0, units, 2) for rod in part.rods}))
        facts.append(("to adjust", f"take one end off its pin; half a turn of the rod end is {steps}"))
    for name, rod in zip(ENDS, part.rods, strict=True):
        facts.append(
            (
                f"{name}, {rod.thread}",
                f"{_mm(rod.showing, units)} of thread showing, jam nut of {_mm(rod.thread.jam_nut, units)} on it; "
                f"{_mm(rod.engaged(rod.depth), units)} engaged, {_mm(rod.least_depth, units)} at least",
            )
        )
        if not part.bungs:
            facts.append((f"tap the {name}", f"{_mm(rod.tapped, units)} deep"))
    return tuple(facts)


def _mm(length: float, units: str, decimals: int = 1) -> str:
    """A length in mm; in an inch job with decimal inches beside it."""
    text = f"{figure(length, decimals)} mm"
    return f"{text} [{length / INCH:.3f} in]" if units == "in" else text

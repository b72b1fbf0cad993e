"""Checks of bolts by their stacks as listed: holes, ears, nuts, threads."""

from __future__ import annotations

import math
from collections.abc import Iterator

from fabgen.checks.bolt.bolt_ways import covered
from fabgen.checks.bolt.spacers import with_spacers
from fabgen.checks.checked import Checked
from fabgen.checks.rule import FROM_JOB, PRACTICE, Found, found, rule
from fabgen.geometry.plane.outline import Circle
from fabgen.parts.piece import (
    DrilledHole,
    FlatPart,
    FlattenedEnd,
    FlattenedHole,
    Hole,
    LengthPart,
    LinkPart,
    ProfilePart,
)
from fabgen.parts.shape.bored.facing_holes import facing_holes
from fabgen.plan.plan import BoltStack
from fabgen.shop.threaded.clearance_holes import clearance_diameter
from fabgen.shop.threaded.fasteners import ABSURD, FastenerError, choose_bolt, least_beyond, spacer_for_shank
from fabgen.shop.threaded.nuts import PAIRING, THIN, is_weaker
from fabgen.shop.threads import Thread
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Part, Sentence, mm, number, sentence, to_paste

FLOATS = 1.0
"""More play than this between two ears is worth a look, mm."""
MOST_WASHERS = 4
"""Two are usual: more than one a side beyond them shift a shank as a spacer should (common practice, no source)."""
FULL_THREAD = 0.65
"""Share of the basic thread height that a tapped hole must leave standing."""
SLACK = 0.02
"""Sizes this little over a limit are let pass, mm."""


# -- holes --------------------------------------------------------------------------
@rule("bolt-hole", Level.STOP, source=FROM_JOB)
def bolt_hole(job: Checked) -> Iterator[Found]:
    """A plate, tube or profile that a bolt goes through has a hole that lets it through; where it lies over the hole of
    another part of that bolt, that is told of the hole."""
    told = {(cover.by.mark, way.mark) for way, cover in covered(job)}
    bushes = {piece.mark for piece in job.pieces if piece.kind == "bush"}
    for stack, mark, shape in _clamped(job):
        thread = stack.choice.thread
        if mark in _along(stack) or any((mark, other) in told for other, _ in _parts(job, stack)):
            continue
        widest = None if mark in bushes else _widest(shape)
        if widest is None or widest >= thread.diameter - 1e-3:
            continue
        wide = clearance_diameter(thread.bolt, "close" if stack.pivot else "medium")
        drill = sentence(": drill ", mm(wide, 2)) if wide is not None else sentence(": drill it")
        if widest:
            size = sentence(f"{_size(thread)} does not go through {mark}, whose widest hole is ", mm(widest, 2))
            yield found(size, drill, ", or take a thinner bolt", about=stack.name)
        else:
            yield found(f"{mark} has no hole that lets {_size(thread)} through", drill, about=stack.name)


def _widest(shape: FlatPart | LengthPart | ProfilePart) -> float | None:
    """The widest hole that a bolt may go through, mm, 0 where there is none; None of what has an eye or is bent round
    it."""
    if isinstance(shape, FlatPart):
        return max((least_width(hole) for hole in shape.all_holes), default=0.0)
    if isinstance(shape, ProfilePart):
        return max((hole.width for hole in shape.holes), default=0.0)
    if isinstance(shape, LinkPart) or shape.is_bent_bar:
        return None
    bores = [end.form.hole for end in shape.ends if isinstance(end.form, FlattenedEnd)]
    bores += [_bore(hole) for hole in shape.drilled if not hole.plug]
    return max(bores, default=0.0)


def _bore(hole: DrilledHole) -> float:
    """What a bolt has: the hole's width, or the bore of the sleeve in it, mm."""
    return hole.width if hole.sleeve is None else hole.sleeve.bore


@rule("bolt-in-eye", Level.WARN, source=FROM_JOB)
def bolt_in_eye(job: Checked) -> Iterator[Found]:
    """A bolt in a rod end fills its bore."""
    for stack, mark, shape in _clamped(job):
        thread = stack.choice.thread
        bores = {rod.bore for rod in shape.rods if rod.bore} if isinstance(shape, LinkPart) else set()
        if bores and all(bore < thread.diameter - 1e-6 or bore > thread.diameter + 0.5 for bore in bores):
            eyes = f"{_size(thread)} in the rod ends of {mark}, whose bore is "
            yield found(eyes, mm(min(bores), 4), about=stack.name)


@rule(
    "pivot-hole",
    Level.WARN,
    source=f"close fit of ISO 273 and ASME B18.2.8, from memory; that a pivot needs it: {PRACTICE}",
)
def pivot_hole(job: Checked) -> Iterator[Found]:
    """A bolt that parts turn on, or that goes through a rod end, sits in holes of the close fit."""
    for stack in job.plan.bolts:
        most = clearance_diameter(stack.choice.thread.bolt, "close") if stack.pivot else None
        loose: dict[float, list[str]] = {}
        for mark, shape in _parts(job, stack) if most is not None else ():
            holes = [least_width(hole) for hole in shape.all_holes] if isinstance(shape, FlatPart) else []
            fitting = [width for width in holes if width >= stack.choice.thread.diameter - 1e-3]
            if fitting and most is not None and min(fitting) > most + SLACK:
                loose.setdefault(round(min(fitting), 3), []).append(mark)
        for width, marks in loose.items():
            in_holes: list[Part] = [f"pivot {_size(stack.choice.thread)} in holes of ", mm(width, 2)]
            close = sentence(" (", ", ".join(marks), '): the holes wear; fit = "close" makes them ', mm(most or 0.0, 2))
            yield found(*in_holes, close, about=stack.name)


@rule("bolt-through-tube", Level.WARN)
def bolt_through_tube(job: Checked) -> Iterator[Found]:
    """A bolt does not clamp a bare tube, which gives way; the flat of a crushed end and a sleeve do not."""
    for stack, mark, shape in _clamped(job):
        bush = mark in _along(stack) or any(each.mark == mark for each in job.job.bush)
        if not isinstance(shape, LengthPart) or isinstance(shape, LinkPart) or bush or shape.section.is_solid:
            continue
        if any(_gives_way(hole) for hole in _holes_passed(stack, mark, shape)):
            text = (
                f"{_size(stack.choice.thread)} clamps the bare tube {mark}, which gives way: weld a sleeve in, as long "
                "as the tube is wide"
            )
            yield found(text, about=stack.name)


# -- between ears ---------------------------------------------------------------------
@rule("ear-gap", Level.WARN, Level.STOP)
def ear_gap(job: Checked) -> Iterator[Found]:
    """What a bolt holds between two ears of one part goes in between, and fills the gap to a millimetre."""
    for stack in job.plan.bolts:
        for gap in stack.gaps:
            about, ears = stack.name, sentence("the gap of ", mm(gap.gap, 2), f" in {gap.mark}")
            if gap.play < -SLACK:
                into = sentence(mm(gap.filled, 2), " does not go into ", ears)
                yield found(into, ": a wider gap, or less between its ears", level=Level.STOP, about=about)
            elif not gap.layers and not gap.by:
                yield found(
                    "nothing fills ", ears, ": the bolt pulls the ears in; a sleeve of that length", about=about
                )
            elif gap.play > FLOATS:
                free = sentence(mm(gap.play, 2), " of play in ", ears)
                spacers = sentence(": a spacer of ", mm(gap.play / 2.0, 2), " on either side: ")
                ends = gap.layers.start, gap.layers.stop
                yield found(free, spacers, with_spacers(stack, to_paste(gap.play / 2.0), ends), about=about)


@rule("ears-named-once", Level.WARN, source=FROM_JOB)
def ears_named_once(job: Checked) -> Iterator[Found]:
    """A bolt through a clevis passes both its ears: the stack names it on both sides of the gap."""
    clevises = {bracket.mark for bracket in job.job.bracket if bracket.shape == "clevis"}
    for stack, mark, shape in _clamped(job):
        named = [layer.mark for layer in stack.layers].count(mark)
        if mark not in clevises or named != 1 or not isinstance(shape, FlatPart):
            continue
        wide = [hole for hole in shape.all_holes if _passes(hole, stack.choice.thread.diameter)]
        pairs = [
            pair for pair in facing_holes(shape) if least_width(Hole(pair.holes[0])) >= stack.choice.thread.diameter
        ]
        if pairs and len(wide) == 2 * len(pairs):
            counted = sentence(f"{mark} counts once, ", mm(shape.thickness, 2))
            whole = sentence("the bolt passes both its ears, ", mm(2.0 * shape.thickness + pairs[0].gap, 2))
            yield found(counted, ", but ", whole, ": name it on both sides of what is between", about=stack.name)


# -- nuts -----------------------------------------------------------------------------
@rule("thin-nut", Level.WARN, source=THIN)
def thin_nut(job: Checked) -> Iterator[Found]:
    """A thin nut locks another nut; alone it strips before the bolt is tight."""
    for stack in job.plan.bolts:
        if stack.choice.nut == "thin":
            alone = f"a thin nut alone on {_size(stack.choice.thread)} strips before the bolt is tight"
            yield found(alone, ': take nut = "plain" or "lock"', about=stack.name)


@rule("nut-class", Level.WARN, source=PAIRING)
def nut_class(job: Checked) -> Iterator[Found]:
    """A nut is at least as strong as its bolt."""
    for stack in job.plan.bolts:
        if stack.choice.nut != "none" and is_weaker(stack.nut.strength, stack.property_class):
            weaker = f"a nut of {stack.nut.strength} is weaker than its bolt of {stack.property_class}"
            yield found(weaker, ": leave nut_class out, or take a higher one", about=stack.name)


@rule("fastener-standard", Level.NOTE, source="scopes of the product standards, from memory")
def fastener_standard(job: Checked) -> Iterator[Found]:
    """Bolts and nuts are of a size and class that a product standard has."""
    for stack in job.plan.bolts:
        choice, about = stack.choice, stack.name
        measure = ": ask the merchant, and measure before you rely on the length"
        if not stack.standard:
            yield found(
                f"{choice.standard} has no {choice.thread.name} of {stack.property_class}", measure, about=about
            )
        if choice.nut != "none" and not stack.nut.standard:
            nut = f"{stack.nut.like} has no {choice.thread.name} nut of {stack.nut.strength}"
            yield found(nut, measure, about=about)


# -- threads ----------------------------------------------------------------------------
@rule("tapped-thread", Level.WARN, Level.NOTE)
def tapped_thread(job: Checked) -> Iterator[Found]:
    """A thread in a tapped part is engaged as far as its metal needs, and the part is thick enough for it."""
    parts = {piece.mark: piece for piece in job.pieces}
    for stack in job.plan.bolts:
        tapped, thread, about = stack.tapped, stack.choice.thread, stack.name
        if tapped is None:
            continue
        if not tapped.mark:
            if job.job.bolt[stack.number].engagement is None:
                depth = sentence(mm(tapped.depth), f" of thread, the diameter of {_size(thread)}, is counted")
                more = ": enough in steel, not in aluminium or thin sheet; name the tapped part in `into`"
                yield found(depth, more, level=Level.NOTE, about=about)
            continue
        room = parts[tapped.mark].thickness
        if tapped.needed is None:
            soft = f"no table has a depth for a bolt of {stack.property_class} in {tapped.mark}"
            yield found(soft, ": a bolt of 8.8, or a steel insert", about=about, source=tapped.source)
        elif min(room, tapped.depth) < tapped.needed - SLACK:
            times = sentence(number(tapped.needed / thread.diameter, 2), " d = ", mm(tapped.needed))
            short = sentence(mm(min(room, tapped.depth)), f" of {_size(thread)} is engaged in {tapped.mark}, ", times)
            remedy = "a nut, a thicker part or an insert" if room < tapped.needed - SLACK else "engage more"
            yield found(short, f" is needed: {remedy}", about=about, source=tapped.source)


@rule("tapped-hole", Level.WARN, source=PRACTICE)
def tapped_hole(job: Checked) -> Iterator[Found]:
    """A part that is tapped has a hole of the core diameter, not one that the bolt drops through."""
    shapes = {piece.mark: piece.shape for piece in job.pieces}
    for stack in job.plan.bolts:
        shape = shapes[stack.tapped.mark] if stack.tapped is not None and stack.tapped.mark else None
        thread = stack.choice.thread
        if not isinstance(shape, FlatPart) or not shape.all_holes:
            continue
        most = thread.diameter - FULL_THREAD * (thread.diameter - thread.core)
        if not any(least_width(hole) <= most + SLACK for hole in shape.all_holes):
            mark = stack.tapped.mark if stack.tapped is not None else ""
            near = min((least_width(hole) for hole in shape.all_holes), key=lambda width: abs(width - thread.core))
            hole = sentence(f"no hole of {mark} can be tapped {thread.name}: the nearest is ", mm(near, 2))
            yield found(hole, "; drill ", mm(thread.diameter - thread.pitch, 1), about=stack.name)


@rule("thread-in-joint", Level.NOTE, Level.WARN)
def thread_in_joint(job: Checked) -> Iterator[Found]:
    """A bolt's plain shank, not its thread, takes the shear in the joints."""
    for stack in job.plan.bolts:
        if not stack.thread_in_joint:
            continue
        choice, about = stack.choice, stack.name
        remedy, level = _to_bring_the_shank(stack), Level.WARN if stack.pivot else Level.NOTE
        if choice.shank > 0.0:
            shank = sentence(f"the plain shank of {choice.name} ends at ", mm(choice.shank, fixed=True))
            joint = sentence(", before the last joint at ", mm(stack.last_joint or 0.0, fixed=True))
            yield found(shank, joint, ": the thread takes the shear there", remedy, about=about, level=level)
        else:
            name = f"{choice.name} is threaded to the head, so its thread takes the shear in every joint"
            yield found(name, remedy, about=about, level=level)


def _to_bring_the_shank(stack: BoltStack) -> Sentence:
    """What brings the plain shank through the last joint, in words: another bolt as it is or with a washer or two more,
    a longer one than the stack takes, a spacer; '' where nothing does."""
    choice, last = stack.choice, stack.layers[-1].thickness
    if choice.nut == "none":
        return sentence("")
    for washers in range(choice.washers, MOST_WASHERS + 1):
        try:
            longer = choose_bolt(choice.thread, choice.grip, washers, choice.nut, None, choice.nut_height, last)
        except FastenerError:
            break
        joint = longer.washers_at_head * longer.washer + choice.grip - last
        if longer.shank >= joint - 1e-6:
            added = f" with washers = {washers}" if washers != choice.washers else ""
            return sentence(f": {longer.name}{added} brings the shank through")
    spaced = spacer_for_shank(choice, last)
    if spaced is None:
        return sentence("")
    longer, spacer = spaced
    if longer.shank <= longer.clamped + 1e-6 and longer.beyond <= ABSURD * longer.thread.diameter:
        end = sentence(", its end ", mm(longer.beyond, 1), " out of the nut")
        return sentence(": length = ", to_paste(longer.length), " brings the shank through", end)
    with_spacer = sentence(f": {longer.name} with a spacer of ", mm(spacer, 1), " under its nut")
    return sentence(with_spacer, " brings the shank through")


@rule("bolt-length", Level.STOP, Level.WARN, source=f"two threads out of a nut: {PRACTICE}")
def bolt_length(job: Checked) -> Iterator[Found]:
    """A bolt fills its nut or tapped part, which none that is made does where the parts are too thick; one whose length
    the job gives clamps before its nut meets the plain shank, and is none of another stack."""
    for stack in job.plan.bolts:
        choice, about = stack.choice, stack.name
        beyond = least_beyond(choice.thread, choice.nut, None if stack.tapped is None else stack.tapped.depth)
        short = beyond - choice.beyond
        if job.job.bolt[stack.number].length is None:
            if short > SLACK:
                free = sum(layer.thickness for layer in stack.layers if layer.open and not layer.by)
                needed = sentence(mm(choice.length + short), " needed for a grip of ", mm(choice.grip))
                needed = sentence(needed, ", ", mm(free), " of it free") if free > SLACK else needed
                yield found(f"no {choice.thread.size} bolt is long enough, ", mm(choice.length), " at most: ", needed,
                            ": less grip, or threaded rod", about=about)  # fmt: skip
            continue
        if short > SLACK:
            wants = sentence(mm(choice.length + short), " is needed")
            reach = "two threads out of its nut" if choice.nut != "none" else "into the thread"
            text = sentence(f"{choice.name} is ", mm(short), " too short: ", wants, f", to reach {reach}")
            yield found(text, _next_length(stack), about=about)
        elif choice.shank > choice.clamped + SLACK:
            stops = "its nut" if choice.nut != "none" else "the tapped part"
            loose = sentence(f"the plain shank of {choice.name} meets {stops} ", mm(choice.shank - choice.clamped, 1))
            yield found(loose, " before the parts are tight", _next_length(stack), about=about, level=Level.WARN)
        elif choice.nut != "none" and choice.beyond > ABSURD * choice.thread.diameter + SLACK:
            stands = sentence(f"{choice.name} stands ", mm(choice.beyond), " out of its nut")
            remedy = sentence(": name in `through` the part that is missing, or", _next_length(stack, " take "))
            yield found(stands, remedy, about=about, level=Level.WARN)


def _next_length(stack: BoltStack, before: str = ": ") -> Sentence:
    """The length that the stack takes, as the job file has it."""
    choice, last = stack.choice, stack.layers[-1].thickness if len(stack.layers) > 1 else None
    depth = None if stack.tapped is None else stack.tapped.depth
    try:
        fits = choose_bolt(choice.thread, choice.grip, choice.washers, choice.nut, depth, choice.nut_height, last)
    except FastenerError:
        return sentence(f"{before}less grip, or threaded rod")
    return sentence(f"{before}length = ", to_paste(fits.length))


def _holes_passed(stack: BoltStack, mark: str, tube: LengthPart) -> list[DrilledHole | FlattenedHole | None]:
    """The holes of a tube that a bolt passes where it stands, or else those that let it through; None where it has
    none."""
    ways = [way for line in stack.lines for seat in line.seats for way in seat.passage.ways if way.mark == mark]
    at = [way.hole for way in ways if isinstance(way.hole, DrilledHole | FlattenedHole)]
    if at:
        return [*at]
    least = stack.choice.thread.diameter - SLACK
    drilled = [hole for hole in tube.drilled if not (hole.vent or hole.plug or hole.slit) and _bore(hole) >= least]
    flats = [
        FlattenedHole(end.at, end.form.hole)
        for end in tube.ends
        if isinstance(end.form, FlattenedEnd) and end.form.hole >= least
    ]
    return [*drilled, *flats] or [None]


def _gives_way(hole: DrilledHole | FlattenedHole | None) -> bool:
    return hole is None or (isinstance(hole, DrilledHole) and hole.sleeve is None)


BOLT_RULES = (
    *(bolt_hole, bolt_in_eye, pivot_hole, bolt_through_tube, ear_gap, ears_named_once),
    *(thin_nut, nut_class, fastener_standard, tapped_thread, tapped_hole, thread_in_joint, bolt_length),
)


# -- what is bolted ---------------------------------------------------------------------
def _size(thread: Thread) -> str:
    """'M12', '1/2-13 UNC'."""
    return thread.size if thread.series == "M" else thread.name


def _along(stack: BoltStack) -> set[str]:
    """The tubes that it goes along, from end to end."""
    return {layer.mark for layer in stack.layers if layer.along}


def _parts(job: Checked, stack: BoltStack) -> Iterator[tuple[str, FlatPart | LengthPart | ProfilePart]]:
    """(mark, part) for each part that a bolt goes through, once each."""
    shapes = {piece.mark: piece.shape for piece in job.pieces}
    for mark in dict.fromkeys(layer.mark for layer in stack.layers if layer.mark):
        yield mark, shapes[mark]


def _clamped(job: Checked) -> Iterator[tuple[BoltStack, str, FlatPart | LengthPart | ProfilePart]]:
    """(bolt, mark, part) for each part that any bolt goes through."""
    return ((stack, *each) for stack in job.plan.bolts for each in _parts(job, stack))


def _passes(hole: Hole, diameter: float) -> bool:
    if isinstance(hole.shape, Circle):
        return hole.shape.diameter >= diameter - 1e-6
    return least_width(hole) >= diameter - 1e-3


def least_width(hole: Hole) -> float:
    """The least width of a hole, mm; of a slot at any angle it follows from area and perimeter of a stadium,
    w = (P - sqrt(P^2 - 4 pi A)) / pi."""
    if isinstance(hole.shape, Circle):
        return hole.shape.diameter
    area, perimeter = hole.shape.area, hole.shape.perimeter
    return (perimeter - math.sqrt(max(0.0, perimeter**2 - 4.0 * math.pi * area))) / math.pi

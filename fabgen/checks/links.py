"""Checks of adjustable link rods."""

from __future__ import annotations

import math
from collections.abc import Iterator

from fabgen.checks.checked import Checked, Checking
from fabgen.checks.rule import FROM_JOB, LIMITS, PRACTICE, Found, Rule, found, rule
from fabgen.parts.piece import ENDS, LinkPart, RodEndSetup
from fabgen.shop.threaded.rod_ends import MEMORY, least_wall
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, joined, kilonewtons, mm, number, sentence

FEW = 3.0
"""Fewer times the load than this is worth a look."""
_SHIGLEY = "Shigley, Mechanical Engineering Design, columns; from memory, edition not at hand"
_YIELD = "yield by least section; beside welds in aluminium EN 1999-1-1, 6.1.6 and 6.2.3, clauses from memory"
_HANDBOOK = "Machinery's Handbook, threads in shear; ISO 898-1, stress area; from memory"

THIN_WALL = 2.0
"""Below this a weld-in bung is a thin-sheet weld, mm."""
FULL_THREAD = 0.65
"""Share of the basic thread height that a tapped tube must leave standing."""

Link = Checking[LinkPart]


def link_rods(checked: Checked) -> Iterator[Link]:
    """The link rods of the job."""
    return (Checking(piece, piece.shape, checked) for piece in checked.pieces if isinstance(piece.shape, LinkPart))


@rule("link-adjustment", Level.STOP, source=FROM_JOB)
def adjustment(of: Link) -> Iterator[Found]:
    """It adjusts as far as the job says."""
    part = of.part
    if part.adjust is not None and part.each_way < part.adjust - 0.05:
        adjusts = sentence("adjusts ", mm(part.each_way), " each way where ", mm(part.adjust), " is needed")
        yield found(adjusts, ": take rod ends with a longer thread, or less adjustment")


@rule("link-engagement", Level.STOP)
def engagement(of: Link) -> Iterator[Found]:
    """At no point of its range is less thread engaged than the least."""
    for at, rod in _rods(of.part):
        least = min(rod.engaged(rod.least_depth), rod.engaged(rod.most_depth))
        if least < rod.least_depth - 0.05:
            engaged = sentence("at its ", at, " ", mm(least), " of ", rod.thread.name, " can be engaged")
            wanted = sentence(", where ", mm(rod.least_depth), " is the least: ", _too_short(of.part, rod))
            yield found(engaged, wanted, source=rod.least_source)


def _too_short(part: LinkPart, rod: RodEndSetup) -> Sentence:
    """What keeps a rod end from being engaged enough, and the key that mends it."""
    if rod.tapped < rod.least_depth - 0.05 and rod.tapped <= rod.most_depth + 0.05 and not rod.female:
        tapped = "the bung's thread" if part.bungs else "the thread tapped in its end"
        return sentence(f"{tapped} is too short, bung_length = ", mm(math.ceil(rod.least_depth - 0.05)), " or more")
    harder = ", or a harder bung_material" if part.bungs and rod.least_source != PRACTICE else ""
    return sentence(f"the rod end's thread less the jam nut is too short: take one with a longer thread{harder}")


@rule("bung-fit", Level.WARN, Level.STOP)
def bung_fit(of: Link) -> Iterator[Found]:
    """The bung goes into the tube's bore and keeps metal round its thread."""
    part = of.part
    for at, rod in _threads(part) if part.bungs else ():
        wall, least = (part.section.bore - rod.thread.diameter) / 2.0, least_wall(rod.thread)
        size, name = sentence("the bore of ", mm(part.section.bore), f" at {at}"), rod.thread.name
        if wall < 1.0:
            no_room = f" has no room for a bung with {name}: take a tube with more bore, or a smaller thread"
            yield found(size, no_room, level=Level.STOP)
        elif wall < least - 0.01:
            yield found(size, " leaves a bung ", mm(wall), f" of metal round {name}, under ", mm(least))


@rule("tapped-bore", Level.STOP)
def tapped_bore(of: Link) -> Iterator[Found]:
    """A tube that is tapped itself has a bore that leaves full threads."""
    bore = of.part.section.bore
    for at, rod in _tapped(of.part):
        height = (rod.thread.diameter - bore) / (rod.thread.diameter - rod.thread.core)
        if height < FULL_THREAD:
            wide = sentence("the bore of ", mm(bore), f" at {at} is too wide to tap {rod.thread.name}")
            yield found(wide, " (core ", mm(rod.thread.core), "): a bung, or a tube with less bore")


@rule("tapped-wall", Level.WARN)
def tapped_wall(of: Link) -> Iterator[Found]:
    """A tube that is tapped itself keeps metal round the thread."""
    for at, rod in _tapped(of.part):
        wall, least = (of.part.section.width - rod.thread.diameter) / 2.0, least_wall(rod.thread)
        if wall < least - 0.01:
            yield found(f"tapping {rod.thread.name} leaves ", mm(wall), f" of wall at {at}, under ", mm(least))


@rule("same-hand", Level.WARN)
def same_hand(of: Link) -> Iterator[Found]:
    """One right-hand and one left-hand thread, so that it adjusts in place."""
    if len(of.part.rods) == 2 and not of.part.in_place:
        hand = of.part.rods[0].thread.hand
        yield found(f"both rod ends are {hand}-hand: it cannot be adjusted in place, one pin has to come out")


@rule("tube-too-short", Level.STOP, source=FROM_JOB)
def tube_too_short(of: Link) -> Iterator[Found]:
    """The tube is long enough for what goes into it from both ends."""
    part = of.part
    inward = [rod for rod in part.rods if not rod.female]
    room = part.length + sum(rod.head for rod in inward) - sum(rod.turned for rod in part.rods)
    shanks = sum(rod.most_depth for rod in inward)
    threads = sum(max(rod.tapped, rod.most_depth) for rod in inward)
    if shanks > room:
        yield found("the two shanks meet inside when screwed right in (", mm(shanks), " in ", mm(room), ")")
    elif threads > room:
        inside = "bungs" if part.bungs else "tapped holes"
        short = sentence("the tube of ", mm(part.length), f" is too short for the two {inside}")
        yield found(short, " (", mm(threads), " in ", mm(room), ")")


@rule("thin-wall", Level.NOTE)
def thin_wall(of: Link) -> Iterator[Found]:
    """A thin wall needs care where the bung is welded in."""
    section = of.part.section
    if of.part.bungs and not section.is_solid and section.wall < THIN_WALL:
        wall = mm(section.wall, 1 if section.wall >= 1.0 else 2)
        remedy = "chamfer the tube's end and add plug welds beside it"
        yield found("the wall is ", wall, f": the thick bung draws the heat and the thin tube burns; {remedy}")


@rule("rod-end-figures", Level.WARN, source=MEMORY)
def rod_end_figures(of: Link) -> Iterator[Found]:
    """Figures from the table are to be measured on the real parts before the tube is sawn."""
    remembered = [rod for rod in of.part.rods if {"shank", "thread_length"} & set(rod.remembered)]
    if remembered:
        figures = dict.fromkeys(_figures(rod) for rod in remembered)
        yield found(joined(" and ", figures), ": measure yours before sawing")


@rule("rod-end-pitch", Level.WARN, source=MEMORY)
def rod_end_pitch(of: Link) -> Iterator[Found]:
    """The thread's pitch is the one that rod ends of its size usually have."""
    for rod in of.part.rods:
        if rod.remembered and rod.usual_pitch and abs(rod.usual_pitch - rod.thread.pitch) > 0.01:
            yield found(f"{rod.thread.name}: rod ends of this size usually have a pitch of ", mm(rod.usual_pitch, 3))


@rule("sight-hole", Level.NOTE, source=FROM_JOB)
def sight_hole(of: Link) -> Iterator[Found]:
    """A sight hole has a place where it shows what it is for."""
    part = of.part
    for at, rod in _rods(part) if part.sight_hole and part.bungs else ():
        if rod.sight_hole() is None:
            why = "the bung's head" if rod.least_depth <= rod.head else "the bung's thread"
            place = sentence(mm(rod.least_depth), f" into the bung is outside {why}")
            yield found(f"no place for a sight hole at its {at}: ", place)


@rule("step-wall", Level.WARN, Level.STOP)
def step_wall(of: Link) -> Iterator[Found]:
    """What stands out of the tube keeps metal round its thread."""
    for at, rod in _rods(of.part) if of.part.is_stepped else ():
        wall, least = (of.part.head_diameter - rod.thread.diameter) / 2.0, least_wall(rod.thread)
        if wall < least - 0.01:
            step = sentence(f"the step at its {at} leaves ", mm(wall), f" of metal round {rod.thread.name}, under ")
            yield found(step, mm(least), level=Level.STOP if wall < 1.0 else Level.WARN)


@rule("turned-shoulder", Level.WARN, Level.STOP)
def turned_shoulder(of: Link) -> Iterator[Found]:
    """A turned end leaves the jam nut a shoulder to sit on."""
    width = of.part.section.width
    for at, rod in _rods(of.part):
        shoulder = (width - rod.thread.diameter) / 2.0
        if rod.female and shoulder < 1.0:
            level = Level.STOP if shoulder < 0.0 else Level.WARN
            bar = sentence("the bar of ", mm(width), " leaves ", mm(shoulder))
            yield found(bar, f" of shoulder at its {at}: a thicker bar", level=level)


@rule("not-adjustable", Level.NOTE, source=FROM_JOB)
def not_adjustable(of: Link) -> Iterator[Found]:
    """A link with two fixed ends is as long as it is made."""
    if not of.part.rods:
        yield found("both ends are fixed: its length is made by the saw and the weld, nothing adjusts it")


def _under_load(name: str, source: str, about: str) -> Rule[Link]:
    """The rule of one part that may give way under the load; they differ in name and source only."""

    def check(of: Link) -> Iterator[Found]:
        link = of.part.load
        for margin in link.margins if link is not None else ():
            assert link is not None
            times = link.times(margin)
            if margin.rule != name or times >= FEW:
                continue
            text = sentence(
                f"{margin.what} at ", kilonewtons(margin.bears), ", ", number(times), " times the ",
                kilonewtons(link.load), " along it (", margin.basis, ")",
            )  # fmt: skip
            if times < 1.0:
                yield found(text)
            else:
                few = f"; blows and fatigue need more than {FEW:g} times as a rule ({PRACTICE})"
                yield found(text, few, level=Level.WARN)

    return Rule(name, (Level.STOP, Level.WARN), source, about, check)


LOAD_RULES = (
    _under_load("tube-pull", _YIELD, "Its tube does not yield under the load, nor under three times that."),
    _under_load("buckling", _SHIGLEY, "It does not buckle under the load the job gives, nor under three times that."),
    _under_load("offset", _SHIGLEY, "A load off its axis does not bend it until it yields, nor do three times that."),
    _under_load("thread-pull", _HANDBOOK, "The shank does not yield under the load, nor under three times that."),
    _under_load("thread-strip", _HANDBOOK, "The thread is not stripped by the load, nor by three times that."),
    _under_load(
        "rod-end-rating", "as the job gives it", "The rod end's rating is at least the load, better three times that."
    ),
)


@rule("load-unknown", Level.NOTE, source=FROM_JOB)
def load_unknown(of: Link) -> Iterator[Found]:
    """What of a link under load could not be calculated."""
    if of.part.load is not None and of.part.load.unknown:
        yield found(f"not calculated: {'; '.join(of.part.load.unknown)}")


@rule("link-duty", Level.NOTE, source=LIMITS)
def link_duty(of: Link) -> Iterator[Found]:
    """What was not checked."""
    if of.part.load is None:
        checked = "thread and length were checked, strength, buckling and the rod ends' rating were not (give `load`)"
    else:
        checked = "thread, length, and buckling and pull under the one load given were checked; fatigue, welds, "
        checked += "bending, blows and brackets were not"
    yield found(f"{checked}: a link of a suspension or steering needs its design and welds judged by someone qualified")


RULES = (
    *(adjustment, engagement, bung_fit, tapped_bore, tapped_wall, same_hand, tube_too_short, thin_wall),
    *(rod_end_figures, rod_end_pitch, sight_hole, step_wall, turned_shoulder, not_adjustable),
    *LOAD_RULES,
    *(load_unknown, link_duty),
)


def _threads(part: LinkPart) -> list[tuple[str, RodEndSetup]]:
    """Each thread once: 'both ends' where they are alike but for the hand."""
    rods = _rods(part)
    if len(rods) == 2 and rods[0][1].thread.name == rods[1][1].thread.name:
        return [("both ends", rods[0][1])]
    return [(f"its {at}", rod) for at, rod in rods]


def _tapped(part: LinkPart) -> list[tuple[str, RodEndSetup]]:
    """The threads that are cut into the tube itself."""
    return [] if part.bungs else [(at, rod) for at, rod in _threads(part) if not rod.female]


def _rods(part: LinkPart) -> list[tuple[str, RodEndSetup]]:
    """The rod ends with the end they are at; fixed ends left out."""
    return [(at, side) for at, side in zip(ENDS, part.sides, strict=True) if isinstance(side, RodEndSetup)]


def _figures(rod: RodEndSetup) -> Sentence:
    shank = sentence(f"{rod.thread.size} rod end taken with ", mm(rod.shank), " of shank and ")
    return sentence(shank, mm(rod.thread_length), " of thread")

"""Checks of adjustable link rods."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from fabgen.checks.finding import Finding
from fabgen.parts.piece import ENDS, LinkPart, Piece, RodEndSetup
from fabgen.shop.rod_ends import MEMORY, least_wall
from fabgen.wording.figures import figure, mm
from fabgen.wording.levels import Level
from fabgen.wording.sentence import kilonewtons

PRACTICE = "common practice, no source"
FEW = 3.0
"""Fewer times the load than this is worth a look."""
_SHIGLEY = "Shigley, Mechanical Engineering Design, columns; from memory, edition not at hand"
_HANDBOOK = "Machinery's Handbook, threads in shear; ISO 898-1, stress area; from memory"
SOURCES = {
    "buckling": _SHIGLEY,
    "offset": _SHIGLEY,
    "thread-pull": _HANDBOOK,
    "thread-strip": _HANDBOOK,
    "rod-end-rating": "as the job gives it",
}

THIN_WALL = 2.0
"""Below this a weld-in bung is a thin-sheet weld, mm."""
FULL_THREAD = 0.65
"""Share of the basic thread height that a tapped tube must leave standing."""


def check_links(pieces: Sequence[Piece]) -> list[Finding]:
    """Every finding on the link rods among `pieces`."""
    return [
        finding
        for piece in pieces
        if isinstance(piece.shape, LinkPart)
        for rule in RULES
        for finding in rule(piece.mark, piece.shape)
    ]


def check_adjustment(mark: str, part: LinkPart) -> Iterator[Finding]:
    """It adjusts as far as the job asks."""
    if part.adjust is not None and part.each_way < part.adjust - 0.05:
        text = (
            f"adjusts {mm(part.each_way)} each way where {mm(part.adjust)} is asked: "
            "rod ends with a longer thread, or settle for less"
        )
        yield Finding(Level.STOP, (mark,), "link-adjustment", text)


def check_engagement(mark: str, part: LinkPart) -> Iterator[Finding]:
    """At no point of its range is less thread engaged than the least."""
    for at, rod in _rods(part):
        least = min(rod.engaged(rod.least_depth), rod.engaged(rod.most_depth))
        if least < rod.least_depth - 0.05:
            why = "the bung's thread" if rod.tapped < rod.least_depth else "the rod end's thread less the jam nut"
            text = (
                f"at its {at} {mm(least)} of {rod.thread} can be engaged, where {mm(rod.least_depth)} "
                f"is the least: {why} is too short"
            )
            yield Finding(Level.STOP, (mark,), "link-engagement", text, rod.least_source)


def check_bung(mark: str, part: LinkPart) -> Iterator[Finding]:
    """The bung goes into the tube's bore and keeps metal round its thread."""
    if not part.bungs:
        return
    for at, rod in _threads(part):
        wall, least = (part.section.bore - rod.thread.diameter) / 2.0, least_wall(rod.thread)
        size = f"the bore of {mm(part.section.bore)} at {at}"
        if wall < 1.0:
            text = f"{size} has no room for a bung with {rod.thread.name}: a tube with more bore, or a smaller thread"
            yield Finding(Level.STOP, (mark,), "bung-fit", text, PRACTICE)
        elif wall < least - 0.01:
            text = f"{size} leaves a bung {mm(wall)} of metal round {rod.thread.name}, under {mm(least)}"
            yield Finding(Level.WARN, (mark,), "bung-fit", text, PRACTICE)


def check_tapped(mark: str, part: LinkPart) -> Iterator[Finding]:
    """A tube that is tapped itself has a bore that leaves full threads, and metal round them."""
    if part.bungs:
        return
    for at, rod in _threads(part):
        if rod.female:
            continue
        height = (rod.thread.diameter - part.section.bore) / (rod.thread.diameter - rod.thread.core)
        if height < FULL_THREAD:
            text = (
                f"the bore of {mm(part.section.bore)} at {at} is too wide to tap {rod.thread.name} "
                f"(core {mm(rod.thread.core)}): a bung, or a tube with less bore"
            )
            yield Finding(Level.STOP, (mark,), "tapped-bore", text, PRACTICE)
        wall, least = (part.section.width - rod.thread.diameter) / 2.0, least_wall(rod.thread)
        if wall < least - 0.01:
            text = f"tapping {rod.thread.name} leaves {mm(wall)} of wall at {at}, under {mm(least)}"
            yield Finding(Level.WARN, (mark,), "tapped-wall", text, PRACTICE)


def check_hands(mark: str, part: LinkPart) -> Iterator[Finding]:
    """One right-hand and one left-hand thread, so that it adjusts in place."""
    if len(part.rods) == 2 and not part.in_place:
        hand = part.rods[0].thread.hand
        text = f"both rod ends are {hand}-hand: it cannot be adjusted in place, one pin has to come out each time"
        yield Finding(Level.WARN, (mark,), "same-hand", text, PRACTICE)


def check_room(mark: str, part: LinkPart) -> Iterator[Finding]:
    """The tube is long enough for what goes into it from both ends."""
    inward = [rod for rod in part.rods if not rod.female]
    room = part.length + sum(rod.head for rod in inward) - sum(rod.turned for rod in part.rods)
    shanks = sum(rod.most_depth for rod in inward)
    threads = sum(max(rod.tapped, rod.most_depth) for rod in inward)
    if shanks > room:
        text = f"the two shanks meet inside when screwed right in ({mm(shanks)} in {mm(room)})"
        yield Finding(Level.STOP, (mark,), "tube-too-short", text)
    elif threads > room:
        inside = "bungs" if part.bungs else "tapped holes"
        text = f"the tube of {mm(part.length)} is too short for the two {inside} ({mm(threads)} in {mm(room)})"
        yield Finding(Level.STOP, (mark,), "tube-too-short", text)


def check_wall(mark: str, part: LinkPart) -> Iterator[Finding]:
    """A thin wall wants care where the bung is welded in."""
    if part.bungs and not part.section.is_solid and part.section.wall < THIN_WALL:
        text = (
            f"the wall is {part.section.wall:.2g} mm: the thick bung draws the heat and the thin tube burns; "
            "chamfer the tube's end, and think of plug welds beside it"
        )
        yield Finding(Level.NOTE, (mark,), "thin-wall", text, PRACTICE)


def check_figures(mark: str, part: LinkPart) -> Iterator[Finding]:
    """Figures from the table are to be measured on the real parts before the tube is sawn."""
    remembered = [rod for rod in part.rods if {"shank", "thread_length"} & set(rod.remembered)]
    if remembered:
        words = " and ".join(dict.fromkeys(_figures(rod) for rod in remembered))
        yield Finding(Level.NOTE, (mark,), "rod-end-figures", f"{words}: measure yours before sawing", MEMORY)
    for rod in part.rods:
        if rod.remembered and rod.usual_pitch and abs(rod.usual_pitch - rod.thread.pitch) > 0.01:
            text = f"{rod.thread.name}: rod ends of this size usually have a pitch of {rod.usual_pitch:.4g} mm"
            yield Finding(Level.WARN, (mark,), "rod-end-pitch", text, MEMORY)


def check_sight_hole(mark: str, part: LinkPart) -> Iterator[Finding]:
    """A sight hole has a place where it shows what it is for."""
    for at, rod in _rods(part) if part.sight_hole else ():
        if rod.sight_hole() is None and part.bungs:
            why = "the bung's head" if rod.least_depth <= rod.head else "the bung's thread"
            text = f"no place for a sight hole at its {at}: {mm(rod.least_depth)} into the bung is outside {why}"
            yield Finding(Level.NOTE, (mark,), "sight-hole", text)


def check_step(mark: str, part: LinkPart) -> Iterator[Finding]:
    """What stands out of the tube keeps metal round its thread."""
    for at, rod in _rods(part) if part.is_stepped else ():
        wall, least = (part.head_diameter - rod.thread.diameter) / 2.0, least_wall(rod.thread)
        if wall < least - 0.01:
            level = Level.STOP if wall < 1.0 else Level.WARN
            text = f"the step at its {at} leaves {mm(wall)} of metal round {rod.thread.name}, under {mm(least)}"
            yield Finding(level, (mark,), "step-wall", text, PRACTICE)


def check_shoulder(mark: str, part: LinkPart) -> Iterator[Finding]:
    """A turned end leaves the jam nut a shoulder to sit on."""
    for at, rod in _rods(part):
        shoulder = (part.section.width - rod.thread.diameter) / 2.0
        if rod.female and shoulder < 1.0:
            width = part.section.width
            text = f"the bar of {mm(width)} leaves {mm(shoulder)} of shoulder at its {at}: a thicker bar"
            yield Finding(Level.STOP if shoulder < 0.0 else Level.WARN, (mark,), "turned-shoulder", text, PRACTICE)


def check_fixed(mark: str, part: LinkPart) -> Iterator[Finding]:
    """What fixed ends ask for."""
    fixed = len(part.sides) - len(part.rods)
    if fixed == 2:
        text = "both ends are fixed: its length is made by the saw and the weld, nothing adjusts it"
        yield Finding(Level.NOTE, (mark,), "not-adjustable", text)


def check_load(mark: str, part: LinkPart) -> Iterator[Finding]:
    """How the link stands to the load that the job gives."""
    link = part.load
    if link is None:
        return
    for margin in link.margins:
        times = link.times(margin)
        text = (
            f"{margin.what} at {kilonewtons(margin.bears).words()}, {figure(times)} times the "
            f"{kilonewtons(link.load).words()} along it ({margin.basis.words()})"
        )
        if times < 1.0:
            yield Finding(Level.STOP, (mark,), margin.rule, text, SOURCES[margin.rule])
        elif times < FEW:
            text += f"; blows and fatigue ask for more than {FEW:g} times as a rule ({PRACTICE})"
            yield Finding(Level.WARN, (mark,), margin.rule, text, SOURCES[margin.rule])
    if link.unknown:
        yield Finding(Level.NOTE, (mark,), "load-unknown", f"not reckoned: {'; '.join(link.unknown)}")


def check_duty(mark: str, part: LinkPart) -> Iterator[Finding]:
    """What was not looked at."""
    if part.load is None:
        looked = "thread and length were looked at, strength, buckling and the rod ends' rating were not (give `load`)"
    else:
        looked = "thread, length, and buckling and pull under the one load given were looked at; fatigue, welds, "
        looked += "bending, blows and brackets were not"
    text = f"{looked}: a link of a suspension or steering needs its design and welds judged by someone qualified"
    yield Finding(Level.NOTE, (mark,), "link-duty", text)


RULES: tuple[Callable[[str, LinkPart], Iterator[Finding]], ...] = (
    check_adjustment,
    check_engagement,
    check_bung,
    check_tapped,
    check_hands,
    check_room,
    check_wall,
    check_figures,
    check_sight_hole,
    check_step,
    check_shoulder,
    check_fixed,
    check_load,
    check_duty,
)


def _threads(part: LinkPart) -> list[tuple[str, RodEndSetup]]:
    """Each thread once: 'both ends' where they are alike but for the hand."""
    found = _rods(part)
    if len(found) == 2 and found[0][1].thread.name == found[1][1].thread.name:
        return [("both ends", found[0][1])]
    return [(f"its {at}", rod) for at, rod in found]


def _rods(part: LinkPart) -> list[tuple[str, RodEndSetup]]:
    """The rod ends with the end they are at; fixed ends left out."""
    return [(at, side) for at, side in zip(ENDS, part.sides, strict=True) if isinstance(side, RodEndSetup)]


def _figures(rod: RodEndSetup) -> str:
    return f"{rod.thread.size} rod end taken with {mm(rod.shank)} of shank and {mm(rod.thread_length)} of thread"

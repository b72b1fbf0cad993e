"""What is bought for a link rod, and how it is set up, in words."""

from __future__ import annotations

from collections import Counter

from fabgen.parts.piece import ENDS, EyeSetup, Fact, Hardware, LinkPart, LoadedLink, RodEndSetup, fact
from fabgen.shop.goods import Threaded
from fabgen.shop.threaded.nuts import choose_nut
from fabgen.wording.sentence import Part, Sentence, as_made, joined, kilograms, kilonewtons, mm, number, sentence


def hardware(part: LinkPart) -> tuple[Hardware, ...]:
    wanted: Counter[tuple[str, Threaded, Sentence]] = Counter()
    for rod in part.rods:
        wanted["rod end", _threaded(rod), _rod_end_sizes(rod)] += 1
    for rod in part.rods:
        nut = choose_nut(rod.thread, "thin", "8.8" if rod.thread.series == "M" else "grade 5")
        wanted["jam nut", _threaded(rod, nut.standard), sentence(f"thin nut, {nut.ordered}")] += 1
    for rod in part.rods if part.bungs else ():
        thread = as_made(rod.tapped, decimals=2)
        # No trade size: of a metric thread in mm, else as the job's lengths are.
        head = as_made(rod.head, decimals=2) if rod.thread.series == "M" else mm(rod.head, 2)
        bore = sentence("to fit the bore of ", part.section, ", ", as_made(part.section.bore, decimals=2), ", ")
        fit = sentence(bore, thread, " of thread, head ", head)
        if part.is_stepped:
            fit = sentence(fit, ", ", as_made(part.head_diameter, decimals=1), " outside the tube")
        wanted["weld-in threaded bung", _threaded(rod), fit] += 1
    return tuple(Hardware(item, goods, count, note) for (item, goods, note), count in wanted.items())


def _threaded(rod: RodEndSetup, standard: str = "") -> Threaded:
    return Threaded(str(rod.thread), str(rod.thread), standard=standard)


def _rod_end_sizes(rod: RodEndSetup) -> Sentence:
    bore = sentence("bore ", as_made(rod.bore, decimals=2), ", ") if rod.bore else ""
    shank, thread = as_made(rod.shank, decimals=2), as_made(rod.thread_length, decimals=2)
    if rod.female:
        return sentence("threaded inside, ", bore, "ball centre to face ", shank, ", ", thread, " of thread")
    return sentence(bore, "shank ", shank, ", thread ", thread)


def facts(part: LinkPart, sawn: float) -> tuple[Fact, ...]:
    """How a link is set up and what it bears; `sawn` kg: of its tube or bar alone, before it is worked."""
    middle, way = part.pin_to_pin, part.each_way
    found = [fact("pin-to-pin", "pin to pin", mm(middle))]
    if part.rods:
        least, most = mm(middle - way).named("shortest"), mm(middle + way).named("longest")
        found.append(fact("adjusts", "adjusts", least, " to ", most, ", ", mm(way).named("each way"), " each way"))
    else:
        found.append(fact("adjusts", "adjusts", "not at all: both ends are fixed"))
    if part.in_place:
        found.append(fact("turn", "one turn of the tube", mm(part.per_turn, 2)))
    elif part.rods:
        steps = sorted({mm(rod.thread.pitch / 2.0, 2) for rod in part.rods}, key=lambda step: step.words())
        way_out = "take one end off its pin; half a turn of the rod end is "
        found.append(fact("turn", "to adjust", way_out, joined(" or ", steps)))
    for name, side in zip(ENDS, part.sides, strict=True):
        found += [_eye_fact(name, side)] if isinstance(side, EyeSetup) else _rod_facts(name, side, part)
    found.append(fact("mass", "mass", _mass(part, sawn)))
    return (*found, *(_load_facts(part.load) if part.load else ()))


def _rod_facts(name: str, rod: RodEndSetup, part: LinkPart) -> list[Fact]:
    found = [
        fact(
            "rod-end",
            f"{name}, {rod.thread}",
            mm(rod.showing).named("thread showing"),
            " of thread showing, jam nut of ",
            mm(rod.thread.jam_nut).named("jam nut"),
            " on it; ",
            mm(rod.engaged(rod.depth)).named("engaged"),
            " engaged, ",
            mm(rod.least_depth).named("least engaged"),
            " at least",
        )
    ]
    if rod.female:
        diameter, over = mm(rod.thread.diameter).named("diameter"), mm(rod.turned).named("thread length")
        label = f"turn the {name}"
        found.append(fact("turned", label, "to ", diameter, " and thread it over ", over, ": part of the saw length"))
    elif not part.bungs:
        found.append(fact("tapped", f"tap the {name}", mm(rod.tapped), " deep"))
    if part.sight_hole and (place := rod.sight_hole()) is not None:
        found.append(
            fact(
                "sight-hole",
                f"sight hole, {name}",
                mm(part.sight_hole).named("diameter"),
                " through to the thread, ",
                mm(place).named("from the tube's end"),
                " from the tube's end: the shank has to cover it, else it is not in far enough",
            )
        )
    return found


def _eye_fact(name: str, eye: EyeSetup) -> Fact:
    off: list[Part] = []
    if eye.offset:
        side = "above" if eye.offset > 0 else "below"
        off = [", its axis ", mm(abs(eye.offset)).named(f"axis {side} the tube's"), f" {side} the tube's"]
    width, held = mm(eye.width).named("length"), f", {eye.bush} sits in it" if eye.bush else ""
    return fact("fixed-end", f"{name}, fixed", "coped to a sleeve of ", eye.sleeve, ", ", width, " long", *off, held)


def _mass(part: LinkPart, sawn: float) -> Sentence:
    """Of the tube as sawn, which other sheets give, and of the link as it is fitted, as far as that is known."""
    masses = [rod.mass for rod in part.rods]
    known = [mass for mass in masses if mass is not None]
    with_rods = bool(masses) and len(known) == len(masses)
    counted: list[str] = []
    if part.bungs and part.rods:
        counted.append("bungs")
    if any(isinstance(side, EyeSetup) for side in part.sides):
        counted.append("sleeves")
    if with_rods:
        counted.append("rod ends")
    words = f"{', '.join(counted[:-1])} and {counted[-1]}" if len(counted) > 1 else "".join(counted)
    left = "" if not part.rods else "; jam nuts not counted" if with_rods else "; rod ends and jam nuts not counted"
    fitted = part.made_mass + (sum(known) if with_rods else 0.0)
    turned = "turned and threaded, " if any(rod.female for rod in part.rods) else ""
    what = "bar" if part.section.is_solid else "tube"
    complete: list[Part] = []
    if words or turned:
        complete = [f"; {turned}{f'with {words} ' if words else ''}", kilograms(fitted).named("as fitted")]
    return sentence(f"{what} as sawn ", kilograms(sawn).named("as sawn"), *complete, left)


def _load_facts(link: LoadedLink) -> list[Fact]:
    """What is printed with the link."""
    load, longest = kilonewtons(link.load).named("load"), mm(link.longest).named("longest")
    facts = [fact("load", "load along it", load, ", as the job gives it; at its longest ", longest)]
    for margin in link.margins:
        bears, times = kilonewtons(margin.bears).named("bears"), number(link.times(margin)).named("times the load")
        facts.append(fact(margin.rule, margin.what, "at ", bears, ", ", times, " times the load (", margin.basis, ")"))
    left = ("bending, blows, fatigue, its welds, its pins and what it is bolted to", *link.unknown)
    return [*facts, fact("not-calculated", "not calculated", "; ".join(left))]
